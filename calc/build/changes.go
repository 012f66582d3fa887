package build

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"leat/calc/parts"
	"leat/calc/strength"
	"leat/calc/trompe"
)

// Sheet is what changes are tried on.
type Sheet struct {
	Machine Machine
	Facts   Facts
	Limits  Limits
	Parts   []Part
	Air     *float64 // free air as designed, m³/s
}

// mostTried bounds the search for each part; mostShown what is offered.
const (
	mostTried = 40
	mostShown = 3
)

// Nearest finds, for every part that is not allowed, the changes nearest to the
// design that would make it allowed, by trying them, and what each costs in
// air. The report is filled in.
func (s Sheet) Nearest(r *Report) error {
	for i := range r.Parts {
		p := &r.Parts[i]
		if p.Verdict != strength.NotAllowed || p.At == "/parts" {
			continue
		}
		changes, err := s.nearest(i)
		if err != nil {
			return err
		}
		p.Changes = changes
	}
	return nil
}

// nearest tries one thing after the other: where it stands, another pipe,
// less depth, less gas.
func (s Sheet) nearest(i int) (found []Change, err error) {
	tried := 0
	for _, kind := range []func(int) []trial{s.places, s.statements, s.pipes, s.shallower, s.smaller} {
		for _, t := range kind(i) {
			if tried++; tried > mostTried || len(found) == mostShown {
				return found, nil
			}
			judged, err := judgePart(t.sheet.Machine, t.sheet.Facts, t.sheet.Limits, t.sheet.Parts, i)
			if err != nil {
				return nil, err
			}
			if judged.Verdict == strength.NotAllowed {
				continue
			}
			t.change.Verdict = judged.Verdict
			t.change.AirM3S, t.change.CostM3S = s.air(t)
			found = append(found, t.change)
			break // the nearest of its kind
		}
	}
	return found, nil
}

// trial is a change with the sheet as it would be.
type trial struct {
	change Change
	sheet  Sheet
	solves bool // the air has to be worked out anew
}

func (s Sheet) with(i int, change func(*Part)) Sheet {
	s.Parts = append([]Part(nil), s.Parts...)
	change(&s.Parts[i])
	return s
}

func at(i int, field string) string { return fmt.Sprintf("/parts/%d/%s", i, field) }

// places are the locations that hold pieces.
func (s Sheet) places(i int) (all []trial) {
	for _, to := range []struct{ location, text string }{
		{strength.Guarded, "Put it inside a closed casing that would hold the pieces."},
		{strength.Buried, "Bury it: 0.6 m of cover all round, and nobody stands over it under pressure."},
	} {
		if s.Parts[i].Location == to.location {
			continue
		}
		all = append(all, trial{Change{Text: to.text, Set: map[string]any{at(i, "location"): to.location}}, s.with(i, func(p *Part) { p.Location = to.location }), false})
	}
	return all
}

func (s Sheet) statements(i int) []trial {
	if s.Parts[i].GasStatement {
		return nil
	}
	return []trial{{
		Change{Text: "Get the maker's word in writing that it may hold compressed air, and enter it.", Set: map[string]any{at(i, "gas_statement"): true}},
		s.with(i, func(p *Part) { p.GasStatement = true }), false,
	}}
}

// pipes are the other lines of the catalogue for it, the nearest bore first.
func (s Sheet) pipes(i int) (all []trial) {
	bore := ringOf(s.Parts[i]).boreM
	if bore <= 0 {
		return nil
	}
	for _, l := range nearBore(bore) {
		if l.Key == s.Parts[i].Line {
			continue
		}
		changed := s.with(i, func(p *Part) { *p = replaced(*p, l) })
		changed.Machine = changed.Machine.withBore(s.Parts[i].Role, *l.IDM)
		all = append(all, trial{otherPipe(i, s.Parts[i], l), changed, *l.IDM != bore})
	}
	return all
}

// jointOf is how pipe of a material is mostly joined under pressure. Threads are
// left out: their names are for the builder to give.
var jointOf = map[string]string{"PE100": "fusion", "steel": "compression", "copper": "brazed", "PVC-U": "solvent", "PVC-Sch": "solvent", "ABS": "solvent", "PA": "push_in"}

// replaced is the part of another pipe: everything that was read from the old
// one is gone.
func replaced(p Part, l parts.Line) Part {
	p.Line, p.ODM, p.WallM, p.RatingPa, p.Marking, p.GasClass, p.Table, p.Thread, p.Into = l.Key, nil, nil, nil, "", "", "", "", ""
	p.Joint, p.GasStatement = jointOf[l.Material], needsWord(p, l)
	return p
}

// needsWord tells whether a pipe may hold gas only with its maker's word.
func needsWord(p Part, l parts.Line) bool {
	return gasRoles[p.Role] && l.GasRated && l.GasClass != strength.Metal
}

// otherPipe is what to put into a sheet for it.
func otherPipe(i int, p Part, l parts.Line) Change {
	set := map[string]any{at(i, "line"): l.Key, at(i, "joint"): jointOf[l.Material], at(i, "gas_statement"): needsWord(p, l)}
	for _, field := range []string{"od_m", "wall_m", "rating_pa", "marking", "gas_class", "table", "thread", "into"} {
		set[at(i, field)] = nil
	}
	text := fmt.Sprintf("Take %s, %s, %s", l.Material, l.Designation, l.Standard)
	if needsWord(p, l) {
		text += ", with its maker's word in writing that it may hold compressed air"
	}
	return Change{Text: text + ".", Set: set}
}

// nearBore returns pressure pipes with a bore within a fifth, the nearest
// first, two of each material.
func nearBore(bore float64) (few []parts.Line) {
	sorted := parts.WithBore("", 0.8*bore, 1.25*bore)
	slices.SortStableFunc(sorted, func(a, b parts.Line) int { return cmp.Compare(math.Abs(*a.IDM-bore), math.Abs(*b.IDM-bore)) })
	of := map[string]int{}
	for _, l := range sorted {
		if of[l.Material]++; l.PressureRated && of[l.Material] <= 2 {
			few = append(few, l)
		}
	}
	return few
}

func (m Machine) withBore(role string, bore float64) Machine {
	if m.Trompe == nil {
		return m
	}
	t := *m.Trompe
	switch role {
	case Downcomer:
		t.Downcomer.BoreM = bore
	case Riser:
		t.Riser.BoreM = bore
	case Chamber:
		t.Chamber.BoreM = bore
	}
	m.Trompe = &t
	return m
}

// shallower raises the lip, and all that hangs on it, step by step.
func (s Sheet) shallower(i int) (all []trial) {
	if s.Machine.Trompe == nil {
		return nil
	}
	const step = 0.25 // m
	for up := step; up <= 10*step; up += step {
		t := *s.Machine.Trompe
		t.Chamber.LipM += up
		t.Chamber.HighM += up
		t.Chamber.FloorM += up
		t.Downcomer.OutletM += up
		if t.Downcomer.OutletM >= t.Intake.MouthM || t.Chamber.LipM >= t.Riser.OutletM {
			break
		}
		t.Downcomer.LengthM, t.Riser.LengthM = nil, nil
		changed := s
		changed.Machine.Trompe = &t
		set := map[string]any{
			"/trompe/chamber/lip_m": t.Chamber.LipM, "/trompe/chamber/high_m": t.Chamber.HighM, "/trompe/downcomer/outlet_m": t.Downcomer.OutletM,
		}
		if t.Chamber.Kind == trompe.Horizontal {
			set["/trompe/chamber/floor_m"] = t.Chamber.FloorM
		}
		all = append(all, trial{Change{Text: fmt.Sprintf("Build it %.2f m shallower.", up), Set: set}, changed, true})
	}
	return all
}

// smaller tries less gas in one connected volume.
func (s Sheet) smaller(i int) (all []trial) {
	volume, ok := s.Machine.gasVolume(s.Facts, s.Parts)
	if !ok || volume <= 0 {
		return nil
	}
	for share := 0.8; share > 0.04; share *= 0.8 {
		less := volume * share
		changed := s
		changed.Facts.GasM3 = &less
		all = append(all, trial{
			Change{Text: fmt.Sprintf("Keep the gas that hangs together below %.3g L: a smaller chamber or receiver.", 1000*less), Set: map[string]any{"/facts/gas_volume_m3": less}},
			changed, false,
		})
	}
	return all
}

// air works out what a change leaves of the free air, and what it costs.
func (s Sheet) air(t trial) (left, cost *float64) {
	if !t.solves {
		return s.Air, costOf(s.Air, s.Air)
	}
	if t.sheet.Machine.Trompe == nil || !trompe.Fits(*t.sheet.Machine.Trompe) {
		return nil, nil
	}
	res, err := trompe.Solve(*t.sheet.Machine.Trompe)
	if err != nil || res.Numbers == nil {
		return nil, nil
	}
	return &res.FreeAirM3S, costOf(s.Air, &res.FreeAirM3S)
}

func costOf(before, after *float64) *float64 {
	if before == nil || after == nil {
		return nil
	}
	cost := *before - *after
	return &cost
}
