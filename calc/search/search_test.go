package search_test

import (
	"encoding/json"
	"fmt"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/air"
	"leat/calc/search"
	"leat/calc/trompe"
)

// sites are those of the demo group and some that strain the grid.
var sites = map[string]string{
	"sawpit":    `{"flow_m3s": 0.012, "fall_m": 2.5, "depth_m": 6, "altitude_m": 410, "t_air_c": 12, "t_water_c": 8, "wish": "most_air", "gauge_pa": 15000}`,
	"pond":      `{"flow_m3s": 0.0034, "fall_m": 1.6, "depth_m": 3.5, "altitude_m": 340, "t_air_c": 14, "t_water_c": 9, "wish": "pressure", "gauge_pa": 25000, "family": "pvc_u"}`,
	"quarry":    `{"flow_m3s": 0.03, "fall_m": 3.2, "depth_m": 7, "altitude_m": 430, "t_air_c": 11, "t_water_c": 7, "wish": "least_pipe", "free_air_m3s": 0.002, "gauge_pa": 30000, "family": "pvc_40"}`,
	"standpipe": `{"flow_m3s": 0.0025, "fall_m": 1.5, "depth_m": 3.5, "altitude_m": 355, "wish": "least_digging", "free_air_m3s": 0.0002}`,
	"mill":      `{"flow_m3s": 0.2, "fall_m": 6, "depth_m": 2, "wish": "most_air"}`,
	"no hole":   `{"flow_m3s": 0.006, "fall_m": 6, "wish": "most_air"}`,
}

func asked(t testing.TB, text string) search.Asked {
	t.Helper()
	a, faults := search.Decode(json.RawMessage(text))
	require.Empty(t, faults)
	return a
}

// run judges all candidates on so many workers, in ranges of a size.
func run(s *search.Search, workers, size int) *search.Best {
	ranges := make(chan int)
	var all search.Best
	var mu sync.Mutex
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for from := range ranges {
				b := s.Judge(from, min(from+size, s.Count()))
				mu.Lock()
				s.Merge(&all, b)
				mu.Unlock()
			}
		})
	}
	for from := 0; from < s.Count(); from += size {
		ranges <- from
	}
	close(ranges)
	wg.Wait()
	return &all
}

// BenchmarkSearch looks through whole grids on two workers.
func BenchmarkSearch(b *testing.B) {
	for name, text := range sites {
		b.Run(name, func(b *testing.B) {
			s := search.New(asked(b, text))
			for b.Loop() {
				best := run(s, 2, 64)
				a, err := s.Answer(best)
				require.NoError(b, err)
				require.NotEmpty(b, a.Proposals)
			}
			b.ReportMetric(float64(s.Count()), "candidates")
		})
	}
}

// The answer must not hang on how many work and how the work is shared out.
func TestSameAnswerOnAnyNumberOfWorkers(t *testing.T) {
	s := search.NewOf(asked(t, sites["pond"]), "d90", "d200")
	one, err := s.Answer(run(s, 1, s.Count()))
	require.NoError(t, err)
	four, err := s.Answer(run(s, 4, 7))
	require.NoError(t, err)
	require.Equal(t, one, four)
}

// TestProposalsKeepTheBounds holds proposals against what any machine is bound
// by: no more water than there is; no more air than isothermal compression of
// it takes from the fall, Q_a p_a ln(p_c/p_a) ≤ ρ g H Q_w (any textbook of
// thermodynamics; 3 % for vapour and temperature); pressure that of still water
// over the rise, 9.81 kPa a metre (3 % less for its density and stray bubbles), and
// no more than the whole height of water above the lip.
func TestProposalsKeepTheBounds(t *testing.T) {
	for name, text := range sites {
		a := asked(t, text)
		s := search.New(a)
		var some search.Best // of a sample: the bounds hold for every machine
		for from := 0; from+5 < s.Count(); from += 200 {
			s.Merge(&some, s.Judge(from, from+5))
		}
		answer, err := s.Answer(&some)
		require.NoError(t, err)
		require.NotEmpty(t, answer.Proposals, name)
		seen := map[string]bool{}
		for _, p := range answer.Proposals {
			require.LessOrEqual(t, p.WaterM3S, a.FlowM3S*(1+1e-9), name)
			require.GreaterOrEqual(t, p.GaugePa, a.GaugePa, name)
			require.GreaterOrEqual(t, p.FreeAirM3S, a.AirM3S, name)
			require.LessOrEqual(t, p.DugM, a.DepthM, name)
			pa := air.Atmosphere(a.AltitudeM)
			require.Less(t, p.FreeAirM3S*pa*math.Log1p(p.GaugePa/pa), 1.03*9810*a.FallM*p.WaterM3S, name)
			require.Greater(t, p.GaugePa, 0.97*9810*p.RiseM, name)
			require.Less(t, p.GaugePa, 9810*(p.RiseM+p.HeadM), name)
			pipes := fmt.Sprint(p.Pipes[0].Name, p.Pipes[0].Count, p.Pipes[1].Name)
			require.False(t, seen[pipes], "%s: %s twice", name, pipes)
			seen[pipes] = true
			require.NotEmpty(t, p.Why.Text)
		}
	}
}

// A site that can't run a machine is told why, and what would be needed. The
// numbers are worked out by hand.
func TestNothingWorks(t *testing.T) {
	for name, c := range map[string]struct {
		text, says string
		value      float64 // the last of the sentence
	}{
		// 0.45 m/s in the narrowest pipe, 28 mm inside: 0.45·π/4·0.028²
		"drizzle":  {`{"flow_m3s": 0.00001, "fall_m": 3, "depth_m": 2, "wish": "most_air"}`, "too little", 2.7709e-4},
		"no room":  {`{"flow_m3s": 0.002, "fall_m": 0.3, "wish": "most_air"}`, "no room", 0.5},
		"pressure": {`{"flow_m3s": 0.0006, "fall_m": 1.5, "depth_m": 1, "wish": "pressure", "gauge_pa": 500000}`, "Pressure is height", math.NaN()},
		"air":      {`{"flow_m3s": 0.0006, "fall_m": 1.5, "depth_m": 1, "wish": "least_pipe", "free_air_m3s": 0.01}`, "most air", 0.01},
	} {
		s := search.NewOf(asked(t, c.text), "d32", "d40", "d200")
		a, err := s.Answer(run(s, 2, 64))
		require.NoError(t, err)
		require.Empty(t, a.Proposals, name)
		require.Contains(t, a.Lacking.Text, c.says, name)
		if last := a.Lacking.Values[len(a.Lacking.Values)-1].Value; !math.IsNaN(c.value) {
			require.InEpsilon(t, c.value, last, 1e-4, name)
		}
	}
}

// Where the pressure falls short, the depth to dig further must be that of still
// water, 9.81 kPa a metre (hydrostatics), within what water's density changes.
func TestDepthThatIsLacking(t *testing.T) {
	s := search.NewOf(asked(t, `{"flow_m3s": 0.0006, "fall_m": 1.5, "depth_m": 1, "wish": "pressure", "gauge_pa": 500000}`), "d32", "d40", "d200")
	a, err := s.Answer(run(s, 2, 64))
	require.NoError(t, err)
	v := a.Lacking.Values
	require.InEpsilon(t, (v[1].Value-v[0].Value)/9810, v[2].Value, 0.005)
}

func TestFaultsOfWhatIsAsked(t *testing.T) {
	for text, want := range map[string]string{
		`{"fall_m": 2, "wish": "most_air"}`:                                                       "/flow_m3s missing",
		`{"flow_m3s": 0.01, "wish": "most_air"}`:                                                  "/fall_m missing",
		`{"flow_m3s": 0.01, "fall_m": 2}`:                                                         "/wish missing",
		`{"flow_m3s": 0.01, "fall_m": 2, "wish": "pressure"}`:                                     "/gauge_pa missing",
		`{"flow_m3s": 0.01, "fall_m": 2, "wish": "least_pipe"}`:                                   "/free_air_m3s missing",
		`{"flow_m3s": 0.01, "fall_m": 2, "wish": "least_digging", "gauge_pa": 1e4}`:               "/free_air_m3s missing",
		`{"flow_m3s": 0, "fall_m": 2, "wish": "most_air"}`:                                        "/flow_m3s range",
		`{"flow_m3s": 0.01, "fall_m": 2000, "wish": "most_air"}`:                                  "/fall_m range",
		`{"flow_m3s": 0.01, "fall_m": 2, "depth_m": -1, "wish": "most_air"}`:                      "/depth_m range",
		`{"flow_m3s": 0.01, "fall_m": 2, "wish": "most_air", "family": "lead"}`:                   "/family unknown_value",
		`{"flow_m3s": 0.01, "fall_m": 2, "wish": "most_air", "dept_m": 3}`:                        "/dept_m unknown_field",
		`{"flow_m3s": 0.01, "fall_m": 2, "wish": "pressure", "gauge_pa": 1e4, "free_air_m3s": 0}`: "/free_air_m3s range",
		`[]`: " missing",
	} {
		_, faults := search.Decode(json.RawMessage(text))
		require.Len(t, faults, 1, text)
		require.Equal(t, want, faults[0].At+" "+string(faults[0].Code), text)
		require.NotEmpty(t, faults[0].Message)
	}
}

// FuzzSearch feeds any text: what is read must lay out a grid of bearable size
// whose machines can be read and solved.
func FuzzSearch(f *testing.F) {
	for _, text := range sites {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		a, faults := search.Decode(raw)
		if len(faults) > 0 {
			return
		}
		s := search.New(a)
		require.Less(t, s.Count(), 150_000)
		if s.Count() == 0 {
			return
		}
		for _, i := range []int{0, s.Count() / 2, s.Count() - 1} {
			_, text, err := s.Machine(i)
			require.NoError(t, err)
			_, faults := trompe.Decode(text)
			require.Empty(t, faults, string(text))
		}
		_, err := s.Answer(s.Judge(0, 1))
		require.NoError(t, err)
	})
}
