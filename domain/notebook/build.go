package notebook

import (
	"context"

	"leat/calc/asbuilt"
	"leat/domain"
	"leat/domain/store"
)

// Builds returns a page of the builds of a project, newest first, and what the
// actor may do about them.
func (n *Notebook) Builds(ctx context.Context, who domain.Actor, project domain.ProjectID, page domain.Page) (list []domain.Build, allowed []domain.Action, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.ReadAccess(who, project)
		if err != nil {
			return err
		}
		allowed = domain.AllowedOfBuilds(who, access)
		list, err = tx.Builds(project, page, n.now())
		return err
	})
	return list, allowed, err
}

// Build returns a build in full.
func (n *Notebook) Build(ctx context.Context, who domain.Actor, project domain.ProjectID, id domain.BuildID) (domain.Build, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Build, error) { return n.build(tx, who, project, id) })
}

// BuildWithTag returns the build with a number on its label, in full.
func (n *Notebook) BuildWithTag(ctx context.Context, who domain.Actor, tag int) (domain.Build, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Build, error) {
		project, id, err := tx.BuildWithTag(tag)
		if err != nil {
			return domain.Build{}, err
		}
		return n.build(tx, who, project, id)
	})
}

// build returns a build with what the actor may do to it.
func (n *Notebook) build(tx *store.Tx, who domain.Actor, project domain.ProjectID, id domain.BuildID) (domain.Build, error) {
	access, err := tx.ReadAccess(who, project)
	if err != nil {
		return domain.Build{}, err
	}
	b, err := tx.Build(project, id, n.now())
	if err != nil {
		return domain.Build{}, err
	}
	s, err := tx.Sheet(project, b.Now.Sheet.Design, b.Now.Sheet.Letter, b.Now.Sheet.Number)
	if err != nil {
		return domain.Build{}, err
	}
	b.Drawn = s.Input
	b.Now.Input, _ = asbuilt.Apply(s.Input, b.Now.Differences) // they were applied before they were kept
	b.Allowed = b.Allows(domain.AllowedOfBuilds(who, access))
	return b, nil
}

// StartBuild begins a machine from a cleared revision, as its last sheet says.
// Its tag is the next of the group; whoever starts it is its first builder. A
// retry with the same key returns the first one, and made is false.
func (n *Notebook) StartBuild(ctx context.Context, who domain.Actor, cmd domain.StartBuild) (b domain.Build, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return domain.Build{}, false, err
	}
	s, err := n.toBeBuilt(ctx, who, cmd.Project, domain.RevisionRef{Design: cmd.Design, Letter: cmd.Letter}, domain.BeginBuild)
	if err != nil {
		return domain.Build{}, false, err
	}
	first := cmd.First(s)
	if err := n.answerBuild(ctx, who, s, &first); err != nil {
		return domain.Build{}, false, err
	}
	if err := domain.BarredNow(s.Letter, first.Report.Build.Barred()); err != nil {
		return domain.Build{}, false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		_, permit, err := authorize(tx, who, cmd.Project, domain.BeginBuild)
		if err != nil {
			return err
		}
		var id domain.BuildID
		if id, made, err = tx.StartBuild(permit, cmd, first); err != nil {
			return err
		}
		b, err = n.build(tx, who, cmd.Project, id)
		return err
	})
	return b, made, err
}

// toBeBuilt returns the sheet that a revision is built from, to somebody who may
// do the action.
func (n *Notebook) toBeBuilt(ctx context.Context, who domain.Actor, project domain.ProjectID, ref domain.RevisionRef, action domain.Action) (domain.Sheet, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Sheet, error) {
		if _, _, err := authorize(tx, who, project, action); err != nil {
			return domain.Sheet{}, err
		}
		if err := tx.SignedHere(project, ref); err != nil {
			return domain.Sheet{}, err
		}
		return tx.LastSheet(project, ref)
	})
}

// answerBuild calculates a machine as it stands, with its intervals, and
// compares its answers of safety with those of its sheet, both by today's
// calculation. It is done outside the transaction that keeps them, as a save is.
func (n *Notebook) answerBuild(ctx context.Context, who domain.Actor, drawn domain.Sheet, v *domain.BuildVersion) error {
	was, err := n.Preview(ctx, who, drawn.Input)
	if err != nil {
		return err // a broken bound: our defect, nothing is saved
	}
	now, err := n.report(ctx, v.Input)
	if err != nil {
		return err
	}
	if err := domain.BuiltFaults(v.Differences, now.Faults); err != nil {
		return err
	}
	if err := domain.Worsened(drawn.Letter, asbuilt.Worse(was.Build, now.Build)); err != nil {
		return err
	}
	v.MadeAt = n.now()
	return v.Answered(now)
}

// ChangeBuild records how a machine stands now, calculated anew, as its next
// version; who records it is one of its builders from then on. It returns a
// Conflict where this needs a new cleared revision.
func (n *Notebook) ChangeBuild(ctx context.Context, who domain.Actor, cmd domain.ChangeBuild) (domain.Build, error) {
	if err := cmd.Validate(); err != nil {
		return domain.Build{}, err
	}
	drawn, next, err := n.nextVersion(ctx, who, cmd)
	if err == nil {
		err = n.answerBuild(ctx, who, drawn, &next)
	}
	if err == nil && cmd.To != nil {
		err = domain.BarredNow(drawn.Letter, next.Report.Build.Barred())
	}
	if err != nil {
		return domain.Build{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.Build, error) {
		_, permit, err := authorize(tx, who, cmd.Project, domain.AlterBuild)
		if err != nil {
			return domain.Build{}, err
		}
		if err := tx.ChangeBuild(permit, cmd, next); err != nil {
			return domain.Build{}, err
		}
		return n.build(tx, who, cmd.Project, cmd.Build)
	})
}

// nextVersion returns the version that a change makes, without its answers, and
// the sheet that it differs from.
func (n *Notebook) nextVersion(ctx context.Context, who domain.Actor, cmd domain.ChangeBuild) (drawn domain.Sheet, next domain.BuildVersion, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		_, _, err := authorize(tx, who, cmd.Project, domain.AlterBuild)
		if err != nil {
			return err
		}
		b, err := tx.Build(cmd.Project, cmd.Build, n.now())
		if err != nil {
			return err
		}
		if b.Version != cmd.Version {
			return domain.Outdated("build")
		}
		to := domain.RevisionRef{Design: b.Design, Letter: b.Letter}
		if cmd.To != nil {
			to = *cmd.To
		}
		if to != (domain.RevisionRef{Design: b.Design, Letter: b.Letter}) { // a machine that came with an archive goes on as it is
			if err := tx.SignedHere(cmd.Project, to); err != nil {
				return err
			}
		}
		if drawn, err = tx.LastSheet(cmd.Project, to); err != nil {
			return err
		}
		next, err = cmd.Next(b, drawn)
		return err
	})
	return drawn, next, err
}

// AddBuilder adds somebody to the builders of a build, with or without an
// account. Nobody is ever taken off. Whom it has already stays once.
func (n *Notebook) AddBuilder(ctx context.Context, who domain.Actor, cmd domain.AddBuilder) (domain.Build, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Build, error) {
		_, permit, err := authorize(tx, who, cmd.Project, domain.AlterBuild)
		if err != nil {
			return domain.Build{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Build{}, err
		}
		b, err := tx.Build(cmd.Project, cmd.Build, n.now())
		if err == nil && b.State == domain.Scrapped {
			err = domain.BuildScrapped()
		}
		if err == nil {
			err = n.holdBuilder(tx, cmd)
		}
		if err == nil && !cmd.There(b.Builders) {
			err = tx.AddBuilder(permit, cmd, b.Version, n.now())
		}
		if err != nil {
			return domain.Build{}, err
		}
		return n.build(tx, who, cmd.Project, cmd.Build)
	})
}

// holdBuilder holds the account of who is to be a builder, or sees that a name
// is not that of a member.
func (n *Notebook) holdBuilder(tx *store.Tx, cmd domain.AddBuilder) error {
	if cmd.Member != 0 {
		return tx.HoldMember(cmd.Member, n.demo)
	}
	member, err := tx.MemberNamed(cmd.Name, n.demo)
	if err == nil && member {
		err = domain.BuilderIsMember()
	}
	return err
}

// ChangeBuildState says that a build has come to another state. It returns a
// Conflict where its present one does not lead there, or its certificate lacks.
func (n *Notebook) ChangeBuildState(ctx context.Context, who domain.Actor, cmd domain.ChangeBuildState) (domain.Build, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Build, error) {
		_, permit, err := authorize(tx, who, cmd.Project, domain.AlterBuild)
		if err != nil {
			return domain.Build{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Build{}, err
		}
		b, err := tx.Build(cmd.Project, cmd.Build, n.now())
		if err != nil {
			return domain.Build{}, err
		}
		if b.Version != cmd.Version {
			return domain.Build{}, domain.Outdated("build")
		}
		if err := b.GoesTo(cmd.State); err != nil {
			return domain.Build{}, err
		}
		if err := tx.ChangeBuildState(permit, cmd, n.now()); err != nil {
			return domain.Build{}, err
		}
		return n.build(tx, who, cmd.Project, cmd.Build)
	})
}
