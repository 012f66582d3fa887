package notebook

import (
	"context"
	"fmt"
	"time"

	"leat/domain"
	"leat/domain/store"
)

// demoLoad loads the demo within one transaction.
type demoLoad struct {
	*Notebook
	tx       *store.Tx
	machines map[string]demoMachine
	people   map[string]domain.Actor // by address
}

// group loads everything, and tells whether the notebook was empty. What the
// people drew and lived through is as long ago as the story wants.
func (l demoLoad) group(ctx context.Context, hash, code string) (bool, error) {
	if err := l.tx.LockAccounts(); err != nil {
		return false, err
	}
	if inhabited, err := l.tx.HasAccounts(); err != nil || inhabited {
		return false, err
	}
	for _, p := range DemoPeople() {
		if err := l.person(p, hash, code); err != nil {
			return false, err
		}
	}
	then := *l.Notebook
	then.clock = func() time.Time { return l.clock().Add(-storyDays * 24 * time.Hour) }
	drawn := demoLoad{&then, l.tx, l.machines, l.people}
	story := l.newStory(ctx)
	for _, d := range demoProjects() {
		id, err := drawn.project(ctx, l.people[d.address], d)
		if err != nil {
			return false, fmt.Errorf("project %s of the demo: %w", d.start.Key, err)
		}
		story.projects[d.start.Key] = id
	}
	if err := story.tell(l.now()); err != nil {
		return false, err
	}
	if err := l.settings(l.people[ines]); err != nil {
		return false, err
	}
	if err := l.stock(); err != nil {
		return false, fmt.Errorf("stock of the demo: %w", err)
	}
	return true, nil
}

func (l demoLoad) project(ctx context.Context, who domain.Actor, d demoProject) (domain.ProjectID, error) {
	p, _, err := l.startProject(l.tx, who, d.start)
	if err != nil {
		return 0, err
	}
	site, err := l.describeSite(l.tx, who, domain.DescribeSite{Project: p.ID, Version: p.Site.Version, Facts: d.site})
	if err != nil {
		return 0, err
	}
	gaugings, err := l.gaugings(who, site, d)
	if err != nil {
		return 0, err
	}
	for i, design := range d.designs {
		start := domain.StartDesign{Project: p.ID, Title: design.title, Key: fmt.Sprintf("%s-%d", d.start.Key, i+1)}
		if err := l.design(ctx, who, start, gaugings, design.letters); err != nil {
			return 0, err
		}
	}
	return p.ID, l.crew(who, p.ID, d)
}

// gaugings records the later gaugings of a site and returns the ids of all,
// the first one first.
func (l demoLoad) gaugings(who domain.Actor, site domain.Site, d demoProject) ([]domain.GaugingID, error) {
	ids := []domain.GaugingID{site.Gauging.ID}
	_, permit, err := authorize(l.tx, who, site.Project, domain.RecordSite)
	if err != nil {
		return nil, err
	}
	for i, g := range d.gauged {
		g.facts.On = given(l.now().UTC().AddDate(0, 0, -g.daysAgo).Truncate(24 * time.Hour))
		cmd := domain.RecordGauging{Project: site.Project, Facts: g.facts, Key: fmt.Sprintf("%s-gauging-%d", d.start.Key, i+2)}
		if err := cmd.Validate(l.now()); err != nil {
			return nil, err
		}
		id, _, err := l.tx.RecordGauging(permit, cmd, l.now())
		if err != nil {
			return nil, err
		}
		ids = append(ids, id)
	}
	return ids, nil
}

func (l demoLoad) design(ctx context.Context, who domain.Actor, start domain.StartDesign, gaugings []domain.GaugingID, letters [][]demoSave) error {
	d, _, err := l.startDesign(l.tx, who, start, nil)
	if err != nil {
		return err
	}
	for i, saves := range letters {
		if i > 0 {
			if d, err = l.nextLetter(ctx, who, d); err != nil {
				return err
			}
		}
		for _, save := range saves {
			m := l.machines[save.machine]
			cmd := domain.SaveSheet{
				Project: d.Project, Design: d.ID, Letter: d.Revision.Letter, Version: d.Version,
				Input: m.input, Gauging: &gaugings[save.gauging], Note: save.note,
			}
			if _, d.Version, err = l.saveSheet(l.tx, who, cmd, m.report); err != nil {
				return err
			}
		}
	}
	return nil
}

// nextLetter has a letter issued with the words of its last sheet, taken back by
// those who drew it, and the next one started from it.
func (l demoLoad) nextLetter(ctx context.Context, who domain.Actor, d domain.Design) (domain.Design, error) {
	n := *l.Notebook
	n.db = l.tx.Within()
	d, err := n.Design(ctx, who, d.Project, d.ID)
	if err != nil {
		return d, err
	}
	check, err := n.IssueRevision(ctx, who, domain.IssueRevision{
		Project: d.Project, Design: d.ID, Letter: d.Revision.Letter, Version: d.Version, Sheet: d.Sheet.Number, Note: d.Sheet.Note,
	})
	if err != nil {
		return d, err
	}
	check, err = n.TakeBackRevision(ctx, who, domain.TakeBackRevision{Project: d.Project, Design: d.ID, Letter: d.Revision.Letter, Version: check.Version})
	if err != nil {
		return d, err
	}
	return n.StartRevision(ctx, who, domain.StartRevision{Project: d.Project, Design: d.ID, Version: check.Version})
}
