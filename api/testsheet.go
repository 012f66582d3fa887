package api

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"github.com/labstack/echo/v4"

	"leat/calc/procedure"
	"leat/domain"
)

// testHead is a test sheet in a list.
type testHead struct {
	Number         int                    `json:"number"`
	Build          domain.BuildID         `json:"build"`
	BuildVersion   int                    `json:"build_version"`
	Letter         string                 `json:"letter"`
	Template       domain.TemplateVersion `json:"template_version"`
	Short          bool                   `json:"short"`
	PressureHash   string                 `json:"pressure_hash"`
	StartedAt      string                 `json:"started_at"`
	StartedBy      personAnswer           `json:"started_by"`
	Ended          *domain.TestEnd        `json:"ended"`
	EndedAt        *string                `json:"ended_at"`
	Over           string                 `json:"over"`
	Certified      bool                   `json:"certified"`
	Nonconformance *nonconformanceAnswer  `json:"nonconformance"`
}

type nonconformanceAnswer struct {
	Item   string         `json:"item"`
	Text   string         `json:"text"`
	By     personAnswer   `json:"opened_by"`
	At     string         `json:"opened_at"`
	Closed *closingAnswer `json:"closed"`
}

type closingAnswer struct {
	Disposition string       `json:"disposition"`
	Text        string       `json:"text"`
	By          personAnswer `json:"closed_by"`
	At          string       `json:"closed_at"`
}

func newTestHead(t domain.Test) testHead {
	a := testHead{
		Number: t.Number, Build: t.Build, BuildVersion: t.BuildVersion, Letter: t.Letter, Template: t.Template, Short: t.Short, PressureHash: hex.EncodeToString(t.Pressure[:]),
		StartedAt: instant(t.StartedAt), StartedBy: newPerson(t.StartedBy), EndedAt: instantOrNull(t.EndedAt), Over: t.Over, Certified: t.Certified,
	}
	if t.Ended != "" {
		a.Ended = &t.Ended
	}
	if n := t.Nonconformance; n != nil {
		a.Nonconformance = &nonconformanceAnswer{Item: n.Item, Text: n.Text, By: newPerson(n.By), At: instant(n.At)}
		if c := n.Closed; c != nil {
			a.Nonconformance.Closed = &closingAnswer{c.Disposition, c.Text, newPerson(c.By), instant(c.At)}
		}
	}
	return a
}

type testsAnswer struct {
	listAnswer[testHead]
	Refused string           `json:"refused"`
	Lacks   []procedure.Lack `json:"lacks"`
	Allowed []domain.Action  `json:"allowed_actions"`
}

// testAnswer is a test sheet in full.
type testAnswer struct {
	testHead
	Title     string          `json:"title"`
	Competent bool            `json:"competent"`
	WrittenUp bool            `json:"written_up"`
	Names     procedure.Names `json:"names"`
	Items     []testItem      `json:"items"`
	Builders  []personAnswer  `json:"builders"`
	Members   []signerAnswer  `json:"members"`
	Allowed   []domain.Action `json:"allowed_actions"`
}

type testItem struct {
	ID           string          `json:"id"`
	Stage        string          `json:"stage"`
	Point        string          `json:"point"`
	Title        string          `json:"title"`
	Do           string          `json:"do"`
	Why          string          `json:"why"`
	AfterFailure bool            `json:"after_failure"`
	State        string          `json:"state"`
	Text         string          `json:"text"`
	WaitsFor     []string        `json:"waits_for"`
	Roles        []string        `json:"roles"`
	Lacks        []string        `json:"lacks"`
	Fields       []testField     `json:"fields"`
	Asks         []testAsk       `json:"asks"`
	Entry        *testEntry      `json:"entry"`
	Refused      []testEntry     `json:"refused"`
	Signed       []testSignature `json:"signed"`
	MaySign      []maySign       `json:"may_sign"`
	Lacking      string          `json:"lacking"`
	UsesUp       []usesUpAnswer  `json:"uses_up"`
}

// usesUpAnswer is a signature after which nobody is left for another one.
type usesUpAnswer struct {
	Role string           `json:"role"`
	Who  domain.AccountID `json:"who"`
	Text string           `json:"text"`
}

type testField struct {
	Name    string            `json:"name"`
	Kind    string            `json:"kind"`
	Unit    string            `json:"unit"`
	OnlyIf  *procedure.OnlyIf `json:"only_if"`
	When    string            `json:"when"`
	Values  []string          `json:"values"`
	Needs   []string          `json:"needs"`
	Confirm procedure.Value   `json:"confirm"`
	Ticks   *float64          `json:"ticks"`
	Repeats bool              `json:"repeats"`
	Entries []procedure.Shown `json:"entries"`
}

type testAsk struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

type testEntry struct {
	ID       domain.TestEntryID `json:"id"`
	Role     string             `json:"role"`
	Values   procedure.Values   `json:"values"`
	Outcome  string             `json:"outcome"`
	Why      string             `json:"why"`
	Who      personAnswer       `json:"who"`
	SentBy   personAnswer       `json:"sent_by"`
	At       string             `json:"at"`
	DeviceAt *string            `json:"device_at"`
	Paper    *paperAnswer       `json:"from_paper"`
}

type paperAnswer struct {
	At   string `json:"at"`
	File int64  `json:"file"`
}

type testSignature struct {
	Role     string          `json:"role"`
	Who      personAnswer    `json:"who"`
	SentBy   personAnswer    `json:"sent_by"`
	At       string          `json:"at"`
	DeviceAt *string         `json:"device_at"`
	How      domain.SignedBy `json:"how"`
}

type signerAnswer struct {
	ID      domain.AccountID `json:"id"`
	Name    string           `json:"name"`
	HasCode bool             `json:"has_code"`
}

type maySign struct {
	signerAnswer
	Roles []string `json:"roles"`
}

func newTest(t domain.Test) testAnswer {
	sheet := t.Attempt()
	a := testAnswer{
		testHead: newTestHead(t), Title: t.Title, Competent: t.Basis.Competent, WrittenUp: sheet.WrittenUp(), Names: sheet.Names(t.Today, nil),
		Items: []testItem{}, Builders: newPeople(t.Builders), Members: []signerAnswer{}, Allowed: listed(t.Allowed),
	}
	for _, m := range t.Members {
		a.Members = append(a.Members, newSigner(m))
	}
	for i, state := range t.States() {
		a.Items = append(a.Items, newTestItem(t, t.Tasks[i], state, a.Names))
	}
	return a
}

func newSigner(s domain.Signer) signerAnswer { return signerAnswer{s.ID, s.Name, s.HasCode} }

func newTestItem(t domain.Test, task procedure.Task, state domain.ItemState, names procedure.Names) testItem {
	a := testItem{
		ID: task.ID, Stage: task.Stage, Point: task.Point, Title: task.Title, Do: task.Do, Why: task.Why, AfterFailure: task.AfterFailure(),
		State: state.State.State, Text: state.Text, WaitsFor: state.WaitsFor, Lacks: state.Lacks, Lacking: state.Lacking,
		Fields: []testField{}, Asks: []testAsk{}, Refused: []testEntry{}, Signed: []testSignature{}, MaySign: []maySign{}, UsesUp: []usesUpAnswer{},
	}
	var recorded procedure.Values
	for _, e := range t.Entries {
		switch {
		case e.Item != task.ID:
		case e.Outcome == procedure.Met:
			entry := newTestEntry(e)
			a.Entry, recorded = &entry, e.Values
		default:
			a.Refused = append(a.Refused, newTestEntry(e))
		}
	}
	a.Roles = task.Signers(names, recorded)
	for _, f := range task.Fields {
		if field, asked := newTestField(task, f, names); asked {
			a.Fields = append(a.Fields, field)
		}
	}
	for _, name := range task.Asks {
		a.Asks = append(a.Asks, testAsk{name, procedure.AskedBeside(name)})
	}
	for _, s := range t.Signatures {
		if s.Item == task.ID {
			a.Signed = append(a.Signed, testSignature{s.Role, newPerson(s.Who), newPerson(s.SentBy), instant(s.At), instantOrNull(s.DeviceAt), s.How})
		}
	}
	for _, m := range state.May {
		a.MaySign = append(a.MaySign, maySign{newSigner(m.Signer), m.Roles})
	}
	for _, u := range state.UsesUp {
		a.UsesUp = append(a.UsesUp, usesUpAnswer{u.Role, u.Who.ID, u.Text})
	}
	return a
}

func newTestField(task procedure.Task, f procedure.Field, names procedure.Names) (testField, bool) {
	asked, only := task.Asked(f, names)
	a := testField{
		Name: f.Name, Kind: f.Kind, Unit: f.Unit, OnlyIf: only, When: f.When.String(), Values: listed(f.Values), Needs: listed(f.Needs),
		Repeats: f.Per != "", Entries: f.Show(names),
	}
	a.Confirm, a.Ticks = f.Wants(names)
	return a, asked
}

func newTestEntry(e domain.TestEntry) testEntry {
	a := testEntry{
		ID: e.ID, Role: e.Role, Values: e.Values, Outcome: e.Outcome, Why: e.Why, Who: newPerson(e.Who), SentBy: newPerson(e.SentBy),
		At: instant(e.At), DeviceAt: instantOrNull(e.DeviceAt),
	}
	if e.Paper != nil {
		a.Paper = &paperAnswer{instant(e.Paper.At), e.Paper.File}
	}
	return a
}

func testPath(ref domain.TestRef) string {
	return fmt.Sprintf("%s/tests/%d", buildPath(ref.Project, ref.Build), ref.Number)
}

// pathTest reads what names a test sheet.
func pathTest(c echo.Context) (domain.TestRef, error) {
	project, build, err := pathBuild(c)
	if err != nil {
		return domain.TestRef{}, err
	}
	number, err := pathNumber(c, "test", "test sheet")
	return domain.TestRef{Project: project, Build: build, Number: number}, err
}

func (s *server) tests(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt32)
	if err != nil {
		return err
	}
	list, err := s.notebook.Tests(c.Request().Context(), who, project, build, p)
	if err != nil {
		return err
	}
	items := newList(list.Items, p, newTestHead, func(t domain.Test) int64 { return int64(t.Number) })
	return ok(c, testsAnswer{items, list.Refused, listed(list.Lacks), listed(list.Allowed)})
}

// test answers a test sheet. Who has it already as it stands gets no more than
// that: pages ask every few seconds.
func (s *server) test(c echo.Context, who domain.Actor) error {
	ref, err := pathTest(c)
	if err != nil {
		return err
	}
	stamp, err := s.notebook.TestStamp(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	if unchanged(c, []byte(stamp)) {
		return c.NoContent(304)
	}
	t, err := s.notebook.Test(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return ok(c, newTest(t))
}

type startTestRequest struct {
	Key string `json:"client_key"`
}

func (s *server) startTest(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	req, err := decode[startTestRequest](c)
	if err != nil {
		return err
	}
	t, now, err := s.notebook.StartTest(c.Request().Context(), who, domain.StartTest{Project: project, Build: build, Key: req.Key})
	if err != nil {
		return err
	}
	return made(c, now, testPath(domain.TestRef{Project: project, Build: build, Number: t.Number}), newTest(t))
}

type signRequest struct {
	Member   domain.AccountID `json:"member"`
	Role     string           `json:"role"`
	Code     string           `json:"code,omitempty"`
	Password string           `json:"password,omitempty"`
}

func (r signRequest) sign() domain.TestSign {
	return domain.TestSign{Member: r.Member, Role: r.Role, Proof: domain.Proof{Code: r.Code, Password: r.Password}}
}

type paperRequest struct {
	At   string `json:"at"`
	File int64  `json:"file"`
}

type recordItemRequest struct {
	Item     string          `json:"item"`
	Values   json.RawMessage `json:"values"`
	Sign     signRequest     `json:"sign"`
	Sure     bool            `json:"sure,omitempty"`
	Stop     string          `json:"stop,omitempty"`
	DeviceAt *string         `json:"device_at,omitempty"`
	Paper    *paperRequest   `json:"from_paper,omitempty"`
	Key      string          `json:"client_key"`
}

func (r recordItemRequest) command(ref domain.TestRef) (domain.RecordItem, error) {
	cmd := domain.RecordItem{Test: ref, Item: r.Item, Sign: r.Sign.sign(), Sure: r.Sure, Stop: r.Stop, Key: r.Key}
	var f faults
	cmd.DeviceAt = moment("/device_at", r.DeviceAt, &f)
	if r.Paper != nil {
		cmd.Paper = &domain.Paper{File: r.Paper.File}
		if at := moment("/from_paper/at", &r.Paper.At, &f); at != nil {
			cmd.Paper.At = *at
		}
	}
	values, err := procedure.ReadValues(r.Values)
	if err != nil {
		f.add("/values", "wrong_type", "An object, { ... }, with what was recorded is wanted here.")
	}
	cmd.Values = values
	return cmd, f.err()
}

// moment reads a time with its zone.
func moment(at string, text *string, f *faults) *time.Time {
	if text == nil {
		return nil
	}
	t, err := time.Parse(time.RFC3339, *text)
	if err != nil || t.Year() < 1970 || t.Year() > 9999 {
		f.add(at, "wrong_type", "A time is wanted here, such as 2026-11-25T14:30:00Z.")
		return nil
	}
	t = t.UTC()
	return &t
}

func (s *server) recordItem(c echo.Context, who domain.Actor) error {
	ref, err := pathTest(c)
	if err != nil {
		return err
	}
	req, err := decode[recordItemRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(ref)
	if err != nil {
		return err
	}
	t, now, err := s.notebook.RecordItem(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, testPath(ref), newTest(t))
}

type signItemRequest struct {
	Entry    domain.TestEntryID `json:"entry"`
	Sign     signRequest        `json:"sign"`
	DeviceAt *string            `json:"device_at,omitempty"`
	Key      string             `json:"client_key"`
}

func (s *server) signItem(c echo.Context, who domain.Actor) error {
	ref, err := pathTest(c)
	if err != nil {
		return err
	}
	req, err := decode[signItemRequest](c)
	if err != nil {
		return err
	}
	var f faults
	cmd := domain.SignItem{Test: ref, Entry: req.Entry, Sign: req.Sign.sign(), DeviceAt: moment("/device_at", req.DeviceAt, &f), Key: req.Key}
	if err := f.err(); err != nil {
		return err
	}
	t, now, err := s.notebook.SignItem(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, testPath(ref), newTest(t))
}

type closeNonconformanceRequest struct {
	Text     string `json:"text"`
	Password string `json:"password"`
}

func (s *server) closeNonconformance(c echo.Context, who domain.Actor) error {
	ref, err := pathTest(c)
	if err != nil {
		return err
	}
	req, err := decode[closeNonconformanceRequest](c)
	if err != nil {
		return err
	}
	t, err := s.notebook.CloseNonconformance(c.Request().Context(), who, domain.CloseFailure{Test: ref, Text: req.Text, Proof: domain.Proof{Password: req.Password}})
	if err != nil {
		return err
	}
	return ok(c, newTest(t))
}
