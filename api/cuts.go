package api

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"leat/calc/parts"
	"leat/domain"
)

type cutsAnswer struct {
	Rows   []parts.Row       `json:"rows"`
	Plan   []pipeCuts        `json:"plan"`
	Counts []parts.CountPlan `json:"counts"`
	Cost   costAnswer        `json:"cost"`
	Barred []string          `json:"barred"`
}

type pipeCuts struct {
	parts.KeyPlan
	Kerf   parts.Tenths      `json:"kerf_m"`
	Trim   parts.Tenths      `json:"trim_m"`
	Price  *parts.Hundredths `json:"price"`
	Listed bool              `json:"listed"`
}

type costAnswer struct {
	Known    parts.Hundredths `json:"known"`
	Unpriced []string         `json:"unpriced"`
}

func newCuts(c domain.Cuts) cutsAnswer {
	a := cutsAnswer{Rows: listed(c.Rows), Plan: []pipeCuts{}, Counts: listed(c.Counts), Cost: costAnswer{c.Cost.Known, listed(c.Cost.Unpriced)}, Barred: listed(c.Barred)}
	for _, k := range c.Plan {
		a.Plan = append(a.Plan, pipeCuts{k.KeyPlan, k.Kerf, k.Trim, k.Price, k.Listed})
	}
	return a
}

func (s *server) cuts(c echo.Context, who domain.Actor) error {
	project, design, letter, number, err := pathSheet(c)
	if err != nil {
		return err
	}
	saw, as, err := cutsQuery(c)
	if err != nil {
		return err
	}
	cuts, err := s.notebook.Cuts(c.Request().Context(), who, project, design, letter, number, saw)
	if err != nil {
		return err
	}
	if as == "" {
		return ok(c, newCuts(cuts))
	}
	var text bytes.Buffer
	if err := writeCuts(&text, as, cuts); err != nil {
		return err
	}
	c.Response().Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s.%d-%s"`, letter, number, as))
	return c.Blob(http.StatusOK, "text/csv; charset=utf-8; header=present", text.Bytes())
}

func writeCuts(text *bytes.Buffer, as string, cuts domain.Cuts) error {
	if as == "parts.csv" {
		return parts.WriteList(text, cuts.Rows)
	}
	var plan parts.CutPlan
	for _, k := range cuts.Plan {
		plan.Keys = append(plan.Keys, k.KeyPlan)
	}
	return parts.WriteCuts(text, plan)
}

// cutsQuery reads how pipe is cut, and which list is wanted as CSV; none: all
// of it as JSON.
func cutsQuery(c echo.Context) (saw domain.Saw, as string, err error) {
	if saw.Kerf, err = queryLength(c, "kerf_m", 0.1); err != nil {
		return saw, "", err
	}
	if saw.Trim, err = queryLength(c, "trim_m", 1); err != nil {
		return saw, "", err
	}
	as = c.QueryParam("as")
	if as != "" && as != "parts.csv" && as != "cuts.csv" {
		return saw, "", &httpError{http.StatusBadRequest, "malformed-query", "In the address, as must be parts.csv or cuts.csv."}
	}
	return saw, as, nil
}

// queryLength reads a length in m from 0 to most, and 0 when it isn't given.
func queryLength(c echo.Context, name string, most float64) (parts.Tenths, error) {
	given, ok := c.QueryParams()[name]
	if !ok {
		return 0, nil
	}
	x, err := strconv.ParseFloat(given[0], 64)
	if err != nil || len(given) > 1 || !(x >= 0 && x <= most) {
		return 0, &httpError{http.StatusBadRequest, "malformed-query", fmt.Sprintf("In the address, %s must be one length from 0 to %g m.", name, most)}
	}
	return parts.InTenths(x), nil
}
