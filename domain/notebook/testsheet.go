package notebook

import (
	"context"

	"leat/calc/procedure"
	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

// Tests returns a page of the test sheets of a build, newest first, and whether
// another one may begin.
func (n *Notebook) Tests(ctx context.Context, who domain.Actor, project domain.ProjectID, build domain.BuildID, page domain.Page) (domain.Tests, error) {
	return read(ctx, n, func(tx *store.Tx) (list domain.Tests, err error) {
		b, err := n.build(tx, who, project, build)
		if err != nil {
			return list, err
		}
		access, err := tx.ReadAccess(who, project)
		if err != nil {
			return list, err
		}
		access.Builders = b.WithAccount()
		list.Allowed = domain.AllowedToBegin(who, access)
		if list.Items, err = tx.Tests(project, build, page); err != nil {
			return list, err
		}
		_, lacks, err := n.newTest(tx, b)
		if err != nil {
			return list, err
		}
		list.Lacks = lacks
		list.Refused, err = refusedTest(tx, b, lacks)
		return list, err
	})
}

// refusedTest says in words why no test of a build may begin now; empty when one
// may.
func refusedTest(tx *store.Tx, b domain.Build, lacks []procedure.Lack) (string, error) {
	err := readyForTest(tx, b, lacks)
	if err == nil {
		err = tx.NoTestRuns(b)
	}
	if e, ok := err.(*domain.Error); ok && e.Kind == domain.Conflict { //nolint:errorlint // made a moment ago, never wrapped
		return e.Message, nil
	}
	return "", err
}

// readyForTest returns a Conflict when no test of a build may begin.
func readyForTest(tx *store.Tx, b domain.Build, lacks []procedure.Lack) error {
	if err := tx.SignedHere(b.Project, domain.RevisionRef{Design: b.Design, Letter: b.Letter}); err != nil {
		return err
	}
	return b.ReadyForTest(lacks)
}

// Test returns a test sheet in full, with what the actor may do.
func (n *Notebook) Test(ctx context.Context, who domain.Actor, ref domain.TestRef) (domain.Test, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Test, error) {
		access, err := tx.ReadAccess(who, ref.Project)
		if err != nil {
			return domain.Test{}, err
		}
		return n.test(tx, who, access, ref)
	})
}

// TestStamp returns a text that changes whenever a test sheet would be shown
// otherwise to the actor.
func (n *Notebook) TestStamp(ctx context.Context, who domain.Actor, ref domain.TestRef) (string, error) {
	return read(ctx, n, func(tx *store.Tx) (string, error) { return tx.TestStamp(ref, who.Account, n.now()) })
}

// test returns a test sheet as the actor sees it.
func (n *Notebook) test(tx *store.Tx, who domain.Actor, access domain.Access, ref domain.TestRef) (domain.Test, error) {
	t, err := tx.Test(ref, n.demo)
	if err != nil {
		return t, err
	}
	access.Builders = t.Builders
	t.Shown(who, access)
	t.Today, err = tx.Today(n.now())
	return t, err
}

// newTest works out the test of a build as it stands: what is asked, and what
// must be known before it may begin. The answers of safety are worked out anew,
// within the limits that are in force.
func (n *Notebook) newTest(tx *store.Tx, b domain.Build) (t domain.Test, lacks []procedure.Lack, err error) {
	settings, err := tx.SafetySettings()
	if err != nil {
		return t, nil, err
	}
	if t.Template, err = tx.TemplateInForce(); err != nil {
		return t, nil, err
	}
	template, err := tx.Procedure(t.Template)
	if err != nil {
		return t, nil, err
	}
	today, err := tx.Today(n.now())
	if err != nil {
		return t, nil, err
	}
	drawn, err := tx.LastSheet(b.Project, domain.RevisionRef{Design: b.Now.Sheet.Design, Letter: b.Now.Sheet.Letter})
	if err != nil {
		return t, nil, err
	}
	hash, err := drawn.Digest()
	if err != nil {
		return t, nil, err
	}
	set, err := tx.SetInForce()
	if err != nil {
		return t, nil, err
	}
	report, err := sheet.Run(b.Now.Input, settings.Limits, set)
	if err != nil {
		return t, nil, err
	}
	t.Basis = procedure.BasisOf(b.Now.Input, report, hash.String(), domain.RulesOf(settings))
	t.Short = t.Basis.Plain
	names := procedure.NamesOf(t.Basis, today, nil)
	return t, procedure.Lacking(t.Basis, template.Tasks(names, t.Short), names), nil
}

// authorizeAtBuild authorizes somebody to do something to a build, whose builders
// count.
func authorizeAtBuild(tx *store.Tx, who domain.Actor, project domain.ProjectID, build domain.BuildID, action domain.Action) (domain.Access, domain.Permit, error) {
	access, err := tx.Access(who, project)
	if err != nil {
		return access, domain.Permit{}, err
	}
	if access.Builders, err = tx.BuildersOf(project, build); err != nil {
		return access, domain.Permit{}, err
	}
	permit, err := domain.Authorize(who, access, action)
	return access, permit, err
}

// StartTest begins a test sheet for a build as it stands. A retry with the same
// key returns the first one, and made is false.
func (n *Notebook) StartTest(ctx context.Context, who domain.Actor, cmd domain.StartTest) (t domain.Test, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, err := authorizeAtBuild(tx, who, cmd.Project, cmd.Build, domain.BeginTest)
		if err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		number, err := tx.TestOfKey(who.Account, cmd.Build, cmd.Key)
		if err != nil {
			return err
		}
		if made = number == 0; made {
			if number, err = n.startTest(tx, who, permit, cmd); err != nil {
				return err
			}
		}
		t, err = n.test(tx, who, access, domain.TestRef{Project: cmd.Project, Build: cmd.Build, Number: number})
		return err
	})
	return t, made, err
}

func (n *Notebook) startTest(tx *store.Tx, who domain.Actor, permit domain.Permit, cmd domain.StartTest) (int, error) {
	b, err := n.build(tx, who, cmd.Project, cmd.Build)
	if err != nil {
		return 0, err
	}
	t, lacks, err := n.newTest(tx, b)
	if err != nil {
		return 0, err
	}
	if err := readyForTest(tx, b, lacks); err != nil {
		return 0, err
	}
	return tx.StartTest(permit, b, t, cmd.Key, n.now())
}

// RecordItem records an item of a test and signs it, with the code or password of
// whoever signs, also on somebody else's device. What is refused is kept as an
// attempt, and returned as an error. A retry with the same key records nothing
// twice, and made is false.
func (n *Notebook) RecordItem(ctx context.Context, who domain.Actor, cmd domain.RecordItem) (t domain.Test, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return t, false, err
	}
	how, err := n.confirm(ctx, who, cmd.Sign.Member, cmd.Sign.Proof)
	if err != nil {
		return t, false, err
	}
	var refused *domain.Error
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		s, err := n.atTest(tx, who, cmd.Test, cmd.Sign.Member)
		if err != nil {
			return err
		}
		before, err := tx.RecordedItem(who.Account, s.test, cmd.Key)
		if made, refused = !before, nil; made && err == nil {
			refused, err = n.recordItem(tx, s, cmd, how)
		}
		if err != nil {
			return err
		}
		t, err = n.test(tx, who, s.access, cmd.Test)
		return err
	})
	if err == nil && refused != nil {
		err = refused
	}
	return t, made, err
}

// signing is somebody who signs on a test sheet that nobody else changes.
type signing struct {
	access domain.Access
	permit domain.Permit
	test   domain.Test
	signer domain.Signer
}

func (n *Notebook) atTest(tx *store.Tx, who domain.Actor, ref domain.TestRef, member domain.AccountID) (s signing, err error) {
	if s.access, s.permit, err = authorize(tx, who, ref.Project, domain.SignTest); err != nil {
		return s, err
	}
	if err := tx.HoldTest(ref); err != nil {
		return s, err
	}
	if s.test, err = tx.Test(ref, n.demo); err != nil {
		return s, err
	}
	s.signer, err = s.test.Signer(member)
	return s, err
}

func (n *Notebook) recordItem(tx *store.Tx, s signing, cmd domain.RecordItem, how domain.SignedBy) (*domain.Error, error) {
	task, err := s.test.Item(cmd.Item)
	if err != nil {
		return nil, err
	}
	today, err := tx.Today(n.now())
	if err != nil {
		return nil, err
	}
	faults, err := n.complete(tx, task, &cmd)
	if err != nil {
		return nil, err
	}
	k := store.KeptItem{Signer: s.signer.ID, How: how, DeviceAt: cmd.DeviceAt, At: n.now(), Key: cmd.Key}
	if cmd.Paper != nil {
		k.How = domain.ByPaper
	}
	k.Judged = s.test.Judge(cmd, faults, s.signer, k.At, today)
	if err := tx.RecordItem(s.permit, s.test, cmd, k); err != nil {
		return nil, err
	}
	return k.Judged.Refused, n.passes(tx, s, cmd.Test)
}

// passes ends a test that has everything that is asked.
func (n *Notebook) passes(tx *store.Tx, s signing, ref domain.TestRef) error {
	t, err := tx.Test(ref, n.demo)
	if err != nil || t.Ended != "" || t.Over != "" || t.Attempt().Result() != procedure.ResultPassed {
		return err
	}
	return tx.EndTest(s.permit, t.ID, domain.TestPassed, n.now())
}

// complete puts what the register and the files say into what was recorded: of an
// instrument all that the procedure asks, of a picture its digest. It returns what
// is not there, or will not do.
func (n *Notebook) complete(tx *store.Tx, task procedure.Task, cmd *domain.RecordItem) (faults []domain.Field, err error) {
	files := domain.FilesOf(task, *cmd)
	digests, err := tx.Pictures(cmd.Test.Project, files)
	if err != nil {
		return nil, err
	}
	values, faults := domain.WithPictures(task, *cmd, digests)
	today, err := tx.Today(n.now())
	if err != nil {
		return nil, err
	}
	for _, id := range domain.InstrumentsOf(task, values) {
		i, err := tx.Instrument(id)
		if domain.KindOf(err) != domain.NotFound && err != nil {
			return nil, err
		}
		faults = append(faults, domain.WithInstrument(task, values, i, id, today)...)
	}
	cmd.Values = values
	return faults, nil
}

// SignItem signs what is recorded for an item of a test. What is refused is kept
// as an attempt, and returned as an error. A retry with the same key signs nothing
// twice, and made is false.
func (n *Notebook) SignItem(ctx context.Context, who domain.Actor, cmd domain.SignItem) (t domain.Test, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return t, false, err
	}
	how, err := n.confirm(ctx, who, cmd.Sign.Member, cmd.Sign.Proof)
	if err != nil {
		return t, false, err
	}
	var refused *domain.Error
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		s, err := n.atTest(tx, who, cmd.Test, cmd.Sign.Member)
		if err != nil {
			return err
		}
		before, err := tx.SignedItem(who.Account, s.test, cmd.Key)
		if made, refused = !before, nil; made && err == nil {
			refused, err = n.signItem(tx, s, cmd, how)
		}
		if err != nil {
			return err
		}
		t, err = n.test(tx, who, s.access, cmd.Test)
		return err
	})
	if err == nil && refused != nil {
		err = refused
	}
	return t, made, err
}

func (n *Notebook) signItem(tx *store.Tx, s signing, cmd domain.SignItem, how domain.SignedBy) (*domain.Error, error) {
	e, err := s.test.Entry(cmd.Entry)
	if err != nil {
		return nil, err
	}
	if e.Paper != nil {
		how = domain.ByPaper
	}
	k := store.KeptItem{Signer: s.signer.ID, How: how, DeviceAt: cmd.DeviceAt, At: n.now(), Key: cmd.Key}
	k.Judged = s.test.MaySign(e, cmd.Sign.Role, s.signer, k.At)
	if err := tx.SignItem(s.permit, s.test, e, cmd, k); err != nil {
		return nil, err
	}
	return k.Judged.Refused, n.passes(tx, s, cmd.Test)
}

// CloseNonconformance signs, with the password, what became of what failed: a
// steward does who did not build the machine.
func (n *Notebook) CloseNonconformance(ctx context.Context, who domain.Actor, cmd domain.CloseFailure) (domain.Test, error) {
	may := func(tx *store.Tx) (s signing, disposition string, err error) {
		if s.access, s.permit, err = authorizeAtBuild(tx, who, cmd.Test.Project, cmd.Test.Build, domain.CloseFailed); err != nil {
			return s, "", err
		}
		if s.test, err = tx.Test(cmd.Test, n.demo); err != nil {
			return s, "", err
		}
		disposition, err = s.test.Closable()
		return s, disposition, err
	}
	err := n.db.InTx(ctx, func(tx *store.Tx) error {
		_, _, err := may(tx)
		if err == nil {
			err = cmd.Validate()
		}
		return err
	})
	if err != nil {
		return domain.Test{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return domain.Test{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.Test, error) {
		s, disposition, err := may(tx)
		if err != nil {
			return domain.Test{}, err
		}
		if err := tx.CloseNonconformance(s.permit, s.test, disposition, cmd.Text, n.now()); err != nil {
			return domain.Test{}, err
		}
		return n.test(tx, who, s.access, cmd.Test)
	})
}
