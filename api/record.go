package api

import (
	"math"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type linkAnswer struct {
	Number  int64             `json:"number"`
	Kind    domain.LinkKind   `json:"kind"`
	At      string            `json:"at"`
	Who     personAnswer      `json:"who"`
	Project *domain.ProjectID `json:"project"`
	About   linkAbout         `json:"about"`
	Signed  string            `json:"signed"`
	Digest  string            `json:"digest"`
	Link    string            `json:"link"`
}

// linkAbout is the thing that a link is about; what does not belong to it is left out.
type linkAbout struct {
	Title  string          `json:"title"`
	Design domain.DesignID `json:"design,omitempty"`
	Letter string          `json:"letter,omitempty"`
	Build  domain.BuildID  `json:"build,omitempty"`
	Test   int             `json:"test,omitempty"`
	Item   string          `json:"item,omitempty"`
	Run    int             `json:"run,omitempty"`
	Number int64           `json:"number,omitempty"`
}

func newLink(l domain.Link) linkAnswer {
	a := linkAnswer{
		Number: l.Number, Kind: l.Kind, At: instant(l.At), Who: newPerson(l.Who), Signed: string(l.Body), Digest: l.Digest.String(), Link: l.Sum.String(),
		About: linkAbout(l.About),
	}
	if l.Project != 0 {
		a.Project = &l.Project
	}
	return a
}

func (s *server) record(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	links, err := s.notebook.Links(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, newList(links, p, newLink, func(l domain.Link) int64 { return l.Number }))
}
