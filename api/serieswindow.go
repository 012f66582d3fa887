package api

import (
	"encoding/json"
	"fmt"

	"github.com/labstack/echo/v4"

	"leat/calc/logger"
	"leat/domain"
)

// seriesWindow is a window of a series, which counts as reading.
type seriesWindow struct {
	ID        domain.SeriesWindowID `json:"id"`
	Point     int                   `json:"point"`
	File      *domain.SeriesFileID  `json:"file"`
	Reading   *int                  `json:"read"`
	Logger    *domain.LoggerID      `json:"logger"`
	From      float64               `json:"from_s"`
	To        float64               `json:"to_s"`
	Start     *string               `json:"start"`
	Status    string                `json:"status"`
	Window    windowFound           `json:"window"`
	Channels  []windowChannel       `json:"channels"`
	Decide    bool                  `json:"decide"`
	Open      bool                  `json:"open"`
	Certified bool                  `json:"certified"`
	TakenBy   personAnswer          `json:"taken_by"`
	TakenAt   string                `json:"taken_at"`
	Decisions []windowDecision      `json:"decisions"`
}

type windowFound struct {
	From  float64 `json:"from_s"`
	To    float64 `json:"to_s"`
	Cut   float64 `json:"cut_s"`
	Rows  int     `json:"rows"`
	Parts int     `json:"parts"`
	Block float64 `json:"block_s"`
}

type windowChannel struct {
	Channel    string                 `json:"channel"`
	Quantity   string                 `json:"quantity"`
	Title      string                 `json:"title"`
	Instrument *runInstrument         `json:"instrument"`
	Counted    string                 `json:"counted"`
	Decay      bool                   `json:"decay"`
	Counts     bool                   `json:"counts"`
	Marks      []said                 `json:"marks"`
	Found      *logger.ChannelSummary `json:"found"`
	Leak       *logger.Leak           `json:"leak"`
	Result     *runQuantity           `json:"result"`
}

type windowDecision struct {
	Decide domain.WindowAnswer `json:"decide"`
	Reason string              `json:"reason"`
	By     personAnswer        `json:"by"`
	At     string              `json:"at"`
}

func newSeriesWindow(w domain.SeriesWindow) seriesWindow {
	f := w.Summary
	a := seriesWindow{
		ID: w.ID, Point: w.Point, File: w.File, Reading: w.Reading, Logger: w.Logger, From: w.From, To: w.To, Start: instantOrNull(f.Start), Status: f.Status,
		Window: windowFound{f.From, f.To, f.Cut, f.Rows, f.Parts, f.Block}, Channels: []windowChannel{}, Decide: w.Decide, Open: w.Open(), Certified: w.Certified,
		TakenBy: newPerson(w.By), TakenAt: instant(w.At), Decisions: []windowDecision{},
	}
	for _, c := range w.Channels {
		a.Channels = append(a.Channels, newWindowChannel(w, c))
	}
	for _, d := range w.Decisions {
		a.Decisions = append(a.Decisions, windowDecision{d.Answer, d.Reason, newPerson(d.By), instant(d.At)})
	}
	return a
}

func newWindowChannel(w domain.SeriesWindow, c domain.WindowChannel) windowChannel {
	a := windowChannel{
		Channel: c.Channel, Quantity: c.Quantity, Title: domain.MeasurableNamed(c.Quantity).Title, Counted: c.Counted, Decay: c.Decay, Counts: c.Counts,
		Marks: newMarks(c.Marks), Found: w.Found(c.Channel),
	}
	if i := c.Instrument; i != nil {
		a.Instrument = newRunInstrument(*i)
	}
	for i, l := range w.Summary.Leaks {
		if l.Name == c.Channel {
			a.Leak = &w.Summary.Leaks[i].Leak
		}
	}
	if c.Worked != nil {
		q := newRunQuantity(*c.Worked)
		a.Result = &q
	}
	return a
}

func (s *server) seriesWindows(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	list, err := s.notebook.SeriesWindows(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return ok(c, newItems(list, newSeriesWindow))
}

type takeWindowRequest struct {
	Point    int64                `json:"point"`
	File     *domain.SeriesFileID `json:"file,omitempty"`
	Logger   *domain.LoggerID     `json:"logger,omitempty"`
	From     *float64             `json:"from_s,omitempty"`
	To       *float64             `json:"to_s,omitempty"`
	Channels []json.RawMessage    `json:"channels"`
	Vessel   *vesselRequest       `json:"vessel,omitempty"`
	Key      string               `json:"client_key"`
}

type channelRequest struct {
	Channel    string               `json:"channel"`
	Quantity   string               `json:"quantity,omitempty"`
	Instrument *domain.InstrumentID `json:"instrument,omitempty"`
	Counted    string               `json:"counted,omitempty"`
	Decay      bool                 `json:"decay,omitempty"`
}

type vesselRequest struct {
	VolumeM3       float64  `json:"volume_m3"`
	UVolumeM3      float64  `json:"u_volume_m3,omitempty"`
	AmbientPa      *float64 `json:"ambient_pa,omitempty"`
	AmbientChannel string   `json:"ambient_channel,omitempty"`
	GasChannel     string   `json:"gas_channel,omitempty"`
	UChangeK       *float64 `json:"u_change_k,omitempty"`
}

func (r takeWindowRequest) command(ref domain.RunRef) (domain.TakeWindow, error) {
	var f faults
	cmd := domain.TakeWindow{Run: ref, Point: int(r.Point), File: r.File, Logger: r.Logger, From: r.From, To: r.To, Vessel: (*domain.AskedVessel)(r.Vessel), Key: r.Key}
	for i, raw := range r.Channels {
		cmd.Channels = append(cmd.Channels, domain.AskedChannel(readBelow[channelRequest](raw, fmt.Sprintf("/channels/%d", i), &f)))
	}
	return cmd, f.err()
}

func (s *server) takeWindow(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	req, err := decode[takeWindowRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(ref)
	if err != nil {
		return err
	}
	takeTime(c)
	w, now, err := s.notebook.TakeWindow(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, runPath(ref), newSeriesWindow(w))
}

type decideWindowRequest struct {
	Decide domain.WindowAnswer `json:"decide"`
	Reason string              `json:"reason"`
	Key    string              `json:"client_key"`
}

func (s *server) decideWindow(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	id, err := pathID(c, "window", "window")
	if err != nil {
		return err
	}
	req, err := decode[decideWindowRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.DecideWindow{Run: ref, Window: domain.SeriesWindowID(id), Answer: req.Decide, Reason: req.Reason, Key: req.Key}
	w, err := s.notebook.DecideWindow(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return ok(c, newSeriesWindow(w))
}
