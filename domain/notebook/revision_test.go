package notebook_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/domain"
)

// saved saves n sheets, with 5, 6, 7 ... tubes, and returns the design's version.
func (b *bundle) saved(t *testing.T, n int) int64 {
	t.Helper()
	version := b.design.Version
	for i := range n {
		var err error
		_, version, err = b.SaveSheet(ctx, b.petra, b.save(version, machine(t, map[[2]string]any{{"intake", "n_tubes"}: 5 + i})))
		require.NoError(t, err)
	}
	return version
}

func (b *bundle) next(version int64, from *domain.SheetRef) domain.StartRevision {
	return domain.StartRevision{Project: b.project.ID, Design: b.design.ID, Version: version, From: from}
}

func TestNextLetterStartsAsACopyAndTheOldOneStays(t *testing.T) {
	t.Parallel()
	b := setup(t)
	version := b.saved(t, 2)
	b.stand(t, "A", "returned")
	d, err := b.StartRevision(ctx, b.petra, b.next(version, nil))
	require.NoError(t, err)
	require.Equal(t, version+1, d.Version)
	require.Equal(t, "B", d.Revision.Letter)
	require.Equal(t, domain.Draft, d.Revision.State)
	require.Equal(t, "Petra Lindahl", d.Revision.StartedBy.Name)
	require.Equal(t, 1, d.Sheet.Number)
	require.Equal(t, "Copy of A.2.", d.Sheet.Note)
	require.Contains(t, string(d.Sheet.Input.Trompe), `"n_tubes": 6`)
	require.Len(t, d.Revisions, 2)
	require.Equal(t, domain.Returned, d.Revisions[1].State)
	require.Equal(t, 2, d.Revisions[1].SheetCount)

	old, err := b.Sheet(ctx, b.tomasz, b.project.ID, b.design.ID, "A", 1)
	require.NoError(t, err, "what was returned can be read")
	require.Contains(t, string(old.Input.Trompe), `"n_tubes": 5`)
	_, _, err = b.SaveSheet(ctx, b.petra, b.save(d.Version, machine(t, nil)))
	requireCode(t, "revision-frozen", err)

	b.stand(t, "B", "returned")
	d, err = b.StartRevision(ctx, b.petra, b.next(d.Version, &domain.SheetRef{Design: b.design.ID, Letter: "A", Number: 1}))
	require.NoError(t, err)
	require.Equal(t, "C", d.Revision.Letter)
	require.Contains(t, string(d.Sheet.Input.Trompe), `"n_tubes": 5`)
}

// The old sheet has an answer that today's calculation never gave.
func TestCopyIsCalculatedAgain(t *testing.T) {
	t.Parallel()
	b := setup(t)
	version := b.saved(t, 1)
	b.db.Exec(t, `INSERT INTO sheets (revision_id, number, input, report, calc_version, note, saved_by, saved_at)
		SELECT revision_id, 2, input, '{"calc_version": "0.0.old", "trompe": {"status": "no_head"}}', '0.0.old', '', saved_by, saved_at FROM sheets`)
	b.db.Exec(t, `UPDATE revisions SET sheet_count = 2`)
	b.stand(t, "A", "returned")
	d, err := b.StartRevision(ctx, b.petra, b.next(version, nil))
	require.NoError(t, err)
	require.Equal(t, "Copy of A.2.", d.Sheet.Note)
	require.Equal(t, calc.Version, d.Sheet.CalcVersion)
	require.NotEqual(t, "no_head", d.Newest.Answer.Status)
}

func TestNextLetterIsRefused(t *testing.T) {
	t.Parallel()
	b := setup(t)
	start := func(who domain.Actor, version int64, from *domain.SheetRef) error {
		_, err := b.StartRevision(ctx, who, b.next(version, from))
		return err
	}
	version := b.saved(t, 1)
	b.stand(t, "A", "returned")
	requireCode(t, "not-on-crew", start(b.tomasz, version, nil))
	requireCode(t, "design-stale", start(b.petra, version-1, nil))
	requireCode(t, "design-stale", start(b.petra, version-1, &domain.SheetRef{Design: b.design.ID, Letter: "A", Number: 1}))
	requireCode(t, "not-found", start(b.petra, version, &domain.SheetRef{Design: b.design.ID, Letter: "A", Number: 2}))
	requireCode(t, "not-found", start(b.petra, version, &domain.SheetRef{Design: 999, Letter: "A", Number: 1}))

	b.db.Put(t, domain.Draft, "true")
	b.db.Exec(t, `INSERT INTO sheets (revision_id, number, input, report, calc_version, note, saved_by, saved_at)
		SELECT revision_id, 9, '{"trompe": {"supply": {"type": "pump"}}}', '{"calc_version": "0.0.old"}', '0.0.old', '', saved_by, saved_at FROM sheets`)
	b.stand(t, "A", "returned")
	e := requireCode(t, "invalid", start(b.petra, version, &domain.SheetRef{Design: b.design.ID, Letter: "A", Number: 9}))
	require.Equal(t, "/from", e.Fields[0].Pointer)

	b.db.Put(t, domain.InCheck, "true")
	requireCode(t, "revision-open", start(b.petra, version, nil))
	b.db.Exec(t, "UPDATE projects SET closed_at = now()")
	requireCode(t, "project-closed", start(b.petra, version, nil))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM revisions"))
	require.Equal(t, int(version), b.db.Number(t, "SELECT max(version) FROM designs"))
}

// product.md, "Design and revisions": a draft goes to its check and nowhere else.
func TestNoLetterFollowsADraft(t *testing.T) {
	t.Parallel()
	b := setup(t)
	own := &domain.SheetRef{Design: b.design.ID, Letter: "A", Number: 1}
	_, err := b.StartRevision(ctx, b.petra, b.next(1, nil))
	requireCode(t, "letter-is-draft", err)
	version := b.saved(t, 1)
	for _, from := range []*domain.SheetRef{nil, own, {Design: b.design.ID, Letter: "A", Number: 9}} {
		_, err := b.StartRevision(ctx, b.petra, b.next(version, from))
		refused := requireCode(t, "letter-is-draft", err)
		require.Contains(t, refused.Message, "Letter A is a draft")
		for _, remedy := range []string{"next sheet", "issue it for check", "take it back"} {
			require.Contains(t, refused.Message, remedy)
		}
	}
	_, err = b.StartRevision(ctx, b.tomasz, b.next(version, own))
	requireCode(t, "not-on-crew", err)
	empty := b.startDesign(t, "design-0002")
	_, err = b.StartRevision(ctx, b.petra, domain.StartRevision{Project: b.project.ID, Design: empty.ID, Version: 1, From: own})
	requireCode(t, "letter-is-draft", err)
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM revisions WHERE state = 'draft'"))
	require.Equal(t, int(version), b.db.Number(t, "SELECT max(version) FROM designs"))
	_, _, err = b.SaveSheet(ctx, b.petra, b.save(version, machine(t, nil)))
	require.NoError(t, err, "it takes its next sheet as if nothing had been tried")
}

func TestOneOfManyNextLettersWins(t *testing.T) {
	t.Parallel()
	b := setup(t)
	version := b.saved(t, 1)
	b.stand(t, "A", "returned")
	oneWins(t, "design-stale", atOnce(8, func(int) error { _, err := b.StartRevision(ctx, b.petra, b.next(version, nil)); return err }))
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM revisions"))
}

func TestDesignStartsAsACopy(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.saved(t, 2)
	cmd := domain.StartDesign{
		Project: b.project.ID, Title: "Short riser", Key: "design-0002", From: &domain.SheetRef{Design: b.design.ID, Letter: "A", Number: 1},
	}
	d, made, err := b.StartDesign(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, "Copy of A.1 of “Garden trompe”.", d.Sheet.Note)
	require.Equal(t, "A", d.Sheet.Letter)
	require.Contains(t, string(d.Sheet.Input.Trompe), `"n_tubes": 5`)
	again, made, err := b.StartDesign(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, d, again)

	cmd.Key, cmd.From.Number = "design-0003", 3
	_, _, err = b.StartDesign(ctx, b.petra, cmd)
	requireCode(t, "not-found", err)
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM designs"))
}
