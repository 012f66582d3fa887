package search_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/search"
	"leat/calc/trompe"
)

// TestBestEqualsBruteForce reads every candidate of a grid from its JSON text,
// solves it in full, one after the other, and sorts by the wish alone. The
// search has to come to the same best machine.
func TestBestEqualsBruteForce(t *testing.T) {
	for name, c := range map[string]struct {
		text  string
		pipes []string
	}{
		"most air":      {`{"flow_m3s": 0.006, "fall_m": 6, "wish": "most_air", "gauge_pa": 20000}`, []string{"d90", "d250"}},
		"pressure":      {`{"flow_m3s": 0.0034, "fall_m": 1.6, "depth_m": 3.5, "altitude_m": 340, "wish": "pressure", "gauge_pa": 25000, "family": "pvc_u"}`, []string{"d75", "d200"}},
		"least pipe":    {`{"flow_m3s": 0.012, "fall_m": 2.5, "depth_m": 6, "wish": "least_pipe", "free_air_m3s": 0.0015, "gauge_pa": 30000}`, []string{"d125", "d200"}},
		"least digging": {`{"flow_m3s": 0.0025, "fall_m": 1.5, "depth_m": 3.5, "wish": "least_digging", "free_air_m3s": 0.0004, "gauge_pa": 15000, "family": "pvc_40"}`, []string{"NPS 2", "NPS 8"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			a := asked(t, c.text)
			s := search.NewOf(a, c.pipes...)
			s.Thin()
			require.Greater(t, s.Count(), 300, "fewer would prove little")
			answer, err := s.Answer(run(s, 2, 64))
			require.NoError(t, err)
			require.NotEmpty(t, answer.Proposals)
			best := bruteForce(t, s, a)
			require.JSONEq(t, string(best.text), string(answer.Proposals[0].Trompe))
			require.InEpsilon(t, best.res.FreeAirM3S, answer.Proposals[0].FreeAirM3S, 1e-12)
		})
	}
}

type found struct {
	text json.RawMessage
	res  trompe.Result
	key  float64 // of the wish: less is better
}

func bruteForce(t *testing.T, s *search.Search, a search.Asked) (best found) {
	best.key = math.Inf(1)
	for i := range s.Count() {
		built, raw, err := s.Machine(i)
		require.NoError(t, err)
		in, faults := trompe.Decode(raw)
		require.Empty(t, faults, string(raw))
		require.Equal(t, in, built)
		res, err := trompe.Solve(in)
		require.NoError(t, err)
		if res.Status != trompe.OK || res.WaterFlowM3S > a.FlowM3S*(1+1e-9) || res.ChamberGaugePa < a.GaugePa || res.FreeAirM3S < a.AirM3S {
			continue
		}
		key := -res.FreeAirM3S
		switch a.Wish {
		case search.LeastPipe:
			key = plastic(s, in)
		case search.LeastDigging:
			key = hole(s, in) - res.FreeAirM3S/1000 // the more air of two equal holes
		}
		if key < best.key {
			best = found{raw, res, key}
		}
	}
	return best
}

// plastic is the volume of all pipe walls of a machine, from its measures.
func plastic(s *search.Search, in trompe.Input) float64 {
	wall := func(outside, bore float64) float64 { return math.Pi / 4 * (outside + bore) * (outside - bore) }
	one := wall(s.Outside(in.Downcomer.BoreM), in.Downcomer.BoreM)*(in.Intake.MouthM-in.Downcomer.OutletM) +
		float64(in.Intake.NTubes)*wall(in.Intake.TubeOutsideM, in.Intake.TubeBoreM)*in.Intake.TubeLengthM
	return float64(in.NParallel)*one + wall(s.Outside(in.Riser.BoreM), in.Riser.BoreM)*(in.Riser.OutletM-in.Chamber.LipM) +
		wall(s.Outside(in.Chamber.BoreM), in.Chamber.BoreM)*in.Chamber.LengthM
}

// hole is the depth of the chamber's underside below the tailwater, to 5 mm.
func hole(s *search.Search, in trompe.Input) float64 {
	under := in.Chamber.FloorM - (s.Outside(in.Chamber.BoreM)-in.Chamber.BoreM)/2
	return math.Round(-under*200) / 200
}
