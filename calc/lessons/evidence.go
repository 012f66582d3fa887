package lessons

import (
	"math"
	"slices"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
)

// Run is a run whose verdict stands. Runs are given in the order in which they
// were confirmed.
type Run struct {
	Build    string   // one machine is one experience, however often it was measured
	Kind     string   // of machine
	Size     float64  // bore of the downcomer in m; 0: not known
	Settings []string // how the air was taken, by point
	Aside    bool     // it was set aside
	Against  []string // codes of what speaks against the whole run, such as hindsight
	Verdict  confront.Verdict
}

// Why something measured is not counted, beside what speaks against its run.
const (
	SetAside      = "set_aside"
	Incomplete    = "incomplete"
	Unsteady      = "unsteady"
	AnotherRecord = "another_record" // one of the same machine and quantity counts

	fewestScatter = 3 // builds, below which bias is not parted from scatter
)

// Summary is what the runs of a group say of its predictions.
type Summary struct {
	Builds     int        `json:"builds"` // that count
	Runs       int        `json:"runs"`   // that count
	Aside      int        `json:"aside"`
	Quantities []Quantity `json:"quantities"`
}

// Quantity is what they say of one quantity.
type Quantity struct {
	Name    string      `json:"name"`
	Derived bool        `json:"derived"` // worked out from others: no further evidence
	All     Group       `json:"all"`
	Kinds   []KindGroup `json:"kinds"` // by kind of machine, where there are several
	Points  []Point     `json:"points"`
}

// KindGroup is a group of machines of one kind.
type KindGroup struct {
	Kind string `json:"kind"`
	Group
}

// Group is what some machines say of the predictions of one quantity.
type Group struct {
	Kept        int                        `json:"kept"`  // machines
	Aside       int                        `json:"aside"` // runs set aside
	Calibration evidence.CalibrationOut    `json:"calibration"`
	Scatter     *evidence.RandomEffectsOut `json:"scatter"` // of ln(measured/predicted); nil: too few machines
	CRPS        *float64                   `json:"crps"`    // over |predicted|, mean of the machines; nil: none
	Words       []string                   `json:"words"`
}

// Point is one measured value beside its prediction, in SI.
type Point struct {
	Run   int    `json:"run"`   // place of the run, from 0
	Item  int    `json:"item"`  // of its verdict
	Point int    `json:"point"` // of the run, from 0
	Kind  string `json:"kind"`

	Predicted *float64         `json:"predicted"`
	UPred     *float64         `json:"u_predicted"`
	Low       *float64         `json:"low"` // of the promise
	High      *float64         `json:"high"`
	Declared  bool             `json:"declared"` // the promise was declared, and is not the interval of the prediction
	Y         *float64         `json:"y"`
	Expanded  *float64         `json:"expanded"` // 95 % of y
	PIT       *float64         `json:"pit"`
	Outcome   evidence.Outcome `json:"outcome"`
	Counted   bool             `json:"counted"`
	Why       []string         `json:"why"` // it is not counted
}

// Sum works out what runs say of the predictions. Of a machine and quantity one
// record counts: the first at its design point, or else the first.
func Sum(runs []Run) Summary {
	s := Summary{Quantities: []Quantity{}}
	for _, r := range runs {
		if r.Aside {
			s.Aside++
		}
	}
	builds, counted := map[string]bool{}, map[int]bool{}
	for _, name := range []string{confront.DeliveryPressure, confront.HighestPressure, confront.FreeAir, confront.WaterFlow, confront.Efficiency} {
		q := quantityOf(runs, name)
		if len(q.Points) == 0 {
			continue
		}
		for _, p := range q.Points {
			if p.Counted {
				builds[runs[p.Run].Build], counted[p.Run] = true, true
			}
		}
		s.Quantities = append(s.Quantities, q)
	}
	s.Builds, s.Runs = len(builds), len(counted)
	return s
}

func quantityOf(runs []Run, name string) Quantity {
	q := Quantity{Name: name, Derived: name == confront.Efficiency, Kinds: []KindGroup{}, Points: []Point{}}
	for r, run := range runs {
		for i, item := range run.Verdict.Items {
			if item.Name == name {
				q.Points = append(q.Points, pointOf(run, r, i))
			}
		}
	}
	q.count(runs)
	q.All = q.groupOf(runs, "")
	var kinds []string
	for _, p := range q.Points {
		if !slices.Contains(kinds, p.Kind) {
			kinds = append(kinds, p.Kind)
		}
	}
	slices.Sort(kinds)
	for _, kind := range kinds {
		if len(kinds) > 1 {
			q.Kinds = append(q.Kinds, KindGroup{kind, q.groupOf(runs, kind)})
		}
	}
	return q
}

func pointOf(run Run, r, i int) Point {
	item := run.Verdict.Items[i]
	p := Point{
		Run: r, Item: i, Point: item.Point, Kind: run.Kind, Predicted: item.Predicted, UPred: item.UPred, Low: item.Low, High: item.High, Declared: item.Declared, Y: item.Y,
		PIT: item.PIT, Outcome: item.VerdictOut.Outcome, Why: slices.Clone(run.Against),
	}
	if item.U != nil && item.Nu > 0 {
		p.Expanded = new(*item.U * evidence.StudentQuantile((1+evidence.Level)/2, float64(item.Nu)))
	}
	if run.Aside {
		p.Why = append(p.Why, SetAside)
	}
	if why := Unusable(item); why != "" {
		p.Why = append(p.Why, why)
	}
	if p.Why == nil {
		p.Why = []string{}
	}
	return p
}

// Unusable says why something measured says nothing of its prediction; empty
// where it does.
func Unusable(item confront.Item) string {
	switch {
	case item.Reason == evidence.NotSteady || item.Reason == evidence.RunTooShort:
		return Unsteady
	case item.PIT == nil || item.Reason == evidence.IncompleteRecord || item.Reason == evidence.NoPromise:
		return Incomplete
	}
	return ""
}

// count lets one record of each machine count.
func (q *Quantity) count(runs []Run) {
	chosen := map[string]int{}
	for i, p := range q.Points {
		if len(p.Why) > 0 {
			continue
		}
		first, seen := chosen[runs[p.Run].Build]
		if !seen || !atDesign(runs, q.Points[first]) && atDesign(runs, p) {
			chosen[runs[p.Run].Build] = i
		}
	}
	for i := range q.Points {
		p := &q.Points[i]
		if len(p.Why) > 0 {
			continue
		}
		if p.Counted = chosen[runs[p.Run].Build] == i; !p.Counted {
			p.Why = []string{AnotherRecord}
		}
	}
}

func atDesign(runs []Run, p Point) bool {
	at := runs[p.Run].Verdict.Items[p.Item].Point
	return at < len(runs[p.Run].Settings) && runs[p.Run].Settings[at] == confront.AsDrawn
}

// groupOf sums up the machines of a kind; "" for all.
func (q *Quantity) groupOf(runs []Run, kind string) (g Group) {
	var placed []evidence.Placed
	var e, u, x, scores []float64
	aside := map[int]bool{}
	for _, p := range q.Points {
		run := runs[p.Run]
		switch {
		case kind != "" && p.Kind != kind:
			continue
		case run.Aside:
			aside[p.Run] = true
		case p.Counted:
			item := run.Verdict.Items[p.Item]
			placed = append(placed, evidence.Placed{Build: run.Build, PIT: new(calc.Reading(*p.PIT))})
			if item.CRPS != nil {
				scores = append(scores, *item.CRPS)
			}
			if *p.Y > 0 && *p.Predicted > 0 {
				e, u, x = append(e, math.Log(*p.Y / *p.Predicted)), append(u, *item.U / *p.Y), append(x, math.Log(run.Size))
			}
		}
	}
	g.Kept, g.Aside = len(placed), len(aside)
	g.Calibration, _, _ = evidence.Calibration(evidence.CalibrationIn{Records: placed})
	g.Words = g.Calibration.Words(g.Aside)
	if len(e) >= fewestScatter {
		out, _, _ := evidence.RandomEffects(evidence.RandomEffectsIn{E: e, U: u, Level: evidence.Level})
		g.Scatter = &out
		g.Words = append(g.Words, out.Words(plural[q.Name]))
		if sized := !slices.Contains(x, math.Inf(-1)); sized {
			if t, ok := evidence.TrendOf(x, e, u, out.Tau2); ok {
				g.Words = append(g.Words, t.Words(plural[q.Name], "bore"))
			}
		}
	}
	if len(scores) > 0 {
		g.CRPS = new(mean(scores))
	}
	return g
}

func mean(x []float64) (m float64) {
	for _, v := range x {
		m += v / float64(len(x))
	}
	return m
}

// plural is what several of a quantity are called.
var plural = map[string]string{
	confront.DeliveryPressure: "delivery pressures", confront.HighestPressure: "highest pressures", confront.FreeAir: "amounts of free air",
	confront.WaterFlow: "water flows", confront.Efficiency: "efficiencies",
}
