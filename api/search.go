package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/calc"
	"leat/calc/search"
	"leat/domain"
	"leat/domain/notebook"
)

type searchForm struct {
	Inputs   []calc.Field    `json:"inputs"`
	Families []search.Family `json:"families"`
}

type searchAnswer struct {
	ID     domain.SearchID `json:"id"`
	State  string          `json:"state"`
	Done   int             `json:"done"`
	Of     int             `json:"of"`
	Answer *search.Answer  `json:"answer"`
}

func newSearch(p notebook.SearchProgress) searchAnswer {
	return searchAnswer{p.ID, p.State, p.Done, p.Of, p.Answer}
}

// describeSearch tells what may be asked of a search.
func (s *server) describeSearch(c echo.Context, _ domain.Actor) error {
	return ok(c, searchForm{search.Inputs(), search.Families()})
}

func (s *server) startSearch(c echo.Context, who domain.Actor) error {
	asked, err := readBody(c, plainJSON)
	if err != nil {
		return err
	}
	p, err := s.notebook.StartSearch(c.Request().Context(), who, asked)
	if err != nil {
		return err
	}
	return made(c, true, "/api/v1/searches/"+string(p.ID), newSearch(p))
}

func (s *server) search(c echo.Context, who domain.Actor) error {
	p, err := s.notebook.Search(c.Request().Context(), who, domain.SearchID(c.Param("search")))
	if err != nil {
		return err
	}
	return ok(c, newSearch(p))
}

func (s *server) cancelSearch(c echo.Context, who domain.Actor) error {
	if err := s.notebook.CancelSearch(c.Request().Context(), who, domain.SearchID(c.Param("search"))); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}
