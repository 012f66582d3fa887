package notebook_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func (b *bundle) gauging(flow float64, key string) domain.RecordGauging {
	return domain.RecordGauging{Project: b.project.ID, Facts: domain.GaugingFacts{FlowM3S: flow, How: "bucket"}, Key: key}
}

func TestGaugingIsKeptAndTheLastOneCounts(t *testing.T) {
	t.Parallel()
	b := setup(t)
	half, day := 0.0002, time.Date(2025, 8, 12, 0, 0, 0, 0, time.UTC)
	cmd := b.gauging(0.0034, "gauging-0001")
	cmd.Facts.HalfWidthM3S, cmd.Facts.On, cmd.Facts.Note = &half, &day, "after a dry month"
	first, made, err := b.RecordGauging(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, cmd.Facts, first.GaugingFacts)
	again, made, err := b.RecordGauging(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, first, again)
	second, _, err := b.RecordGauging(ctx, b.petra, b.gauging(0.0029, "gauging-0002"))
	require.NoError(t, err)

	list, err := b.Gaugings(ctx, b.tomasz, b.project.ID, domain.Page{})
	require.NoError(t, err)
	require.Equal(t, []domain.Gauging{second, first}, list)
	s, err := b.Site(ctx, b.tomasz, b.project.ID)
	require.NoError(t, err)
	require.Equal(t, second, *s.Gauging)
	require.Equal(t, 0.0029, *s.FlowM3S)
	require.Equal(t, int64(3), s.Version, "who describes the site meanwhile hears of it")

	_, _, err = b.RecordGauging(ctx, b.tomasz, b.gauging(1, "gauging-0003"))
	requireCode(t, "not-on-crew", err)
	_, err = b.Gaugings(ctx, b.petra, 999, domain.Page{})
	requireCode(t, "not-found", err)
	other := b.startProject(t, "project-0002")
	cmd.Project = other.ID
	_, _, err = b.RecordGauging(ctx, b.petra, cmd)
	requireCode(t, "client-key-used", err)
}

func TestFlowOfADescribedSiteIsAGauging(t *testing.T) {
	t.Parallel()
	b := setup(t)
	flow, version := 0.0034, int64(1)
	describe := func(flow *float64, how string) domain.Site {
		s, err := b.DescribeSite(ctx, b.petra, domain.DescribeSite{
			Project: b.project.ID, Version: version, Facts: domain.SiteFacts{FlowM3S: flow, Gauged: how},
		})
		require.NoError(t, err)
		version = s.Version
		return s
	}
	first := describe(&flow, "bucket")
	require.Equal(t, flow, first.Gauging.FlowM3S)
	require.Equal(t, first.Gauging, describe(&flow, "bucket").Gauging, "the same again is no new one")
	require.Equal(t, first.Gauging, describe(nil, "").Gauging, "nothing said, nothing lost")
	second := describe(&flow, "bucket, five fills")
	require.NotEqual(t, first.Gauging.ID, second.Gauging.ID)
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM gaugings"))
}

func TestNewGaugingChangesNoSheet(t *testing.T) {
	t.Parallel()
	b := setup(t)
	g, _, err := b.RecordGauging(ctx, b.petra, b.gauging(0.0034, "gauging-0001"))
	require.NoError(t, err)
	cmd := b.save(1, machine(t, nil))
	cmd.Gauging = &g.ID
	saved, version, err := b.SaveSheet(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, g.ID, *saved.Gauging)
	_, _, err = b.RecordGauging(ctx, b.petra, b.gauging(0.0029, "gauging-0002"))
	require.NoError(t, err)
	kept, err := b.Sheet(ctx, b.tomasz, b.project.ID, b.design.ID, "A", 1)
	require.NoError(t, err)
	require.Equal(t, saved, kept)
	b.stand(t, "A", "returned")
	d, err := b.StartRevision(ctx, b.petra, b.next(version, nil))
	require.NoError(t, err)
	require.Equal(t, g.ID, *d.Sheet.Gauging, "a copy names the gauging of what it copies")

	foreign := domain.GaugingID(999)
	cmd.Gauging, cmd.Letter, cmd.Version = &foreign, "B", d.Version
	_, _, err = b.SaveSheet(ctx, b.petra, cmd)
	require.Equal(t, "/gauging", requireCode(t, "invalid", err).Fields[0].Pointer)
	require.Equal(t, 2, b.sheets(t))
}
