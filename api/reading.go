package api

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"leat/calc"
	"leat/calc/confront"
	"leat/domain"
)

type runPoint struct {
	Number     int            `json:"number"`
	Name       string         `json:"name"`
	Setting    string         `json:"setting"`
	Note       string         `json:"note"`
	AddedBy    personAnswer   `json:"added_by"`
	At         string         `json:"at"`
	Readings   []runReading   `json:"readings"`
	Windows    []seriesWindow `json:"windows"`
	Quantities []runQuantity  `json:"quantities"`
}

type runReading struct {
	ID         domain.ReadingID    `json:"id"`
	Quantity   string              `json:"quantity"`
	Method     string              `json:"method"`
	Title      string              `json:"title"`
	Unit       string              `json:"unit"`
	Instrument *runInstrument      `json:"instrument"`
	Typed      domain.TypedReading `json:"typed"`
	Values     []*float64          `json:"values"`
	Extra      map[string]float64  `json:"extra"`
	Reset      bool                `json:"reset"`
	Certified  bool                `json:"certified"`
	TakenBy    personAnswer        `json:"taken_by"`
	TakenAt    string              `json:"taken_at"`
	DeviceAt   *string             `json:"device_at"`
	Strikes    []runStrike         `json:"strikes"`
	Marks      []said              `json:"marks"`
	Counts     bool                `json:"counts"`
	Result     runQuantity         `json:"result"`
	WithAll    *runQuantity        `json:"with_all"`
}

// runInstrument is an instrument as the register had it then.
type runInstrument struct {
	ID domain.InstrumentID `json:"id"`
	instrumentFacts
	CalibratedOn *string `json:"calibrated_on"`
	DueOn        *string `json:"due_on"`
}

func newRunInstrument(i domain.ReadInstrument) *runInstrument {
	return &runInstrument{i.ID, newInstrumentFacts(i.InstrumentFacts), dayOrNull(i.CalibratedOn), dayOrNull(i.DueOn)}
}

type runStrike struct {
	Position *int         `json:"position"`
	Reason   string       `json:"reason"`
	By       personAnswer `json:"by"`
	At       string       `json:"at"`
}

// runQuantity is a value with its uncertainty, with words for who reads it.
type runQuantity struct {
	confront.Quantity
	Title    string `json:"title"`
	Unit     string `json:"unit"`
	Warnings []said `json:"warnings"`
}

func newRunPoint(p domain.RunPoint) runPoint {
	a := runPoint{
		Number: p.Number, Name: p.Name, Setting: p.Setting, Note: p.Note, AddedBy: newPerson(p.By), At: instant(p.At),
		Readings: []runReading{}, Windows: []seriesWindow{}, Quantities: []runQuantity{},
	}
	for _, r := range p.Readings {
		a.Readings = append(a.Readings, newRunReading(r))
	}
	for _, w := range p.Windows {
		a.Windows = append(a.Windows, newSeriesWindow(w))
	}
	for _, w := range p.Worked {
		a.Quantities = append(a.Quantities, newRunQuantity(w))
	}
	return a
}

func newRunReading(r domain.Reading) runReading {
	a := runReading{
		ID: r.ID, Quantity: r.Quantity, Method: r.Method, Title: domain.MeasurableNamed(r.Quantity).Title, Unit: r.Unit(), Typed: r.Typed, Values: []*float64{}, Extra: r.Extra,
		Reset: r.Reset, Certified: r.Certified, TakenBy: newPerson(r.By), TakenAt: instant(r.At), DeviceAt: instantOrNull(r.DeviceAt),
		Strikes: []runStrike{}, Marks: newMarks(r.Marks), Counts: r.Counts, Result: newRunQuantity(r.Worked),
	}
	a.Typed.Texts = listed(a.Typed.Texts)
	if i := r.Instrument; i != nil {
		a.Instrument = newRunInstrument(*i)
	}
	for _, v := range r.Values {
		a.Values = append(a.Values, calc.OrNull(v))
	}
	for _, s := range r.Strikes {
		strike := runStrike{Reason: s.Reason, By: newPerson(s.By), At: instant(s.At)}
		if s.Position > 0 {
			strike.Position = &s.Position
		}
		a.Strikes = append(a.Strikes, strike)
	}
	if r.WithAll != nil {
		all := newRunQuantity(*r.WithAll)
		a.WithAll = &all
	}
	return a
}

func newRunQuantity(q confront.Quantity) runQuantity {
	m := domain.MeasurableNamed(q.Name)
	return runQuantity{q, m.Title, m.Unit, newMarks(domain.Flagged(q.Flags))}
}

type recordReadingRequest struct {
	Quantity   string                     `json:"quantity"`
	Method     string                     `json:"method"`
	Instrument *domain.InstrumentID       `json:"instrument"`
	Values     []json.RawMessage          `json:"values"`
	Typed      typedRequest               `json:"typed"`
	Extra      map[string]json.RawMessage `json:"extra,omitempty"`
	Reset      bool                       `json:"reset,omitempty"`
	DeviceAt   *string                    `json:"device_at,omitempty"`
	Key        string                     `json:"client_key"`
}

type typedRequest struct {
	Unit  string   `json:"unit"`
	Texts []string `json:"texts"`
}

func (r recordReadingRequest) command(ref domain.RunRef, point int) (domain.RecordReading, error) {
	var f faults
	cmd := domain.RecordReading{
		Run: ref, Point: point, Quantity: r.Quantity, Method: r.Method, Instrument: r.Instrument, Typed: domain.TypedReading(r.Typed), Extra: map[string]float64{},
		Reset: r.Reset, DeviceAt: moment("/device_at", r.DeviceAt, &f), Key: r.Key,
	}
	for i, raw := range r.Values {
		v := math.NaN()
		if string(raw) != "null" {
			v = readBelow[float64](raw, fmt.Sprintf("/values/%d", i), &f)
		}
		cmd.Values = append(cmd.Values, v)
	}
	for name, raw := range r.Extra {
		cmd.Extra[name] = readBelow[float64](raw, "/extra/"+escape(name), &f)
	}
	return cmd, f.err()
}

func (s *server) recordReading(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	point, err := pathNumber(c, "point", "operating point")
	if err != nil {
		return err
	}
	req, err := decode[recordReadingRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(ref, point)
	if err != nil {
		return err
	}
	r, now, err := s.notebook.RecordReading(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, runPath(ref), newRun(r))
}

type strikeReadingRequest struct {
	Position *int32 `json:"position"`
	Reason   string `json:"reason"`
	Key      string `json:"client_key"`
}

func (s *server) strikeReading(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	id, err := pathID(c, "reading", "reading")
	if err != nil {
		return err
	}
	req, err := decode[strikeReadingRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.StrikeReading{Run: ref, Reading: domain.ReadingID(id), Reason: req.Reason, Key: req.Key}
	if req.Position != nil {
		if *req.Position < 1 {
			return domain.Faulty([]domain.Field{{Pointer: "/position", Code: "range", Message: "Values are counted from 1. Send null for the whole reading."}})
		}
		cmd.Position = int(*req.Position)
	}
	r, now, err := s.notebook.StrikeReading(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, runPath(ref), newRun(r))
}
