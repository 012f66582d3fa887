package api

import (
	"github.com/labstack/echo/v4"

	"leat/domain"
)

// checkAnswer is a revision with all that was said about it.
type checkAnswer struct {
	revisionAnswer
	Project  domain.ProjectID      `json:"project"`
	Design   domain.DesignID       `json:"design"`
	Version  int64                 `json:"version"`
	Issue    *issueAnswer          `json:"issue"`
	Outcomes []outcomeAnswer       `json:"outcomes"`
	End      *endAnswer            `json:"end"`
	Open     openRemarks           `json:"open_remarks"`
	Again    []recalculationAnswer `json:"recalculations"`
	Builds   int                   `json:"build_count"`
	May      []personAnswer        `json:"may_check"`
	Lacks    []string              `json:"lacks"`
	Allowed  []domain.Action       `json:"allowed_actions"`
}

type issueAnswer struct {
	Sheet    int            `json:"sheet"`
	Digest   string         `json:"digest"`
	Pressure string         `json:"pressure_hash"`
	Class    string         `json:"class"`
	Checkers int            `json:"checkers"`
	Note     string         `json:"note"`
	By       personAnswer   `json:"issued_by"`
	At       string         `json:"issued_at"`
	Asked    []personAnswer `json:"asked"`
	Link     int64          `json:"link"`
}

type outcomeAnswer struct {
	Outcome domain.Said  `json:"outcome"`
	Note    string       `json:"note"`
	Who     personAnswer `json:"who"`
	At      string       `json:"at"`
	Link    int64        `json:"link"`
	Counts  bool         `json:"counts"`
}

type endAnswer struct {
	Kind   domain.EndKind `json:"kind"`
	Reason string         `json:"reason"`
	Who    personAnswer   `json:"who"`
	At     string         `json:"at"`
	Link   int64          `json:"link"`
}

type openRemarks struct {
	Notes    int `json:"notes"`
	Queries  int `json:"queries"`
	Stoppers int `json:"stoppers"`
}

type recalculationAnswer struct {
	CalcVersion string              `json:"calc_version"`
	Set         string              `json:"coefficient_set"`
	Differs     []domain.Difference `json:"differs"`
	At          string              `json:"at"`
}

func newCheck(c domain.Check) checkAnswer {
	a := checkAnswer{
		revisionAnswer: newRevision(c.Revision), Project: c.Project, Design: c.Design, Version: c.Version,
		Issue: newIssue(c.Issue), Outcomes: []outcomeAnswer{}, End: newEnd(c.End), Open: openRemarks(c.Open),
		Again: []recalculationAnswer{}, Builds: c.Builds, May: newPeople(c.May), Lacks: listed(c.Lacks), Allowed: listed(c.Allowed),
	}
	for _, o := range c.Outcomes {
		a.Outcomes = append(a.Outcomes, outcomeAnswer{o.Said, o.Note, newPerson(o.Who), instant(o.At), o.Link, !o.Joined})
	}
	for _, r := range c.Again {
		a.Again = append(a.Again, recalculationAnswer{r.CalcVersion, r.CoefficientSet, listed(r.Differs), instant(r.At)})
	}
	return a
}

func newIssue(i *domain.Issue) *issueAnswer {
	if i == nil {
		return nil
	}
	return &issueAnswer{i.Sheet, i.Digest.String(), i.PressureHash.String(), i.Class, i.Checkers, i.Note, newPerson(i.By), instant(i.At), newPeople(i.Asked), i.Link}
}

func newEnd(e *domain.RevisionEnd) *endAnswer {
	if e == nil {
		return nil
	}
	return &endAnswer{e.Kind, e.Reason, newPerson(e.Who), instant(e.At), e.Link}
}

func (s *server) revision(c echo.Context, who domain.Actor) error {
	project, design, letter, err := pathRevision(c)
	if err != nil {
		return err
	}
	check, err := s.notebook.Check(c.Request().Context(), who, project, design, letter)
	return checked(c, check, err)
}

// checked answers with a revision. Its ETag is that of the design.
func checked(c echo.Context, check domain.Check, err error) error {
	if err != nil {
		return err
	}
	setETag(c, check.Version)
	return ok(c, newCheck(check))
}

// pathStep reads what names a revision, and the version of its design that a
// step is taken from.
func pathStep(c echo.Context) (project domain.ProjectID, design domain.DesignID, letter string, version int64, err error) {
	if project, design, letter, err = pathRevision(c); err != nil {
		return 0, 0, "", 0, err
	}
	version, err = ifMatch(c)
	return project, design, letter, version, err
}

type issueRequest struct {
	Sheet int32              `json:"sheet"`
	Note  string             `json:"note"`
	Ask   []domain.AccountID `json:"ask"`
}

func (s *server) issueRevision(c echo.Context, who domain.Actor) error {
	project, design, letter, version, err := pathStep(c)
	if err != nil {
		return err
	}
	req, err := decode[issueRequest](c)
	if err != nil {
		return err
	}
	check, err := s.notebook.IssueRevision(c.Request().Context(), who, domain.IssueRevision{
		Project: project, Design: design, Letter: letter, Version: version, Sheet: int(req.Sheet), Note: req.Note, Ask: req.Ask,
	})
	return checked(c, check, err)
}

func (s *server) takeBackRevision(c echo.Context, who domain.Actor) error {
	project, design, letter, version, err := pathStep(c)
	if err != nil {
		return err
	}
	check, err := s.notebook.TakeBackRevision(c.Request().Context(), who, domain.TakeBackRevision{
		Project: project, Design: design, Letter: letter, Version: version,
	})
	return checked(c, check, err)
}

type outcomeRequest struct {
	Outcome  domain.Said `json:"outcome"`
	Note     string      `json:"note"`
	Password string      `json:"password"`
}

func (s *server) checkDesign(c echo.Context, who domain.Actor) error {
	project, design, letter, version, err := pathStep(c)
	if err != nil {
		return err
	}
	req, err := decode[outcomeRequest](c)
	if err != nil {
		return err
	}
	check, err := s.notebook.CheckDesign(c.Request().Context(), who, domain.CheckDesign{
		Project: project, Design: design, Letter: letter, Version: version, Outcome: req.Outcome, Note: req.Note, Password: req.Password,
	})
	return checked(c, check, err)
}

type withdrawRequest struct {
	Reason string `json:"reason"`
}

func (s *server) withdrawRevision(c echo.Context, who domain.Actor) error {
	project, design, letter, version, err := pathStep(c)
	if err != nil {
		return err
	}
	req, err := decode[withdrawRequest](c)
	if err != nil {
		return err
	}
	check, err := s.notebook.WithdrawRevision(c.Request().Context(), who, domain.WithdrawRevision{
		Project: project, Design: design, Letter: letter, Version: version, Reason: req.Reason,
	})
	return checked(c, check, err)
}
