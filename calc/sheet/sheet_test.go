package sheet_test

import (
	"encoding/json"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/reckon"
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
func TestStepsFeedEachOther(t *testing.T) {
	rep, err := sheet.Run(read(t, `{"machine": "lift", "source": {"kind": "stream", "fall_m": 3, "vnotch": {"angle_deg": 90, "h": 0.18}}, "lift": {"h_feed": 12, "h_outlet": 8}}`), build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	notch := step(t, rep, "/source/vnotch")
	require.True(t, notch.Answer.OK)
	lift := step(t, rep, "/lift")
	require.InDelta(t, 0.018989, lift.Input["Q"], 1e-6)
	require.Equal(t, "the flow of the source", lift.Fed["Q"])
}

func TestEveryFaultOfASheetIsFound(t *testing.T) {
	rep, err := sheet.Run(read(t, `{"source": {"kind": "stream", "vnotch": {"angle_deg": 170}, "nothc": {}}, "air_line": {"D": "wide"}, "uses": [{"kind": "forge", "forge": {"mm_H2O": 50}}], "trompe": {"supply": 3}}`), build.DefaultLimits(), nil)
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

// A sheet with parts says whether it may be built, and what to buy. A lip 8 m down
// and 3 m of fall: 1.0768 bar with the way out blocked (safety.csv, line 125).
func TestPartsAreJudgedAndListed(t *testing.T) {
	rep, err := sheet.Run(read(t, `{
		"trompe": {"supply": {"type": "forebay", "level_m": 11}, "intake": {"mouth_m": 10.8, "n_tubes": 9, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
			"downcomer": {"bore_m": 0.0456, "outlet_m": -0.05}, "chamber": {"kind": "horizontal", "bore_m": 0.1, "length_m": 0.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
			"riser": {"bore_m": 0.05, "outlet_m": 8}},
		"parts": [{"role": "chamber", "line": "iso-4427-2/pe100-sdr17/d110-pn10", "joint": "fusion", "gas_statement": true, "location": "guarded"},
			{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d50-pn12.5", "joint": "solvent"}],
		"facts": {"t_hot_c": 20, "t_cold_c": 6}}`), build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	require.InDelta(t, 107680, *rep.Build.Parts[0].DesignPa-0.1*998.2*9.80665, 20)
	require.Equal(t, "not_allowed", rep.Build.Parts[2].Verdict, "nobody described the riser")
	require.NotEmpty(t, rep.Materials.Rows)
	require.Equal(t, 9, rep.Materials.Pieces[len(rep.Materials.Pieces)-1].Qty, "one piece for each air tube")
	text, err := json.Marshal(rep)
	require.NoError(t, err)
	var again sheet.Report
	require.NoError(t, json.Unmarshal(text, &again), "a report is stored and read again")
}

// What is fed must be an input of the calculation, else every sheet with it
// would be refused.
func TestWhatIsFedIsAnInput(t *testing.T) {
	for name, inputs := range sheet.Fed() {
		d, ok := reckon.Describe(name)
		require.True(t, ok, name)
		for _, input := range inputs {
			require.True(t, slices.ContainsFunc(d.Inputs, func(f calc.Field) bool { return f.At == "/"+input }), "%s has no input %s", name, input)
		}
	}
}

// From stream to diffuser: the air line takes the pressure of the chamber, the
// receiver what arrives, the diffuser the air.
func TestAStreamReachesItsDiffuser(t *testing.T) {
	machine := pond(t)
	rep, err := sheet.Run(read(t, `{
		"source": {"kind": "stream", "fall_m": 3, "bucket": {"volume": 0.01, "times": [4.1, 4.3, 4.0]}},
		"trompe": `+machine+`,
		"air_line": {"D": 0.013, "L": 20},
		"receiver": {"tank": {"V": 0.05, "p": 118000, "p_min": 110000}, "condensate": {"V_free": 1, "RH": 0.8, "t_amb_C": 15, "t_recv_C": 12}},
		"uses": [{"kind": "aeration", "name": "trout", "aeration": {"depth": 1.2}}, {"kind": "forge", "forge": {"mm_H2O": 80, "tuyere_area": 0.0003}}]}`), build.DefaultLimits(), nil)
	require.NoError(t, err)
	require.Empty(t, rep.Faults)
	for _, s := range rep.Steps {
		require.Empty(t, s.Lacks, s.At)
		require.True(t, s.Answer.OK, "%s: %v", s.At, s.Answer.Fault)
	}
	require.NotEmpty(t, rep.Sentences)
	open := step(t, rep, "/receiver/fill").Input["p1"].(float64)
	require.InDelta(t, rep.Trompe.ChamberGaugePa+open, step(t, rep, "/air_line").Input["p1"], 1)
	require.Equal(t, rep.Trompe.FreeAirM3S, step(t, rep, "/uses/0/aeration").Input["Q_free_m3s"])
	require.Equal(t, 0.05, step(t, rep, "/receiver/fill").Input["V"])
	require.Positive(t, *rep.Gist.WaterM3S)
}

// pond is an invented machine that delivers air.
func pond(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../domain/notebook/demo/pond.json")
	require.NoError(t, err)
	return string(text)
}
