package notebook

import (
	"context"

	"leat/calc/asbuilt"
	"leat/domain"
	"leat/domain/store"
)

// Runs returns a page of the runs of a build, newest first, with what a new one
// would hold to.
func (n *Notebook) Runs(ctx context.Context, who domain.Actor, project domain.ProjectID, build domain.BuildID, page domain.Page) (domain.Runs, error) {
	return read(ctx, n, func(tx *store.Tx) (list domain.Runs, err error) {
		access, err := tx.ReadAccess(who, project)
		if err != nil {
			return list, err
		}
		b, err := n.build(tx, who, project, build)
		if err != nil {
			return list, err
		}
		if err := b.MayOpenRun(); err != nil {
			list.Refused = domain.Words(err)
		} else {
			list.Allowed = domain.AllowedToMeasure(who, access)
		}
		list.Form = domain.FormOf(*b.Now, b.Certificate)
		list.Items, err = tx.Runs(project, build, page)
		return list, err
	})
}

// Run returns a run in full.
func (n *Notebook) Run(ctx context.Context, who domain.Actor, ref domain.RunRef) (domain.Run, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Run, error) {
		access, err := tx.ReadAccess(who, ref.Project)
		if err != nil {
			return domain.Run{}, err
		}
		return n.run(tx, who, access, ref)
	})
}

// run returns a run with what its readings come to, and what the actor may do.
func (n *Notebook) run(tx *store.Tx, who domain.Actor, access domain.Access, ref domain.RunRef) (domain.Run, error) {
	r, err := tx.Run(ref)
	if err != nil {
		return r, err
	}
	v, err := n.machineOf(tx, r)
	if err != nil {
		return r, err
	}
	certificate, err := tx.CertificateNow(r.Build, n.now())
	if err != nil {
		return r, err
	}
	r.Form = domain.FormOf(v, certificate)
	zone, err := tx.TimeZone()
	if err != nil {
		return r, err
	}
	r.Judge(zone)
	workOut(&r, v, zone)
	r.Judgement = n.judges.progress(r)
	r.Shown(who, involved(access, r))
	return r, nil
}

// involved adds to what somebody may do what they have to do with a run.
func involved(access domain.Access, r domain.Run) domain.Access {
	access.Builders, access.TookPart = r.Builders, r.TookPart
	if len(r.Ends) == 0 {
		access.Opener = r.OpenedBy.ID
	}
	return access
}

// machineOf returns the machine as it stood when a run was opened.
func (n *Notebook) machineOf(tx *store.Tx, r domain.Run) (domain.BuildVersion, error) {
	v, err := tx.VersionOfBuild(r.Build, r.BuildVersion)
	if err != nil {
		return v, err
	}
	s, err := tx.Sheet(r.Project, v.Sheet.Design, v.Sheet.Letter, v.Sheet.Number)
	v.Input, _ = asbuilt.Apply(s.Input, v.Differences) // they were applied before they were kept
	return v, err
}

// OpenRun opens a run on a build as it stands. A retry with the same key returns
// the first one, and made is false.
func (n *Notebook) OpenRun(ctx context.Context, who domain.Actor, cmd domain.OpenRun) (r domain.Run, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return r, false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, err := authorize(tx, who, cmd.Project, domain.BeginRun)
		if err != nil {
			return err
		}
		number, err := tx.RunOfKey(who.Account, cmd.Build, cmd.Key)
		if err != nil {
			return err
		}
		if made = number == 0; made {
			if number, err = n.openRun(tx, who, permit, cmd); err != nil {
				return err
			}
		}
		r, err = n.run(tx, who, access, domain.RunRef{Project: cmd.Project, Build: cmd.Build, Number: number})
		return err
	})
	return r, made, err
}

func (n *Notebook) openRun(tx *store.Tx, who domain.Actor, permit domain.Permit, cmd domain.OpenRun) (int, error) {
	b, err := n.build(tx, who, cmd.Project, cmd.Build)
	if err != nil {
		return 0, err
	}
	if err := b.MayOpenRun(); err != nil {
		return 0, err
	}
	f := domain.FormOf(*b.Now, b.Certificate)
	if err := cmd.Fits(f); err != nil {
		return 0, err
	}
	return tx.OpenRun(permit, cmd, f, n.now())
}

// held is a run that nobody else adds to, or signs about, meanwhile.
type held struct {
	access domain.Access
	permit domain.Permit
	run    domain.Run
}

func (n *Notebook) holdRun(tx *store.Tx, who domain.Actor, ref domain.RunRef, action domain.Action) (h held, err error) {
	if h.access, h.permit, err = authorize(tx, who, ref.Project, action); err != nil {
		return h, err
	}
	if err := tx.HoldRun(ref); err != nil {
		return h, err
	}
	h.run, err = tx.Run(ref)
	return h, err
}

// add adds something to a run that is held, once for each key, and returns the
// run with it. Added tells whether the key was used before.
func (n *Notebook) add(ctx context.Context, who domain.Actor, ref domain.RunRef, action domain.Action, added func(*store.Tx, held) (bool, error), do func(*store.Tx, held) error) (r domain.Run, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		h, err := n.holdRun(tx, who, ref, action)
		if err != nil {
			return err
		}
		before, err := added(tx, h)
		if err != nil {
			return err
		}
		if made = !before; made {
			if err := do(tx, h); err != nil {
				return err
			}
		}
		r, err = n.run(tx, who, h.access, ref)
		return err
	})
	return r, made, err
}

// AddRunPoint adds an operating point to a run. A retry with the same key adds
// nothing, and made is false.
func (n *Notebook) AddRunPoint(ctx context.Context, who domain.Actor, cmd domain.AddRunPoint) (r domain.Run, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return r, false, err
	}
	return n.add(ctx, who, cmd.Run, domain.RecordReadings,
		func(tx *store.Tx, h held) (bool, error) { return tx.PointAdded(h.run.ID, who.Account, cmd.Key) },
		func(tx *store.Tx, h held) error {
			if err := h.run.Takes(); err != nil {
				return err
			}
			if len(h.run.Points) >= domain.RunPointsMost {
				return domain.RunFull()
			}
			return tx.AddRunPoint(h.permit, h.run.ID, cmd, n.now())
		})
}

// RecordReading adds a reading set to a point of a run. Whether a certificate
// covers it is decided here, when it arrives. A retry with the same key adds
// nothing, and made is false.
func (n *Notebook) RecordReading(ctx context.Context, who domain.Actor, cmd domain.RecordReading) (r domain.Run, made bool, err error) {
	return n.add(ctx, who, cmd.Run, domain.RecordReadings,
		func(tx *store.Tx, h held) (bool, error) { return tx.ReadingAdded(h.run.ID, who.Account, cmd.Key) },
		func(tx *store.Tx, h held) error { return n.recordReading(tx, h, cmd) })
}

func (n *Notebook) recordReading(tx *store.Tx, h held, cmd domain.RecordReading) error {
	if err := h.run.Takes(); err != nil {
		return err
	}
	p, err := h.run.Point(cmd.Point)
	if err != nil {
		return err
	}
	v, err := n.machineOf(tx, h.run)
	if err != nil {
		return err
	}
	if err := cmd.Validate(n.now(), domain.FormOf(v, domain.Validity{}).Names()); err != nil {
		return err
	}
	if h.run.Counts.Readings >= domain.RunReadingsMost {
		return domain.RunFull()
	}
	reading := cmd.Reading(n.now())
	if reading.Instrument, err = n.readWith(tx, cmd); err != nil {
		return err
	}
	certificate, err := tx.CertificateNow(h.run.Build, n.now())
	if err != nil {
		return err
	}
	reading.Certified = certificate.Valid
	return tx.RecordReading(h.permit, h.run.ID, p.ID, reading, cmd.Key)
}

// readWith returns the instrument of a reading as the register has it now; nil
// where there is none.
func (n *Notebook) readWith(tx *store.Tx, cmd domain.RecordReading) (*domain.ReadInstrument, error) {
	if cmd.Instrument == nil {
		return nil, nil //nolint:nilnil // no instrument is needed
	}
	i, err := tx.Instrument(*cmd.Instrument)
	if domain.KindOf(err) == domain.NotFound {
		return nil, domain.NoSuchInstrument()
	}
	if err != nil {
		return nil, err
	}
	today, err := tx.Today(n.now())
	if err != nil {
		return nil, err
	}
	return i.Read(today), cmd.Fits(i)
}

// StrikeReading strikes a reading through, or excludes one of its values. A retry
// with the same key strikes nothing more, and made is false.
func (n *Notebook) StrikeReading(ctx context.Context, who domain.Actor, cmd domain.StrikeReading) (r domain.Run, made bool, err error) {
	if err := cmd.Validate(); err != nil {
		return r, false, err
	}
	return n.add(ctx, who, cmd.Run, domain.StrikeReadings,
		func(tx *store.Tx, h held) (bool, error) { return tx.StrikeAdded(h.run.ID, who.Account, cmd.Key) },
		func(tx *store.Tx, h held) error {
			reading, err := h.run.Reading(cmd.Reading)
			if err != nil {
				return err
			}
			if err := h.run.Frozen(); err != nil {
				return err
			}
			if err := cmd.Strikes(reading); err != nil {
				return err
			}
			return tx.StrikeReading(h.permit, h.run.ID, cmd, n.now())
		})
}

// SubmitRun freezes a run and has its verdict worked out. Who submitted it before
// is answered how it stands.
func (n *Notebook) SubmitRun(ctx context.Context, who domain.Actor, ref domain.RunRef) (domain.Run, error) {
	r, _, err := n.add(ctx, who, ref, domain.PutForward,
		func(_ *store.Tx, h held) (bool, error) {
			return h.run.Submitted != nil && h.run.Submitted.By.ID == who.Account, nil
		},
		func(tx *store.Tx, h held) error {
			if err := h.run.Frozen(); err != nil {
				return err
			}
			return tx.SubmitRun(h.permit, h.run.ID, n.now())
		})
	if err == nil {
		n.judges.wake()
	}
	return r, err
}

// ConfirmRun signs, with the password, that a run counts: a steward does who took
// no part in it and did not build the machine. Who confirmed it before is answered
// how it stands.
func (n *Notebook) ConfirmRun(ctx context.Context, who domain.Actor, cmd domain.ConfirmRun) (domain.Run, error) {
	return n.endRun(ctx, who, cmd.Run, ending{
		kind: domain.RunConfirmed, action: domain.SignRun, proof: cmd.Proof, valid: cmd.Validate, refused: domain.Run.Confirmable,
	})
}

// SetRunAside signs, with the password, that a run is not to count: a steward does
// who took no part in it and did not build the machine, or who opened it, until it
// is confirmed. Who set it aside before is answered how it stands.
func (n *Notebook) SetRunAside(ctx context.Context, who domain.Actor, cmd domain.SetRunAside) (domain.Run, error) {
	return n.endRun(ctx, who, cmd.Run, ending{
		kind: domain.RunSetAside, action: domain.PutAside, proof: cmd.Proof, valid: cmd.Validate, refused: domain.Run.MayBeSetAside,
		reason: func() string { return cmd.Reason },
	})
}

// ending is a signature about a run.
type ending struct {
	kind    domain.RunState
	action  domain.Action
	proof   domain.Proof
	valid   func() error
	refused func(domain.Run) error
	reason  func() string // once it is valid; nil: none is given
}

func (n *Notebook) endRun(ctx context.Context, who domain.Actor, ref domain.RunRef, e ending) (domain.Run, error) {
	_, err := read(ctx, n, func(tx *store.Tx) (held, error) {
		h, err := n.mayEnd(tx, who, ref, e)
		if err == nil {
			err = e.valid()
		}
		return h, err
	})
	if err != nil {
		return domain.Run{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, e.proof); err != nil {
		return domain.Run{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.Run, error) {
		h, err := n.mayEnd(tx, who, ref, e)
		if err != nil {
			return domain.Run{}, err
		}
		if !h.run.EndedBy(e.kind, who.Account) {
			reason := ""
			if e.reason != nil {
				reason = e.reason()
			}
			if err := tx.EndRun(h.permit, h.run.ID, e.kind, reason, n.now()); err != nil {
				return domain.Run{}, err
			}
		}
		return n.run(tx, who, h.access, ref)
	})
}

// mayEnd holds a run for somebody who may sign about it as it stands, or has.
func (n *Notebook) mayEnd(tx *store.Tx, who domain.Actor, ref domain.RunRef, e ending) (h held, err error) {
	if h.access, err = tx.Access(who, ref.Project); err != nil {
		return h, err
	}
	if err := tx.HoldRun(ref); err != nil {
		return h, err
	}
	if h.run, err = tx.Run(ref); err != nil || h.run.EndedBy(e.kind, who.Account) {
		return h, err
	}
	if h.permit, err = domain.Authorize(who, involved(h.access, h.run), e.action); err != nil {
		return h, err
	}
	return h, e.refused(h.run)
}

// RunJudgement returns the verdict of a run, or how far it is.
func (n *Notebook) RunJudgement(ctx context.Context, who domain.Actor, ref domain.RunRef) (domain.RunJudgement, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.RunJudgement, error) {
		if _, err := tx.ReadAccess(who, ref.Project); err != nil {
			return domain.RunJudgement{}, err
		}
		r, err := tx.Run(ref)
		return n.judges.progress(r), err
	})
}
