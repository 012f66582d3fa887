package search

import (
	"encoding/json"
	"fmt"

	"leat/calc"
	"leat/calc/trompe"
)

// Answer is what a search came to.
type Answer struct {
	Count     int        `json:"count"`   // machines tried
	Working   int        `json:"working"` // that work as the model has it
	Proposals []Proposal `json:"proposals"`
	Lacking   *Sentence  `json:"lacking"` // why there is no proposal, and what would be needed
}

// Proposal is one machine, with what it would do.
type Proposal struct {
	Trompe     json.RawMessage `json:"trompe"` // an input that [trompe.Decode] takes
	Evidence   calc.Evidence   `json:"evidence"`
	FreeAirM3S float64         `json:"free_air_m3s"`
	GaugePa    float64         `json:"gauge_pa"` // highest pressure, at which air begins to blow off
	WaterM3S   float64         `json:"water_m3s"`
	Efficiency float64         `json:"efficiency"`
	DugM       float64         `json:"dug_m"`  // depth of the hole below the tailwater
	RiseM      float64         `json:"rise_m"` // from the lip to the outlet
	HeadM      float64         `json:"head_m"` // of the fall, left to drive the water
	Pipes      []Pipe          `json:"pipes"`
	WallM3     float64         `json:"wall_m3"` // volume of the pipe's material
	Warnings   []calc.Warning  `json:"warnings"`
	Why        Sentence        `json:"why"`
	at         judged
}

// Pipe is what is needed of one line for one purpose.
type Pipe struct {
	Part  string  `json:"part"`          // downcomer, riser, chamber or air_tubes
	Key   string  `json:"key,omitempty"` // of the catalogue
	Name  string  `json:"name"`
	Count int     `json:"count"`
	EachM float64 `json:"each_m"`
}

// proposalsMost is how many machines are proposed.
const proposalsMost = 5

// Answer solves the best machines in full and says why they were chosen. An
// error is a defect of leat.
func (s *Search) Answer(b *Best) (Answer, error) {
	a := Answer{Count: s.Count(), Working: b.Working, Proposals: []Proposal{}}
	for _, j := range s.ranked(b) {
		if len(a.Proposals) == proposalsMost {
			break
		}
		p, ok, err := s.propose(j)
		if err != nil {
			return Answer{}, err
		}
		if ok {
			p.Why = s.why(p, a.Proposals)
			a.Proposals = append(a.Proposals, p)
		}
	}
	if len(a.Proposals) == 0 {
		a.Lacking = s.lacking(b)
	}
	return a, nil
}

// propose is false for a machine that stands at the edge: it passed as finely as
// it was judged, and fails when solved in full.
func (s *Search) propose(j judged) (p Proposal, ok bool, err error) {
	in := s.machine(j.i)
	res, err := trompe.Solve(in)
	if err != nil || res.Status != trompe.OK || res.BlowOffGaugePa < s.asked.GaugePa || res.FreeAirM3S < s.asked.AirM3S {
		return p, false, err
	}
	raw, err := text(in)
	if err != nil {
		return p, false, fmt.Errorf("search: a proposal as text: %w", err)
	}
	return Proposal{
		Trompe: raw, Evidence: res.Evidence, FreeAirM3S: res.FreeAirM3S, GaugePa: res.BlowOffGaugePa, WaterM3S: res.WaterFlowM3S,
		Efficiency: res.Efficiency, DugM: j.dug, RiseM: in.Riser.OutletM - in.Chamber.LipM, HeadM: res.HeadM,
		Pipes: s.pipeList(j.i, in), WallM3: j.wall, Warnings: res.Warnings, at: j,
	}, true, nil
}

// pipeList is what must be bought for a candidate.
func (s *Search) pipeList(i int, in trompe.Input) []Pipe {
	f := s.frames[s.list[i].frame]
	return []Pipe{
		{"downcomer", f.down.Key, f.down.Name, f.units, toMM(in.Intake.MouthM - in.Downcomer.OutletM)},
		{"riser", f.riser.Key, f.riser.Name, 1, toMM(in.Riser.OutletM - in.Chamber.LipM)},
		{"chamber", f.chamber.Key, f.chamber.Name, 1, f.length},
		{"air_tubes", "", fmt.Sprintf("%g/%g mm", 1000*f.tube.outer, 1000*f.tube.bore), f.units * f.count, tubeLength},
	}
}

// wall is the volume of a candidate's pipe material in m³: what pipe costs and
// weighs goes with it.
func (s *Search) wall(i int, in trompe.Input) float64 {
	f := s.frames[s.list[i].frame]
	return float64(f.units)*(ring(f.down)*(in.Intake.MouthM-in.Downcomer.OutletM)+float64(f.count)*(disc(f.tube.outer)-disc(f.tube.bore))*tubeLength) +
		ring(f.riser)*(in.Riser.OutletM-in.Chamber.LipM) + ring(f.chamber)*f.length
}

// ring is the area of a pipe's wall, cut across.
func ring(l Line) float64 { return disc(l.OuterM) - disc(l.BoreM) }
