package sheet_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/build"
	"leat/calc/sheet"
)

// Whatever stands in a sheet: it is answered or its faults are listed, in JSON,
// and every fault and every step that lacks something has words.
func FuzzRun(f *testing.F) {
	seed, err := json.Marshal(whole(f))
	require.NoError(f, err)
	f.Add(seed)
	for _, text := range []string{
		`{"machine": "ram", "source": {"kind": "stream", "fall_m": 3, "flow_m3s": 0.001}, "ram": {"cycle": {"h": 20, "L": 12, "D": 0.05, "a": 1300, "V_close_ratio": 0.5}}}`,
		`{"machine": "lift", "lift": {"Q": 0.01, "H": 3, "h_feed": 12, "h_outlet": 8}}`,
		`{"machine": "perpetual", "uses": [3], "parts": [{"role": "chamber", "line": "none"}], "facts": null}`,
		`{"source": {"kind": "roof", "roof_energy": {"A_plan": 100, "rain_mm_year": 800, "drop": 5}}}`,
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		var in sheet.Input
		if json.Unmarshal(raw, &in) != nil {
			return
		}
		rep, err := sheet.Run(in, build.DefaultLimits(), nil)
		require.NoError(t, err)
		_, err = json.Marshal(rep)
		require.NoError(t, err)
		for _, fault := range rep.Faults {
			require.NotEmpty(t, fault.Message)
		}
		for _, s := range rep.Steps {
			require.NotEqual(t, s.Lacks == "", s.Answer == nil, "%s", s.At)
		}
		require.NotEqual(t, len(rep.Faults) > 0, rep.Gist != nil)
	})
}
