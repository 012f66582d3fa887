package notebook_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/build"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain"
)

func TestSavedSheetIsWhatWasCalculated(t *testing.T) {
	t.Parallel()
	b := setup(t)
	in := machine(t, nil)
	want, err := sheet.RunWithIntervals(sheet.Input{Trompe: in}, build.DefaultLimits(), nil, draws)
	require.NoError(t, err)

	saved, version, err := b.SaveSheet(ctx, b.petra, b.save(1, in))
	require.NoError(t, err)
	require.Equal(t, int64(2), version)
	require.Equal(t, 1, saved.Number)
	require.Equal(t, domain.Person{ID: b.petra.Account, Name: "Petra Lindahl"}, saved.SavedBy)
	require.Equal(t, string(trompe.OK), saved.Answer.Status)

	d, err := b.Design(ctx, b.tomasz, b.project.ID, b.design.ID)
	require.NoError(t, err)
	require.Equal(t, version, d.Version)
	require.Equal(t, saved, *d.Sheet)
	require.JSONEq(t, string(in), string(d.Sheet.Input.Trompe))
	require.Equal(t, asJSON(t, want), asJSON(t, d.Sheet.Report), "a number was changed on the way")
	require.Equal(t, draws, d.Sheet.Report.Trompe.Uncertainty.Draws)
	set, _ := trompe.SetZero()
	require.Equal(t, set.Name, d.Sheet.CoefficientSet)
	require.Equal(t, want.Trompe.ChamberGaugePa, *d.Newest.Answer.ChamberGaugePa)
	require.Equal(t, want.Trompe.FreeAirM3S, *d.Newest.Answer.FreeAirM3S)
	require.Equal(t, want.Trompe.WaterFlowM3S, *d.Newest.Answer.WaterFlowM3S)
	require.Equal(t, len(want.Trompe.Warnings), d.Newest.Answer.WarningCount)
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	raw, err := json.Marshal(v)
	require.NoError(t, err)
	return string(raw)
}

func TestNewestSheetCountsAndEarlierOnesStay(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for n := range 3 {
		_, _, err := b.SaveSheet(ctx, b.petra, b.save(int64(n+1), machine(t, map[[2]string]any{{"intake", "n_tubes"}: 5 + n})))
		require.NoError(t, err)
	}
	d, err := b.Design(ctx, b.petra, b.project.ID, b.design.ID)
	require.NoError(t, err)
	require.Equal(t, 3, d.Sheet.Number)

	heads, err := b.Sheets(ctx, b.tomasz, b.project.ID, b.design.ID, "A", domain.Page{Limit: 2})
	require.NoError(t, err)
	require.Equal(t, []int{3, 2}, []int{heads[0].Number, heads[1].Number})
	heads, err = b.Sheets(ctx, b.tomasz, b.project.ID, b.design.ID, "A", domain.Page{Limit: 2, Before: 2})
	require.NoError(t, err)
	require.Len(t, heads, 1)

	first, err := b.Sheet(ctx, b.tomasz, b.project.ID, b.design.ID, "A", 1)
	require.NoError(t, err)
	require.Contains(t, string(first.Input.Trompe), `"n_tubes": 5`)

	p, err := b.Project(ctx, b.tomasz, b.project.ID)
	require.NoError(t, err)
	require.Equal(t, 3, p.Designs[0].Newest.Number)
	require.Nil(t, p.Designs[0].Sheet)
}

func TestOneOfManySavesWins(t *testing.T) {
	t.Parallel()
	b := setup(t)
	in := machine(t, nil)
	errs := atOnce(20, func(int) error { _, _, err := b.SaveSheet(ctx, b.petra, b.save(1, in)); return err })
	oneWins(t, "design-stale", errs)
	require.Equal(t, 1, b.sheets(t))
	require.Equal(t, 2, b.db.Number(t, "SELECT version FROM designs"))
	require.Equal(t, 1, b.db.Number(t, "SELECT sheet_count FROM revisions"))
}

func TestMachineThatCannotWorkIsSaved(t *testing.T) {
	t.Parallel()
	b := setup(t)
	uphill := machine(t, map[[2]string]any{{"riser", "outlet_m"}: 1.72})
	s, _, err := b.SaveSheet(ctx, b.petra, b.save(1, uphill))
	require.NoError(t, err)
	require.Equal(t, trompe.NoHead, s.Report.Trompe.Status)
	require.Nil(t, s.Report.Trompe.Numbers)
	require.Equal(t, string(trompe.NoHead), s.Answer.Status)
	require.Nil(t, s.Answer.ChamberGaugePa)
}

func TestFaultyInputSavesNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for name, c := range map[string]struct {
		machine string
		at      string
	}{
		"a field missing":   {`{"supply": {"type": "forebay"}}`, "/input/trompe/supply/level_m"},
		"an unknown field":  {string(machine(t, map[[2]string]any{{"intake", "colour"}: "red"})), "/input/trompe/intake/colour"},
		"text for a number": {string(machine(t, map[[2]string]any{{"downcomer", "bore_m"}: "wide"})), "/input/trompe/downcomer/bore_m"},
		"a list":            {`[]`, "/input/trompe"},
		"nothing":           {`null`, "/input/trompe"},
		"no text at all":    {``, "/input/trompe"},
		"a NUL character":   {string(machine(t, map[[2]string]any{{"supply", "type"}: "\x00"})), "/input/trompe/supply/type"},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := b.SaveSheet(ctx, b.petra, b.save(1, json.RawMessage(c.machine)))
			e := requireCode(t, "invalid", err)
			var at []string
			for _, f := range e.Fields {
				at = append(at, f.Pointer)
			}
			require.Contains(t, at, c.at)
		})
	}
	require.Equal(t, 0, b.sheets(t))
	require.Equal(t, 1, b.db.Number(t, "SELECT version FROM designs"))
}

func TestSaveIsRefused(t *testing.T) {
	t.Parallel()
	b := setup(t)
	other := b.startProject(t, "project-0002")
	in := machine(t, nil)
	try := func(who domain.Actor, change func(*domain.SaveSheet)) error {
		cmd := b.save(1, in)
		change(&cmd)
		_, _, err := b.SaveSheet(ctx, who, cmd)
		return err
	}
	as := func(*domain.SaveSheet) {}
	requireCode(t, "not-on-crew", try(b.tomasz, as))
	requireCode(t, "signed-out", try(domain.Actor{Account: 999}, as))
	requireCode(t, "design-stale", try(b.petra, func(c *domain.SaveSheet) { c.Version = 2 }))
	requireCode(t, "not-found", try(b.petra, func(c *domain.SaveSheet) { c.Letter = "B" }))
	requireCode(t, "not-found", try(b.petra, func(c *domain.SaveSheet) { c.Design = 999 }))
	requireCode(t, "not-found", try(b.petra, func(c *domain.SaveSheet) { c.Project = 999 }))
	requireCode(t, "not-found", try(b.petra, func(c *domain.SaveSheet) { c.Project = other.ID }))
	requireCode(t, "invalid", try(b.petra, func(c *domain.SaveSheet) { c.Note = strings.Repeat("x", 501) }))
	b.db.Exec(t, "UPDATE projects SET closed_at = now()")
	requireCode(t, "project-closed", try(b.petra, as))
	b.db.Exec(t, "UPDATE projects SET closed_at = NULL")
	b.db.Put(t, domain.InCheck, "true")
	requireCode(t, "revision-frozen", try(b.petra, as))
	frozen, err := b.Design(ctx, b.petra, b.project.ID, b.design.ID)
	require.NoError(t, err)
	require.NotContains(t, frozen.Allowed, domain.EditDesign)
	require.Equal(t, 0, b.sheets(t))
	require.Equal(t, 1, b.db.Number(t, "SELECT version FROM designs"))
	require.Equal(t, 0, b.db.Number(t, "SELECT sheet_count FROM revisions"))
}

func TestThingsOfAnotherProjectAreNotFound(t *testing.T) {
	t.Parallel()
	b := setup(t)
	_, _, err := b.SaveSheet(ctx, b.petra, b.save(1, machine(t, nil)))
	require.NoError(t, err)
	other := b.startProject(t, "project-0002").ID
	_, err = b.Design(ctx, b.petra, other, b.design.ID)
	requireCode(t, "not-found", err)
	_, err = b.Sheets(ctx, b.petra, other, b.design.ID, "A", domain.Page{})
	requireCode(t, "not-found", err)
	_, err = b.Sheet(ctx, b.petra, other, b.design.ID, "A", 1)
	requireCode(t, "not-found", err)
}

func TestPreviewStoresNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	r, err := b.Preview(ctx, b.tomasz, sheet.Input{Trompe: machine(t, nil)})
	require.NoError(t, err)
	require.Equal(t, trompe.OK, r.Trompe.Status)
	r, err = b.Preview(ctx, b.tomasz, sheet.Input{Trompe: json.RawMessage(`{}`)})
	require.NoError(t, err)
	require.NotEmpty(t, r.Faults)
	require.Equal(t, 0, b.sheets(t))
}
