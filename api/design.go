package api

import (
	"fmt"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type startDesignRequest struct {
	Title string    `json:"title"`
	From  *sheetRef `json:"from,omitempty"`
	Key   string    `json:"client_key"`
}

type revisionAnswer struct {
	Letter     string       `json:"letter"`
	State      domain.State `json:"state"`
	StartedAt  string       `json:"started_at"`
	StartedBy  personAnswer `json:"started_by"`
	SheetCount int          `json:"sheet_count"`
}

func newRevision(r domain.Revision) revisionAnswer {
	return revisionAnswer{r.Letter, r.State, instant(r.StartedAt), newPerson(r.StartedBy), r.SheetCount}
}

// designCore is what is said about a design everywhere.
type designCore struct {
	ID        domain.DesignID `json:"id"`
	Title     string          `json:"title"`
	StartedAt string          `json:"started_at"`
	StartedBy personAnswer    `json:"started_by"`
	Version   int64           `json:"version"`
	Revision  revisionAnswer  `json:"revision"`
}

func newDesignCore(d domain.Design) designCore {
	return designCore{d.ID, d.Title, instant(d.StartedAt), newPerson(d.StartedBy), d.Version, newRevision(d.Revision)}
}

// designHead is a design in the answer about its project.
type designHead struct {
	designCore
	Newest *sheetHead `json:"newest"`
}

func newDesignHead(d domain.Design) designHead {
	a := designHead{designCore: newDesignCore(d)}
	if d.Newest != nil {
		head := newSheetHead(*d.Newest)
		a.Newest = &head
	}
	return a
}

type designAnswer struct {
	designCore
	Project   domain.ProjectID `json:"project"`
	Revisions []revisionAnswer `json:"revisions"`
	Next      *int64           `json:"revisions_next"`
	Sheet     *sheetAnswer     `json:"sheet"`
	Allowed   []domain.Action  `json:"allowed_actions"`
}

func newDesign(d domain.Design) designAnswer {
	letters := newList(d.Revisions, domain.Page{}, newRevision, positionOf)
	a := designAnswer{designCore: newDesignCore(d), Project: d.Project, Revisions: letters.Items, Next: letters.Next, Allowed: listed(d.Allowed)}
	if d.Sheet != nil {
		sheet := newSheet(*d.Sheet)
		a.Sheet = &sheet
	}
	return a
}

func designPath(project domain.ProjectID, id domain.DesignID) string {
	return fmt.Sprintf("%s/designs/%d", projectPath(project), id)
}

func (s *server) startDesign(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	req, err := decode[startDesignRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.StartDesign{Project: project, Title: req.Title, From: req.From.ref(), Key: req.Key}
	d, now, err := s.notebook.StartDesign(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	setETag(c, d.Version)
	return made(c, now, designPath(project, d.ID), newDesign(d))
}

func (s *server) design(c echo.Context, who domain.Actor) error {
	project, id, err := pathDesign(c)
	if err != nil {
		return err
	}
	d, err := s.notebook.Design(c.Request().Context(), who, project, id)
	if err != nil {
		return err
	}
	setETag(c, d.Version)
	return ok(c, newDesign(d))
}
