package build_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/build"
	"leat/calc/pressuretest"
	"leat/calc/strength"
	"leat/calc/trompe"
)

// machine is a trompe whose lip lies so far below brim and outlet, in m.
func machine(t *testing.T, head, tail float64) build.Machine {
	t.Helper()
	text, err := json.Marshal(map[string]any{
		"supply":    map[string]any{"type": "forebay", "level_m": head},
		"intake":    map[string]any{"mouth_m": head - 0.2, "n_tubes": 9, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
		"downcomer": map[string]any{"bore_m": 0.0456, "outlet_m": -0.05},
		"chamber":   map[string]any{"kind": "horizontal", "bore_m": 0.1, "length_m": 0.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
		"riser":     map[string]any{"bore_m": 0.05, "outlet_m": tail},
	})
	require.NoError(t, err)
	in, faults := trompe.Decode(text)
	require.Empty(t, faults)
	return build.Machine{Trompe: &in}
}

func facts() build.Facts {
	hot, cold, no := 20.0, 8.0, false
	depth := 0.5
	return build.Facts{HotC: &hot, ColdC: &cold, ReliefKd: 0.6, Humidity: 60, Site: build.Site{Shaft: &no, Digging: &no, DepthM: &depth}}
}

const (
	pvc63 = "en-iso-1452-2/s8-sdr17/d63-pn12.5"
	drain = "en-1401-1/sn4-sdr41/d110"
)

func judged(t *testing.T, m build.Machine, f build.Facts, p build.Part) build.Judged {
	t.Helper()
	rep, err := build.Judge(m, f, build.DefaultLimits(), []build.Part{p})
	require.NoError(t, err)
	return rep.Parts[0]
}

func codes(said []build.Said) (all []string) {
	for _, s := range said {
		all = append(all, s.Code)
		if s.Text == s.Code {
			all = append(all, s.Code+" has no words")
		}
	}
	return all
}

// Section 6.6 of the rules: 3 m of fall over a lip 8 m down is 1.0768 bar with the
// riser blocked (safety.csv); PVC is never allowed there, whatever its rating.
func TestPVCChamberAtOneBarIsNotAllowed(t *testing.T) {
	p := judged(t, machine(t, 11, 8), facts(), build.Part{Role: build.Chamber, Line: pvc63, Joint: "solvent", Location: strength.Buried})
	require.Equal(t, strength.NotAllowed, p.Verdict)
	require.Contains(t, codes(p.Reasons), "brittle_over_limit")
	require.InDelta(t, 1.0768e5+0.1*998.2*9.80665, *p.DesignPa, 20)
}

// Half a bar blocked: the same chamber may be had buried, on conditions.
func TestPVCChamberAtHalfABarIsConditionalOnlyBuried(t *testing.T) {
	m, f := machine(t, 5, 3), facts()
	few := 0.0015
	f.GasM3 = &few
	part := build.Part{Role: build.Chamber, Line: pvc63, Joint: "solvent", Location: strength.Buried}
	buried := judged(t, m, f, part)
	require.Equal(t, strength.Conditional, buried.Verdict, "%v", buried.Reasons)
	require.Subset(t, codes(buried.Conditions), []string{"keep_clear", "no_pneumatic_test", "competent_person", "relief_required", "shatter_guard"})
	part.Location = strength.Exposed
	require.Contains(t, codes(judged(t, m, f, part).Reasons), "brittle_exposed")
}

func TestWithoutARatingNothingIsAllowed(t *testing.T) {
	m, f := machine(t, 5, 3), facts()
	od, wall, rating := 0.063, 0.0038, 1e6
	hand := build.Part{Role: build.Downcomer, ODM: &od, WallM: &wall, GasClass: strength.Brittle, Table: "PVC", RatingPa: &rating, Joint: "solvent"}
	require.Contains(t, codes(judged(t, m, f, hand).Reasons), "no_rating")
	hand.Marking = "PN 10 printed on the pipe"
	require.Equal(t, strength.Allowed, judged(t, m, f, hand).Verdict, "%v", judged(t, m, f, hand).Reasons)
	hand.Table = ""
	require.Equal(t, strength.NotAllowed, judged(t, m, f, hand).Verdict)
	f.HotC = nil
	require.Contains(t, codes(judged(t, m, f, build.Part{Role: build.Downcomer, Line: pvc63}).Reasons), "no_temperature")
}

// A metre of water at most in drain pipe (section 3.6).
func TestDrainPipeHoldsAMetre(t *testing.T) {
	p := build.Part{Role: build.Downcomer, Line: drain}
	require.Contains(t, codes(judged(t, machine(t, 5, 3), facts(), p).Reasons), "nonpressure_part")
	require.Equal(t, strength.Conditional, judged(t, machine(t, 0.9, 0.4), facts(), p).Verdict)
}

func TestPartsThatNobodyDescribedBarTheSheet(t *testing.T) {
	rep, err := build.Judge(machine(t, 5, 3), facts(), build.DefaultLimits(), []build.Part{{Role: build.Downcomer, Line: pvc63}})
	require.NoError(t, err)
	require.Equal(t, strength.Barred, rep.Class)
	require.Len(t, rep.Parts, 3)
	require.Zero(t, rep.Checkers)
}

// What is proposed is tried: set into the sheet, it is allowed indeed.
func TestChangesHoldWhatTheyPromise(t *testing.T) {
	m, f := machine(t, 11, 8), facts()
	parts := []build.Part{{Role: build.Chamber, Line: "en-iso-1452-2/s8-sdr17/d110-pn16", Joint: "solvent"}}
	air := 1e-4
	s := build.Sheet{Machine: m, Facts: f, Limits: build.DefaultLimits(), Parts: parts, Air: &air}
	rep, err := build.Judge(m, f, build.DefaultLimits(), parts)
	require.NoError(t, err)
	require.NoError(t, s.Nearest(&rep))
	require.NotEmpty(t, rep.Parts[0].Changes)
	for _, c := range rep.Parts[0].Changes {
		line, ok := c.Set["/parts/0/line"].(string)
		if !ok {
			continue
		}
		changed := parts[0]
		changed.Line, changed.Joint = line, c.Set["/parts/0/joint"].(string)
		changed.GasStatement = c.Set["/parts/0/gas_statement"].(bool)
		require.NotEqual(t, strength.NotAllowed, judged(t, m, f, changed).Verdict, c.Text)
	}
}

// Section 3.4 of the rules: 50 x 2.4 PVC-U at 1.5 m/s gives 5.8 bar on top of the
// static head, so PN 10 fails the ram's limit of 2.5 bar; a metal pipe has no
// limit on the range.
func TestARamTiresPlastic(t *testing.T) {
	speed, static, most := 1.5, 3*998.2*9.80665, 6.1e5
	m := build.Machine{RamSpeed: &speed, RamStaticPa: &static, RamMaxPa: &most, RamWorstPa: &most}
	plastic := judged(t, m, facts(), build.Part{Role: build.DrivePipe, Line: "en-iso-1452-2/s10-sdr21/d50-pn10", Joint: "solvent"})
	require.Equal(t, []string{"range_over_limit"}, codes(plastic.Reasons))
	steel := judged(t, m, facts(), build.Part{Role: build.DrivePipe, Line: "en-10255/medium/dn50", Joint: "welded"})
	require.Equal(t, strength.Allowed, steel.Verdict, "%v", steel.Reasons)
	worst := 3e6
	m.RamWorstPa = &worst
	stuck := judged(t, m, facts(), build.Part{Role: build.DrivePipe, Line: "en-10255/medium/dn50", Joint: "welded"})
	require.Equal(t, []string{"worst_over_rating"}, codes(stuck.Conditions))
}

// The cure table: 110 mm outside, 2 °C, up to 12.4 bar is 48 h; 10 °C only 12 h,
// so that the floor of 24 h counts.
func TestCementSetsInTheColdestWeather(t *testing.T) {
	hours := func(cold float64) float64 {
		f := facts()
		f.ColdC = &cold
		p := judged(t, machine(t, 5, 3), f, build.Part{Role: build.Downcomer, Line: "en-iso-1452-2/s8-sdr17/d110-pn16", Joint: "solvent"})
		for _, a := range p.Asked {
			if out, ok := a.Answer.Result.(pressuretest.CureOut); ok {
				return out.Hours
			}
		}
		t.Fatal("nothing about the cement")
		return 0
	}
	require.Equal(t, 48.0, hours(2))
	require.Equal(t, 24.0, hours(10))
}
