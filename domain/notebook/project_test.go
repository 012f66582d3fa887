package notebook_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func TestProjectBeginsWithItsCrewAndAnEmptySite(t *testing.T) {
	t.Parallel()
	b := setup(t)
	p, err := b.Project(ctx, b.tomasz, b.project.ID)
	require.NoError(t, err)
	require.Equal(t, []domain.Person{{ID: b.petra.Account, Name: "Petra Lindahl"}}, p.Crew)
	require.Equal(t, domain.SiteFacts{}, p.Site.SiteFacts)
	require.Nil(t, p.Site.ChangedBy)
	require.Equal(t, int64(1), p.Version)
	require.Equal(t, []domain.Action{domain.SayOutcome, domain.LeaveRemark}, p.Allowed, "Tomasz is a checker")
	require.Len(t, p.Designs, 1)
	require.Equal(t, domain.Draft, p.Designs[0].Revision.State)
	require.Equal(t, "A", p.Designs[0].Revision.Letter)
	require.Nil(t, p.Designs[0].Newest)

	d, err := b.Design(ctx, b.petra, b.project.ID, b.design.ID)
	require.NoError(t, err)
	require.Nil(t, d.Sheet)
	require.Contains(t, d.Allowed, domain.EditDesign)
}

func TestRetriesMakeOneThing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	made := make([]bool, 10)
	ids := make([]domain.ProjectID, 10)
	for _, err := range atOnce(10, func(i int) error {
		p, yes, err := b.StartProject(ctx, b.tomasz, domain.StartProject{Title: fmt.Sprint("Try ", i), Key: "the-same-key"})
		made[i], ids[i] = yes, p.ID
		return err
	}) {
		require.NoError(t, err)
	}
	count := 0
	for i := range made {
		require.Equal(t, ids[0], ids[i])
		if made[i] {
			count++
		}
	}
	require.Equal(t, 1, count)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM projects WHERE client_key = 'the-same-key'"))

	again, yes, err := b.StartDesign(ctx, b.petra, domain.StartDesign{Project: b.project.ID, Title: "Other words", Key: "design-0001"})
	require.NoError(t, err)
	require.False(t, yes)
	require.Equal(t, b.design.ID, again.ID)
	require.Equal(t, "Garden trompe", again.Title)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM revisions"))
}

func TestKeysOfOthersDoNotMatter(t *testing.T) {
	t.Parallel()
	b := setup(t)
	p, made, err := b.StartProject(ctx, b.tomasz, domain.StartProject{Title: "Mine", Key: "project-0001"})
	require.NoError(t, err)
	require.True(t, made)
	require.NotEqual(t, b.project.ID, p.ID)
	other := b.startProject(t, "project-0002")
	_, _, err = b.StartDesign(ctx, b.petra, domain.StartDesign{Project: other.ID, Title: "Elsewhere", Key: "design-0001"})
	requireCode(t, "client-key-used", err)
}

func TestProjectsArePaged(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for i := range 4 {
		b.startProject(t, fmt.Sprintf("project-1%03d", i))
	}
	var seen []domain.ProjectID
	page := domain.Page{Limit: 2}
	for {
		projects, err := b.Projects(ctx, b.tomasz, page)
		require.NoError(t, err)
		if len(projects) == 0 {
			break
		}
		for _, p := range projects {
			require.Equal(t, "Petra Lindahl", p.Crew[0].Name)
			seen = append(seen, p.ID)
		}
		page.Before = int64(seen[len(seen)-1])
	}
	require.Len(t, seen, 5)
	require.IsDecreasing(t, seen)
}

func TestChangeProject(t *testing.T) {
	t.Parallel()
	b := setup(t)
	title, purpose, yes, no := " Pond air ", "For the fry.", true, false
	change := func(who domain.Actor, c domain.ChangeProject) (domain.Project, error) {
		c.Project = b.project.ID
		return b.ChangeProject(ctx, who, c)
	}
	p, err := change(b.petra, domain.ChangeProject{Version: 1, Title: &title})
	require.NoError(t, err)
	require.Equal(t, "Pond air", p.Title)
	p, err = change(b.petra, domain.ChangeProject{Version: 2, Purpose: &purpose, Closed: &yes})
	require.NoError(t, err)
	require.Equal(t, "Pond air", p.Title)
	require.Equal(t, "For the fry.", p.Purpose)
	require.NotNil(t, p.ClosedAt)
	require.Equal(t, []domain.Action{domain.AlterProject, domain.Withdraw, domain.AskCrew, domain.LeaveCrew}, p.Allowed)

	_, err = change(b.petra, domain.ChangeProject{Version: 3, Title: &title})
	requireCode(t, "project-closed", err)
	_, err = change(b.tomasz, domain.ChangeProject{Version: 3, Closed: &no})
	requireCode(t, "not-on-crew", err)
	_, err = change(b.petra, domain.ChangeProject{Version: 2, Closed: &no})
	requireCode(t, "project-stale", err)
	p, err = change(b.petra, domain.ChangeProject{Version: 3, Closed: &no})
	require.NoError(t, err)
	require.Nil(t, p.ClosedAt)
	require.Equal(t, int64(4), p.Version)
}

func TestOneOfManyChangesWins(t *testing.T) {
	t.Parallel()
	b := setup(t)
	title := "Pond air"
	oneWins(t, "project-stale", atOnce(12, func(int) error {
		_, err := b.ChangeProject(ctx, b.petra, domain.ChangeProject{Project: b.project.ID, Version: 1, Title: &title})
		return err
	}))
	oneWins(t, "site-stale", atOnce(12, func(int) error {
		_, err := b.DescribeSite(ctx, b.petra, domain.DescribeSite{Project: b.project.ID, Version: 1})
		return err
	}))
}

func TestDescribeSite(t *testing.T) {
	t.Parallel()
	b := setup(t)
	fall, zero, source := 2.6, 0.0, domain.Stream
	facts := domain.SiteFacts{Name: "Cobbler's Weir", Source: &source, FallM: &fall, AirC: &zero}
	s, err := b.DescribeSite(ctx, b.petra, domain.DescribeSite{Project: b.project.ID, Version: 1, Facts: facts})
	require.NoError(t, err)
	require.Equal(t, facts, s.SiteFacts)
	require.Equal(t, int64(2), s.Version)
	require.Equal(t, "Petra Lindahl", s.ChangedBy.Name)
	again, err := b.Site(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	require.Equal(t, s, again)

	s, err = b.DescribeSite(ctx, b.petra, domain.DescribeSite{Project: b.project.ID, Version: 2})
	require.NoError(t, err)
	require.Equal(t, domain.SiteFacts{}, s.SiteFacts, "what is left out is unknown again")

	_, err = b.DescribeSite(ctx, b.tomasz, domain.DescribeSite{Project: b.project.ID, Version: 3})
	requireCode(t, "not-on-crew", err)
	_, err = b.Site(ctx, b.tomasz, 999)
	requireCode(t, "not-found", err)
}
