package procedure_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
)

// Oxygen from 19.5 to 23.5 % (29 CFR 1910.146, the published definition of a
// hazardous atmosphere) where somebody goes in; it is not asked where nobody does.
func TestAirIsTestedBeforeSomebodyGoesIn(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "B07")
	in := func(oxygen float64) procedure.Values {
		return procedure.Values{"entry": procedure.Text("planned"), "oxygen": procedure.Number(oxygen), "watcher": procedure.List(procedure.Text("Tove"))}
	}
	for oxygen, outside := range map[float64]bool{19.4: true, 19.5: false, 23.5: false, 23.6: true} {
		findings := s.Judge(day, "B07", in(oxygen))
		require.Equal(t, outside, procedure.Outside(findings), "%g %%: %v", oxygen, findings)
		require.Equal(t, outside, len(findings) > 0)
	}
	require.Empty(t, s.Judge(day, "B07", procedure.Values{"entry": procedure.Text("none")}))
	findings := s.Judge(day, "B07", procedure.Values{"entry": procedure.Text("none"), "oxygen": procedure.Number(20.9)})
	require.Len(t, findings, 1)
	require.False(t, findings[0].Outside)
	require.Len(t, s.Judge(day, "B07", procedure.Values{"entry": procedure.Text("planned")}), 2, "oxygen and who watches")
	require.Len(t, s.Judge(day, "B07", nil), 3, "not chosen: all may be asked")
	task := s.Tasks[6]
	require.Equal(t, []string{"second"}, task.Signers(s.Basis.Fixed, procedure.Values{"entry": procedure.Text("none")}))
	require.Equal(t, []string{"second", "competent"}, task.Signers(s.Basis.Fixed, in(20)))
}

// Each way to be wrong, where it is and whether it ends the attempt. Rules of
// this procedure.
func TestEntriesAreJudged(t *testing.T) {
	fresh := attempt(conditional(t))
	upTo(t, &fresh, "A01") // what later items are judged by
	for _, c := range []struct {
		item, name string
		value      procedure.Value
		at, says   string
		outside    bool
	}{
		{"B01", "review_closed", procedure.Value{}, "/review_closed", "not recorded yet", false},
		{"B01", "review_closed", procedure.Yes(false), "/review_closed", "not so", true},
		{"B01", "review_closed", procedure.Text("yes"), "/review_closed", "yes or no", false},
		{"B01", "mood", procedure.Text("good"), "/mood", "not asked", false},
		{"B02", "gas_decision", procedure.Text("allowed"), "/gas_decision", "not what the notebook says", false},
		{"B02", "gas_decision", procedure.Text("forbidden"), "/gas_decision", "choose one of", false},
		{"B04", "permission_copy", procedure.List(), "/permission_copy", "at least one picture", false},
		{"B04", "permission_copy", procedure.List(procedure.Text("x")), "/permission_copy", "at least one picture", false},
		{"B08", "ladder_foot", procedure.List(procedure.Text(" ")), "/ladder_foot", "at least one name", false},
		{"P01", "all_lines_ticked", procedure.Number(3), "/all_lines_ticked", "3 of 4", false},
		{"P01", "all_lines_ticked", procedure.Number(5), "/all_lines_ticked", "no more and no less", false},
		{"P01", "all_lines_ticked", procedure.Yes(true), "/all_lines_ticked", "say how many", false},
		{"P02", "rating", procedure.List(procedure.Number(99), procedure.Number(99), procedure.Number(9.9), procedure.Number(99)), "/rating/2", "outside its limits", true},
		{"P02", "rating", procedure.List(procedure.Number(99)), "/rating/3", "not recorded yet", false},
		{"P02", "rating", procedure.Number(99), "/rating", "4 entries", false},
		{"P04", "cure_hours", procedure.Number(23), "/cure_hours", "outside its limits", true},
		{"P04", "coldest", procedure.Number(4), "/coldest", "outside its limits", true},
		{"P04", "coldest", procedure.Text("8"), "/coldest", "a number in degC", false},
		{"P07", "relief_set", procedure.Number(1.2), "/relief_set", "outside its limits", true},
		{"P08", "gauge", gauge(16, 0.5, "2026-06-01")["gauge"], "/gauge", "at most four times", false},
		{"P08", "gauge", gauge(6, 1, "2025-01-01")["gauge"], "/gauge", "Take another one", false},
		{"P08", "gauge", procedure.Number(3), "/gauge", "choose an instrument", false},
		{"P10", "zone_radius", procedure.Number(4.9), "/zone_radius", "outside its limits", true},
		{"R01", "p_stage1", procedure.Number(0.9), "/p_stage1", "outside its limits", true},
		{"H03", "joints_dry", procedure.Number(7), "/joints_dry", "7 of 8", false},
		{"H03", "p_inspect", procedure.Number(1.1), "/p_inspect", "at most 1.076 bar", true},
		{"C02", "expires_on", procedure.Text("2027-03-01"), "/expires_on", "does not do", false},
		{"C02", "expires_on", procedure.Text("1 March 2027"), "/expires_on", "cannot be judged", false},
		{"C02", "expires_on", procedure.Text(""), "/expires_on", "a text", false},
		{"C03", "winter_note", procedure.Text(strings.Repeat("x", 3000)), "/winter_note", "at most 2000", false},
	} {
		v := filled(t, fresh, c.item)
		require.Empty(t, fresh.Judge(day, c.item, v), c.item)
		if v[c.name] = c.value; !c.value.Known() {
			delete(v, c.name)
		}
		findings := fresh.Judge(day, c.item, v)
		require.NotEmpty(t, findings, "%v", c)
		last := findings[len(findings)-1]
		require.Equal(t, c.at, last.At, "%v", findings)
		require.Contains(t, last.Text, c.says)
		require.Equal(t, c.outside, procedure.Outside(findings), "%v", findings)
	}
	require.NotEmpty(t, fresh.Judge(day, "Z99", nil))
}

// 85 dBA, from memory of the directive on noise: from there on a sign must hang,
// and somebody says that it does.
func TestNoiseTakesASign(t *testing.T) {
	s := attempt(conditional(t))
	v := procedure.Values{"noise": procedure.Number(84.9), "signs": procedure.List(procedure.Number(3))}
	require.Empty(t, s.Judge(day, "A04", v))
	v["noise"] = procedure.Number(85)
	findings := s.Judge(day, "A04", v)
	require.Len(t, findings, 1)
	require.False(t, findings[0].Outside, "it is not known whether a sign hangs")
	require.Contains(t, findings[0].Text, "Hang a sign")
	require.Empty(t, s.Judge(day, "A04", with(v, "ear_protection_sign", procedure.Yes(true))))
	require.True(t, procedure.Outside(s.Judge(day, "A04", with(v, "ear_protection_sign", procedure.Yes(false)))))
	require.NotEmpty(t, s.Judge(day, "A04", with(v, "ear_protection_sign", procedure.Text("yes"))))
}

// The ground counts as poor until somebody says that it is not.
func TestShallowGroundNeedsNoSupportWhereItIsSound(t *testing.T) {
	s := attempt(conditional(t))
	v := procedure.Values{"depth": procedure.Number(0.6), "trench": procedure.List(procedure.Number(3))}
	require.NotEmpty(t, s.Judge(day, "B06", v))
	require.Empty(t, s.Judge(day, "B06", with(v, "support_in_place", procedure.Yes(true))))
	require.Empty(t, s.Judge(day, "B06", with(v, "ground_poor", procedure.Yes(false))))
	v["depth"] = procedure.Number(1.2)
	require.NotEmpty(t, s.Judge(day, "B06", with(v, "ground_poor", procedure.Yes(false))), "from 1.2 m in any ground")
	v["depth"] = procedure.Number(1.7)
	require.True(t, procedure.Outside(s.Judge(day, "B06", with(v, "support_in_place", procedure.Yes(true)))), "deeper than the sheet says")
}

// Where leat could not work a limit out, the item is not met, and nothing ends.
func TestWhatCannotBeWorkedOutIsNotMet(t *testing.T) {
	b := conditional(t)
	b.Relief.SourceKgS = nil
	s := attempt(b)
	findings := s.Judge(day, "P07", procedure.Values{"relief_kind": procedure.Text("relief_valve"), "relief_set": procedure.Number(0.5), "relief_bore": procedure.Number(50), "relief": procedure.List(procedure.Number(1))})
	require.Len(t, findings, 1)
	require.False(t, findings[0].Outside)
	require.Equal(t, "/relief_bore", findings[0].At)
	require.Contains(t, findings[0].Text, "what the machine can deliver")
}
