package api

import (
	"github.com/labstack/echo/v4"

	"leat/domain"
)

// awaitedAnswer is one thing that waits for the reader. What does not belong to
// its kind is left out.
type awaitedAnswer struct {
	Kind         domain.AwaitedKind `json:"kind"`
	Project      domain.ProjectID   `json:"project,omitempty"`
	ProjectTitle string             `json:"project_title,omitempty"`
	Design       domain.DesignID    `json:"design,omitempty"`
	Letter       string             `json:"letter,omitempty"`
	Build        domain.BuildID     `json:"build,omitempty"`
	Number       int64              `json:"number,omitempty"`
	Thing        string             `json:"thing"`
	Title        string             `json:"title,omitempty"`
	By           *personAnswer      `json:"by,omitempty"`
	At           *string            `json:"at,omitempty"`
}

type awaitedList struct {
	Items []awaitedAnswer `json:"items"`
}

func (s *server) waiting(c echo.Context, who domain.Actor) error {
	list, err := s.notebook.Waiting(c.Request().Context(), who)
	if err != nil {
		return err
	}
	a := awaitedList{Items: make([]awaitedAnswer, len(list))}
	for i, w := range list {
		a.Items[i] = awaitedAnswer{
			Kind: w.Kind, Project: w.Project, ProjectTitle: w.ProjectTitle, Design: w.Design, Letter: w.Letter, Build: w.Build, Number: w.Number, Thing: w.Thing, Title: w.Title,
			At: instantOrNull(w.At),
		}
		if w.By != nil {
			by := newPerson(*w.By)
			a.Items[i].By = &by
		}
	}
	return ok(c, a)
}
