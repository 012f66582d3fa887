package api

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"leat/calc/gauge"
	"leat/domain"
)

// runHead is a run in a list.
type runHead struct {
	Number       int             `json:"number"`
	Build        domain.BuildID  `json:"build"`
	BuildVersion int             `json:"build_version"`
	Title        string          `json:"title"`
	Purpose      string          `json:"purpose"`
	State        domain.RunState `json:"state"`
	OpenedBy     personAnswer    `json:"opened_by"`
	OpenedAt     string          `json:"opened_at"`
	SubmittedAt  *string         `json:"submitted_at"`
	PointCount   int             `json:"point_count"`
	ReadingCount int             `json:"reading_count"`
	Outcome      *string         `json:"outcome"`
	Marks        []said          `json:"marks"`
	End          *runEnd         `json:"end"`
}

type runEnd struct {
	Kind   domain.RunState `json:"kind"`
	Reason string          `json:"reason"`
	By     personAnswer    `json:"by"`
	At     string          `json:"at"`
	Link   int64           `json:"link"`
}

func newRunHead(r domain.Run) runHead {
	a := runHead{
		Number: r.Number, Build: r.Build, BuildVersion: r.BuildVersion, Title: r.Title, Purpose: r.Purpose, State: r.State(),
		OpenedBy: newPerson(r.OpenedBy), OpenedAt: instant(r.OpenedAt), PointCount: r.Counts.Points, ReadingCount: r.Counts.Readings, Marks: newMarks(r.Marks()),
	}
	if r.Submitted != nil {
		a.SubmittedAt = instantOrNull(&r.Submitted.At)
	}
	if r.Verdict != nil {
		a.Outcome = &r.Verdict.Outcome
	}
	if n := len(r.Ends); n > 0 {
		end := newRunEnd(r.Ends[n-1])
		a.End = &end
	}
	return a
}

func newRunEnd(e domain.RunEnd) runEnd {
	return runEnd{e.Kind, e.Reason, newPerson(e.By), instant(e.At), e.Link}
}

func newMarks(marks []domain.Mark) []said {
	list := make([]said, len(marks))
	for i, m := range marks {
		list[i] = said(m)
	}
	return list
}

type runsAnswer struct {
	listAnswer[runHead]
	Refused string          `json:"refused"`
	Form    runForm         `json:"form"`
	Allowed []domain.Action `json:"allowed_actions"`
}

type runForm struct {
	BuildVersion   int            `json:"build_version"`
	CoefficientSet string         `json:"coefficient_set"`
	CalcVersion    string         `json:"calc_version"`
	Certificate    validity       `json:"certificate"`
	Quantities     []measurable   `json:"quantities"`
	Conditions     []measurable   `json:"conditions"`
	Methods        []gauge.Method `json:"methods"`
}

type measurable struct {
	Name        string   `json:"name"`
	Title       string   `json:"title"`
	Unit        string   `json:"unit"`
	Derived     bool     `json:"derived"`
	Pressurised bool     `json:"pressurised"`
	Promised    bool     `json:"promised"`
	Required    bool     `json:"required"`
	Predicted   *float64 `json:"predicted"`
	Low         *float64 `json:"low"`
	High        *float64 `json:"high"`
}

func newRunForm(f domain.RunForm) runForm {
	list := func(all []domain.Predicted) []measurable {
		answers := make([]measurable, len(all))
		for i, p := range all {
			answers[i] = measurable{p.Name, p.Title, p.Unit, p.Derived, p.Pressurised, p.Promised(), p.Required, p.Value, p.Low, p.High}
		}
		return answers
	}
	return runForm{
		f.BuildVersion, f.CoefficientSet, f.CalcVersion, validity{f.Certificate.Valid, listed(f.Certificate.Reasons)}, list(f.Quantities), list(f.Conditions), f.Methods,
	}
}

// runAnswer is a run in full.
type runAnswer struct {
	runHead
	Machine        string                      `json:"machine"`
	Letter         string                      `json:"letter"`
	Sheet          sheetRef                    `json:"sheet"`
	CoefficientSet string                      `json:"coefficient_set"`
	CalcVersion    string                      `json:"calc_version"`
	Required       []string                    `json:"required"`
	Limits         map[string]domain.RunLimits `json:"limits"`
	SubmittedBy    *personAnswer               `json:"submitted_by"`
	TookPart       []personAnswer              `json:"took_part"`
	Points         []runPoint                  `json:"points"`
	Form           runForm                     `json:"form"`
	Judgement      runJudgement                `json:"judgement"`
	Ends           []runEnd                    `json:"ends"`
	Lacking        string                      `json:"lacking"`
	Frozen         string                      `json:"frozen"`
	Allowed        []domain.Action             `json:"allowed_actions"`
}

func newRun(r domain.Run) runAnswer {
	sheet := sheetRef{Design: r.Sheet.Design, Letter: r.Sheet.Letter, Number: int32(r.Sheet.Number)} //nolint:gosec // an integer in the database
	a := runAnswer{
		runHead: newRunHead(r), Machine: r.Machine, Letter: r.Letter, Sheet: sheet, CoefficientSet: r.CoefficientSet, CalcVersion: r.CalcVersion,
		Required: listed(r.Required), Limits: r.Limits, TookPart: newPeople(r.TookPart), Points: []runPoint{}, Form: newRunForm(r.Form),
		Judgement: newRunJudgement(r.Judgement), Ends: []runEnd{}, Lacking: r.Lacking, Frozen: r.Closed(), Allowed: listed(r.Allowed),
	}
	if r.Submitted != nil {
		by := newPerson(r.Submitted.By)
		a.SubmittedBy = &by
	}
	for _, p := range r.Points {
		a.Points = append(a.Points, newRunPoint(p))
	}
	for _, e := range r.Ends {
		a.Ends = append(a.Ends, newRunEnd(e))
	}
	return a
}

type runJudgement struct {
	State   domain.JudgementState `json:"state"`
	Done    int                   `json:"done"`
	Of      int                   `json:"of"`
	Failure string                `json:"failure"`
	Verdict *runVerdict           `json:"verdict"`
}

type runVerdict struct {
	Body   json.RawMessage `json:"body"`
	Digest string          `json:"digest"`
	Seed   string          `json:"seed"`
	Draws  int             `json:"draws"`
	At     string          `json:"at"`
}

func newRunJudgement(j domain.RunJudgement) runJudgement {
	a := runJudgement{State: j.State, Done: j.Done, Of: j.Of, Failure: j.Failure}
	if v := j.Verdict; v != nil {
		a.Verdict = &runVerdict{v.Body, v.Digest.String(), v.Seed, v.Draws, instant(v.At)}
	}
	return a
}

func runPath(ref domain.RunRef) string {
	return fmt.Sprintf("%s/runs/%d", buildPath(ref.Project, ref.Build), ref.Number)
}

// pathRun reads what names a run.
func pathRun(c echo.Context) (domain.RunRef, error) {
	project, build, err := pathBuild(c)
	if err != nil {
		return domain.RunRef{}, err
	}
	number, err := pathNumber(c, "run", "run")
	return domain.RunRef{Project: project, Build: build, Number: number}, err
}

func (s *server) runs(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt32)
	if err != nil {
		return err
	}
	list, err := s.notebook.Runs(c.Request().Context(), who, project, build, p)
	if err != nil {
		return err
	}
	items := newList(list.Items, p, newRunHead, func(r domain.Run) int64 { return int64(r.Number) })
	return ok(c, runsAnswer{items, list.Refused, newRunForm(list.Form), listed(list.Allowed)})
}

// run answers a run. Who has it already as it stands gets no more than that.
func (s *server) run(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	r, err := s.notebook.Run(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return stamped(c, newRun(r))
}

// stamped answers with an ETag that is made from the answer itself, or with 304
// to whoever has it.
func stamped(c echo.Context, a any) error {
	text, err := json.Marshal(a)
	if err != nil {
		return fmt.Errorf("api: encode answer: %w", err)
	}
	if unchanged(c, text) {
		return c.NoContent(304)
	}
	return ok(c, json.RawMessage(text))
}

type openRunRequest struct {
	Title    string                     `json:"title"`
	Purpose  string                     `json:"purpose,omitempty"`
	Required []string                   `json:"required,omitempty"`
	Limits   map[string]json.RawMessage `json:"limits,omitempty"`
	Key      string                     `json:"client_key"`
}

type runLimitsRequest struct {
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
}

func (r openRunRequest) command(project domain.ProjectID, build domain.BuildID) (domain.OpenRun, error) {
	cmd := domain.OpenRun{Project: project, Build: build, Title: r.Title, Purpose: r.Purpose, Required: r.Required, Limits: map[string]domain.RunLimits{}, Key: r.Key}
	var f faults
	for name, raw := range r.Limits {
		cmd.Limits[name] = domain.RunLimits(readBelow[runLimitsRequest](raw, "/limits/"+escape(name), &f))
	}
	return cmd, f.err()
}

func (s *server) openRun(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	req, err := decode[openRunRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(project, build)
	if err != nil {
		return err
	}
	r, now, err := s.notebook.OpenRun(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, runPath(r.Ref()), newRun(r))
}

type addRunPointRequest struct {
	Name    string `json:"name"`
	Setting string `json:"setting"`
	Note    string `json:"note,omitempty"`
	Key     string `json:"client_key"`
}

func (s *server) addRunPoint(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	req, err := decode[addRunPointRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.AddRunPoint{Run: ref, Name: req.Name, Setting: req.Setting, Note: req.Note, Key: req.Key}
	r, now, err := s.notebook.AddRunPoint(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, runPath(ref), newRun(r))
}

func (s *server) submitRun(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	r, err := s.notebook.SubmitRun(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return ok(c, newRun(r))
}

type confirmRunRequest struct {
	Password string `json:"password"`
}

func (s *server) confirmRun(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	req, err := decode[confirmRunRequest](c)
	if err != nil {
		return err
	}
	r, err := s.notebook.ConfirmRun(c.Request().Context(), who, domain.ConfirmRun{Run: ref, Proof: domain.Proof{Password: req.Password}})
	if err != nil {
		return err
	}
	return ok(c, newRun(r))
}

type setRunAsideRequest struct {
	Reason   string `json:"reason"`
	Password string `json:"password"`
}

func (s *server) setRunAside(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	req, err := decode[setRunAsideRequest](c)
	if err != nil {
		return err
	}
	r, err := s.notebook.SetRunAside(c.Request().Context(), who, domain.SetRunAside{Run: ref, Reason: req.Reason, Proof: domain.Proof{Password: req.Password}})
	if err != nil {
		return err
	}
	return ok(c, newRun(r))
}

func (s *server) verdict(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	j, err := s.notebook.RunJudgement(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return ok(c, newRunJudgement(j))
}
