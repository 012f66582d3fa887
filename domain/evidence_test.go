package domain_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/confront"
	"leat/domain"
)

// signed is a run of a machine, confirmed, with so many points.
func signed(t *testing.T, id, build, points int) domain.EvidenceRun {
	t.Helper()
	body, err := json.Marshal(confront.Verdict{CalcVersion: "1", Items: []confront.Item{{Name: confront.WaterFlow, PIT: new(0.5)}}})
	require.NoError(t, err)
	return domain.EvidenceRun{
		Run: domain.Run{
			ID: domain.RunID(id), Build: domain.BuildID(build), CalcVersion: "1", CoefficientSet: "1",
			Verdict: &domain.RunVerdict{Body: body, Calc: "1"}, Ends: []domain.RunEnd{{Kind: domain.RunConfirmed}},
		},
		Trompe: true, Settings: make([]string, points),
	}
}

func teaching(t *testing.T, runs ...domain.EvidenceRun) (ids []int) {
	t.Helper()
	taught, err := domain.Teaching(runs)
	require.NoError(t, err)
	for _, r := range taught {
		ids = append(ids, int(r.ID))
	}
	return ids
}

// Section 5.1 of the specification of evidence: confirmed runs, not in hindsight,
// not set aside, complete.
func TestWhatCoefficientsAreLearnedFrom(t *testing.T) {
	counts, aside, early, own, later, ram, none := signed(t, 1, 1, 1), signed(t, 2, 2, 1), signed(t, 3, 3, 1), signed(t, 4, 4, 1), signed(t, 5, 5, 1), signed(t, 6, 6, 1), signed(t, 7, 7, 1)
	aside.Ends = append(aside.Ends, domain.RunEnd{Kind: domain.RunSetAside})
	early.Counts.Early = 1
	own.Taught = true
	later.Verdict.Calc = "2"
	ram.Trompe = false
	none.Verdict = nil
	require.Equal(t, []int{1}, teaching(t, counts, aside, early, own, later, ram, none))
	require.Len(t, own.Hindsight(), 1)
	require.Contains(t, own.Hindsight()[0], "learned from runs of this machine")
}

// Of more than are learned from at once those are, whole, that were confirmed last.
func TestTheNewestMachinesTeach(t *testing.T) {
	var machines, points []domain.EvidenceRun
	for i := range 45 {
		machines = append(machines, signed(t, i+1, i+1, 1))
	}
	machines = append(machines, signed(t, 46, 45, 1)) // of a machine that is there
	ids := teaching(t, machines...)
	require.Len(t, ids, 41)
	require.Equal(t, 6, ids[0])
	for i := range 6 {
		points = append(points, signed(t, i+1, 1, 45))
	}
	require.Equal(t, []int{3, 4, 5, 6}, teaching(t, points...))
}
