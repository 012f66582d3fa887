package store

import (
	"time"

	"leat/domain"
)

type instrumentRow struct {
	ID           int64     `gorm:"column:id"`
	Name         string    `gorm:"column:name"`
	Kind         string    `gorm:"column:kind"`
	Serial       string    `gorm:"column:serial"`
	Unit         string    `gorm:"column:unit"`
	Low          float64   `gorm:"column:range_low"`
	High         float64   `gorm:"column:range_high"`
	Resolution   *float64  `gorm:"column:resolution"`
	ClassPct     *float64  `gorm:"column:class_pct"`
	Accuracy     *float64  `gorm:"column:accuracy"`
	IntervalDays int       `gorm:"column:interval_days"`
	Note         string    `gorm:"column:note"`
	Version      int64     `gorm:"column:version"`
	ChangedBy    int64     `gorm:"column:changed_by"`
	ChangedAt    time.Time `gorm:"column:changed_at"`
	Changer      string    `gorm:"column:changer"`
}

const instrumentQuery = `SELECT i.id, i.name, i.kind, i.serial, i.unit, i.range_low, i.range_high, i.resolution, i.class_pct, i.accuracy, i.interval_days,
	i.note, i.version, i.changed_by, i.changed_at, a.name AS changer FROM instruments i JOIN accounts a ON a.id = i.changed_by`

func (r instrumentRow) instrument() domain.Instrument {
	return domain.Instrument{
		ID: domain.InstrumentID(r.ID), Version: r.Version, ChangedAt: r.ChangedAt.UTC(), ChangedBy: domain.Person{ID: domain.AccountID(r.ChangedBy), Name: r.Changer},
		InstrumentFacts: domain.InstrumentFacts{
			Name: r.Name, Kind: domain.InstrumentKind(r.Kind), Serial: r.Serial, Unit: r.Unit, Low: r.Low, High: r.High,
			Resolution: r.Resolution, ClassPct: r.ClassPct, Accuracy: r.Accuracy, IntervalDays: r.IntervalDays, Note: r.Note,
		},
	}
}

type instrumentActRow struct {
	ID         int64     `gorm:"column:id"`
	Instrument int64     `gorm:"column:instrument_id"`
	Kind       string    `gorm:"column:kind"`
	Day        time.Time `gorm:"column:day"`
	Text       string    `gorm:"column:text"`
	Who        int64     `gorm:"column:who"`
	Name       string    `gorm:"column:name"`
	At         time.Time `gorm:"column:at"`
}

const instrumentActQuery = `SELECT x.id, x.instrument_id, x.kind, x.day, x.text, x.who, a.name, x.at
	FROM instrument_acts x JOIN accounts a ON a.id = x.who WHERE `

func (r instrumentActRow) act() domain.InstrumentAct {
	return domain.InstrumentAct{
		ID: r.ID, Kind: domain.InstrumentActKind(r.Kind), On: r.Day.UTC(), Text: r.Text, At: r.At.UTC(),
		By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name},
	}
}

// Instruments returns the whole register: by name, the retired ones last.
func (tx *Tx) Instruments() ([]domain.Instrument, error) {
	return tx.instruments(` ORDER BY EXISTS (SELECT 1 FROM instrument_acts x WHERE x.instrument_id = i.id AND x.kind = 'retired'), lower(i.name), i.id`)
}

// Instrument returns one instrument, with what its history says about it now.
func (tx *Tx) Instrument(id domain.InstrumentID) (domain.Instrument, error) {
	list, err := tx.instruments(" WHERE i.id = ?", id)
	if err == nil && len(list) == 0 {
		err = domain.Missing("instrument")
	}
	if err != nil {
		return domain.Instrument{}, err
	}
	return list[0], nil
}

func (tx *Tx) instruments(rest string, args ...any) ([]domain.Instrument, error) {
	rows, err := all[instrumentRow](tx, instrumentQuery+rest, args...)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	acts, err := all[instrumentActRow](tx, instrumentActQuery+"x.instrument_id IN ? ORDER BY x.id", ids)
	if err != nil {
		return nil, err
	}
	of := map[int64][]domain.InstrumentAct{}
	for _, a := range acts {
		of[a.Instrument] = append(of[a.Instrument], a.act())
	}
	return tx.judged(rows, of)
}

// judged adds to each instrument what its acts and the settings of the group say.
func (tx *Tx) judged(rows []instrumentRow, acts map[int64][]domain.InstrumentAct) ([]domain.Instrument, error) {
	settings, err := tx.SafetySettings()
	if err != nil {
		return nil, err
	}
	zone, err := tx.TimeZone()
	list := make([]domain.Instrument, len(rows))
	for i, r := range rows {
		list[i] = r.instrument()
		list[i].ByActs(acts[r.ID], zone)
		list[i].Due(settings)
	}
	return list, err
}

// TimeZone returns the time zone of the group.
func (tx *Tx) TimeZone() (string, error) {
	return one[string](tx, "group", "SELECT time_zone FROM group_settings")
}

// Today returns the day that it is in the time zone of the group, at 0:00 UTC.
func (tx *Tx) Today(now time.Time) (time.Time, error) {
	zone, err := tx.TimeZone()
	return domain.DayIn(now, zone), err
}

// InstrumentActs returns a page of the history of an instrument, newest first.
func (tx *Tx) InstrumentActs(id domain.InstrumentID, page domain.Page) ([]domain.InstrumentAct, error) {
	if _, err := one[int](tx, "instrument", "SELECT 1 FROM instruments WHERE id = ?", id); err != nil {
		return nil, err
	}
	rows, err := all[instrumentActRow](tx, instrumentActQuery+"x.instrument_id = ? AND "+newest("x.id", page), id, below(page))
	acts := make([]domain.InstrumentAct, len(rows))
	for i, r := range rows {
		acts[i] = r.act()
	}
	return acts, err
}

// AddInstrument puts an instrument into the register, with its calibration where
// one is given. When the client's key was used before it returns the instrument
// of that time, and made is false. It returns a Conflict when the register is
// full.
func (tx *Tx) AddInstrument(permit domain.Permit, cmd domain.AddInstrument, now time.Time) (id domain.InstrumentID, made bool, err error) {
	if err := permit.For(domain.KeepInstruments); err != nil {
		return 0, false, err
	}
	f, who := cmd.Facts, permit.Account()
	ids, err := all[domain.InstrumentID](tx, `INSERT INTO instruments (name, kind, serial, unit, range_low, range_high, resolution, class_pct, accuracy,
			interval_days, note, added_by, added_at, changed_by, changed_at, client_key, version)
		SELECT ?, ?, ?, ?, ?::float8, ?::float8, ?::float8, ?::float8, ?::float8, ?::int, ?, ?::bigint, ?::timestamptz, ?::bigint, ?::timestamptz, ?, 1
		WHERE (SELECT count(*) FROM instruments) < ? ON CONFLICT (added_by, client_key) DO NOTHING RETURNING id`,
		f.Name, f.Kind, f.Serial, f.Unit, f.Low, f.High, f.Resolution, f.ClassPct, f.Accuracy, f.IntervalDays, f.Note, who, now, who, now, cmd.Key, domain.InstrumentsMost)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 0 {
		id, err = one[domain.InstrumentID](tx, "instrument", "SELECT id FROM instruments WHERE added_by = ? AND client_key = ?", who, cmd.Key)
		if domain.KindOf(err) == domain.NotFound {
			err = domain.InstrumentsFull()
		}
		return id, false, err
	}
	if cmd.CalibratedOn != nil {
		act := domain.RecordInstrumentAct{Instrument: ids[0], Kind: domain.InstrumentCalibrated, On: *cmd.CalibratedOn, Text: cmd.Calibration, Key: cmd.Key}
		err = tx.addInstrumentAct(who, act, now)
	}
	return ids[0], true, err
}

// CorrectInstrument replaces what the register says about an instrument. It
// returns a Stale error when somebody changed it since it was read.
func (tx *Tx) CorrectInstrument(permit domain.Permit, cmd domain.CorrectInstrument, now time.Time) error {
	if err := permit.For(domain.KeepInstruments); err != nil {
		return err
	}
	f := cmd.Facts
	n, err := run(tx, `UPDATE instruments SET version = version + 1, name = ?, kind = ?, serial = ?, unit = ?, range_low = ?, range_high = ?,
			resolution = ?, class_pct = ?, accuracy = ?, interval_days = ?, note = ?, changed_by = ?, changed_at = ?
		WHERE id = ? AND version = ?`,
		f.Name, f.Kind, f.Serial, f.Unit, f.Low, f.High, f.Resolution, f.ClassPct, f.Accuracy, f.IntervalDays, f.Note, permit.Account(), now, cmd.Instrument, cmd.Version)
	if err == nil && n != 1 {
		err = domain.Outdated("instrument")
	}
	return err
}

// LockInstrument makes everybody else who wants to change an instrument wait.
func (tx *Tx) LockInstrument(id domain.InstrumentID) error {
	_, err := one[int](tx, "instrument", "SELECT 1 FROM instruments WHERE id = ? FOR UPDATE", id)
	return err
}

// RecordInstrumentAct adds to the history of an instrument.
func (tx *Tx) RecordInstrumentAct(permit domain.Permit, cmd domain.RecordInstrumentAct, now time.Time) error {
	if err := permit.For(domain.KeepInstruments); err != nil {
		return err
	}
	return tx.addInstrumentAct(permit.Account(), cmd, now)
}

func (tx *Tx) addInstrumentAct(who domain.AccountID, cmd domain.RecordInstrumentAct, now time.Time) error {
	n, err := run(tx, `INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key) VALUES (?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (who, client_key) DO NOTHING`, cmd.Instrument, cmd.Kind, cmd.On, cmd.Text, who, now, cmd.Key)
	if err == nil && n == 0 {
		err = keyUsed("another entry of the register", "enter it again")
	}
	return err
}

// InstrumentActed tells whether a member has recorded this about the instrument
// before, with the same client's key.
func (tx *Tx) InstrumentActed(who domain.AccountID, cmd domain.RecordInstrumentAct) (bool, error) {
	return tx.exists("SELECT 1 FROM instrument_acts WHERE who = ? AND client_key = ? AND instrument_id = ? AND kind = ?", who, cmd.Key, cmd.Instrument, cmd.Kind)
}
