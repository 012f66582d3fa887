package api

import (
	"strings"

	"github.com/labstack/echo/v4"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/reckon"
	"leat/domain"
)

type calculationHead struct {
	Name     string   `json:"name"`
	Subject  string   `json:"subject"`
	Answers  string   `json:"answers"`
	Words    []string `json:"words"`
	Equation string   `json:"equation"`
}

type calculationList struct {
	Subjects []string          `json:"subjects"`
	Items    []calculationHead `json:"items"`
}

func (s *server) calculations(c echo.Context, _ domain.Actor) error {
	a := calculationList{Subjects: reckon.Subjects(), Items: []calculationHead{}}
	for _, d := range reckon.List() {
		a.Items = append(a.Items, calculationHead{d.Name, d.Subject, d.Answers, listed(d.Words), d.Equation})
	}
	return ok(c, a)
}

// described is a description with the words for the codes that its results may
// hold.
type described struct {
	calc.Description
	Codes map[string]string `json:"codes,omitempty"`
}

func (s *server) describeCalculation(c echo.Context, _ domain.Actor) error {
	d, known := reckon.Describe(calculationName(c))
	if !known {
		return domain.Missing("calculation")
	}
	d.Inputs, d.Outputs, d.Sources, d.Words = listed(d.Inputs), listed(d.Outputs), listed(d.Sources), listed(d.Words)
	a := described{Description: d}
	if strings.HasPrefix(d.Name, "safety/") {
		a.Codes = build.Words()
	}
	return ok(c, a)
}

// runCalculation answers 200 whether the calculation could or not: the
// question was answered.
func (s *server) runCalculation(c echo.Context, _ domain.Actor) error {
	name := calculationName(c)
	if _, known := reckon.Describe(name); !known {
		return domain.Missing("calculation")
	}
	raw, err := readBody(c, plainJSON)
	if err != nil {
		return err
	}
	a, _, err := reckon.Run(name, raw)
	if err != nil {
		return err
	}
	return ok(c, a)
}

// calculationName is family, or family/name.
func calculationName(c echo.Context) string {
	if name := c.Param("name"); name != "" {
		return c.Param("family") + "/" + name
	}
	return c.Param("family")
}
