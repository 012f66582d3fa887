package api

import (
	"github.com/labstack/echo/v4"

	"leat/calc/build"
	"leat/calc/parts"
	"leat/domain"
)

type catalogueAnswer struct {
	Items []catalogueLine `json:"items"`
}

type catalogueLine struct {
	parts.Line
	SoldM parts.Tenths `json:"sold_m"`
}

// catalogue answers all lines at once: choosing among them works on without a
// signal.
func (s *server) catalogue(c echo.Context, _ domain.Actor) error {
	a := catalogueAnswer{Items: []catalogueLine{}}
	for _, l := range parts.Catalogue() {
		a.Items = append(a.Items, catalogueLine{l, build.SoldLength(l.Key)})
	}
	return ok(c, a)
}
