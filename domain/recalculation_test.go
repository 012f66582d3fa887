package domain_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/sheet"
	"leat/domain"
)

// answered is a report as the database gives it: a trompe whose water flow is
// 0.010 m³/s and lies within 0.009 and 0.011 m³/s.
func answered(t *testing.T) (r sheet.Report) {
	t.Helper()
	require.NoError(t, json.Unmarshal([]byte(`{
		"calc_version": "1", "coefficient_set": "0",
		"gist": {"machine": "trompe", "status": "ok", "gauge_pa": 1000, "free_air_m3s": 0.001, "water_m3s": 0.01, "lifted_m3s": null},
		"trompe": {"status": "ok", "warnings": [{"code": "W_FILL"}, {"code": "W_RISER_TALL"}], "water_flow_m3s": 0.01,
			"uncertainty": {"status": "ok", "outputs": {"water_flow_m3s": {"mean": 0.01, "u": 0.0005, "low": 0.009, "high": 0.011}}}},
		"steps": [{"at": "/ram/cycle", "answer": {"ok": true, "warnings": [{"code": "W_SLOW"}]}}],
		"build": {"class": "plain", "checkers": 1, "parts": [{"at": "/parts/0", "role": "riser", "verdict": "allowed", "p_design_pa": 20000, "allow_pa": 600000,
			"conditions": [{"code": "buried"}], "distance": {"m": 5}}], "flags": [{"code": "backflow"}]}
	}`), &r))
	return r
}

// product.md, "Design and revisions": the crew is told where a status, a warning
// or a safety answer differs, or a number by more than a tenth of its interval.
func TestWhatANewerCalculationAnswersOtherwise(t *testing.T) {
	require.Empty(t, domain.Differs(answered(t), answered(t)))
	for name, c := range map[string]struct {
		change func(*sheet.Report)
		what   domain.DifferenceKind
		at     string
	}{
		"status":             {func(r *sheet.Report) { r.Gist.Status = "surplus" }, domain.OtherStatus, "/gist/status"},
		"a warning gone":     {func(r *sheet.Report) { r.Trompe.Warnings = r.Trompe.Warnings[:1] }, domain.OtherWarning, "/trompe/warnings"},
		"a warning of a ram": {func(r *sheet.Report) { r.Steps[0].Answer.Warnings = nil }, domain.OtherWarning, "/ram/cycle/warnings"},
		"class":              {func(r *sheet.Report) { r.Build.Class = "raised" }, domain.OtherSafety, "/build/class"},
		"verdict":            {func(r *sheet.Report) { r.Build.Parts[0].Verdict = "not_allowed" }, domain.OtherSafety, "/build/parts/0/verdict"},
		"condition":          {func(r *sheet.Report) { r.Build.Parts[0].Conditions = nil }, domain.OtherSafety, "/build/parts/0/conditions"},
		"legal note":         {func(r *sheet.Report) { r.Build.Flags = []build.Said{{Code: "backflow"}, {Code: "shaft"}} }, domain.OtherSafety, "/build/flags"},
		"pressure":           {func(r *sheet.Report) { *r.Build.Parts[0].AllowPa = 500000 }, domain.OtherSafety, "/build/parts/0/allow_pa"},
		"distance":           {func(r *sheet.Report) { r.Build.Parts[0].Distance = nil }, domain.OtherSafety, "/build/parts/0/distance/m"},
		"number":             {func(r *sheet.Report) { r.Trompe.WaterFlowM3S = 0.01021 }, domain.OtherNumber, "/trompe/water_flow_m3s"},
		"refused": {func(r *sheet.Report) {
			r.Faults = []calc.Fault{{Code: calc.Range, At: "/trompe/riser", Message: "too tall"}}
		}, domain.OtherStatus, ""},
	} {
		t.Run(name, func(t *testing.T) {
			fresh := answered(t)
			c.change(&fresh)
			differs := domain.Differs(answered(t), fresh)
			require.Len(t, differs, 1)
			require.Equal(t, c.what, differs[0].What)
			require.Equal(t, c.at, differs[0].At)
		})
	}
	within := answered(t)
	within.Trompe.WaterFlowM3S = 0.01019 // a tenth of the interval is 0.0002
	require.Empty(t, domain.Differs(answered(t), within))
	stopped := answered(t)
	stopped.Trompe.Numbers = nil
	require.NotEmpty(t, domain.Differs(answered(t), stopped), "a number that is no more")
}

// A ram has no intervals; it is told of by its gist.
func TestNumbersWithoutAnInterval(t *testing.T) {
	ram := func(lifted float64) sheet.Report {
		return sheet.Report{Gist: &sheet.Gist{Machine: "ram", Status: "ok", LiftedM3S: &lifted}}
	}
	require.Empty(t, domain.Differs(ram(0.0001), ram(0.0001009)))
	differs := domain.Differs(ram(0.0001), ram(0.000102))
	require.Len(t, differs, 1)
	require.Equal(t, "/gist/lifted_m3s", differs[0].At)
	require.Equal(t, 0.0001, *differs[0].WasNumber)
	require.Equal(t, 0.000102, *differs[0].IsNumber)
}
