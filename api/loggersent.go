package api

import (
	"github.com/labstack/echo/v4"

	"leat/domain"
)

// sentLogger is what a logger sent in a run.
type sentLogger struct {
	ID        domain.LoggerID `json:"id"`
	Name      string          `json:"name"`
	RevokedAt *string         `json:"revoked_at"`
	Samples   int             `json:"samples"`
	Certified bool            `json:"certified"`
	Start     *string         `json:"start"`
	Channels  []sentChannel   `json:"channels"`
}

type sentChannel struct {
	Name       string  `json:"name"`
	Unit       string  `json:"unit"`
	Kind       string  `json:"kind"`
	Counted    string  `json:"counted"`
	FileUnit   string  `json:"file_unit"`
	Count      int     `json:"count"`
	First      *string `json:"first"`
	Last       *string `json:"last"`
	MedianStep float64 `json:"median_step_s"`
}

func newSentLogger(s domain.SentInRun) sentLogger {
	a := sentLogger{
		ID: s.Logger.ID, Name: s.Logger.Name, RevokedAt: instantOrNull(s.Logger.RevokedAt),
		Samples: s.Samples, Certified: s.Certified, Start: instantOrNull(s.Start), Channels: []sentChannel{},
	}
	for _, c := range s.Channels {
		a.Channels = append(a.Channels, sentChannel{c.Name, c.Unit, c.Kind, c.Counted, c.FileUnit, c.Count, instantOrNull(c.First), instantOrNull(c.Last), c.MedianStep})
	}
	return a
}

func (s *server) loggersOfRun(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	takeTime(c)
	list, err := s.notebook.SentInRun(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return ok(c, newItems(list, newSentLogger))
}
