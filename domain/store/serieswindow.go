package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

type windowRow struct {
	ID        int64     `gorm:"column:id"`
	Run       int64     `gorm:"column:run_id"`
	Point     int       `gorm:"column:point"`
	File      *int64    `gorm:"column:file_id"`
	Reading   *int      `gorm:"column:reading"`
	Logger    *int64    `gorm:"column:logger_id"`
	From      float64   `gorm:"column:from_s"`
	To        float64   `gorm:"column:to_s"`
	Channels  []byte    `gorm:"column:channels"`
	Summary   []byte    `gorm:"column:summary"`
	Decide    bool      `gorm:"column:decide"`
	Certified bool      `gorm:"column:certified"`
	Who       int64     `gorm:"column:who"`
	Name      string    `gorm:"column:name"`
	At        time.Time `gorm:"column:at"`
}

// keptChannel is how a channel of a window is kept.
type keptChannel struct {
	Channel    string          `json:"channel"`
	Quantity   string          `json:"quantity"`
	Instrument *keptInstrument `json:"instrument"`
	Counted    string          `json:"counted"`
	Decay      bool            `json:"decay"`
}

func (r windowRow) window() (domain.SeriesWindow, error) {
	w := domain.SeriesWindow{
		ID: domain.SeriesWindowID(r.ID), Run: domain.RunID(r.Run), Point: r.Point, Reading: r.Reading, From: r.From, To: r.To,
		Decide: r.Decide, Certified: r.Certified, By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC(),
	}
	if r.File != nil {
		id := domain.SeriesFileID(*r.File)
		w.File = &id
	}
	if r.Logger != nil {
		id := domain.LoggerID(*r.Logger)
		w.Logger = &id
	}
	if err := json.Unmarshal(r.Summary, &w.Summary); err != nil {
		return w, fmt.Errorf("store: decode window: %w", err)
	}
	var kept []keptChannel
	if err := json.Unmarshal(r.Channels, &kept); err != nil {
		return w, fmt.Errorf("store: decode channels of a window: %w", err)
	}
	for _, k := range kept {
		c := domain.WindowChannel{Channel: k.Channel, Quantity: k.Quantity, Counted: k.Counted, Decay: k.Decay}
		if k.Instrument != nil {
			var err error
			if c.Instrument, err = k.Instrument.instrument(); err != nil {
				return w, err
			}
		}
		w.Channels = append(w.Channels, c)
	}
	return w, nil
}

// SeriesWindows returns the windows of a run, in the order in which they were
// taken, with what was decided about them.
func (tx *Tx) SeriesWindows(run domain.RunID) ([]domain.SeriesWindow, error) {
	rows, err := all[windowRow](tx, `SELECT w.id, w.run_id, p.number AS point, w.file_id, w.reading, w.logger_id, w.from_s, w.to_s, w.channels, w.summary, w.decide, w.certified,
			w.who, a.name, w.at
		FROM series_windows w JOIN run_points p ON p.id = w.point_id JOIN accounts a ON a.id = w.who WHERE w.run_id = ? ORDER BY w.id`, run)
	if err != nil {
		return nil, err
	}
	decisions, err := tx.seriesDecisions(run)
	if err != nil {
		return nil, err
	}
	list := make([]domain.SeriesWindow, len(rows))
	for i, r := range rows {
		if list[i], err = r.window(); err != nil {
			return nil, err
		}
		list[i].Decisions = decisions[list[i].ID]
	}
	return list, nil
}

// addWindows puts the windows of a run to its points.
func (tx *Tx) addWindows(r *domain.Run) error {
	windows, err := tx.SeriesWindows(r.ID)
	for _, w := range windows {
		for i := range r.Points {
			if r.Points[i].Number == w.Point {
				r.Points[i].Windows = append(r.Points[i].Windows, w)
			}
		}
	}
	return err
}

func (tx *Tx) seriesDecisions(run domain.RunID) (map[domain.SeriesWindowID][]domain.WindowDecision, error) {
	type decisionRow struct {
		Window domain.SeriesWindowID `gorm:"column:window_id"`
		Decide domain.WindowAnswer   `gorm:"column:decide"`
		Reason string                `gorm:"column:reason"`
		Who    int64                 `gorm:"column:who"`
		Name   string                `gorm:"column:name"`
		At     time.Time             `gorm:"column:at"`
	}
	rows, err := all[decisionRow](tx, `SELECT d.window_id, d.decide, d.reason, d.who, a.name, d.at
		FROM series_decisions d JOIN series_windows w ON w.id = d.window_id JOIN accounts a ON a.id = d.who WHERE w.run_id = ? ORDER BY d.id`, run)
	of := map[domain.SeriesWindowID][]domain.WindowDecision{}
	for _, r := range rows {
		of[r.Window] = append(of[r.Window], domain.WindowDecision{Answer: r.Decide, Reason: r.Reason, By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC()})
	}
	return of, err
}

// WindowOfKey returns the window that a key of a member took before; 0 for none,
// and a Conflict where that was in another run.
func (tx *Tx) WindowOfKey(run domain.RunID, who domain.AccountID, key string) (domain.SeriesWindowID, error) {
	id, err := tx.keyedInRun(run, "SELECT id, run_id FROM series_windows WHERE who = ? AND client_key = ?", who, key)
	return domain.SeriesWindowID(id), err
}

// DecisionOfKey tells whether a key of a member decided something in the run
// before.
func (tx *Tx) DecisionOfKey(run domain.RunID, who domain.AccountID, key string) (bool, error) {
	return tx.addedTo(run, "SELECT w.run_id FROM series_decisions d JOIN series_windows w ON w.id = d.window_id WHERE d.who = ? AND d.client_key = ?", who, key)
}

// TakeWindow keeps a window of a run that the caller holds.
func (tx *Tx) TakeWindow(permit domain.Permit, point int64, w domain.SeriesWindow, key string) (domain.SeriesWindowID, error) {
	if err := permit.For(domain.RecordReadings); err != nil {
		return 0, err
	}
	kept := []keptChannel{}
	for _, c := range w.Channels {
		k := keptChannel{Channel: c.Channel, Quantity: c.Quantity, Counted: c.Counted, Decay: c.Decay}
		if c.Instrument != nil {
			i := keepInstrument(*c.Instrument)
			k.Instrument = &i
		}
		kept = append(kept, k)
	}
	channels, err := encoded(kept)
	if err != nil {
		return 0, err
	}
	summary, err := encoded(w.Summary)
	if err != nil {
		return 0, err
	}
	id, err := one[domain.SeriesWindowID](tx, "window", `INSERT INTO series_windows
			(run_id, point_id, file_id, reading, logger_id, from_s, to_s, channels, summary, decide, certified, who, at, client_key)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?::jsonb, ?::jsonb, ?, ?, ?, ?, ?) RETURNING id`,
		w.Run, point, w.File, w.Reading, w.Logger, w.From, w.To, channels, summary, w.Decide, w.Certified, permit.Account(), w.At, key)
	if err != nil {
		return 0, err
	}
	return id, tx.bumpRun(w.Run)
}

// DecideWindow keeps what somebody says about a window of a run that the caller
// holds.
func (tx *Tx) DecideWindow(permit domain.Permit, id domain.RunID, cmd domain.DecideWindow, now time.Time) error {
	if err := permit.For(domain.StrikeReadings); err != nil {
		return err
	}
	_, err := run(tx, "INSERT INTO series_decisions (window_id, decide, reason, who, at, client_key) VALUES (?, ?, ?, ?, ?, ?)",
		cmd.Window, cmd.Answer, cmd.Reason, permit.Account(), now, cmd.Key)
	if err != nil {
		return err
	}
	return tx.bumpRun(id)
}
