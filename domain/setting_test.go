package domain_test

import (
	"encoding/json"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func proposal(s domain.SafetySettings) *domain.ProposeSafety {
	return &domain.ProposeSafety{Settings: s, Why: "We want it so.", Key: "key-00000001"}
}

// pointersOf returns where an Invalid error finds faults.
func pointersOf(t *testing.T, err error) (pointers []string) {
	t.Helper()
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok, "%v", err)
	require.Equal(t, domain.Invalid, e.Kind)
	for _, f := range e.Fields {
		pointers = append(pointers, f.Pointer)
	}
	return pointers
}

// The rows are the table of section 11 of the rules of safety: what counts by
// default, how far it may be set, and where it gets stricter. What has no upper
// end there has one of ours, far away.
func TestSafetyBounds(t *testing.T) {
	type row struct {
		name               string
		usual, loose, hard float64 // hard: the strict end, NaN where the table has none
	}
	open := math.NaN()
	table := []row{
		{"p_low_pa", 10_000, 10_000, 0}, {"p_brittle_max_pa", 50_000, 50_000, 0}, {"e_low_j", 79, 79, 0}, {"e_brittle_max_j", 79, 1356, 0},
		{"e_competent_j", 1356, 5000, 0}, {"pv_home_j", 5000, 5000, 0}, {"hydro_factor", 1.5, 1.5, 2}, {"gas_floor_m", 30, 10, open},
		{"water_floor_m", 5, 3, open}, {"collapse_factor", 3, 2, open}, {"ram_factor", 0.25, 0.5, 0}, {"hold_plastic_minutes", 60, 30, open},
		{"hold_metal_minutes", 30, 10, open}, {"gauge_age_days", 365, 365, 1}, {"cure_floor_hours", 24, 24, open},
		{"certificate_months", 12, 24, 1}, {"certificate_gas_months", 3, 3, 1},
		// product.md, "Check": 1 checker, 2 where the hazard says so; settings may raise both.
		{"checkers_plain", 1, 1, open}, {"checkers_raised", 2, 2, open},
	}
	bounds := map[string]domain.SafetyBound{}
	for _, b := range domain.SafetyBounds() {
		bounds[b.Name] = b
	}
	require.Len(t, bounds, len(table))
	for _, r := range table {
		b := bounds[r.name]
		loose, hard := b.Low, b.High
		if b.Stricter == domain.Lower {
			loose, hard = b.High, b.Low
		}
		require.Equal(t, r.loose, loose, r.name)
		if !math.IsNaN(r.hard) {
			require.Equal(t, r.hard, hard, r.name)
		}
		require.Equal(t, r.usual, settingOf(t, domain.DefaultSafetySettings(), r.name), r.name)
	}
}

func settingOf(t *testing.T, s domain.SafetySettings, name string) float64 {
	t.Helper()
	text, err := json.Marshal(s)
	require.NoError(t, err)
	var all map[string]any
	require.NoError(t, json.Unmarshal(text, &all))
	v, ok := all[name].(float64)
	require.True(t, ok, name)
	return v
}

// with returns the usual settings with one of them replaced.
func with(t *testing.T, name string, v float64) domain.SafetySettings {
	t.Helper()
	s := domain.DefaultSafetySettings()
	text, err := json.Marshal(map[string]any{name: v})
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &s))
	return s
}

func TestNoSettingPassesItsBound(t *testing.T) {
	require.NoError(t, proposal(domain.DefaultSafetySettings()).Validate())
	for _, b := range domain.SafetyBounds() {
		for _, v := range []float64{b.Low, b.High} {
			s := with(t, b.Name, v)
			s.CheckersRaised = max(s.CheckersRaised, s.CheckersPlain)
			require.NoError(t, proposal(s).Validate(), "%s %v", b.Name, v)
		}
		step := 0.001
		if b.Whole {
			step = 1
		}
		for _, v := range []float64{b.Low - step, b.High + step} {
			require.Equal(t, []string{"/settings/" + b.Name}, pointersOf(t, proposal(with(t, b.Name, v)).Validate()), "%v", v)
		}
	}
	s := domain.DefaultSafetySettings()
	s.HydroFactor = math.NaN()
	require.Equal(t, []string{"/settings/hydro_factor"}, pointersOf(t, proposal(s).Validate()))
	s = domain.DefaultSafetySettings()
	s.CheckersPlain = 3
	require.Equal(t, []string{"/settings/checkers_raised"}, pointersOf(t, proposal(s).Validate()))
	require.Equal(t, []string{"/why"}, pointersOf(t, (&domain.ProposeSafety{Settings: domain.DefaultSafetySettings(), Why: " ", Key: "key-00000001"}).Validate()))
}

func TestWhatTightensAndWhatLoosens(t *testing.T) {
	before := domain.DefaultSafetySettings()
	require.Empty(t, domain.Tightens(before, before))
	require.Empty(t, domain.Loosens(before, before))
	after := before
	after.PBrittleMaxPa, after.EBrittleMaxJ, after.HydroFactor, after.HoldPlasticMin, after.GasFloorAlways, after.CertificateMonths = 10_000, 1356, 1.75, 30, true, 6
	require.ElementsMatch(t, []string{"p_brittle_max_pa", "hydro_factor", "gas_floor_always", "certificate_months"}, domain.Tightens(before, after))
	require.ElementsMatch(t, []string{"e_brittle_max_j", "hold_plastic_minutes"}, domain.Loosens(before, after))
	require.ElementsMatch(t, domain.Tightens(before, after), domain.Loosens(after, before), "going back loosens what was tightened")
}

func TestAProposalFollowsWhatIsInForce(t *testing.T) {
	c := proposal(with(t, "hydro_factor", 1.6))
	require.NoError(t, c.Fits(0, domain.DefaultSafetySettings()))
	require.Equal(t, domain.Stale, domain.KindOf(c.Fits(4, domain.DefaultSafetySettings())))
	require.Equal(t, domain.Conflict, domain.KindOf(c.Fits(0, c.Settings)), "nothing would change")
}
