package confront

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/interval"
	"leat/calc/trompe"
)

// Case is one run: the machine as it was built, and what was measured on it.
type Case struct {
	Machine  json.RawMessage `json:"machine"` // the input of the calculation "trompe"; null: a machine that leat gives no intervals for
	Set      *trompe.Set     `json:"-"`       // of coefficients, as it was registered
	SetName  string          `json:"set"`
	Points   []Point         `json:"points"`
	Required []string        `json:"required"` // quantities that the run is judged by, declared before it
	Limits   []Limit         `json:"limits"`   // declared before the run; all others promise their interval
	Draws    Draws           `json:"draws"`
}

// Point is one operating point.
type Point struct {
	Name       string     `json:"name"`
	Setting    string     `json:"setting"`
	Conditions []Quantity `json:"conditions"` // by their paths into the input of the machine
	Measured   []Quantity `json:"measured"`
}

// Limit is what was promised of a quantity, instead of the interval of its
// prediction. One end may be absent.
type Limit struct {
	Name  string   `json:"name"`
	Lower *float64 `json:"lower"`
	Upper *float64 `json:"upper"`
}

// Draws says how many are made: batches of a size, two at least, until two digits
// of the uncertainties stand or there are so many.
type Draws struct {
	Batch int `json:"batch"`
	Most  int `json:"most"` // batches
}

// Usual is how many draws a verdict takes.
var Usual = Draws{Batch: interval.Batch, Most: 20}

// How the air was taken at a point.
const (
	AsDrawn = "as_drawn"
	Shut    = "shut" // the valve was
	Open    = "open" // into the open air
	Held    = "held" // at a pressure that was held
	All     = "all"  // all of it, at the highest pressure
)

var takeoffs = map[string]string{Shut: "closed", Open: "open", Held: "receiver", All: "blowoff_level"}

// Settings lists how the air may be taken.
func Settings() []string { return []string{AsDrawn, All, Held, Open, Shut} }

// heldPressure is the condition that a held point needs.
const heldPressure = "/takeoff/receiver_gauge_pa"

// machineAt returns the machine as it was set at a point.
func (c Case) machineAt(p Point) (trompe.Input, []calc.Fault, error) {
	var whole map[string]any
	if err := json.Unmarshal(c.Machine, &whole); err != nil {
		return trompe.Input{}, nil, fmt.Errorf("confront: read the machine: %w", err)
	}
	if mode, ok := takeoffs[p.Setting]; ok {
		takeoff, _ := whole["takeoff"].(map[string]any)
		if takeoff == nil {
			takeoff = map[string]any{}
		}
		takeoff["mode"] = mode
		if mode != "receiver" {
			delete(takeoff, "receiver_gauge_pa")
		} else if q := p.condition(heldPressure); q != nil {
			takeoff["receiver_gauge_pa"] = *q.Value
		}
		if mode != "closed" {
			delete(takeoff, "blowoff_route")
		}
		whole["takeoff"] = takeoff
	}
	for _, q := range p.Conditions {
		if q.Value != nil {
			put(whole, q.Name, *q.Value)
		}
	}
	text, err := json.Marshal(whole)
	if err != nil {
		return trompe.Input{}, nil, fmt.Errorf("confront: write the machine: %w", err)
	}
	in, faults := trompe.Decode(text)
	if c.Set != nil {
		in = in.Under(c.Set)
	}
	return in, faults, nil
}

// condition returns a condition of the point that has a value, or nil.
func (p Point) condition(at string) *Quantity {
	for i, q := range p.Conditions {
		if q.Name == at && q.Value != nil {
			return &p.Conditions[i]
		}
	}
	return nil
}

// put replaces a number in an object, by its path.
func put(whole map[string]any, at string, x float64) {
	names := strings.Split(at[1:], "/")
	for _, name := range names[:len(names)-1] {
		below, ok := whole[name].(map[string]any)
		if !ok {
			below = map[string]any{}
			whole[name] = below
		}
		whole = below
	}
	whole[names[len(names)-1]] = x
}

// uncertain are the conditions of a point that are known up to a spread, within
// what the input may hold.
func (p Point) uncertain(fields map[string]calc.Field) (list []trompe.Unknown) {
	for _, q := range p.Conditions {
		if !q.usable() {
			continue
		}
		low, high := math.Inf(-1), math.Inf(1)
		if f := fields[q.Name]; f.Low != nil {
			low = *f.Low
		}
		if f := fields[q.Name]; f.High != nil {
			high = *f.High
		}
		list = append(list, trompe.Unknown{At: q.Name, Best: *q.Value, U: *q.U, Nu: float64(q.Nu), Low: low, High: high})
	}
	return list
}

// seed follows from the case: the same case draws the same again.
func (c Case) seed() (evidence.Seed, error) {
	text, err := json.Marshal(c)
	if err != nil {
		return evidence.Seed{}, fmt.Errorf("confront: write the case: %w", err)
	}
	return evidence.SeedOf(string(text), calc.Version, c.SetName), nil
}
