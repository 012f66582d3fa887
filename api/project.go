package api

import (
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type startProjectRequest struct {
	Title   string `json:"title"`
	Purpose string `json:"purpose"`
	Key     string `json:"client_key"`
}

type changeProjectRequest struct {
	Title   *string  `json:"title,omitempty"`
	Purpose **string `json:"purpose,omitempty"` // null empties it
	Closed  *bool    `json:"closed,omitempty"`
}

func (r changeProjectRequest) command(project domain.ProjectID, version int64) domain.ChangeProject {
	cmd := domain.ChangeProject{Project: project, Version: version, Title: r.Title, Closed: r.Closed}
	if r.Purpose != nil {
		cmd.Purpose = *r.Purpose
		if cmd.Purpose == nil {
			cmd.Purpose = new(string)
		}
	}
	return cmd
}

// projectHead is a project in a list.
type projectHead struct {
	ID        domain.ProjectID `json:"id"`
	Title     string           `json:"title"`
	Purpose   string           `json:"purpose"`
	Crew      []personAnswer   `json:"crew"`
	Former    []personAnswer   `json:"former_crew"`
	StartedAt string           `json:"started_at"`
	ClosedAt  *string          `json:"closed_at"`
	Version   int64            `json:"version"`
	Origin    *originAnswer    `json:"origin"`
}

func newProjectHead(p domain.Project) projectHead {
	return projectHead{p.ID, p.Title, p.Purpose, newPeople(p.Crew), newPeople(p.Former), instant(p.StartedAt), instantOrNull(p.ClosedAt), p.Version, newOrigin(p.Origin)}
}

type projectAnswer struct {
	projectHead
	Asks    []askAnswer     `json:"asks"`
	Keepers []personAnswer  `json:"keepers"`
	Site    siteAnswer      `json:"site"`
	Designs []designHead    `json:"designs"`
	Allowed []domain.Action `json:"allowed_actions"`
}

// originAnswer says where a project came from.
type originAnswer struct {
	Group     string       `json:"group"`
	WrittenAt string       `json:"written_at"`
	By        personAnswer `json:"by"`
	At        string       `json:"at"`
	Digest    string       `json:"digest"`
	Record    chainHead    `json:"record"`
}

func newOrigin(o *domain.Import) *originAnswer {
	if o == nil {
		return nil
	}
	return &originAnswer{o.From(), instant(o.WrittenAt), newPerson(o.By), instant(o.At), o.Digest.String(), chainHead{o.Record.Number, o.Record.Sum.String()}}
}

func newProject(p domain.Project) projectAnswer {
	a := projectAnswer{
		projectHead: newProjectHead(p), Asks: newAsks(p.Asks), Keepers: newPeople(p.Keepers),
		Designs: []designHead{}, Allowed: listed(p.Allowed),
	}
	if p.Site != nil {
		a.Site = newSite(*p.Site)
	}
	for _, d := range p.Designs {
		a.Designs = append(a.Designs, newDesignHead(d))
	}
	return a
}

func projectPath(id domain.ProjectID) string { return fmt.Sprintf("/api/v1/projects/%d", id) }

func (s *server) projects(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.Projects(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newProjectHead, func(p domain.Project) int64 { return int64(p.ID) }))
}

func (s *server) startProject(c echo.Context, who domain.Actor) error {
	req, err := decode[startProjectRequest](c)
	if err != nil {
		return err
	}
	p, now, err := s.notebook.StartProject(c.Request().Context(), who, domain.StartProject(req))
	if err != nil {
		return err
	}
	setETag(c, p.Version)
	return made(c, now, projectPath(p.ID), newProject(p))
}

func (s *server) project(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	p, err := s.notebook.Project(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	setETag(c, p.Version)
	return ok(c, newProject(p))
}

func (s *server) changeProject(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decodePatch[changeProjectRequest](c)
	if err != nil {
		return err
	}
	p, err := s.notebook.ChangeProject(c.Request().Context(), who, req.command(id, version))
	if err != nil {
		return err
	}
	setETag(c, p.Version)
	return ok(c, newProject(p))
}
