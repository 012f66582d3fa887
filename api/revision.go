package api

import (
	"math"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// sheetRef names a sheet of the project.
type sheetRef struct {
	Design domain.DesignID `json:"design"`
	Letter string          `json:"letter"`
	Number int32           `json:"number"`
}

func (r *sheetRef) ref() *domain.SheetRef {
	if r == nil {
		return nil
	}
	return &domain.SheetRef{Design: r.Design, Letter: r.Letter, Number: int(r.Number)}
}

func positionOf(r domain.Revision) int64 { return int64(r.Position) }

func (s *server) revisions(c echo.Context, who domain.Actor) error {
	project, design, err := pathDesign(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.Revisions(c.Request().Context(), who, project, design, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newRevision, positionOf))
}

type startRevisionRequest struct {
	From *sheetRef `json:"from,omitempty"`
}

func (s *server) startRevision(c echo.Context, who domain.Actor) error {
	project, design, err := pathDesign(c)
	if err != nil {
		return err
	}
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decode[startRevisionRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.StartRevision{Project: project, Design: design, Version: version, From: req.From.ref()}
	d, err := s.notebook.StartRevision(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	setETag(c, d.Version)
	return made(c, true, designPath(project, design), newDesign(d))
}
