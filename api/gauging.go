package api

import (
	"math"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// gaugingFacts are what somebody found, the same in request and answer.
type gaugingFacts struct {
	FlowM3S      float64  `json:"flow_m3s"`
	HalfWidthM3S *float64 `json:"half_width_m3s"`
	On           *string  `json:"gauged_on"`
	How          string   `json:"how"`
	Note         string   `json:"note"`
}

type gaugingAnswer struct {
	ID domain.GaugingID `json:"id"`
	gaugingFacts
	RecordedAt string       `json:"recorded_at"`
	RecordedBy personAnswer `json:"recorded_by"`
}

func newGauging(g domain.Gauging) gaugingAnswer {
	a := gaugingAnswer{
		ID: g.ID, gaugingFacts: gaugingFacts{FlowM3S: g.FlowM3S, HalfWidthM3S: g.HalfWidthM3S, How: g.How, Note: g.Note},
		RecordedAt: instant(g.RecordedAt), RecordedBy: newPerson(g.RecordedBy),
	}
	if g.On != nil {
		day := g.On.Format(time.DateOnly)
		a.On = &day
	}
	return a
}

func gaugingOrNull(g *domain.Gauging) *gaugingAnswer {
	if g == nil {
		return nil
	}
	a := newGauging(*g)
	return &a
}

type recordGaugingRequest struct {
	FlowM3S      float64  `json:"flow_m3s"`
	HalfWidthM3S *float64 `json:"half_width_m3s"`
	On           *string  `json:"gauged_on"`
	How          string   `json:"how"`
	Note         string   `json:"note"`
	Key          string   `json:"client_key"`
}

func (r recordGaugingRequest) command(project domain.ProjectID) (domain.RecordGauging, error) {
	cmd := domain.RecordGauging{
		Project: project, Key: r.Key,
		Facts: domain.GaugingFacts{FlowM3S: r.FlowM3S, HalfWidthM3S: r.HalfWidthM3S, How: r.How, Note: r.Note},
	}
	if r.On == nil {
		return cmd, nil
	}
	day, err := time.Parse(time.DateOnly, *r.On)
	if err != nil {
		return cmd, domain.Faulty([]domain.Field{{Pointer: "/gauged_on", Code: "text", Message: "Type the day as year, month and day, such as 2026-08-12, or leave it empty."}})
	}
	cmd.Facts.On = &day
	return cmd, nil
}

func gaugingsPath(project domain.ProjectID) string { return projectPath(project) + "/site/gaugings" }

func (s *server) gaugings(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.Gaugings(c.Request().Context(), who, project, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newGauging, func(g domain.Gauging) int64 { return int64(g.ID) }))
}

func (s *server) recordGauging(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	req, err := decode[recordGaugingRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(project)
	if err != nil {
		return err
	}
	g, now, err := s.notebook.RecordGauging(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, gaugingsPath(project), newGauging(g))
}
