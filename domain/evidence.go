package domain

import (
	"encoding/json"
	"fmt"
	"slices"

	"leat/calc/confront"
	"leat/calc/lessons"
)

// EvidenceRun is a run about which was signed, with what the evidence of the group
// asks of it.
type EvidenceRun struct {
	Run
	Tag      int
	Kind     string   // of machine
	Bore     float64  // of its downcomer in m; 0: it has none
	Trompe   bool     // there is a trompe in it, which is predicted
	Crew     string   // all who are or were on it, by their ids with commas between
	Settings []string // by point
}

// Evidence is what the runs of the group say of its predictions.
type Evidence struct {
	Runs    []EvidenceRun
	Summary lessons.Summary // its places of runs are those of Runs
	InForce string          // name of the set that is calculated with
	Changed []string        // names of the sets that a run was set aside from since
	Allowed []Action
}

// Aside tells whether the run was set aside.
func (r EvidenceRun) Aside() bool { return r.State() == RunSetAside }

// judged reads the verdict; ok is false where there is none.
func (r EvidenceRun) judged() (v confront.Verdict, ok bool, err error) {
	if r.Verdict == nil {
		return v, false, nil
	}
	if err := json.Unmarshal(r.Verdict.Body, &v); err != nil {
		return v, false, fmt.Errorf("domain: the verdict of run %d: %w", r.ID, err)
	}
	return v, true, nil
}

// against lists the codes of what speaks against a run as a test of the
// prediction.
func (r EvidenceRun) against(v confront.Verdict) []string {
	if len(r.Hindsight()) > 0 || v.CalcVersion != r.CalcVersion {
		return []string{"hindsight"}
	}
	return nil
}

// SumEvidence sums up runs in the order in which they were signed.
func SumEvidence(runs []EvidenceRun) (lessons.Summary, error) {
	list := make([]lessons.Run, len(runs))
	for i, r := range runs {
		v, _, err := r.judged()
		if err != nil {
			return lessons.Summary{}, err
		}
		list[i] = lessons.Run{Build: fmt.Sprint(r.Build), Kind: r.Kind, Size: r.Bore, Settings: r.Settings, Aside: r.Aside(), Verdict: v}
		if r.Verdict != nil {
			list[i].Against = r.against(v)
		}
	}
	return lessons.Sum(list), nil
}

// The most that is learned from at once: each machine is left out in turn, so that
// the work grows with their square, to half an hour of one processor here.
const (
	taughtBuildsMost = 40
	taughtPointsMost = 200
)

// Teaching keeps the runs that coefficients are learned from: confirmed, not in
// hindsight, and something in them is predicted and usable. Where there are more
// than are learned from at once it keeps those confirmed last.
func Teaching(runs []EvidenceRun) (taught []EvidenceRun, err error) {
	for _, r := range runs {
		v, ok, err := r.judged()
		if err != nil {
			return nil, err
		}
		usable := slices.ContainsFunc(v.Items, func(i confront.Item) bool { return !i.Derived && lessons.Unusable(i) == "" })
		if ok && r.Trompe && !r.Aside() && len(r.against(v)) == 0 && usable {
			taught = append(taught, r)
		}
	}
	return newestTaught(taught), nil
}

func newestTaught(runs []EvidenceRun) (kept []EvidenceRun) {
	builds, points := map[BuildID]bool{}, 0
	for _, r := range slices.Backward(runs) {
		if points+len(r.Settings) > taughtPointsMost || !builds[r.Build] && len(builds) == taughtBuildsMost {
			continue
		}
		builds[r.Build] = true
		points += len(r.Settings)
		kept = append(kept, r)
	}
	slices.Reverse(kept)
	return kept
}

// Learnable is a run as coefficients are learned from it: without the points for
// which nothing can be predicted.
func (r EvidenceRun) Learnable(c confront.Case) (confront.Case, error) {
	v, _, err := r.judged()
	kept := []confront.Point{}
	for i, p := range c.Points {
		if !slices.ContainsFunc(v.Faults, func(f confront.PointFault) bool { return f.Point == i }) {
			kept = append(kept, p)
		}
	}
	c.Points = kept
	return c, err
}
