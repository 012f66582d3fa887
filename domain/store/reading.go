package store

import (
	"encoding/json"
	"fmt"
	"math"
	"time"

	"leat/domain"
)

type runPointRow struct {
	ID      int64     `gorm:"column:id"`
	Number  int       `gorm:"column:number"`
	Name    string    `gorm:"column:name"`
	Setting string    `gorm:"column:setting"`
	Note    string    `gorm:"column:note"`
	AddedBy int64     `gorm:"column:added_by"`
	Adder   string    `gorm:"column:adder"`
	At      time.Time `gorm:"column:at"`
}

// runPoints returns the points of a run, in order, with their readings.
func (tx *Tx) runPoints(id domain.RunID) ([]domain.RunPoint, error) {
	rows, err := all[runPointRow](tx, `SELECT p.id, p.number, p.name, p.setting, p.note, p.added_by, a.name AS adder, p.at
		FROM run_points p JOIN accounts a ON a.id = p.added_by WHERE p.run_id = ? ORDER BY p.number`, id)
	if err != nil {
		return nil, err
	}
	readings, err := tx.readings(id)
	points := make([]domain.RunPoint, len(rows))
	for i, r := range rows {
		points[i] = domain.RunPoint{
			ID: r.ID, Number: r.Number, Name: r.Name, Setting: r.Setting, Note: r.Note, By: domain.Person{ID: domain.AccountID(r.AddedBy), Name: r.Adder}, At: r.At.UTC(),
			Readings: readings[r.ID],
		}
	}
	return points, err
}

type readingRow struct {
	ID         int64      `gorm:"column:id"`
	Point      int64      `gorm:"column:point_id"`
	Quantity   string     `gorm:"column:quantity"`
	Method     string     `gorm:"column:method"`
	Instrument []byte     `gorm:"column:instrument"`
	Typed      []byte     `gorm:"column:typed"`
	Values     []byte     `gorm:"column:figures"`
	Extra      []byte     `gorm:"column:extra"`
	Reset      bool       `gorm:"column:reset"`
	Certified  bool       `gorm:"column:certified"`
	TakenBy    int64      `gorm:"column:taken_by"`
	Taker      string     `gorm:"column:taker"`
	TakenAt    time.Time  `gorm:"column:taken_at"`
	DeviceAt   *time.Time `gorm:"column:device_at"`
}

// keptInstrument is how the facts of an instrument stand beside a reading.
type keptInstrument struct {
	ID           domain.InstrumentID   `json:"id"`
	Name         string                `json:"name"`
	Kind         domain.InstrumentKind `json:"kind"`
	Serial       string                `json:"serial"`
	Unit         string                `json:"unit"`
	Low          float64               `json:"range_low"`
	High         float64               `json:"range_high"`
	Resolution   *float64              `json:"resolution"`
	ClassPct     *float64              `json:"class_pct"`
	Accuracy     *float64              `json:"accuracy"`
	IntervalDays int                   `json:"interval_days"`
	Note         string                `json:"note"`
	CalibratedOn *string               `json:"calibrated_on"`
	DueOn        *string               `json:"due_on"`
	Unfit        string                `json:"unfit"`
}

func keepInstrument(i domain.ReadInstrument) keptInstrument {
	return keptInstrument{
		i.ID, i.Name, i.Kind, i.Serial, i.Unit, i.Low, i.High, i.Resolution, i.ClassPct, i.Accuracy, i.IntervalDays, i.Note, dayText(i.CalibratedOn), dayText(i.DueOn), i.Unfit,
	}
}

func (k keptInstrument) instrument() (*domain.ReadInstrument, error) {
	i := domain.ReadInstrument{ID: k.ID, Unfit: k.Unfit, InstrumentFacts: domain.InstrumentFacts{
		Name: k.Name, Kind: k.Kind, Serial: k.Serial, Unit: k.Unit, Low: k.Low, High: k.High, Resolution: k.Resolution, ClassPct: k.ClassPct, Accuracy: k.Accuracy,
		IntervalDays: k.IntervalDays, Note: k.Note,
	}}
	var err error
	if i.CalibratedOn, err = dayOf(k.CalibratedOn); err != nil {
		return nil, err
	}
	i.DueOn, err = dayOf(k.DueOn)
	return &i, err
}

func dayText(day *time.Time) *string {
	if day == nil {
		return nil
	}
	text := day.Format(time.DateOnly)
	return &text
}

func dayOf(text *string) (*time.Time, error) {
	if text == nil {
		return nil, nil //nolint:nilnil // no day is a day's absence
	}
	day, err := time.Parse(time.DateOnly, *text)
	if err != nil {
		return nil, fmt.Errorf("store: decode a day: %w", err)
	}
	return &day, nil
}

func (r readingRow) reading() (domain.Reading, error) {
	read := domain.Reading{
		ID: domain.ReadingID(r.ID), Quantity: r.Quantity, Method: r.Method, Reset: r.Reset, Certified: r.Certified,
		By: domain.Person{ID: domain.AccountID(r.TakenBy), Name: r.Taker}, At: r.TakenAt.UTC(), DeviceAt: utc(r.DeviceAt),
	}
	var values []*float64
	for _, part := range []struct {
		text []byte
		into any
	}{{r.Typed, &read.Typed}, {r.Extra, &read.Extra}, {r.Values, &values}} {
		if err := json.Unmarshal(part.text, part.into); err != nil {
			return read, fmt.Errorf("store: decode reading: %w", err)
		}
	}
	for _, v := range values {
		if v == nil {
			read.Values = append(read.Values, math.NaN())
			continue
		}
		read.Values = append(read.Values, *v)
	}
	if r.Instrument == nil {
		return read, nil
	}
	var k keptInstrument
	err := json.Unmarshal(r.Instrument, &k)
	if err == nil {
		read.Instrument, err = k.instrument()
	}
	if err != nil {
		return read, fmt.Errorf("store: decode instrument: %w", err)
	}
	return read, nil
}

// readings returns the readings of a run, in the order in which they came, by the
// ids of their points.
func (tx *Tx) readings(id domain.RunID) (map[int64][]domain.Reading, error) {
	rows, err := all[readingRow](tx, `SELECT g.id, g.point_id, g.quantity, g.method, g.instrument, g.typed, to_jsonb(g.values) AS figures, g.extra, g.reset, g.certified,
			g.taken_by, a.name AS taker, g.taken_at, g.device_at
		FROM run_readings g JOIN accounts a ON a.id = g.taken_by WHERE g.run_id = ? ORDER BY g.id`, id)
	if err != nil {
		return nil, err
	}
	strikes, err := tx.strikes(id)
	if err != nil {
		return nil, err
	}
	of := map[int64][]domain.Reading{}
	for _, r := range rows {
		read, err := r.reading()
		if err != nil {
			return nil, err
		}
		read.Strikes = strikes[read.ID]
		of[r.Point] = append(of[r.Point], read)
	}
	return of, nil
}

func (tx *Tx) strikes(id domain.RunID) (map[domain.ReadingID][]domain.ReadingStrike, error) {
	type strikeRow struct {
		Reading  domain.ReadingID `gorm:"column:reading_id"`
		Position *int             `gorm:"column:position"`
		Reason   string           `gorm:"column:reason"`
		Who      int64            `gorm:"column:who"`
		Name     string           `gorm:"column:name"`
		At       time.Time        `gorm:"column:at"`
	}
	rows, err := all[strikeRow](tx, `SELECT s.reading_id, s.position, s.reason, s.who, a.name, s.at FROM run_strikes s JOIN run_readings g ON g.id = s.reading_id
		JOIN accounts a ON a.id = s.who WHERE g.run_id = ? ORDER BY s.id`, id)
	of := map[domain.ReadingID][]domain.ReadingStrike{}
	for _, r := range rows {
		s := domain.ReadingStrike{Reason: r.Reason, By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC()}
		if r.Position != nil {
			s.Position = *r.Position
		}
		of[r.Reading] = append(of[r.Reading], s)
	}
	return of, err
}

// addedTo says what the keys of a member did in runs: the run that a key added
// something to; 0 for none, and a Conflict where that was another run.
func (tx *Tx) addedTo(run domain.RunID, query string, who domain.AccountID, key string) (bool, error) {
	runs, err := all[domain.RunID](tx, query, who, key)
	if err == nil && len(runs) > 0 && runs[0] != run {
		err = keyUsed("something in another run", "send it again")
	}
	return len(runs) > 0, err
}

// PointAdded tells whether a key of a member added a point to the run before.
func (tx *Tx) PointAdded(run domain.RunID, who domain.AccountID, key string) (bool, error) {
	return tx.addedTo(run, "SELECT run_id FROM run_points WHERE added_by = ? AND client_key = ?", who, key)
}

// ReadingAdded tells whether a key of a member added a reading to the run before.
func (tx *Tx) ReadingAdded(run domain.RunID, who domain.AccountID, key string) (bool, error) {
	return tx.addedTo(run, "SELECT run_id FROM run_readings WHERE taken_by = ? AND client_key = ?", who, key)
}

// StrikeAdded tells whether a key of a member struck something in the run before.
func (tx *Tx) StrikeAdded(run domain.RunID, who domain.AccountID, key string) (bool, error) {
	return tx.addedTo(run, "SELECT g.run_id FROM run_strikes s JOIN run_readings g ON g.id = s.reading_id WHERE s.who = ? AND s.client_key = ?", who, key)
}

// AddRunPoint adds a point to a run that the caller holds.
func (tx *Tx) AddRunPoint(permit domain.Permit, id domain.RunID, cmd domain.AddRunPoint, now time.Time) error {
	if err := permit.For(domain.RecordReadings); err != nil {
		return err
	}
	_, err := run(tx, `INSERT INTO run_points (run_id, number, name, setting, note, added_by, at, client_key)
		SELECT ?::bigint, coalesce(max(number), 0) + 1, ?, ?, ?, ?::bigint, ?::timestamptz, ? FROM run_points WHERE run_id = ?`,
		id, cmd.Name, cmd.Setting, cmd.Note, permit.Account(), now, cmd.Key, id)
	if err != nil {
		return err
	}
	return tx.bumpRun(id)
}

// RecordReading adds a reading to a point of a run that the caller holds.
func (tx *Tx) RecordReading(permit domain.Permit, id domain.RunID, point int64, r domain.Reading, key string) error {
	if err := permit.For(domain.RecordReadings); err != nil {
		return err
	}
	values := make([]*float64, len(r.Values))
	for i, v := range r.Values {
		if !math.IsNaN(v) {
			values[i] = &v
		}
	}
	var instrument *string
	var instrumentID *domain.InstrumentID
	if r.Instrument != nil {
		text, err := encoded(keepInstrument(*r.Instrument))
		if err != nil {
			return err
		}
		instrument, instrumentID = &text, &r.Instrument.ID
	}
	figures, err := encoded(values)
	if err != nil {
		return err
	}
	typed, err := encoded(r.Typed)
	if err != nil {
		return err
	}
	extra, err := encoded(r.Extra)
	if err != nil {
		return err
	}
	_, err = run(tx, `INSERT INTO run_readings (run_id, point_id, quantity, method, instrument_id, instrument, typed, values, extra, reset, certified, taken_by, taken_at, device_at, client_key)
		VALUES (?, ?, ?, ?, ?, ?::jsonb, ?::jsonb, ARRAY(SELECT v::float8 FROM jsonb_array_elements_text(?::jsonb) WITH ORDINALITY x (v, n) ORDER BY n), ?::jsonb, ?, ?, ?, ?, ?, ?)`,
		id, point, r.Quantity, r.Method, instrumentID, instrument, typed, figures, extra, r.Reset, r.Certified, permit.Account(), r.At, r.DeviceAt, key)
	if err != nil {
		return err
	}
	return tx.bumpRun(id)
}

func encoded(v any) (string, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return "", fmt.Errorf("store: encode reading: %w", err)
	}
	return string(text), nil
}

// StrikeReading strikes a reading of a run that the caller holds through, or
// excludes one of its values.
func (tx *Tx) StrikeReading(permit domain.Permit, id domain.RunID, cmd domain.StrikeReading, now time.Time) error {
	if err := permit.For(domain.StrikeReadings); err != nil {
		return err
	}
	_, err := run(tx, "INSERT INTO run_strikes (reading_id, position, reason, who, at, client_key) VALUES (?, nullif(?::int, 0), ?, ?, ?, ?)",
		cmd.Reading, cmd.Position, cmd.Reason, permit.Account(), now, cmd.Key)
	if err != nil {
		return err
	}
	return tx.bumpRun(id)
}
