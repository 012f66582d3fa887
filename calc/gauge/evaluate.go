package gauge

import (
	"math"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/water"
)

// Evaluate makes quantities of all readings of one operating point: the
// conditions first, because others hang on them. Of several readings of one
// quantity the last counts. What was not measured of the air is taken as section
// 1.8 of the specification of evidence says, and flagged.
func Evaluate(readings []Reading, site Site) (conditions, measured []confront.Quantity) {
	conditions, measured = []confront.Quantity{}, []confront.Quantity{}
	at := place{pressure: missing("barometer"), air: missing("air temperature"), water: missing("water temperature"), humidity: evidence.HumidityNotKnown()}
	if site.AltitudeM != nil {
		at.pressure = evidence.WithoutBarometer(*site.AltitudeM)
	}
	levels := map[string]evidence.Value{}
	for _, r := range latest(readings) {
		if !strings.HasPrefix(r.Quantity, "/") || r.Quantity == HeldGauge {
			continue
		}
		v := r.value(at)
		conditions = append(conditions, quantity(r, v))
		v = v.Within(reading + r.Quantity)
		at.put(r.Quantity, v)
		levels[r.Quantity] = v
	}
	values := map[string]evidence.Value{}
	for _, r := range latest(readings) {
		switch v := r.value(at); {
		case r.Quantity == HeldGauge:
			conditions = append(conditions, quantity(r, v))
			values[confront.DeliveryPressure] = v
		case !strings.HasPrefix(r.Quantity, "/"):
			measured = append(measured, quantity(r, v))
			values[r.Quantity] = v
		}
	}
	if v, ok := efficiency(values, levels, at, site); ok {
		measured = append(measured, quantity(Reading{Quantity: confront.Efficiency}, v))
	}
	return conditions, measured
}

// latest keeps the last reading of each quantity, in the order of the first.
func latest(readings []Reading) (kept []Reading) {
	for _, r := range readings {
		i := slices.IndexFunc(kept, func(k Reading) bool { return k.Quantity == r.Quantity })
		if i < 0 {
			kept = append(kept, r)
			continue
		}
		kept[i] = r
	}
	return kept
}

// place is the air and the water at a point.
type place struct{ pressure, air, water, humidity evidence.Value }

func (p *place) put(quantity string, v evidence.Value) {
	switch quantity {
	case AirPressure:
		p.pressure = v
	case AirWarmth:
		p.air = v
	case WaterWarmth:
		p.water = v
	case Humidity:
		p.humidity = v
	}
}

// between is the state that air is carried through on its way to the state that
// the machine draws: a fixed one, ISO 1217, from memory.
var between = evidence.AirState{P: 100_000, T: 20}

// drawn gives air, known in the state between, as free air of the site. An error
// of the barometer stands in both steps, and cancels as far as it is the same.
func (p place) drawn(v evidence.Value) evidence.Value {
	return evidence.Through(func(x []float64) float64 {
		return x[0] * evidence.FreeAirFactor(between, evidence.AirState{P: x[1], T: x[2], RH: x[3]})
	}, v, p.pressure, p.air, p.humidity)
}

// under is the air in a meter: from the chamber, so saturated, and as warm as the
// water.
func (p place) under(r Reading) evidence.AirAt {
	gauge := evidence.Estimated("pressure in the meter", r.extra("at_gauge_pa", 0), r.extra("at_gauge_off_pa", 0)/math.Sqrt(3))
	sum := evidence.Through(func(x []float64) float64 { return x[0] + x[1] }, p.pressure, gauge)
	return evidence.Saturated(sum, p.water)
}

func missing(name string) evidence.Value { return evidence.Estimated(name, math.NaN(), math.NaN()) }

func (r Reading) value(at place) evidence.Value {
	if r.Window != nil {
		return r.Window.Mean
	}
	m, ok := MethodOf(r.Method)
	if !ok {
		return missing(r.Quantity)
	}
	v := m.evaluate(r, at)
	if r.Quantity == confront.FreeAir && len(m.Of) > 0 {
		v = at.drawn(v)
	}
	return v
}

// quantity sums up a value: its budget, and what is lacking.
func quantity(r Reading, v evidence.Value) confront.Quantity {
	b := evidence.Combine(v.Lines, evidence.Level)
	q := confront.Quantity{
		Name: r.Quantity, Nu: calc.Freedom(math.Inf(1)), Status: b.Status, Missing: b.Missing, Flags: v.Flags, N: evidence.TypeA(r.Values).N, Lines: []confront.Line{},
	}
	if q.Flags == nil {
		q.Flags = []string{}
	}
	if r.Window != nil {
		q.N, q.S, q.Reason = r.Window.N, r.Window.S, r.Window.Reason
	}
	if r.Instrument != nil && r.Instrument.Overdue {
		q.Flags = append(q.Flags, Overdue)
	}
	if !math.IsNaN(v.X) && !math.IsInf(v.X, 0) {
		q.Value = &v.X
	}
	if b.Status == evidence.OK && q.Value != nil {
		q.U, q.Nu, q.K, q.Expanded = &b.U, calc.Freedom(b.NuUsed), &b.K, &b.Expanded
	}
	for _, l := range once(v.Lines) {
		if l.Source == "" && strings.HasSuffix(l.Name, ": repeats") && q.U != nil && q.N > 1 {
			q.S = new(l.Size() * math.Sqrt(float64(q.N)))
		}
		if strings.HasPrefix(l.Source, reading) {
			l.Source = "" // another point may have a reading of its own
		}
		q.Lines = append(q.Lines, lineOf(r, l))
	}
	return q
}

// reading begins the source of the errors that a reading of a condition has for
// itself, its repeats for instance. They are one error in all that hangs on the
// condition.
const reading = "reading of "

// once adds up, with their signs, the lines that one reading of a condition left
// in a value, so that each of its errors stands there once.
//
// Source: JCGM 100:2008, 5.2.2, from memory.
func once(lines []evidence.Line) (kept []evidence.Line) {
	for _, l := range lines {
		i := slices.IndexFunc(kept, func(k evidence.Line) bool { return strings.HasPrefix(k.Source, reading) && k.Source == l.Source })
		if i < 0 {
			kept = append(kept, l)
			continue
		}
		kept[i].Sens += l.Sens
	}
	return kept
}

// Overdue flags a value of an instrument whose calibration did not count.
const Overdue = "overdue"

func lineOf(r Reading, l evidence.Line) confront.Line {
	line := confront.Line{Name: l.Name, Source: l.Source, Nu: calc.Freedom(l.Nu)}
	if signed := l.Sens * l.U; !math.IsNaN(signed) {
		line.Signed = &signed
	}
	line.Instrument = r.Instrument != nil && strings.HasPrefix(l.Name, r.Instrument.Name+":") && !strings.HasSuffix(l.Name, ": repeats")
	return line
}

// efficiency is the useful work of the air, at one temperature, over the power of
// the water, where all of it was measured:
//
//	η = p_b·q·ln(1 + p/p_b)/(ρ·g·Q·H)
//
// Source: section 0 of the specification of evidence; isothermal work is of any
// handbook of compressed air.
func efficiency(values, levels map[string]evidence.Value, at place, site Site) (evidence.Value, bool) {
	pressure, hasPressure := values[confront.DeliveryPressure]
	air, hasAir := values[confront.FreeAir]
	flow, hasFlow := values[confront.WaterFlow]
	head, hasHead := headOf(levels, site)
	if !hasPressure || !hasAir || !hasFlow || !hasHead {
		return evidence.Value{}, false
	}
	return evidence.Through(func(x []float64) float64 {
		return x[4] * x[1] * math.Log1p(x[0]/x[4]) / (water.Density(x[5]) * calc.Gravity * x[2] * x[3])
	}, pressure, air, flow, head, at.pressure, at.water), true
}

func headOf(levels map[string]evidence.Value, site Site) (evidence.Value, bool) {
	in, hasIn := levels[LevelIn]
	out, hasOut := levels[LevelOut]
	switch {
	case hasIn && hasOut:
		return evidence.Through(func(x []float64) float64 { return x[0] - x[1] }, in, out), true
	case site.HeadM != nil:
		return evidence.Exactly(*site.HeadM), true
	}
	return evidence.Value{}, false
}
