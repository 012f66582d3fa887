package sheet_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/sheet"
)

func read(t *testing.T, text string) (in sheet.Input) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(text), &in))
	return in
}

func step(t *testing.T, rep sheet.Report, at string) sheet.Step {
	t.Helper()
	for _, s := range rep.Steps {
		if s.At == at {
			return s
		}
	}
	require.Fail(t, "no step "+at)
	return sheet.Step{}
}

// The flow of a notch is what the sheet goes on with.
// Kindsvater and Shen, worked by hand: 8/15·0.578·√(2g)·(0.18 + 0.00085)^2.5.
func testStepsFeedEachOther(t *testing.T) {
	rep, err := sheet.Run(read(t, `{"machine": "lift", "source": {"kind": "stream", "fall_m": 3, "vnotch": {"angle_deg": 90, "h": 0.18}}, "lift": {"h_feed": 12, "h_outlet": 8}}`))
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	notch := step(t, rep, "/source/vnotch")
	require.True(t, notch.Answer.OK)
	lift := step(t, rep, "/lift")
	require.InDelta(t, 0.018989, lift.Input["Q"], 1e-6)
	require.Equal(t, "the flow of the source", lift.Fed["Q"])
}

func TestEveryFaultOfASheetIsFound(t *testing.T) {
	rep, err := sheet.Run(read(t, `{"source": {"kind": "stream", "vnotch": {"angle_deg": 170}, "nothc": {}}, "air_line": {"D": "wide"}, "uses": [{"kind": "forge", "forge": {"mm_H2O": 50}}], "trompe": {"supply": 3}}`))
	require.NoError(t, err)
	at := map[string]calc.FaultCode{}
	for _, f := range rep.Faults {
		at[f.At] = f.Code
	}
	require.Equal(t, calc.Missing, at["/trompe/supply"])
	require.Equal(t, calc.Range, at["/source/vnotch/angle_deg"])
	require.Equal(t, calc.Missing, at["/source/vnotch/h"])
	require.Equal(t, calc.UnknownField, at["/source/nothc"])
	require.Nil(t, rep.Trompe)
}
