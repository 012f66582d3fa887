package procedure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"leat/calc/build"
	"leat/calc/pressuretest"
	"leat/calc/sheet"
	"leat/calc/strength"
)

// Basis is what a build as it stands gives its test, worked out once when the
// test begins, and kept with it. [NamesOf] adds what hangs on the day and on
// what is recorded.
type Basis struct {
	Plain     bool              `json:"plain"`     // hazard class plain: the short list will do
	Competent bool              `json:"competent"` // a third person is needed: gas on conditions, or a part that a competent person looks at
	Fixed     Names             `json:"fixed"`     // names that no reading changes
	Why       map[string]string `json:"why"`       // why a name is not known, in words
	Bars      []string          `json:"bars"`      // why no test may begin at all, in words
	Rules     Rules             `json:"rules"`
	Test      Pressure          `json:"test"`
	Relief    Relief            `json:"relief"`
}

// Pressure is the one pressure with which the whole machine is tested.
type Pressure struct {
	LowPa    float64  `json:"low_pa"`   // at the lowest point; 0: not known
	HeightM  float64  `json:"height_m"` // of the highest point above the lowest
	Tested   []Tested `json:"tested"`
	Humidity float64  `json:"rh_pct"` // while cement cures
	ColdC    *float64 `json:"t_cold_c"`
}

// Tested is a part under test, as far as it bounds the pressure or the wait.
type Tested struct {
	Name     string  `json:"name"`
	RatingPa float64 `json:"rating_pa"` // with what a thread leaves of it
	Table    string  `json:"table"`
	Hot      float64 `json:"hot"`      // factor of the hottest wall in use
	LowestM  float64 `json:"lowest_m"` // above the lowest point of the machine
	Cemented bool    `json:"cemented"`
	ODM      float64 `json:"od_m"`
}

// Relief is what a relief device must do.
type Relief struct {
	Fluid     string   `json:"fluid"`
	SourceKgS *float64 `json:"source_kg_s"` // nil: not known, and nothing will do
	MaxPa     float64  `json:"max_pa"`      // that it may be set to; 0: not known
	Kd        float64  `json:"kd"`
	HotC      float64  `json:"hot_c"`
	BoreM     *float64 `json:"supply_bore_m"` // what an open standpipe is at least as wide as
	Device    bool     `json:"device"`        // the blow-off of the machine alone does not count
}

// basis is a Basis while it is worked out.
type basis struct {
	Basis
	machine
	all    []part
	tested []part
}

// BasisOf works out what a build gives its test. The input and the report are
// those of the machine as it stands, with its as-built differences; hash is the
// digest of the frozen revision.
func BasisOf(in sheet.Input, rep sheet.Report, hash string, rules Rules) Basis {
	b := &basis{Basis: Basis{Fixed: Names{}, Why: map[string]string{}, Bars: []string{}, Rules: rules, Test: Pressure{Tested: []Tested{}}}}
	b.name("revision_hash", Text(hash), hash != "", "The digest of the revision is not known.")
	b.Fixed["method"], b.Fixed["air_fraction_max_pct"] = Text(pressuretest.Hydrostatic), Number(airFractionMaxPct)
	b.Fixed["ground_poor"] = Yes(true) // until somebody says how the ground is
	m, ok := machineOf(in, rep)
	switch {
	case !ok || len(rep.Faults) > 0:
		b.bar("The sheet has faults. Correct it in a new revision.")
	case rep.Build == nil:
		b.bar("Nobody has described what the machine is made of. Describe its parts in a new revision.")
	default:
		b.machine, b.all = m, m.partsOf()
		b.work()
	}
	return b.Basis
}

func (b *basis) bar(why string) { b.Bars = append(b.Bars, why) }

// name supplies a name, or says why it is not known.
func (b *basis) name(name string, v Value, ok bool, why string, args ...any) {
	if ok && v.Known() {
		b.Fixed[name] = v
		return
	}
	b.Why[name] = fmt.Sprintf(why, args...)
}

func (b *basis) work() {
	rep := b.rep.Build
	b.Plain = rep.Class == strength.Plain
	if barred := rep.Barred(); len(barred) > 0 {
		b.bar("Not allowed as it stands: " + strings.Join(barred, ", ") + ". Change the machine first.")
	}
	for _, p := range b.all {
		if p.rated {
			b.tested = append(b.tested, p)
		}
	}
	b.site()
	b.gasNames()
	b.lines()
	b.test()
	b.keepClear()
	b.reliefNames()
}

// site supplies what the place adds. What is not answered counts as yes; a depth
// or a height that is not answered stays unknown, and what asks for it applies.
func (b *basis) site() {
	s := b.facts.Site
	yes := func(answer *bool) Value { return Yes(answer == nil || *answer) }
	fields := map[string]Value{
		"stream": yes(s.Stream), "pond": yes(s.Pond), "public": yes(s.Public), "third_party_land": yes(s.ThirdPartyLand), "digging": yes(s.Digging),
		"shaft": yes(s.Shaft), "roof": yes(s.Roof), "gutter": yes(s.Gutter), "electric": yes(s.Electric), "frost": yes(s.Frost),
	}
	depth := s.DepthM
	if depth == nil && s.Digging != nil && !*s.Digging {
		none := 0.0
		depth = &none
	}
	for name, x := range map[string]*float64{"depth_m": depth, "head_m": s.HeadM, "tank_depth_m": s.TankDepthM} {
		if x != nil {
			fields[name] = Number(*x)
		}
	}
	b.Fixed["site"] = Record(fields)
	b.Why["site.depth_m"] = "Nobody has said how deep is dug. Answer it on the sheet."
	b.name("water_source", Text(b.waterSource()), b.waterSource() != "", "Nobody has said where the water comes from.")
	if hot := b.facts.HotC; hot != nil {
		b.Fixed["t_design_c"] = Number(*hot)
		b.Fixed["water_temp_max_c"] = Number(*hot) // standing water gets no warmer than the hottest wall
	} else {
		b.Why["t_design_c"] = "The hottest wall in use is not given. Give it on the sheet."
	}
}

// waterSource is where the water comes from. A hose hangs on the mains, unless
// the sheet says otherwise; empty where nobody knows.
func (b *basis) waterSource() string {
	var source struct {
		Kind string `json:"kind"`
	}
	readInto(b.in.Source, &source)
	switch {
	case source.Kind == sheet.Main:
		return "mains"
	case source.Kind != "":
		return source.Kind
	case b.trompe != nil && strings.HasPrefix(b.trompe.Supply.Type, "hose"):
		return "mains"
	}
	return ""
}

// gasNames supplies what was decided about gas: the worst of all parts.
func (b *basis) gasNames() {
	worst, known, any := strength.Allowed, true, false
	for _, p := range b.all {
		if !p.gas {
			continue
		}
		any = true
		known = known && p.decided != ""
		if p.decided == strength.NotAllowed || p.decided == strength.Conditional && worst == strength.Allowed {
			worst = p.decided
		}
	}
	b.Fixed["has_gas_parts"] = Yes(any)
	b.Competent = worst == strength.Conditional || slices.ContainsFunc(b.all, func(p part) bool {
		return slices.ContainsFunc(p.judged.Conditions, func(s build.Said) bool { return s.Code == strength.CompetentPerson })
	})
	b.name("gas_decision", Text(worst), known, "It was not decided for every part whether it may hold gas.")
	flags := []Value{}
	for _, f := range b.rep.Build.Flags {
		flags = append(flags, Text(f.Text))
	}
	b.Fixed["legal_flags"] = List(flags...)
}

// lines supplies what is under test, to be looked at one by one. The rating that
// a line must have is the one that its sheet counts on.
func (b *basis) lines() {
	lines := []Value{}
	joints, vents, solvent := 0.0, 0.0, false
	for _, p := range b.tested {
		r, _ := asked(p.judged, "safety/rating")
		n := b.times(p)
		lines = append(lines, Record(map[string]Value{
			"name": Text(p.name), "role": Text(p.Role), "line": Text(p.Line), "marking": Text(p.Marking), "count": Number(n), "rating_bar": bar(r.number("rating_pa")),
		}))
		joints, vents, solvent = joints+2*n, vents+n, solvent || p.Joint == "solvent"
	}
	const none = "No part has a pressure rating: such machines are filled to overflow, and never plugged. There is nothing to test under pressure."
	b.name("pressure_lines", List(lines...), len(lines) > 0, none)
	b.Fixed["joints"] = Record(map[string]Value{"value": Number(joints), "solvent": Yes(solvent)}) // both ends of everything
	b.Fixed["high_points"] = Number(vents)                                                         // every part has one where air stays
	if len(lines) == 0 {
		b.bar(none)
	}
	hold := b.Rules.HoldMetalMin
	if slices.ContainsFunc(b.tested, func(p part) bool { return p.table != "COPPER" && p.table != "STEEL" }) {
		hold = b.Rules.HoldPlasticMin
	}
	b.Fixed["hold_min_minutes"] = Number(math.Max(shortestHold, hold))
}

// beforeBooster tells whether a part is the chamber before a pulse booster, which
// no gas of the booster reaches.
func (b *basis) beforeBooster(p part) bool {
	return b.in.Machine == sheet.Pulse && p.Role == build.Chamber
}

// lowestGas is the lowest of the highest gas pressures of the parts.
func (b *basis) lowestGas() (pa float64, ok bool) {
	pa = math.Inf(1)
	for _, p := range b.all {
		if p.gas && p.decided != "" && !b.beforeBooster(p) {
			pa, ok = min(pa, p.gasPa), true
		}
	}
	return pa, ok
}
