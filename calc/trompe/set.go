package trompe

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"leat/calc"
)

// Set is a set of coefficients of the model: what it is solved with where the
// builder names none. A set has a number that never comes to mean another.
type Set struct {
	Name         string        `json:"set"`
	Calc         string        `json:"calc"` // "trompe"
	About        string        `json:"about"`
	Coefficients []Coefficient `json:"coefficients"`
	Learned      *Learned      `json:"learned,omitempty"` // nil: nothing was learned
}

// Coefficient is one of a set, without unit: its best value, its standard
// uncertainty, and where both come from. Its distribution is normal, cut off
// at Low and High.
type Coefficient struct {
	Name   string   `json:"name"`
	Best   *float64 `json:"best,omitempty"` // absent: by a law of its own, [AlphaSat]
	U      float64  `json:"u"`
	Low    float64  `json:"low"`
	High   *float64 `json:"high,omitempty"`
	About  string   `json:"about"`
	Source string   `json:"source"`
}

//go:embed sets/0.json
var setZeroText []byte

var setZero = mustParse(setZeroText)

func mustParse(text []byte) *Set {
	s, err := parseSet(text)
	if err != nil {
		panic(err)
	}
	return s
}

// SetZero returns the set that leat comes with, and its text.
func SetZero() (set *Set, text []byte) { return setZero, bytes.Clone(setZeroText) }

// ParseSet reads a set from JSON text. It must have every coefficient once and
// no other, with a standard uncertainty of at least 0 and a best value within
// its limits. Only alpha_sat may lack a best value. What was learned must fit
// set 0.
func ParseSet(text []byte) (*Set, error) {
	s, err := parseSet(text)
	if err != nil {
		return nil, err
	}
	if err := s.checkLearned(); err != nil {
		return nil, err
	}
	return s, nil
}

func parseSet(text []byte) (*Set, error) {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	var s Set
	if err := dec.Decode(&s); err != nil {
		return nil, fmt.Errorf("the coefficient set can't be read: %w", err)
	}
	if s.Name == "" || s.Calc != "trompe" {
		return nil, errors.New(`a coefficient set starts with its name, "set", and "calc": "trompe"`)
	}
	if len(s.Coefficients) != len(coefficientNames) {
		return nil, fmt.Errorf("the coefficient set has %d coefficients instead of %d", len(s.Coefficients), len(coefficientNames))
	}
	for _, name := range coefficientNames {
		c := s.coefficient(name)
		if c == nil {
			return nil, fmt.Errorf("the coefficient set lacks %s", name)
		}
		if err := c.check(); err != nil {
			return nil, err
		}
	}
	return &s, nil
}

var coefficientNames = []string{"k_in", "k_rec", "k_c0", "k_v", "k_f", "k_b", "k_abs", "k_air", "k_dif", "sig_g", "alpha_sat"}

func (s *Set) coefficient(name string) *Coefficient {
	i := slices.IndexFunc(s.Coefficients, func(c Coefficient) bool { return c.Name == name })
	if i < 0 {
		return nil
	}
	return &s.Coefficients[i]
}

func (c Coefficient) check() error {
	if c.Best == nil && c.Name != "alpha_sat" {
		return fmt.Errorf("the coefficient set has no best value for %s", c.Name)
	}
	if !(c.U >= 0) || c.Low < 0 || c.Low >= c.most() {
		return fmt.Errorf("the coefficient set has an uncertainty or limits of %s that can't be", c.Name)
	}
	if c.Best != nil && (*c.Best < c.Low || *c.Best > c.most()) {
		return fmt.Errorf("the best value of %s in the coefficient set lies outside its limits", c.Name)
	}
	return nil
}

// most returns the upper limit, +Inf where there is none.
func (c Coefficient) most() float64 { return valueOr(c.High, math.Inf(1)) }

// bestFor returns the best value of a coefficient for a machine.
func (c Coefficient) bestFor(in Input) float64 { return valueOr(c.Best, AlphaSat(in.Downcomer.BoreM)) }

// known tells whether the builder gave the coefficient, so that the set's value
// has no part in the answer.
func (c Coefficient) known(in Input) bool {
	_, given := in.Params[c.Name]
	return given || c.Name == "k_in" && in.Intake.KIn != nil
}

// Under returns the input to be solved with another set than set 0.
func (in Input) Under(set *Set) Input {
	in.set = set
	return in
}

// Set returns the set that the input is solved with.
func (in Input) Set() *Set {
	if in.set == nil {
		return setZero
	}
	return in.set
}

// AlphaSat returns the saturation void at the top of the full-bore section of a
// downcomer of this bore in m:
//
//	α_sat = 0.32 + 0.18·clamp(log10(D/0.1 m), 0, 1)
//
// Valid for bores of 16 mm to 3.5 m; standard uncertainty 0.08; evidence C.
//
// Source: judgement from the air-to-water ratio of built small machines
// (Leavitt and Danehy 2013) and from bubbly-to-slug transition in downflow
// (Usui 1989, J. Nucl. Sci. Technol. 26, 1013); the rise with bore after
// Kataoka and Ishii 1987, from memory.
func AlphaSat(boreM float64) float64 {
	return 0.32 + 0.18*min(max(math.Log10(boreM/0.1), 0), 1)
}

// paramFields declares the coefficients that a builder may give, with what
// set 0 has for them.
func paramFields() []calc.Field {
	fields := []calc.Field{group("/params", "coefficients of the model that you have measured yourself", false)}
	for _, c := range setZero.Coefficients {
		f := number("/params/"+c.Name, "", 0, mostParams, c.About+" ("+c.Source+")")
		switch c.Name {
		case "k_rec", "k_dif", "alpha_sat":
			f.High = lim(1)
		case "k_air":
			f.High = lim(mostLoss)
		case "sig_g":
			f.Low = lim(1)
		}
		f.AboveLow = c.Name != "k_in" && *f.Low == 0
		f.Uncertainty = lim(c.U)
		fields = append(fields, preset(f, c.words()))
	}
	return fields
}

func (c Coefficient) words() string {
	if c.Best == nil {
		return "0.32 to 0.50, by bore"
	}
	return trim(*c.Best)
}

// coefficients are the values in force for one machine.
type coefficients struct {
	kIn, kRec, kC0, kV, kF, kB, kAbs, kAir, kDif, sigG, alphaSat float64
}

func (in Input) coefficients() coefficients {
	value := func(name string) float64 {
		if v, ok := in.Params[name]; ok {
			return v
		}
		return in.Set().valueFor(name, in)
	}
	c := coefficients{
		kIn: value("k_in"), kRec: value("k_rec"), kC0: value("k_c0"), kV: value("k_v"), kF: value("k_f"), kB: value("k_b"),
		kAbs: value("k_abs"), kAir: value("k_air"), kDif: value("k_dif"), sigG: value("sig_g"), alphaSat: value("alpha_sat"),
	}
	c.kIn = valueOr(in.Intake.KIn, c.kIn)
	alpha := in.Set().coefficient("alpha_sat")
	c.alphaSat = min(max(c.alphaSat, alpha.Low), alpha.most())
	return c
}
