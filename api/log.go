package api

import (
	"math"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type incidentAnswer struct {
	MarkedBy personAnswer `json:"marked_by"`
	MarkedAt string       `json:"marked_at"`
	Rest     *restAnswer  `json:"rest"`
	Lacking  string       `json:"lacking"`
}

type restAnswer struct {
	By     personAnswer `json:"by"`
	At     string       `json:"at"`
	Reason string       `json:"reason"`
}

type entryAnswer struct {
	ID         domain.EntryID  `json:"id"`
	Build      *domain.BuildID `json:"build"`
	Text       string          `json:"text"`
	HappenedAt string          `json:"happened_at"`
	By         personAnswer    `json:"by"`
	At         string          `json:"at"`
	Strikes    *domain.EntryID `json:"strikes"`
	StruckBy   *domain.EntryID `json:"struck_by"`
	Incident   *incidentAnswer `json:"incident"`
	Files      []fileAnswer    `json:"files"`
	Allowed    []domain.Action `json:"allowed_actions"`
}

func newEntry(e domain.Entry) entryAnswer {
	a := entryAnswer{
		ID: e.ID, Build: e.Build, Text: e.Text, HappenedAt: instant(e.HappenedAt), By: newPerson(e.By), At: instant(e.At),
		Strikes: e.Strikes, StruckBy: e.StruckBy, Files: []fileAnswer{}, Allowed: listed(e.Allowed),
	}
	if i := e.Incident; i != nil {
		a.Incident = &incidentAnswer{MarkedBy: newPerson(i.By), MarkedAt: instant(i.At), Lacking: i.Lacking}
		if i.Rest != nil {
			a.Incident.Rest = &restAnswer{newPerson(i.Rest.By), instant(i.Rest.At), i.Rest.Reason}
		}
	}
	for _, f := range e.Files {
		a.Files = append(a.Files, newFileAnswer(f))
	}
	return a
}

type logAnswer struct {
	listAnswer[entryAnswer]
	Allowed []domain.Action `json:"allowed_actions"`
}

func logPath(project domain.ProjectID) string { return projectPath(project) + "/log" }

func (s *server) projectLog(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	build, err := queryNumber(c, "build", math.MaxInt64)
	if err != nil {
		return err
	}
	var of *domain.BuildID
	if build != 0 {
		of = (*domain.BuildID)(&build)
	}
	l, err := s.notebook.Log(c.Request().Context(), who, project, of, p)
	if err != nil {
		return err
	}
	list := newList(l.Entries, p, newEntry, func(e domain.Entry) int64 { return int64(e.ID) })
	return ok(c, logAnswer{list, listed(l.Allowed)})
}

type writeEntryRequest struct {
	Build      *domain.BuildID `json:"build"`
	Text       string          `json:"text"`
	Incident   bool            `json:"incident"`
	Strikes    *domain.EntryID `json:"strikes"`
	HappenedAt *string         `json:"happened_at"`
	Files      []domain.FileID `json:"files"`
	Key        string          `json:"client_key"`
}

func (r writeEntryRequest) command(project domain.ProjectID) (domain.WriteEntry, error) {
	cmd := domain.WriteEntry{Project: project, Build: r.Build, Text: r.Text, Incident: r.Incident, Strikes: r.Strikes, Files: r.Files, Key: r.Key}
	if r.HappenedAt == nil {
		return cmd, nil
	}
	at, err := time.Parse(time.RFC3339, *r.HappenedAt)
	if err != nil {
		return cmd, domain.Faulty([]domain.Field{{Pointer: "/happened_at", Code: "text", Message: "Send the moment as in 2026-08-12T09:30:00Z, or null for now."}})
	}
	cmd.HappenedAt = &at
	return cmd, nil
}

func (s *server) writeEntry(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	req, err := decode[writeEntryRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(project)
	if err != nil {
		return err
	}
	e, now, err := s.notebook.WriteEntry(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, logPath(project), newEntry(e))
}

func pathEntry(c echo.Context) (domain.ProjectID, domain.EntryID, error) {
	project, err := pathProject(c)
	if err != nil {
		return 0, 0, err
	}
	id, err := pathID(c, "entry", "entry of the log")
	return project, domain.EntryID(id), err
}

func (s *server) markIncident(c echo.Context, who domain.Actor) error {
	project, id, err := pathEntry(c)
	if err != nil {
		return err
	}
	e, err := s.notebook.MarkIncident(c.Request().Context(), who, project, id)
	if err != nil {
		return err
	}
	return ok(c, newEntry(e))
}

type restIncidentRequest struct {
	Reason   string `json:"reason"`
	Password string `json:"password"`
}

func (s *server) restIncident(c echo.Context, who domain.Actor) error {
	project, id, err := pathEntry(c)
	if err != nil {
		return err
	}
	req, err := decode[restIncidentRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.RestIncident{Project: project, Entry: id, Reason: req.Reason, Proof: domain.Proof{Password: req.Password}}
	e, err := s.notebook.RestIncident(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return ok(c, newEntry(e))
}
