package notebook

import (
	"context"
	"time"

	"leat/domain"
	"leat/domain/store"
)

// Instruments returns the whole register of the group, and the day that it is
// there.
func (n *Notebook) Instruments(ctx context.Context, who domain.Actor) (list []domain.Instrument, allowed []domain.Action, today time.Time, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.ReadGroupAccess(who, 0)
		if err != nil {
			return err
		}
		allowed = domain.AllowedInRegister(who, access)
		if today, err = tx.Today(n.now()); err != nil {
			return err
		}
		list, err = tx.Instruments()
		for i := range list {
			list[i].Allowed = allowed
		}
		return err
	})
	return list, allowed, today, err
}

// Instrument returns one instrument, and the day that it is in the group.
func (n *Notebook) Instrument(ctx context.Context, who domain.Actor, id domain.InstrumentID) (i domain.Instrument, today time.Time, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		i, today, err = n.instrument(tx, who, id)
		return err
	})
	return i, today, err
}

func (n *Notebook) instrument(tx *store.Tx, who domain.Actor, id domain.InstrumentID) (i domain.Instrument, today time.Time, err error) {
	access, err := tx.ReadGroupAccess(who, 0)
	if err != nil {
		return i, today, err
	}
	if today, err = tx.Today(n.now()); err != nil {
		return i, today, err
	}
	i, err = tx.Instrument(id)
	i.Allowed = domain.AllowedInRegister(who, access)
	return i, today, err
}

// InstrumentActs returns a page of the history of an instrument, newest first.
func (n *Notebook) InstrumentActs(ctx context.Context, _ domain.Actor, id domain.InstrumentID, page domain.Page) ([]domain.InstrumentAct, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.InstrumentAct, error) { return tx.InstrumentActs(id, page) })
}

// AddInstrument puts an instrument into the register. A retry with the same key
// returns the first one, and made is false.
func (n *Notebook) AddInstrument(ctx context.Context, who domain.Actor, cmd domain.AddInstrument) (i domain.Instrument, today time.Time, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeInGroup(tx, who, domain.KeepInstruments)
		if err != nil {
			return err
		}
		if today, err = tx.Today(n.now()); err != nil {
			return err
		}
		if err := cmd.Validate(today); err != nil {
			return err
		}
		var id domain.InstrumentID
		if id, made, err = tx.AddInstrument(permit, cmd, n.now()); err != nil {
			return err
		}
		i, today, err = n.instrument(tx, who, id)
		return err
	})
	return i, today, made, err
}

// CorrectInstrument replaces what the register says about an instrument. What
// was measured with it keeps what it said then.
func (n *Notebook) CorrectInstrument(ctx context.Context, who domain.Actor, cmd domain.CorrectInstrument) (i domain.Instrument, today time.Time, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := n.keepsInstrument(tx, who, cmd.Instrument)
		if err != nil {
			return err
		}
		if i, err = tx.Instrument(cmd.Instrument); err != nil {
			return err
		}
		if i.Retired != nil {
			return domain.InstrumentGone()
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		if err := tx.CorrectInstrument(permit, cmd, n.now()); err != nil {
			return err
		}
		i, today, err = n.instrument(tx, who, cmd.Instrument)
		return err
	})
	return i, today, err
}

// RecordInstrumentAct records a calibration, that an instrument was found wrong,
// or that it is retired. A retry with the same key records nothing, and made is
// false.
func (n *Notebook) RecordInstrumentAct(ctx context.Context, who domain.Actor, cmd domain.RecordInstrumentAct) (i domain.Instrument, today time.Time, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := n.keepsInstrument(tx, who, cmd.Instrument)
		if err != nil {
			return err
		}
		before, err := tx.InstrumentActed(who.Account, cmd)
		if err != nil {
			return err
		}
		if made = !before; made {
			if err := n.recordInstrumentAct(tx, permit, cmd); err != nil {
				return err
			}
		}
		i, today, err = n.instrument(tx, who, cmd.Instrument)
		return err
	})
	return i, today, made, err
}

func (n *Notebook) recordInstrumentAct(tx *store.Tx, permit domain.Permit, cmd domain.RecordInstrumentAct) error {
	i, err := tx.Instrument(cmd.Instrument)
	if err != nil {
		return err
	}
	if i.Retired != nil && cmd.Kind != domain.InstrumentWrong {
		return domain.InstrumentGone() // that it was wrong may come out later
	}
	today, err := tx.Today(n.now())
	if err != nil {
		return err
	}
	if err := cmd.Validate(today); err != nil {
		return err
	}
	return tx.RecordInstrumentAct(permit, cmd, n.now())
}

// keepsInstrument authorizes a keeper and holds the instrument.
func (n *Notebook) keepsInstrument(tx *store.Tx, who domain.Actor, id domain.InstrumentID) (domain.Permit, error) {
	permit, err := authorizeInGroup(tx, who, domain.KeepInstruments)
	if err == nil {
		err = tx.LockInstrument(id)
	}
	return permit, err
}
