package interval

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/evidence"
)

// The head hangs on the level of the outlet one to one and on nothing else that is
// not known here: its share is 1.
func TestSharesOfAMachine(t *testing.T) {
	in := surplusExample(t)
	in.Tolerances = map[string]float64{"/riser/outlet_m": 0.02, "/chamber/lip_m": 0.001}
	unknowns := in.Unknowns()
	got, err := Shares(context.Background(), in, evidence.SeedOf("shares"), "head_m", 256)
	require.NoError(t, err)
	for i, u := range unknowns {
		want := map[string]float64{"/riser/outlet_m": 1}[u.At]
		require.InDelta(t, want, got.Total[i], 0.1, u.At)
		require.InDelta(t, want, got.First[i], 0.15, u.At)
	}
	_, err = Shares(context.Background(), in, evidence.SeedOf("shares"), "head", 16)
	require.ErrorContains(t, err, "does not vary")
	_, err = Shares(context.Background(), in.Under(learnedSet(t, 0.5, []float64{0, 0}, "k_v", "k_f")), evidence.SeedOf("shares"), "head_m", 16)
	require.ErrorContains(t, err, "hang together")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Shares(ctx, in, evidence.SeedOf("shares"), "head_m", 16)
	require.ErrorIs(t, err, context.Canceled)
}
