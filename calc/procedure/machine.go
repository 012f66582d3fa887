package procedure

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/sheet"
	"leat/calc/trompe"
)

// machine is a sheet as far as its test asks for it.
type machine struct {
	in     sheet.Input
	rep    sheet.Report
	parts  []build.Part
	facts  build.Facts
	trompe *trompe.Input
}

// machineOf reads a sheet that was calculated without faults.
func machineOf(in sheet.Input, rep sheet.Report) (machine, bool) {
	m := machine{in: in, rep: rep, facts: build.Facts{ReliefKd: 0.6, Humidity: 70}}
	var raw []json.RawMessage
	if !readInto(in.Parts, &raw) || !readInto(in.Facts, &m.facts) {
		return m, false
	}
	for _, text := range raw {
		p := build.Part{Count: 1}
		if !readInto(text, &p) {
			return m, false
		}
		m.parts = append(m.parts, p)
	}
	if rep.Trompe != nil {
		if t, faults := trompe.Decode(in.Trompe); len(faults) == 0 {
			m.trompe = &t
		}
	}
	return m, true
}

func readInto(raw json.RawMessage, target any) bool {
	return len(raw) == 0 || json.Unmarshal(raw, target) == nil
}

// number is a number somewhere in a section of the sheet; nil where there is none.
func numberIn(section json.RawMessage, path ...string) *float64 {
	var v Value
	if !readInto(section, &v) {
		return nil
	}
	for _, name := range path {
		v = v.Field(name)
	}
	if x, ok := v.Number(); ok {
		return &x
	}
	return nil
}

// answer is what one named calculation was asked about a part, and its answer.
type answer struct{ in, out map[string]any }

// asked finds what was asked about a part. A report that was stored has its
// answers as plain objects, a fresh one as the calculation's own.
func asked(p build.Judged, name string) (a answer, ok bool) {
	for _, asked := range p.Asked {
		if asked.Calc != name || !asked.Answer.OK {
			continue
		}
		text, err := json.Marshal(map[string]any{"in": asked.Input, "out": asked.Answer.Result})
		if err != nil {
			return answer{}, false
		}
		var both struct{ In, Out map[string]any }
		if json.Unmarshal(text, &both) != nil {
			return answer{}, false
		}
		return answer{both.In, both.Out}, true
	}
	return answer{}, false
}

func (a answer) number(name string) float64 {
	if x, ok := a.in[name].(float64); ok {
		return x
	}
	x, _ := a.out[name].(float64)
	return x
}

func (a answer) text(name string) string {
	if s, ok := a.in[name].(string); ok {
		return s
	}
	s, _ := a.out[name].(string)
	return s
}

// part is one part of the machine with what was found about it.
type part struct {
	build.Part
	judged build.Judged
	name   string
	index  int

	gas     bool // air can stand in it
	gasPa   float64
	gasM3   float64
	decided string // whether it may hold it

	rated              bool // it has a rating: it belongs to what is tested
	rating             float64
	table              string
	hot                float64 // factor of its hottest wall
	designTop, designL float64 // Pa
	od, wall           float64
	low, high          float64 // m above the lowest point, for what it must be tested with
	lowest             float64 // m above the lowest point, for what it may see
}

var gasRoles = map[string]bool{build.Chamber: true, build.AirLine: true, build.Receiver: true, build.AirVessel: true}

// partsOf are the parts that somebody described, each as it was judged.
func (m machine) partsOf() (all []part) {
	for i, p := range m.parts {
		if i >= len(m.rep.Build.Parts) {
			break
		}
		j := m.rep.Build.Parts[i]
		one := part{Part: p, judged: j, index: i, name: p.Name, gas: gasRoles[p.Role] || p.HoldsGas != nil && *p.HoldsGas}
		if one.name == "" {
			one.name = strings.ReplaceAll(p.Role, "_", " ")
		}
		if j.DesignPa != nil {
			one.designTop, one.designL = *j.DesignPa, *j.DesignPa
		}
		if g, ok := asked(j, "safety/gas"); ok {
			one.gas, one.gasPa, one.gasM3, one.decided = true, g.number("p_pa"), g.number("v_gas_m3"), g.text("decision")
			one.od = g.number("od_m")
		}
		if r, ok := asked(j, "safety/rating"); ok {
			one.rated, one.rating, one.table, one.hot = true, r.number("rating_pa")*r.number("f_thread"), r.text("table"), r.number("f_t")
		}
		if t, ok := asked(j, "safety/test_pressure"); ok {
			one.designTop = t.number("p_design_top_pa")
		}
		for _, name := range []string{"safety/hoop", "safety/collapse", "safety/cure"} {
			if h, ok := asked(j, name); ok && h.number("od_m") > 0 {
				one.od, one.wall = h.number("od_m"), max(one.wall, h.number("wall_m"))
			}
		}
		all = append(all, one)
	}
	return all
}

// times is how many of a part there are.
func (m machine) times(p part) float64 {
	n := math.Max(1, float64(p.Count))
	if m.trompe != nil && p.Role == build.Downcomer {
		n *= math.Max(1, float64(m.trompe.NParallel))
	}
	if m.trompe != nil && p.Role == build.Riser {
		n *= math.Max(1, float64(m.trompe.Riser.Count))
	}
	return n
}

// length is how long a part is, in m. Valves and fittings that nobody measured
// count as ten times as long as wide: common practice, no source.
func (m machine) length(p part) (length float64, ok bool) {
	given := p.LengthM
	if given == nil {
		switch p.Role {
		case build.SupplyPipe:
			given = numberIn(m.in.Pipe, "L")
		case build.AirLine:
			given = numberIn(m.in.AirLine, "L")
		case build.DrivePipe:
			given = numberIn(m.in.Ram, "cycle", "L")
		case build.Other:
			long := 10 * p.od
			given = &long
		}
	}
	if given == nil && m.trompe != nil {
		given = m.trompeLength(p.Role)
	}
	if given == nil {
		return 0, false
	}
	return *given, true
}

func (m machine) trompeLength(role string) *float64 {
	t := m.trompe
	var length float64
	switch role {
	case build.Downcomer:
		if t.Downcomer.LengthM != nil {
			return t.Downcomer.LengthM
		}
		length = t.Intake.MouthM - t.Downcomer.OutletM
	case build.Riser:
		if t.Riser.LengthM != nil {
			return t.Riser.LengthM
		}
		length = t.Riser.OutletM - t.Chamber.LipM
	case build.Chamber:
		length = t.Chamber.LengthM
	case build.AirLine:
		length = t.Takeoff.LengthM
	}
	if length <= 0 {
		return nil
	}
	return &length
}

// height is how high the machine stands above its lowest point, in m: the
// highest level that the sheet gives.
func (m machine) height() (height float64, ok bool) {
	for _, h := range []*float64{
		m.facts.Site.HeadM, numberIn(m.in.Source, "fall_m"), numberIn(m.in.Ram, "cycle", "H"), numberIn(m.in.Ram, "cycle", "h"), numberIn(m.in.Lift, "h_feed"),
	} {
		if h != nil {
			height, ok = max(height, *h), true
		}
	}
	if m.trompe != nil {
		low, top := m.ends()
		height, ok = max(height, top-low), true
	}
	return height, ok
}

// ends are the lowest and the highest level of a trompe.
func (m machine) ends() (low, top float64) {
	t := m.trompe
	low = min(t.Downcomer.OutletM, t.Chamber.LipM)
	if t.Chamber.Kind == trompe.Horizontal {
		low = min(low, t.Chamber.FloorM)
	}
	top = max(t.Intake.MouthM, t.Riser.OutletM)
	switch t.Supply.Type {
	case trompe.HoseOpen:
		top = max(top, t.Supply.LevelMaxM)
	case trompe.HoseClosed:
		top = max(top, t.Supply.ZM)
	default:
		top = max(top, t.Supply.LevelM)
	}
	return low, top
}

// levels puts the parts at their levels. One whose level the sheet does not give
// is taken to stand at the top for what it must be tested with, and at the bottom
// for what it may see.
func (m machine) levels(all []part, height float64) {
	for i := range all {
		p := &all[i]
		p.low, p.high, p.lowest = height, height, 0
		switch {
		case m.trompe != nil:
			m.trompeLevels(p)
		case m.in.Machine == sheet.Ram && (p.Role == build.DrivePipe || p.Role == build.AirVessel || p.Role == build.DeliveryPipe):
			p.low, p.high = 0, 0 // its design pressure is that at the ram, which stands lowest
		}
	}
}

func (m machine) trompeLevels(p *part) {
	t := m.trompe
	floor, _ := m.ends()
	switch p.Role {
	case build.Downcomer:
		p.low, p.high = t.Downcomer.OutletM-floor, t.Intake.MouthM-floor
	case build.Riser:
		p.low, p.high = t.Chamber.LipM-floor, t.Riser.OutletM-floor
	case build.Chamber:
		p.low = 0
		if t.Chamber.Kind == trompe.Horizontal {
			p.high = t.Chamber.FloorM + t.Chamber.BoreM - floor
		}
	default:
		return
	}
	p.lowest = max(0, p.low)
}

func weight(height float64) float64 { return calc.WaterDensity * calc.Gravity * height }

func bar(pa float64) Value { return Number(pa / 1e5) }

// said joins texts of a part with its name.
func (p part) said(format string, args ...any) string {
	return p.name + ": " + fmt.Sprintf(format, args...)
}
