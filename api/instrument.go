package api

import (
	"fmt"
	"math"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// instrumentFacts are what the register says, the same in request and answer.
type instrumentFacts struct {
	Name         string                `json:"name"`
	Kind         domain.InstrumentKind `json:"kind"`
	Serial       string                `json:"serial"`
	Unit         string                `json:"unit"`
	Low          float64               `json:"range_low"`
	High         float64               `json:"range_high"`
	Resolution   *float64              `json:"resolution"`
	ClassPct     *float64              `json:"class_pct"`
	Accuracy     *float64              `json:"accuracy"`
	IntervalDays int32                 `json:"interval_days"`
	Note         string                `json:"note"`
}

func (f instrumentFacts) facts() domain.InstrumentFacts {
	return domain.InstrumentFacts{
		Name: f.Name, Kind: f.Kind, Serial: f.Serial, Unit: f.Unit, Low: f.Low, High: f.High,
		Resolution: f.Resolution, ClassPct: f.ClassPct, Accuracy: f.Accuracy, IntervalDays: int(f.IntervalDays), Note: f.Note,
	}
}

func newInstrumentFacts(f domain.InstrumentFacts) instrumentFacts {
	return instrumentFacts{
		Name: f.Name, Kind: f.Kind, Serial: f.Serial, Unit: f.Unit, Low: f.Low, High: f.High,
		Resolution: f.Resolution, ClassPct: f.ClassPct, Accuracy: f.Accuracy, IntervalDays: int32(f.IntervalDays), Note: f.Note, //nolint:gosec // at most ten years
	}
}

type instrumentActAnswer struct {
	ID   int64                    `json:"id"`
	Kind domain.InstrumentActKind `json:"kind"`
	On   string                   `json:"on"`
	Text string                   `json:"text"`
	By   personAnswer             `json:"by"`
	At   string                   `json:"at"`
}

func newInstrumentAct(a domain.InstrumentAct) instrumentActAnswer {
	return instrumentActAnswer{a.ID, a.Kind, a.On.Format(time.DateOnly), a.Text, newPerson(a.By), instant(a.At)}
}

type instrumentAnswer struct {
	ID      domain.InstrumentID `json:"id"`
	Version int64               `json:"version"`
	instrumentFacts
	CalibratedOn *string              `json:"calibrated_on"`
	DueOn        *string              `json:"due_on"`
	Overdue      bool                 `json:"overdue"`
	Wrong        *instrumentActAnswer `json:"found_wrong"`
	Retired      *instrumentActAnswer `json:"retired"`
	Unfit        string               `json:"unfit"`
	ChangedAt    string               `json:"changed_at"`
	ChangedBy    personAnswer         `json:"changed_by"`
	Allowed      []domain.Action      `json:"allowed_actions"`
}

func newInstrument(i domain.Instrument, today time.Time) instrumentAnswer {
	return instrumentAnswer{
		ID: i.ID, Version: i.Version, instrumentFacts: newInstrumentFacts(i.InstrumentFacts),
		CalibratedOn: dayOrNull(i.CalibratedOn), DueOn: dayOrNull(i.DueOn), Overdue: i.Overdue(today), Wrong: instrumentActOrNull(i.Wrong),
		Retired: instrumentActOrNull(i.Retired), Unfit: i.Unfit(today), ChangedAt: instant(i.ChangedAt), ChangedBy: newPerson(i.ChangedBy), Allowed: listed(i.Allowed),
	}
}

func instrumentActOrNull(a *domain.InstrumentAct) *instrumentActAnswer {
	if a == nil {
		return nil
	}
	answer := newInstrumentAct(*a)
	return &answer
}

func dayOrNull(day *time.Time) *string {
	if day == nil {
		return nil
	}
	text := day.Format(time.DateOnly)
	return &text
}

type instrumentList struct {
	Items   []instrumentAnswer `json:"items"`
	Today   string             `json:"today"`
	Allowed []domain.Action    `json:"allowed_actions"`
}

type addInstrumentRequest struct {
	Facts        instrumentFacts `json:"facts"`
	CalibratedOn *string         `json:"calibrated_on"`
	Calibration  string          `json:"calibration"`
	Key          string          `json:"client_key"`
}

type calibrationRequest struct {
	On   string `json:"calibrated_on"`
	Text string `json:"text"`
	Key  string `json:"client_key"`
}

type foundWrongRequest struct {
	Since string `json:"since"`
	Text  string `json:"text"`
	Key   string `json:"client_key"`
}

type retireRequest struct {
	On   string `json:"on"`
	Text string `json:"text"`
	Key  string `json:"client_key"`
}

const instrumentsPath = "/api/v1/instruments"

func instrumentPath(id domain.InstrumentID) string { return fmt.Sprintf("%s/%d", instrumentsPath, id) }

func (s *server) instruments(c echo.Context, who domain.Actor) error {
	list, allowed, today, err := s.notebook.Instruments(c.Request().Context(), who)
	if err != nil {
		return err
	}
	a := instrumentList{Items: []instrumentAnswer{}, Today: today.Format(time.DateOnly), Allowed: listed(allowed)}
	for _, i := range list {
		a.Items = append(a.Items, newInstrument(i, today))
	}
	return ok(c, a)
}

func (s *server) instrument(c echo.Context, who domain.Actor) error {
	id, err := pathInstrument(c)
	if err != nil {
		return err
	}
	i, today, err := s.notebook.Instrument(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	setETag(c, i.Version)
	return ok(c, newInstrument(i, today))
}

func (s *server) instrumentActs(c echo.Context, who domain.Actor) error {
	id, err := pathInstrument(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.InstrumentActs(c.Request().Context(), who, id, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newInstrumentAct, func(a domain.InstrumentAct) int64 { return a.ID }))
}

func (s *server) addInstrument(c echo.Context, who domain.Actor) error {
	req, err := decode[addInstrumentRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.AddInstrument{Facts: req.Facts.facts(), Calibration: req.Calibration, Key: req.Key}
	if req.CalibratedOn != nil {
		on, err := day("/calibrated_on", *req.CalibratedOn)
		if err != nil {
			return err
		}
		cmd.CalibratedOn = &on
	}
	i, today, now, err := s.notebook.AddInstrument(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, instrumentPath(i.ID), newInstrument(i, today))
}

func (s *server) correctInstrument(c echo.Context, who domain.Actor) error {
	id, err := pathInstrument(c)
	if err != nil {
		return err
	}
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decode[instrumentFacts](c)
	if err != nil {
		return err
	}
	i, today, err := s.notebook.CorrectInstrument(c.Request().Context(), who, domain.CorrectInstrument{Instrument: id, Version: version, Facts: req.facts()})
	if err != nil {
		return err
	}
	setETag(c, i.Version)
	return ok(c, newInstrument(i, today))
}

func (s *server) calibrate(c echo.Context, who domain.Actor) error {
	req, err := decode[calibrationRequest](c)
	if err != nil {
		return err
	}
	return s.instrumentAct(c, who, domain.InstrumentCalibrated, "/calibrated_on", req.On, req.Text, req.Key)
}

func (s *server) foundWrong(c echo.Context, who domain.Actor) error {
	req, err := decode[foundWrongRequest](c)
	if err != nil {
		return err
	}
	return s.instrumentAct(c, who, domain.InstrumentWrong, "/since", req.Since, req.Text, req.Key)
}

func (s *server) retireInstrument(c echo.Context, who domain.Actor) error {
	req, err := decode[retireRequest](c)
	if err != nil {
		return err
	}
	return s.instrumentAct(c, who, domain.InstrumentRetired, "/on", req.On, req.Text, req.Key)
}

func (s *server) instrumentAct(c echo.Context, who domain.Actor, kind domain.InstrumentActKind, pointer, on, text, key string) error {
	id, err := pathInstrument(c)
	if err != nil {
		return err
	}
	date, err := day(pointer, on)
	if err != nil {
		return err
	}
	cmd := domain.RecordInstrumentAct{Instrument: id, Kind: kind, On: date, Text: text, Key: key}
	i, today, now, err := s.notebook.RecordInstrumentAct(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, instrumentPath(id), newInstrument(i, today))
}

// day reads a day that a request gives.
func day(pointer, text string) (time.Time, error) {
	on, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return on, domain.Faulty([]domain.Field{{Pointer: pointer, Code: "text", Message: "Type the day as year, month and day, such as 2026-08-12."}})
	}
	return on, nil
}

func pathInstrument(c echo.Context) (domain.InstrumentID, error) {
	id, err := pathID(c, "instrument", "instrument")
	return domain.InstrumentID(id), err
}
