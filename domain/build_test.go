package domain_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/sheet"
	"leat/domain"
)

// The rows are product.md, "Build": being built, built, in service (only with a
// valid certificate), laid up, scrapped.
func TestWaysOfABuild(t *testing.T) {
	all := []domain.BuildState{domain.BeingBuilt, domain.Built, domain.InService, domain.LaidUp, domain.Scrapped}
	valid, lapsed := domain.Validity{Valid: true}, domain.Validity{Reasons: []string{"It was moved."}}
	const fits = ""
	for _, row := range []struct {
		from        domain.BuildState
		revision    domain.State
		certificate domain.Validity
		want        map[domain.BuildState]string // else build-state
	}{
		{domain.BeingBuilt, domain.Cleared, valid, map[domain.BuildState]string{domain.Built: fits, domain.Scrapped: fits}},
		{domain.BeingBuilt, domain.Withdrawn, valid, map[domain.BuildState]string{domain.Built: "revision-withdrawn", domain.Scrapped: fits}},
		{domain.Built, domain.Superseded, valid, map[domain.BuildState]string{domain.InService: fits, domain.Scrapped: fits}},
		{domain.Built, domain.Cleared, lapsed, map[domain.BuildState]string{domain.InService: "certificate-missing", domain.Scrapped: fits}},
		{domain.Built, domain.Withdrawn, valid, map[domain.BuildState]string{domain.InService: "revision-withdrawn", domain.Scrapped: fits}},
		{domain.InService, domain.Withdrawn, lapsed, map[domain.BuildState]string{domain.LaidUp: fits, domain.Scrapped: fits}},
		{domain.LaidUp, domain.Cleared, lapsed, map[domain.BuildState]string{domain.InService: "certificate-missing", domain.Scrapped: fits}},
		{domain.LaidUp, domain.Cleared, valid, map[domain.BuildState]string{domain.InService: fits, domain.Scrapped: fits}},
	} {
		b := domain.Build{State: row.from, Revision: row.revision, Letter: "B", Certificate: row.certificate}
		lacking := map[domain.BuildState]string{}
		for _, to := range all {
			want, leads := row.want[to]
			if !leads {
				want = "build-state"
			}
			err := b.GoesTo(to)
			if want == fits {
				require.NoError(t, err, "%s to %s", row.from, to)
				continue
			}
			require.ErrorContains(t, err, want+": ", "%s to %s", row.from, to)
			lacking[to] = err.Error()
		}
		require.Len(t, b.Ways(), len(row.want))
		for _, way := range b.Ways() {
			require.Equal(t, row.want[way.State] == fits, way.Lacks == "", "%s to %s", row.from, way.State)
			require.True(t, strings.HasSuffix(lacking[way.State], way.Lacks))
		}
	}
	for _, to := range all {
		require.ErrorContains(t, domain.Build{State: domain.Scrapped}.GoesTo(to), "build-scrapped")
	}
}

func TestMarksOfABuild(t *testing.T) {
	codes := func(b domain.Build) (all []string) {
		for _, m := range b.Marks() {
			require.NotEmpty(t, m.Text)
			all = append(all, m.Code)
		}
		return all
	}
	valid := domain.Validity{Valid: true}
	require.Empty(t, codes(domain.Build{State: domain.InService, Revision: domain.Cleared, Certificate: valid}))
	require.Equal(t, []string{"not-valid"}, codes(domain.Build{State: domain.InService, Revision: domain.Cleared}))
	require.Equal(t, []string{"revision-withdrawn", "not-valid"}, codes(domain.Build{State: domain.InService, Revision: domain.Withdrawn}))
	require.Equal(t, []string{"revision-withdrawn"}, codes(domain.Build{State: domain.BeingBuilt, Revision: domain.Withdrawn}))
	require.Contains(t, domain.Build{Revision: domain.Withdrawn, Reason: "the drum buckles"}.Marks()[0].Text, "the drum buckles")
	require.Equal(t, []string{"revision-superseded"}, codes(domain.Build{State: domain.Built, Revision: domain.Superseded}))
	require.Empty(t, codes(domain.Build{State: domain.Built, Revision: domain.Cleared}), "only who is in service must be valid")
	require.Empty(t, codes(domain.Build{State: domain.Scrapped, Revision: domain.Withdrawn}))
}

// stands is a build with one difference, made from sheet A.1.
func stands(t *testing.T) (domain.Build, domain.Sheet) {
	t.Helper()
	drawn := domain.Sheet{SheetHead: domain.SheetHead{Design: 3, Letter: "A", Number: 1}}
	drawn.Input = sheet.Input{Trompe: []byte(`{"intake": {"n_tubes": 32}}`), Parts: []byte(`[{"role": "riser", "joint": "solvent"}]`)}
	now := domain.BuildVersion{
		Number: 4, Letter: "A", Sheet: domain.SheetRef{Design: 3, Letter: "A", Number: 1}, Place: "below the mill", Moves: 1,
		Differences: map[string]float64{"/trompe/intake/n_tubes": 28}, Renewed: map[string]int{"/parts/0": 1},
	}
	return domain.Build{State: domain.Built, Revision: domain.Cleared, Letter: "A", Now: &now}, drawn
}

func TestWhatIsLeftOutOfAChangeStays(t *testing.T) {
	b, drawn := stands(t)
	next, err := domain.ChangeBuild{Renewed: []string{"/parts/0/joint"}, Note: "wept at the socket"}.Next(b, drawn)
	require.NoError(t, err)
	require.Equal(t, 5, next.Number)
	require.Equal(t, b.Now.Differences, next.Differences)
	require.Equal(t, map[string]int{"/parts/0": 1, "/parts/0/joint": 1}, next.Renewed)
	require.Equal(t, "below the mill", next.Place)
	require.Equal(t, 1, next.Moves)
	require.Contains(t, string(next.Input.Trompe), `"n_tubes":28`)

	same := "below the mill"
	_, err = domain.ChangeBuild{Place: &same, Differences: map[string]float64{"/trompe/intake/n_tubes": 28}}.Next(b, drawn)
	require.ErrorContains(t, err, "no_change")
	_, err = domain.ChangeBuild{Note: "words alone"}.Next(b, drawn)
	require.ErrorContains(t, err, "no_change")
}

func TestFaultsOfAChangeAtOnce(t *testing.T) {
	place := " "
	change := domain.ChangeBuild{Place: &place, Renewed: make([]string, 101), Note: strings.Repeat("x", 501)}
	require.Equal(t, []string{"/note", "/place", "/renewed"}, pointers(t, change.Validate()))
	b, drawn := stands(t)
	_, err := domain.ChangeBuild{Differences: map[string]float64{"/parts/0/line": 1, "/odd~name": 1}, Renewed: []string{"/parts/0", "/parts/4"}}.Next(b, drawn)
	require.Equal(t, []string{"/renewed/1", "/differences/~1odd~0name", "/differences/~1parts~10~1line"}, pointers(t, err))

	start := domain.StartBuild{Title: "", Place: strings.Repeat("x", 201), Note: "\x00", Key: "k"}
	require.Equal(t, []string{"/title", "/place", "/note", "/client_key"}, pointers(t, start.Validate()))
	state := domain.ChangeBuildState{State: "mended", Reason: strings.Repeat("x", 501)}
	require.Equal(t, []string{"/reason", "/state"}, pointers(t, state.Validate()))
}
