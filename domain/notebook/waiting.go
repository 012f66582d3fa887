package notebook

import (
	"context"
	"slices"

	"leat/domain"
	"leat/domain/store"
)

// Waiting returns what waits for the actor, but for the crews that ask: those
// are [Notebook.Asks].
func (n *Notebook) Waiting(ctx context.Context, who domain.Actor) ([]domain.Awaited, error) {
	return read(ctx, n, func(tx *store.Tx) (all []domain.Awaited, err error) {
		for _, look := range []func(*store.Tx, domain.Actor) ([]domain.Awaited, error){
			n.waitingTests, n.waitingRuns, n.waitingBuilds, n.waitingChecks, n.waitingRemarks, n.waitingIncidents, n.waitingAnswers, n.waitingHides, n.waitingRules, n.waitingSets, n.waitingInstruments,
		} {
			found, err := look(tx, who)
			if err != nil {
				return nil, err
			}
			all = append(all, found...)
		}
		return all, tx.TitleAwaited(all)
	})
}

// waitingTests names the builds by their ids; their titles come later.
func (n *Notebook) waitingTests(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	w, err := tx.WaitingTests(who.Account, n.demo, n.now())
	for _, s := range w.ToSign {
		list = append(list, domain.Awaited{Kind: domain.AwaitsSignature, Build: s.Test.Build, Number: int64(s.Test.Number), At: &s.Test.StartedAt})
	}
	for _, t := range w.ToCertify {
		list = append(list, domain.Awaited{Kind: domain.AwaitsCertificate, Build: t.Build, Number: int64(t.Number), At: t.EndedAt})
	}
	for _, c := range w.Lapsing {
		list = append(list, domain.Awaited{Kind: domain.AwaitsNewTest, Build: c.Build, At: &c.ExpiresOn})
	}
	return list, err
}

// waitingRuns are those that the actor could confirm. Their builds have titles
// later.
func (n *Notebook) waitingRuns(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	runs, err := tx.WaitingRuns(who.Account)
	for _, r := range runs {
		list = append(list, domain.Awaited{Kind: domain.AwaitsConfirming, Build: r.Build, Number: int64(r.Number), Title: r.Title, By: &r.Submitted.By, At: &r.Submitted.At})
	}
	return list, err
}

func (n *Notebook) waitingBuilds(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	builds, err := tx.WaitingBuilds(who.Account, n.now())
	for _, b := range builds {
		list = append(list, domain.Awaited{Kind: domain.AwaitsLayUp, Project: b.Project, Build: b.ID, Thing: b.Title})
	}
	return list, err
}

func (n *Notebook) waitingChecks(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	checks, err := tx.WaitingChecks(who)
	for _, c := range checks {
		list = append(list, domain.Awaited{Kind: domain.AwaitsOutcome, Project: c.Project, Design: c.Design, Letter: c.Letter, Thing: c.DesignTitle, By: &c.IssuedBy, At: &c.IssuedAt})
	}
	return list, err
}

var remarkAwaits = map[domain.WaitsFor]domain.AwaitedKind{
	domain.ForAnswer: domain.AwaitsAnswer, domain.ForRest: domain.AwaitsRest, domain.ForOther: domain.AwaitsOtherRest,
}

func (n *Notebook) waitingRemarks(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	remarks, err := tx.WaitingRemarks(who)
	for _, w := range remarks {
		r := w.Remark
		list = append(list, domain.Awaited{Kind: remarkAwaits[w.For], Project: w.Project, Design: r.Design, Letter: r.Letter, Thing: r.Text, By: &r.Who, At: &r.At})
	}
	return list, err
}

func (n *Notebook) waitingAnswers(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	again, err := tx.WaitingRecalculations(who)
	for _, r := range again {
		list = append(list, domain.Awaited{Kind: domain.AwaitsNewAnswer, Project: r.Project, Design: r.Design, Letter: r.Letter, Thing: r.DesignTitle})
	}
	return list, err
}

func (n *Notebook) waitingIncidents(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	entries, err := tx.WaitingIncidents(who)
	for _, e := range entries {
		a := domain.Awaited{Kind: domain.AwaitsIncident, Project: e.Project, Number: int64(e.ID), Thing: e.Text, By: &e.By, At: &e.At}
		if e.Build != nil {
			a.Build = *e.Build
		}
		list = append(list, a)
	}
	return list, err
}

func (n *Notebook) waitingHides(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	files, err := tx.WaitingHides(who)
	for _, f := range files {
		list = append(list, domain.Awaited{Kind: domain.AwaitsHide, Project: f.Project, Number: int64(f.ID), Thing: f.Name, By: &f.Hides[0].By, At: &f.Hides[0].At})
	}
	return list, err
}

// waitingRules are proposed settings and procedures that the actor could sign.
func (n *Notebook) waitingRules(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	v, err := newVoter(tx, who)
	if err != nil {
		return nil, err
	}
	proposals, err := tx.WaitingSafety()
	if err != nil {
		return nil, err
	}
	for _, p := range proposals {
		if v.judgeSafety(&p); slices.Contains(p.Allowed, domain.ApproveSafety) {
			list = append(list, domain.Awaited{Kind: domain.AwaitsSafety, Number: int64(p.ID), Thing: p.Why, By: &p.By, At: &p.At})
		}
	}
	templates, err := tx.WaitingTemplates()
	for _, t := range templates {
		if v.judgeTemplate(&t); slices.Contains(t.Allowed, domain.ApproveTemplate) {
			list = append(list, domain.Awaited{Kind: domain.AwaitsTemplate, Number: int64(t.Version), Thing: t.Why, By: t.By, At: t.At})
		}
	}
	return list, err
}

// waitingInstruments are those whose calibration is due, for a keeper.
func (n *Notebook) waitingInstruments(tx *store.Tx, who domain.Actor) (list []domain.Awaited, err error) {
	if !slices.Contains(who.Roles, domain.Keeper) {
		return nil, nil
	}
	today, err := tx.Today(n.now())
	if err != nil {
		return nil, err
	}
	instruments, err := tx.Instruments()
	for _, i := range instruments {
		if i.DueSoon(today) {
			list = append(list, domain.Awaited{Kind: domain.AwaitsCalibration, Number: int64(i.ID), Thing: i.Name, At: i.DueOn})
		}
	}
	return list, err
}
