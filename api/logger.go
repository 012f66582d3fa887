package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// sendingLogger is a logger of a build.
type sendingLogger struct {
	ID        domain.LoggerID `json:"id"`
	Build     domain.BuildID  `json:"build"`
	Name      string          `json:"name"`
	MadeBy    personAnswer    `json:"made_by"`
	MadeAt    string          `json:"made_at"`
	RevokedBy *personAnswer   `json:"revoked_by"`
	RevokedAt *string         `json:"revoked_at"`
	Bytes     int64           `json:"bytes"`
	HeardAt   *string         `json:"heard_at"`
	Newest    *string         `json:"newest"`
	Allowed   []domain.Action `json:"allowed_actions"`
}

func newSendingLogger(l domain.SendingLogger) sendingLogger {
	a := sendingLogger{
		ID: l.ID, Build: l.Build, Name: l.Name, MadeBy: newPerson(l.MadeBy), MadeAt: instant(l.MadeAt), RevokedAt: instantOrNull(l.RevokedAt),
		Bytes: l.Bytes, HeardAt: instantOrNull(l.HeardAt), Newest: instantOrNull(l.Newest), Allowed: listed(l.Allowed),
	}
	if l.RevokedBy != nil {
		by := newPerson(*l.RevokedBy)
		a.RevokedBy = &by
	}
	return a
}

// madeLogger has the token, this once; null in the answer to a retry.
type madeLogger struct {
	sendingLogger
	Token *domain.LoggerToken `json:"token"`
}

type loggersAnswer struct {
	listAnswer[sendingLogger]
	Allowed []domain.Action `json:"allowed_actions"`
}

func (s *server) loggers(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, allowed, err := s.notebook.Loggers(c.Request().Context(), who, project, build, p)
	if err != nil {
		return err
	}
	items := newList(list, p, newSendingLogger, func(l domain.SendingLogger) int64 { return int64(l.ID) })
	return ok(c, loggersAnswer{items, listed(allowed)})
}

type makeLoggerRequest struct {
	Name string `json:"name"`
	Key  string `json:"client_key"`
}

func (s *server) makeLogger(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	req, err := decode[makeLoggerRequest](c)
	if err != nil {
		return err
	}
	l, token, now, err := s.notebook.MakeLogger(c.Request().Context(), who, domain.MakeLogger{Project: project, Build: build, Name: req.Name, Key: req.Key})
	if err != nil {
		return err
	}
	a := madeLogger{sendingLogger: newSendingLogger(l)}
	if token != "" {
		a.Token = &token
	}
	return made(c, now, buildPath(project, build)+"/loggers", a)
}

func (s *server) revokeLogger(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	id, err := pathID(c, "logger", "logger")
	if err != nil {
		return err
	}
	l, err := s.notebook.RevokeLogger(c.Request().Context(), who, project, build, domain.LoggerID(id))
	if err != nil {
		return err
	}
	return ok(c, newSendingLogger(l))
}

func (s *server) loggerChart(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	id, err := pathID(c, "logger", "logger")
	if err != nil {
		return err
	}
	wish, err := chartWish(c)
	if err != nil {
		return err
	}
	takeTime(c)
	d, err := s.notebook.LoggerChart(c.Request().Context(), who, ref, domain.LoggerID(id), wish)
	if err != nil {
		return err
	}
	return ok(c, newSeriesChart(d))
}

const (
	loggerKey     = "logger" // which one sends, in the context of echo
	postsAMinute  = 30       // of one logger
	longestSecret = 100
)

// forLogger lets a logger through that shows its own token, and not too often.
// Whoever shows wrong ones is slowed down as one is who tries passwords.
func (s *server) forLogger(r route) echo.HandlerFunc {
	return func(c echo.Context) error {
		text, err := bearer(c.Request())
		if err != nil {
			return err
		}
		l, err := s.notebook.SendingLogger(c.Request().Context(), domain.LoggerToken(text[:min(len(text), longestSecret)]))
		if err != nil {
			return errors.Join(s.tries.count(networkOf(c)), err)
		}
		if err := s.posts.count(strconv.FormatInt(int64(l.ID), 10)); err != nil {
			return err
		}
		c.Set(loggerKey, l.ID)
		return r.do(s, c, domain.Actor{})
	}
}

// sendSamplesRequest has either samples one by one, or rows with a value for each
// channel.
type sendSamplesRequest struct {
	Key      string            `json:"client_key"`
	Samples  []json.RawMessage `json:"samples,omitempty"`
	Channels []json.RawMessage `json:"channels,omitempty"`
	Rows     []json.RawMessage `json:"rows,omitempty"`
}

type sampleRequest struct {
	At      string   `json:"t"`
	Channel string   `json:"channel"`
	Value   *float64 `json:"value"`
	Unit    string   `json:"unit"`
}

type sampleChannel struct {
	Name string `json:"name"`
	Unit string `json:"unit"`
}

func (r sendSamplesRequest) command() (domain.SendSamples, error) {
	var f faults
	cmd := domain.SendSamples{Key: r.Key}
	for i, raw := range r.Samples {
		at := fmt.Sprintf("/samples/%d", i)
		s := readBelow[sampleRequest](raw, at, &f)
		cmd.Samples = append(cmd.Samples, domain.Sample{At: sampleTime(s.At, at+"/t", &f), Channel: s.Channel, Value: orMissing(s.Value), Unit: s.Unit})
	}
	var channels []sampleChannel
	for i, raw := range r.Channels {
		channels = append(channels, readBelow[sampleChannel](raw, fmt.Sprintf("/channels/%d", i), &f))
	}
	for i, raw := range r.Rows {
		cmd.Samples = append(cmd.Samples, samplesOfRow(raw, channels, fmt.Sprintf("/rows/%d", i), &f)...)
	}
	return cmd, f.err()
}

// samplesOfRow reads a time and a value for each channel.
func samplesOfRow(raw json.RawMessage, channels []sampleChannel, at string, f *faults) (samples []domain.Sample) {
	cells := readBelow[[]json.RawMessage](raw, at, f)
	if len(cells) != len(channels)+1 {
		f.add(at, "inconsistent", fmt.Sprintf("A row has a time and then a value for each of the %d channels; null where one is missing.", len(channels)))
		return nil
	}
	t := sampleTime(readBelow[string](cells[0], at+"/0", f), at+"/0", f)
	for i, c := range channels {
		v := math.NaN()
		if string(cells[i+1]) != "null" {
			v = readBelow[float64](cells[i+1], fmt.Sprintf("%s/%d", at, i+1), f)
		}
		samples = append(samples, domain.Sample{At: t, Channel: c.Name, Value: v, Unit: c.Unit})
	}
	return samples
}

func orMissing(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}

func sampleTime(text, at string, f *faults) time.Time {
	t, err := time.Parse(time.RFC3339Nano, text)
	if err != nil || t.Year() < 2000 || t.Year() > 2200 {
		f.add(at, "wrong_type", "A date and time with its zone is wanted here, such as 2026-05-01T10:15:30.5Z.")
	}
	return t.UTC()
}

func (s *server) sendSamples(c echo.Context, _ domain.Actor) error {
	id, ok := c.Get(loggerKey).(domain.LoggerID)
	if !ok {
		return errors.New("api: samples of no logger")
	}
	req, err := decode[sendSamplesRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command()
	if err != nil {
		return err
	}
	kept, now, err := s.notebook.SendSamples(c.Request().Context(), id, cmd)
	if err != nil {
		return err
	}
	status := 200
	if now {
		status = 201
	}
	return answer(c, status, kept)
}
