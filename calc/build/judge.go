package build

import (
	"errors"
	"fmt"
	"slices"

	"leat/calc"
	"leat/calc/parts"
	"leat/calc/reckon"
	"leat/calc/strength"
)

// judge is one part while it is judged. Every step is run, whatever another
// one found.
type judge struct {
	machine Machine
	facts   Facts
	limits  Limits
	part    Part
	ring    line // what is known of its wall and rating
	design  pressure
	gasM3   float64
	gasOK   bool
	out     Judged
	f       ratingFound
	err     error
}

type ratingFound struct {
	allow, temperature float64
	known              bool
}

// judgePart decides about one part.
func judgePart(m Machine, f Facts, l Limits, parts []Part, i int) (Judged, error) {
	p := parts[i]
	j := &judge{machine: m, facts: f, limits: l, part: p, ring: ringOf(p), design: m.design(p, f)}
	j.gasM3, j.gasOK = m.gasVolume(f, parts)
	j.out = Judged{At: fmt.Sprintf("/parts/%d", i), Role: p.Role, Name: p.Name, Case: j.design.why, Reasons: []Said{}, Conditions: []Said{}, Asked: []Asked{}}
	if j.design.known {
		j.out.DesignPa = &j.design.low
	} else {
		j.reason("no_design_pressure")
	}
	for _, step := range []func(){j.rate, j.hoop, j.surge, j.collapse, j.water, j.gas, j.test, j.exclude, j.cure, j.thread} {
		step()
	}
	j.out.Verdict = strength.Allowed
	if len(j.out.Conditions) > 0 {
		j.out.Verdict = strength.Conditional
	}
	if len(j.out.Reasons) > 0 {
		j.out.Verdict = strength.NotAllowed
	}
	return j.out, j.err
}

// ask runs one named calculation and keeps its answer. What it refuses is a
// reason against the part: nothing is allowed that could not be worked out.
func (j *judge) ask(title, name string, input map[string]any) (result map[string]any) {
	j.limits.into(name, input)
	answer, result, err := reckon.Ask(name, input)
	j.err = errors.Join(j.err, err)
	if err != nil {
		return nil
	}
	j.out.Asked = append(j.out.Asked, Asked{title, name, input, answer})
	if !answer.OK {
		j.refuse(*answer.Fault)
	}
	return result
}

func (j *judge) refuse(f calc.Fault) {
	j.out.Reasons = append(j.out.Reasons, Said{"not_worked_out", f.Message})
}

func (j *judge) reason(code string)    { j.out.Reasons = j.add(j.out.Reasons, code) }
func (j *judge) condition(code string) { j.out.Conditions = j.add(j.out.Conditions, code) }

// add says a thing once, by whatever code.
func (j *judge) add(list []Said, code string) []Said {
	text := j.limits.words(code)
	if slices.ContainsFunc(list, func(s Said) bool { return s.Code == code || s.Text == text }) {
		return list
	}
	return append(list, Said{code, text})
}

func (j *judge) codesOf(result map[string]any, name string, add func(string)) {
	list, _ := result[name].([]any)
	for _, code := range list {
		if text, ok := code.(string); ok {
			add(text)
		}
	}
}

func numberOf(result map[string]any, name string) float64 {
	x, _ := result[name].(float64)
	return x
}

// holdsGas tells whether air can stand in the part.
func (j *judge) holdsGas() bool {
	if j.part.HoldsGas != nil {
		return *j.part.HoldsGas || gasRoles[j.part.Role]
	}
	return gasRoles[j.part.Role]
}

// rate works out what is left of the rating. A rating by hand counts only with
// the marking that it is read from.
func (j *judge) rate() {
	switch {
	case j.ring.gasClass == "":
		j.reason("unknown_material")
	case j.ring.gasClass == strength.NonPressure:
		return
	case j.ring.ratingPa <= 0:
		j.reason("no_rating")
	case j.facts.HotC == nil:
		j.reason("no_temperature")
	default:
		r := j.ask("What is left of the rating", "safety/rating", map[string]any{
			"rating_pa": j.ring.ratingPa, "table": j.ring.table, "temp_c": *j.facts.HotC, "gas": j.holdsGas(), "threaded": j.part.Joint == "threaded",
		})
		if r == nil {
			return
		}
		j.f = ratingFound{numberOf(r, "allow_pa"), numberOf(r, "f_t"), true}
		j.out.AllowPa = &j.f.allow
		if j.design.known && j.design.low > j.f.allow {
			j.reason(strength.OverRating)
		}
	}
}

func (j *judge) hoop() {
	if j.ring.wallM > 0 && j.design.known {
		j.ask("Stress in the wall", "safety/hoop", map[string]any{"p_pa": j.design.low, "od_m": j.ring.odM, "wall_m": j.ring.wallM})
	}
}

// surge judges what a ram's beats do to a part.
func (j *judge) surge() {
	m := j.machine
	if !slices.Contains([]string{DrivePipe, AirVessel, DeliveryPipe}, j.part.Role) {
		return
	}
	modulus, ok := moduli[j.ring.table]
	if m.RamSpeed == nil || m.RamStaticPa == nil || j.ring.wallM <= 0 || !ok || !j.f.known {
		j.reason("surge_not_known")
		return
	}
	s := j.ask("Shock of the ram", "safety/surge", map[string]any{
		"od_m": j.ring.odM, "wall_m": j.ring.wallM, "e_pa": modulus.short, "dv_m_s": *m.RamSpeed, "p_static_pa": *m.RamStaticPa,
	})
	if s == nil {
		return
	}
	a := j.ask("May it take that shock a million times", "safety/surge_allow", map[string]any{
		"rating_pa": j.f.allow, "peak_pa": max(numberOf(s, "peak_pa"), j.design.low), "range_pa": numberOf(s, "dp_pa"), "table": j.ring.table, "duty": "ram",
	})
	j.codesOf(a, "reasons", j.reason)
	if m.RamWorstPa != nil && *m.RamWorstPa > j.f.allow {
		j.condition("worst_over_rating")
	}
}

// collapse judges water or air pressing from outside: the trench flooded while
// the part is empty, or the vent shut while it drains.
func (j *judge) collapse() {
	modulus, ok := moduli[j.ring.table]
	if j.ring.wallM <= 0 || !ok {
		return
	}
	outside, standing := 0.0, j.part.Location == strength.Buried || j.part.Location == strength.Submerged
	e := modulus.short
	if standing && j.design.known {
		outside, e = j.design.low, modulus.long
	}
	c := j.ask("Pressed from outside", "safety/collapse", map[string]any{"od_m": j.ring.odM, "wall_m": j.ring.wallM, "e_pa": e, "nu": modulus.nu, "p_ext_pa": outside})
	if c == nil {
		return
	}
	if c["ok"] != true {
		j.reason("collapse")
	}
	if c["full_vacuum_ok"] != true {
		j.condition("vent_open")
	}
	if j.part.Location == strength.Buried {
		j.condition("soil_load")
	}
}

// water is the rule for parts without a rating: open at the top, and never more
// than a metre of water.
func (j *judge) water() {
	if j.ring.gasClass != strength.NonPressure || j.holdsGas() || !j.design.known {
		return
	}
	if j.design.low > j.limits.PLowPa {
		j.reason(strength.NonpressurePart)
		return
	}
	j.condition("open_top")
}

func (j *judge) gas() {
	if !j.holdsGas() || !j.design.known || j.ring.gasClass == "" {
		return
	}
	if !j.gasOK {
		j.reason("gas_volume_not_known")
		return
	}
	switch {
	case j.facts.ColdC == nil:
		j.reason("no_temperature")
		return
	case j.part.Joint == "":
		j.reason("no_joint")
		return
	case j.ring.odM <= 0:
		j.reason("no_diameter")
		return
	}
	g := j.ask("May it hold gas", "safety/gas", map[string]any{
		"gas_class": j.ring.gasClass, "p_pa": j.design.top, "v_gas_m3": j.gasM3, "location": j.location(), "od_m": j.ring.odM, "temp_c": *j.facts.ColdC,
		"allow_pa": j.f.allow, "joint": j.part.Joint, "gas_statement": j.part.GasStatement && (j.ring.gasRated || j.part.Marking != ""), "vessel": j.part.Role == Receiver || j.part.Role == AirVessel, "certified": j.part.Certified,
	})
	j.codesOf(g, "reasons", j.reason)
	j.codesOf(g, "conditions", j.condition)
}

func (j *judge) location() string {
	if j.part.Location == "" {
		return strength.Exposed
	}
	return j.part.Location
}

// test works out the water test. Parts without a rating are filled to overflow
// and never plugged.
func (j *judge) test() {
	if !j.f.known || !j.design.known || j.ring.gasClass == strength.NonPressure || j.design.low <= 0 {
		return
	}
	t := j.ask("Test pressure, with water", "safety/test_pressure", map[string]any{
		"method": "hydrostatic", "p_design_top_pa": min(j.design.top, j.design.low), "p_design_low_pa": j.design.low, "rating_pa": j.ring.ratingPa, "f_t_design": j.f.temperature,
		"f_t_test": 1.0, "dz_m": (j.design.low - min(j.design.top, j.design.low)) / (calc.WaterDensity * calc.Gravity), "gauge_height_m": 0.0, "gas_class": j.ring.gasClass,
	})
	j.codesOf(t, "reasons", j.reason)
	if p := numberOf(t, "gauge_pa"); p > 0 && j.facts.GaugeFullPa != nil && j.facts.GaugeClass != nil && j.facts.GaugeAgeDays != nil {
		g := j.ask("Test gauge", "safety/gauge", map[string]any{"p_test_pa": p, "fs_pa": *j.facts.GaugeFullPa, "class_pct": *j.facts.GaugeClass, "cal_age_days": *j.facts.GaugeAgeDays})
		j.codesOf(g, "reasons", func(code string) { j.condition("gauge_" + code) })
	}
}

// exclude works out how far people keep away while its pressure rises.
func (j *judge) exclude() {
	if !j.holdsGas() || !j.design.known || !j.gasOK {
		return
	}
	e := j.ask("Energy that is let go", "safety/energy", map[string]any{"p_pa": j.design.top, "v_gas_m3": j.gasM3, "v_liq_m3": 0.0})
	if e == nil {
		return
	}
	in := strength.ExclusionIn{EJ: numberOf(e, "e_total_j"), Medium: strength.MediumGas, RScaled: 20, MinWaterM: j.limits.WaterFloorM, Barrier: j.facts.Barrier}
	in.MinGasM = strength.GasFloor(j.limits.GasFloorM, in.EJ, in.Barrier)
	out, rule, fault := strength.SheetDistance(in, j.design.top, j.limits.GasConfig, j.limits.GasFloorAlways)
	if fault != nil {
		j.refuse(*fault)
		return
	}
	j.out.Distance = &Distance{out.RM, Said{rule, j.limits.words(rule)}}
}

// coldestCure is where the table of curing times begins, in °C.
const coldestCure = -17.8

// cure works out the wait for cement that sets in the coldest weather of use: it
// is not known yet when the joint will be made.
func (j *judge) cure() {
	if j.part.Joint != "solvent" || j.facts.ColdC == nil || j.ring.odM <= 0 || !j.design.known || j.design.low <= 0 {
		return
	}
	j.ask("Curing of the cement before the test", "safety/cure", map[string]any{"od_m": j.ring.odM, "temp_min_c": max(*j.facts.ColdC, coldestCure), "rh_pct": j.facts.Humidity, "p_test_pa": j.limits.HydroFactor * j.design.low})
}

// thread judges a screwed joint by the names of both threads.
func (j *judge) thread() {
	if j.part.Joint != "threaded" && j.part.Thread == "" && j.part.Into == "" {
		return
	}
	plastic := j.ring.gasClass != strength.Metal
	for _, r := range parts.MayScrew(parts.ThreadEnd{Thread: j.part.Thread, Plastic: plastic}, parts.ThreadEnd{Thread: j.part.Into}) {
		j.out.Reasons = append(j.out.Reasons, Said{r.Code, r.Message})
	}
}
