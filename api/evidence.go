package api

import (
	"github.com/labstack/echo/v4"

	"leat/calc/lessons"
	"leat/domain"
)

// evidenceRunAnswer is a run that points of the evidence are of.
type evidenceRunAnswer struct {
	Project     domain.ProjectID `json:"project"`
	Build       domain.BuildID   `json:"build"`
	Number      int              `json:"number"`
	Machine     string           `json:"machine"`
	Tag         int              `json:"tag"`
	Kind        string           `json:"kind"`
	Title       string           `json:"title"`
	Set         string           `json:"coefficient_set"`
	CalcVersion string           `json:"calc_version"`
	State       domain.RunState  `json:"state"`
	Outcome     string           `json:"outcome"`
	Marks       []said           `json:"marks"`
	At          string           `json:"at"`
}

type evidenceAnswer struct {
	Set        string              `json:"coefficient_set"`
	Builds     int                 `json:"build_count"`
	RunCount   int                 `json:"run_count"`
	Aside      int                 `json:"aside_count"`
	Runs       []evidenceRunAnswer `json:"runs"`
	Quantities []lessons.Quantity  `json:"quantities"`
	Changed    []string            `json:"changed_sets"`
	Allowed    []domain.Action     `json:"allowed_actions"`
}

func newEvidence(e domain.Evidence) evidenceAnswer {
	a := evidenceAnswer{
		Set: e.InForce, Builds: e.Summary.Builds, RunCount: e.Summary.Runs, Aside: e.Summary.Aside, Runs: []evidenceRunAnswer{},
		Quantities: e.Summary.Quantities, Changed: listed(e.Changed), Allowed: listed(e.Allowed),
	}
	for _, r := range e.Runs {
		run := evidenceRunAnswer{
			Project: r.Project, Build: r.Build, Number: r.Number, Machine: r.Machine, Tag: r.Tag, Kind: r.Kind, Title: r.Title,
			Set: r.CoefficientSet, CalcVersion: r.CalcVersion, State: r.State(), Marks: newMarks(r.Marks()), At: instant(r.Ends[0].At),
		}
		if r.Verdict != nil {
			run.Outcome = r.Verdict.Outcome
		}
		a.Runs = append(a.Runs, run)
	}
	return a
}

func (s *server) evidence(c echo.Context, who domain.Actor) error {
	e, err := s.notebook.Evidence(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return ok(c, newEvidence(e))
}
