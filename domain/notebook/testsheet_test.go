package notebook_test

import (
	"bytes"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// shed is a bundle with a machine that is built, and with those who test it:
// Petra built it, Tomasz did not, and Wen is a steward who did not.
type shed struct {
	*bundle
	wen     domain.Actor
	machine domain.Build
	gauge   domain.Instrument
	photo   domain.File
	keys    atomic.Int64
}

func inShed(t testing.TB) *shed {
	t.Helper()
	s := &shed{bundle: setup(t)}
	s.wen = s.db.Person(t, "Wen Achebe", domain.Steward)
	m, err := s.to(s.machineBuilt(t), domain.Built)
	require.NoError(t, err)
	s.machine = m
	keeper := s.db.Person(t, "Ada Brook", domain.Keeper)
	class, day := 1.0, s.clock.now().AddDate(0, -1, 0).UTC().Truncate(24*time.Hour)
	s.gauge, _, _, err = s.AddInstrument(ctx, keeper, domain.AddInstrument{
		Facts:        domain.InstrumentFacts{Name: "Test gauge", Kind: domain.PressureGauge, Serial: "B-118", Unit: "Pa", High: 1.6e5, ClassPct: &class, IntervalDays: 365},
		CalibratedOn: &day, Calibration: "against the column", Key: "gauge-0001",
	})
	require.NoError(t, err)
	s.photo, _, err = s.KeepFile(ctx, s.petra, s.picture(t, "photo-0001"))
	require.NoError(t, err)
	return s
}

func (s *shed) key() string {
	return fmt.Sprintf("signed-%04d", s.keys.Add(1))
}

func (s *shed) begin(t testing.TB) domain.Test {
	t.Helper()
	test, made, err := s.StartTest(ctx, s.petra, domain.StartTest{Project: s.project.ID, Build: s.machine.ID, Key: s.key()})
	require.NoError(t, err)
	require.True(t, made)
	return test
}

func ref(t domain.Test) domain.TestRef {
	return domain.TestRef{Project: t.Project, Build: t.Build, Number: t.Number}
}

// who signs in a role.
func (s *shed) who(role string) domain.Actor {
	return map[string]domain.Actor{"builder": s.petra, "second": s.tomasz, "competent": s.wen}[role]
}

func (s *shed) sign(who domain.Actor, role string) domain.TestSign {
	return domain.TestSign{Member: who.Account, Role: role, Proof: domain.Proof{Password: storetest.Password}}
}

// good fills in an item as it must be.
func (s *shed) good(t testing.TB, test domain.Test, item string) procedure.Values {
	t.Helper()
	task, err := test.Item(item)
	require.NoError(t, err)
	names, values := test.Attempt().Names(test.Today, nil), procedure.Values{}
	for _, f := range task.Fields {
		asked, only := task.Asked(f, names)
		if !asked || only != nil && f.Name != "gauge" {
			continue
		}
		if f.Per == "" {
			values[f.Name] = s.one(f, names, f.Show(names)[0])
			continue
		}
		all := []procedure.Value{}
		for _, shown := range f.Show(names) {
			all = append(all, s.one(f, names, shown))
		}
		values[f.Name] = procedure.List(all...)
	}
	return values
}

func (s *shed) one(f procedure.Field, names procedure.Names, shown procedure.Shown) procedure.Value {
	confirm, ticks := f.Wants(names)
	switch {
	case f.Name == "expires_on":
		return names["expiry_max"]
	case f.Name == "cure_hours":
		return procedure.Number(500)
	case f.Name == "coldest" || f.Name == "pipe_temp" || f.Name == "t_start" || f.Name == "t_end":
		return procedure.Number(12)
	case f.Name == "p_test":
		return procedure.Number(*shown.Low + 0.0005)
	case f.Name == "relief_bore":
		return procedure.Number(30)
	case f.Name == "p_end":
		return procedure.Number(0.779)
	case f.Kind == procedure.Confirm && ticks != nil:
		return procedure.Number(*ticks)
	case confirm.Known():
		return confirm
	case f.Kind == procedure.Confirm:
		return procedure.Yes(true)
	case f.Kind == procedure.Choice:
		return procedure.Text(f.Values[0])
	case f.Kind == procedure.Instrument:
		return procedure.Record(map[string]procedure.Value{"instrument": procedure.Number(float64(s.gauge.ID)), "height_m": procedure.Number(0)})
	case f.Kind == procedure.Photo:
		return procedure.List(procedure.Number(float64(s.photo.ID)))
	case f.Kind == procedure.People:
		return procedure.List(procedure.Text("Jo of the forge"))
	case f.Kind == procedure.Words:
		return procedure.Text("as the sheet says")
	case shown.Low != nil && shown.High != nil:
		return procedure.Number((*shown.Low + *shown.High) / 2)
	case shown.Low != nil:
		return procedure.Number(*shown.Low)
	case shown.High != nil:
		return procedure.Number(*shown.High * 0.9)
	}
	return procedure.Number(1)
}

// record sends an item, signed in a role by whoever signs in it.
func (s *shed) record(test domain.Test, item, role string, values procedure.Values) domain.RecordItem {
	return domain.RecordItem{Test: ref(test), Item: item, Values: values, Sign: s.sign(s.who(role), role), Key: s.key()}
}

// does records an item as it must be, and has it signed by all.
func (s *shed) does(t testing.TB, test domain.Test, item string) domain.Test {
	t.Helper()
	task, err := test.Item(item)
	require.NoError(t, err)
	test, made, err := s.RecordItem(ctx, s.petra, s.record(test, item, task.Sign[0], s.good(t, test, item)))
	require.NoError(t, err, item)
	require.True(t, made)
	for {
		state, _ := test.Attempt().StateOf(item)
		if len(state.Lacks) == 0 {
			require.Equal(t, procedure.Done, state.State, item)
			return test
		}
		entry := test.Entries[slices.IndexFunc(test.Entries, func(e domain.TestEntry) bool { return e.Item == item && e.Outcome == procedure.Met })]
		test, made, err = s.SignItem(ctx, s.tomasz, domain.SignItem{Test: ref(test), Entry: entry.ID, Sign: s.sign(s.who(state.Lacks[0]), state.Lacks[0]), Key: s.key()})
		require.NoError(t, err, item)
		require.True(t, made)
	}
}

// until does every item that can be done, up to one of them.
func (s *shed) until(t testing.TB, test domain.Test, item string) domain.Test {
	t.Helper()
	for _, task := range test.Tasks {
		if task.ID == item {
			return test
		}
		if state, _ := test.Attempt().StateOf(task.ID); state.State == procedure.Open {
			test = s.does(t, test, task.ID)
		}
	}
	return test
}

func (s *shed) issue(test domain.Test, who domain.Actor) (domain.Certificates, bool, error) {
	return s.IssueCertificate(ctx, who, domain.IssueCertificate{Test: ref(test), Proof: domain.Proof{Password: storetest.Password}})
}

// certified passes a test and has its certificate issued.
func (s *shed) certified(t testing.TB) (domain.Test, domain.Certificates) {
	t.Helper()
	test := s.until(t, s.begin(t), "")
	require.Equal(t, domain.TestPassed, test.Ended)
	list, made, err := s.issue(test, s.wen)
	require.NoError(t, err)
	require.True(t, made)
	return test, list
}

func (s *shed) now(t testing.TB) domain.Validity {
	t.Helper()
	b, err := s.Build(ctx, s.petra, s.project.ID, s.machine.ID)
	require.NoError(t, err)
	s.machine = b
	return b.Certificate
}

func (s *shed) waits(t testing.TB, who domain.Actor) (w domain.WaitingTests) {
	t.Helper()
	require.NoError(t, s.db.InTx(ctx, func(tx *store.Tx) (err error) {
		w, err = tx.WaitingTests(who.Account, false, s.clock.now())
		return err
	}))
	return w
}

// requireRecordHolds verifies the whole record, and that each link leads to what it
// is about.
func (b *bundle) requireRecordHolds(t testing.TB) {
	t.Helper()
	_, err := b.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	links, err := b.Links(ctx, domain.Actor{}, domain.Page{Limit: 100})
	require.NoError(t, err)
	for _, l := range links {
		about := l.About
		of := map[domain.LinkKind]bool{ // those of people and the group
			domain.LinkIssued: about.Design > 0 && about.Letter != "", domain.LinkOutcome: about.Design > 0 && about.Letter != "", domain.LinkEnded: about.Design > 0 && about.Letter != "",
			domain.LinkTestStarted: about.Test > 0 && about.Build > 0, domain.LinkTestSigned: about.Test > 0 && about.Item != "",
			domain.LinkNonconformance: about.Test > 0 && about.Item != "", domain.LinkNonconformanceClosed: about.Test > 0 && about.Item != "",
			domain.LinkCertificate: about.Build > 0, domain.LinkCertificateEnded: about.Build > 0,
			domain.LinkRunConfirmed: about.Build > 0 && about.Run > 0, domain.LinkRunSetAside: about.Build > 0 && about.Run > 0,
			domain.LinkSetProposed: about.Number > 0, domain.LinkSetAdopted: about.Number > 0, domain.LinkSafetyProposed: about.Number > 0, domain.LinkSafetySigned: about.Number > 0,
			domain.LinkTemplateProposed: about.Number > 0, domain.LinkTemplateSigned: about.Number > 0,
		}
		leads, known := of[l.Kind]
		if !known {
			leads = about.Title != "" || bytes.Contains(l.Body, []byte(`"settings_set"`))
		}
		require.True(t, leads, "link %d, %s: %+v", l.Number, l.Kind, about)
		if l.Project != 0 {
			require.NotEmpty(t, about.Title, "link %d, %s", l.Number, l.Kind)
		}
	}
}

// safety.md sections 7 and 10, from the first item to the certificate.
func TestATestIsPassedAndCertified(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	require.False(t, test.Short, "its hazard class is raised")
	require.True(t, test.Basis.Competent, "its gas is allowed on conditions only")
	require.NotEmpty(t, s.waits(t, s.tomasz).ToSign)
	require.Equal(t, "B01", s.waits(t, s.petra).ToSign[0].Items[0].Item)
	test = s.until(t, test, "")
	require.Equal(t, domain.TestPassed, test.Ended)
	require.Empty(t, s.waits(t, s.tomasz).ToSign)
	require.Empty(t, s.waits(t, s.tomasz).ToCertify)
	require.Len(t, s.waits(t, s.wen).ToCertify, 1)
	require.False(t, s.now(t).Valid)
	_, err := s.to(s.machine, domain.InService)
	requireCode(t, "certificate-missing", err)

	list, made, err := s.issue(test, s.wen)
	require.NoError(t, err)
	require.True(t, made)
	c := *list.Newest
	require.True(t, c.At(list.Now).Valid, "%v", c.At(list.Now).Reasons)
	require.Equal(t, "below the mill (0)", c.Site)
	require.Equal(t, domain.DayIn(s.clock.now(), "UTC").AddDate(0, 3, 0), c.ExpiresOn, "three months: its gas is conditional")
	require.Equal(t, c.ExpiresOn.AddDate(0, 0, 1), c.ExpiresAt, "the end of that day")
	for _, held := range []string{"pressure_hash", "B-118", "Jo of the forge", "Petra Lindahl", s.photoDigest(), `"p_test_low_pa": 76354`, "not for breathing", `"verdict": "pass"`} {
		require.Contains(t, string(c.Body), held)
	}
	again, made, err := s.issue(test, s.wen)
	require.NoError(t, err)
	require.False(t, made, "a retry")
	require.Equal(t, c.ID, again.Newest.ID)
	require.True(t, s.now(t).Valid)
	m, err := s.to(s.machine, domain.InService)
	require.NoError(t, err)
	require.Empty(t, m.Marks())
	require.Empty(t, s.waits(t, s.petra).Lapsing)
	s.clock.forward(70 * 24 * time.Hour)
	require.Len(t, s.waits(t, s.petra).Lapsing, 1)
	require.Empty(t, s.waits(t, s.tomasz).Lapsing, "neither crew nor steward")
	s.requireRecordHolds(t)

	s.clock.forward(30 * 24 * time.Hour)
	require.Equal(t, []string{"Its last day has passed. A new test is needed."}, s.now(t).Reasons)
}

func (s *shed) photoDigest() string { return fmt.Sprintf("%x", s.photo.Digest) }

// Who may not sign is refused in words, and what they typed is kept.
func TestWhatIsRefusedIsKept(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	b01 := s.good(t, test, "B01")
	refused := func(code, words string, cmd domain.RecordItem) {
		t.Helper()
		before := s.db.Number(t, "SELECT count(*) FROM test_entries WHERE outcome = 'attempt'")
		_, _, err := s.RecordItem(ctx, s.petra, cmd)
		e := requireCode(t, code, err)
		require.Contains(t, e.Error(), words)
		_, _, err = s.RecordItem(ctx, s.petra, cmd)
		requireCode(t, code, err)
		require.Equal(t, before+1, s.db.Number(t, "SELECT count(*) FROM test_entries WHERE outcome = 'attempt'"), "a retry is kept once")
	}
	wrong := s.record(test, "B01", "second", b01)
	wrong.Sign.Member = s.petra.Account
	refused("test-refused", "does not sign as second", wrong)
	other := s.record(test, "B01", "builder", b01)
	other.Sign.Member = s.tomasz.Account
	refused("test-refused", "Only somebody who made or changed", other)
	refused("test-refused", "comes first", s.record(test, "P01", "builder", s.good(t, test, "P01")))
	steward := s.record(test, "B02", "competent", s.good(t, test, "B02"))
	steward.Sign.Member = s.tomasz.Account
	refused("test-refused", "comes first", steward)
	half := s.record(test, "B01", "builder", procedure.Values{"review_closed": procedure.Yes(true)})
	refused("invalid", "/values/revision_hash", half)
	test = s.does(t, test, "B01")
	refused("test-refused", "is signed as builder already", s.record(test, "B01", "builder", b01))

	// The same item by the same person in another role, and by somebody twice.
	entry := test.Entries[slices.IndexFunc(test.Entries, func(e domain.TestEntry) bool { return e.Outcome == procedure.Met })]
	_, _, err := s.SignItem(ctx, s.petra, domain.SignItem{Test: ref(test), Entry: entry.ID, Sign: s.sign(s.tomasz, "second"), Key: s.key()})
	requireCode(t, "test-refused", err)

	b02 := s.record(test, "B02", "competent", s.good(t, test, "B02"))
	b02.Sign.Member = s.tomasz.Account
	refused("test-refused", "Only a steward signs as competent", b02)

	shown, err := s.Test(ctx, s.tomasz, ref(test))
	require.NoError(t, err)
	attempts := 0
	for _, e := range shown.Entries {
		if e.Outcome == procedure.Attempt {
			attempts++
			require.NotEmpty(t, e.Why)
		}
	}
	require.Equal(t, 8, attempts)
	require.Equal(t, procedure.Values{"review_closed": procedure.Yes(true)}, shown.Entries[4].Values)

	_, _, err = s.RecordItem(ctx, s.petra, domain.RecordItem{Test: ref(test), Item: "Z99", Values: b01, Sign: s.sign(s.petra, "builder"), Key: s.key()})
	requireCode(t, "not-found", err)
	lie := s.record(test, "B02", "second", s.good(t, test, "B02"))
	lie.Sign.Proof.Password = "four brown dippers"
	_, _, err = s.RecordItem(ctx, s.petra, lie)
	requireCode(t, "invalid", err)
	require.Equal(t, 8, s.db.Number(t, "SELECT count(*) FROM test_entries WHERE outcome = 'attempt'"), "nobody has shown who they are")
	s.requireRecordHolds(t)
}

// A value outside limits is asked once more, and then ends the test; letting the
// pressure go and recording the failure are left.
func TestAValueOutsideLimitsEndsTheTest(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.until(t, s.begin(t), "R03")
	high := s.good(t, test, "R03")
	high["p_test"] = procedure.Number(100)
	slip := s.record(test, "R03", "builder", high)
	_, _, err := s.RecordItem(ctx, s.petra, slip)
	e := requireCode(t, "outside-limits", err)
	require.Equal(t, "/values/p_test", e.Fields[0].Pointer)
	shown, err := s.Test(ctx, s.petra, ref(test))
	require.NoError(t, err)
	require.Empty(t, shown.Ended)
	sure := slip
	sure.Sure = true
	test, made, err := s.RecordItem(ctx, s.petra, sure)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, domain.TestFailed, test.Ended)
	require.Contains(t, test.Nonconformance.Text, "R03 Test pressure reached")
	_, made, err = s.RecordItem(ctx, s.petra, sure)
	require.NoError(t, err)
	require.False(t, made, "a retry of the same request")

	_, _, err = s.RecordItem(ctx, s.petra, s.record(test, "C01", "second", s.good(t, test, "C01")))
	requireCode(t, "test-refused", err)
	close := domain.CloseFailure{Test: ref(test), Text: "The riser was cut out and replaced", Proof: domain.Proof{Password: storetest.Password}}
	_, err = s.CloseNonconformance(ctx, s.wen, close)
	requireCode(t, "nonconformance-open", err)
	require.Equal(t, "D01", s.waits(t, s.tomasz).ToSign[0].Items[0].Item)

	// Still under pressure is no second failure: it is said, and goes on.
	low := s.good(t, test, "D01")
	low["p_zero"] = procedure.Number(0.5)
	still := s.record(test, "D01", "builder", low)
	still.Sure = true
	_, _, err = s.RecordItem(ctx, s.petra, still)
	requireCode(t, "test-refused", err)
	test = s.does(t, s.does(t, s.does(t, test, "D01"), "D02"), "C04")
	require.True(t, test.Attempt().WrittenUp())

	_, err = s.CloseNonconformance(ctx, s.tomasz, close)
	requireCode(t, "not-steward", err)
	s.db.Exec(t, "UPDATE accounts SET steward = true WHERE id = $1", s.petra.Account)
	_, err = s.CloseNonconformance(ctx, s.petra, close)
	requireCode(t, "built-it", err)
	closed, err := s.CloseNonconformance(ctx, s.wen, close)
	require.NoError(t, err)
	require.Equal(t, "scrap", closed.Nonconformance.Closed.Disposition, "as C04 has it")
	_, err = s.CloseNonconformance(ctx, s.wen, close)
	requireCode(t, "nonconformance-closed", err)
	_, _, err = s.issue(test, s.wen)
	requireCode(t, "certificate-refused", err)

	again := s.begin(t)
	require.Equal(t, 2, again.Number)
	s.requireRecordHolds(t)
}

// A test that nobody's reading ends can be stopped.
func TestATestIsStopped(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	stop := s.record(test, "B01", "builder", procedure.Values{})
	stop.Stop = "the chamber moved on its slab"
	test, _, err := s.RecordItem(ctx, s.petra, stop)
	require.NoError(t, err)
	require.Equal(t, domain.TestFailed, test.Ended)
	require.Contains(t, test.Nonconformance.Text, "moved on its slab")
	stop = s.record(test, "D01", "builder", procedure.Values{})
	stop.Stop = "no"
	_, _, err = s.RecordItem(ctx, s.petra, stop)
	requireCode(t, "test-refused", err)
}

func TestAnInstrumentThatWillNotDoIsRefused(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.until(t, s.begin(t), "P08")
	good := s.good(t, test, "P08")
	try := func(words string, change func(procedure.Values)) {
		t.Helper()
		values := procedure.Values{}
		for k, v := range good {
			values[k] = v
		}
		change(values)
		_, _, err := s.RecordItem(ctx, s.petra, s.record(test, "P08", "second", values))
		e := requireCode(t, "invalid", err)
		require.Contains(t, fmt.Sprint(e.Fields), words)
	}
	try("Choose an instrument of the register", func(v procedure.Values) {
		v["gauge"] = procedure.Record(map[string]procedure.Value{"instrument": procedure.Number(999)})
	})
	try("no such picture", func(v procedure.Values) { v["gauge_at_zero"] = procedure.List(procedure.Number(999)) })
	s.db.Exec(t, "INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key) SELECT id, 'found_wrong', current_date, 'it was dropped', added_by, now(), 'wrong-00001' FROM instruments")
	try("found wrong", func(procedure.Values) {})
	s.clock.forward(400 * 24 * time.Hour)
	try("calibrat", func(procedure.Values) {})
	require.Equal(t, 4, s.db.Number(t, "SELECT count(*) FROM test_entries WHERE outcome = 'attempt' AND item = 'P08'"))

	// What was sent of the instrument itself counts for nothing.
	made := domain.Instrument{ID: s.gauge.ID, InstrumentFacts: s.gauge.InstrumentFacts, CalibratedOn: s.gauge.CalibratedOn, DueOn: s.gauge.DueOn}
	v, problem := domain.GaugeOf(made, procedure.Number(0.3), *s.gauge.CalibratedOn)
	require.Empty(t, problem)
	serial, _ := v.Field("serial").Text()
	require.Equal(t, "B-118", serial)
}

// A sheet signed on paper is entered within 24 hours, with its photograph, by the
// same people.
func TestPaperIsEnteredWithinADay(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	signed := s.clock.now()
	s.clock.forward(20 * time.Hour)
	paper := s.record(test, "B01", "builder", s.good(t, test, "B01"))
	paper.Paper = &domain.Paper{At: signed, File: 999}
	_, _, err := s.RecordItem(ctx, s.petra, paper)
	e := requireCode(t, "invalid", err)
	require.Equal(t, "/from_paper/file", e.Fields[0].Pointer)
	paper.Paper.File = int64(s.photo.ID)
	early := paper
	early.Paper = &domain.Paper{At: signed.Add(-time.Hour), File: paper.Paper.File}
	_, _, err = s.RecordItem(ctx, s.petra, early)
	requireCode(t, "paper-late", err)
	test, _, err = s.RecordItem(ctx, s.petra, paper)
	require.NoError(t, err)
	require.Equal(t, domain.ByPaper, test.Signatures[0].How)
	second := domain.SignItem{Test: ref(test), Entry: test.Entries[len(test.Entries)-1].ID, Sign: s.sign(s.tomasz, "second"), Key: s.key()}
	s.clock.forward(5 * time.Hour)
	_, _, err = s.SignItem(ctx, s.petra, second)
	requireCode(t, "paper-late", err)
	late := s.record(test, "P05", "builder", s.good(t, test, "P05"))
	late.Paper = &domain.Paper{At: signed, File: paper.Paper.File}
	_, _, err = s.RecordItem(ctx, s.petra, late)
	requireCode(t, "paper-late", err)
	s.requireRecordHolds(t)
}

// Nothing after a hold point is signed before it is, on paper either: a paper that
// says so is refused, in the database too. Watches may differ by ten minutes.
func TestAPaperIsNoOlderThanTheHoldPointsBeforeIt(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.begin(t)
	s.clock.forward(2 * time.Hour)
	test = s.until(t, test, "P02")
	held := s.clock.now()
	s.clock.forward(time.Hour)
	paper := s.record(test, "P02", "second", s.good(t, test, "P02"))
	from := func(at time.Time) domain.RecordItem {
		c := paper
		c.Key, c.Paper = s.key(), &domain.Paper{At: at, File: int64(s.photo.ID)}
		return c
	}
	_, _, err := s.RecordItem(ctx, s.petra, from(held.Add(-20*time.Minute)))
	e := requireCode(t, "paper-late", err)
	require.Contains(t, e.Message, "before P01 was signed, and that is a hold point")
	early := s.record(test, "P05", "builder", s.good(t, test, "P05"))
	early.Paper = &domain.Paper{At: held.Add(-20 * time.Minute), File: int64(s.photo.ID)}
	_, _, err = s.RecordItem(ctx, s.petra, early)
	require.NoError(t, err, "a review point may be signed early")
	_, _, err = s.RecordItem(ctx, s.petra, from(held.Add(-5*time.Minute)))
	require.NoError(t, err)
	late := s.record(test, "P03", "builder", s.good(t, test, "P03"))
	late.Paper = &domain.Paper{At: s.clock.now().Add(5 * time.Minute), File: int64(s.photo.ID)}
	_, _, err = s.RecordItem(ctx, s.petra, late)
	require.NoError(t, err, "the watch is ahead")
	number := fmt.Sprint(test.ID)
	s.violates(t, "test_entries_after_hold", copied("test_entries", "sheet_id = "+number+" AND item = 'P02' AND outcome = 'met'",
		map[string]string{"item": "'P03'", "client_key": "'forged-0001'", "paper_at": "paper_at - interval '30 minutes'"}))
	s.requireRecordHolds(t)
}

// A changed machine takes no more signatures but to let the pressure go.
func TestAChangedMachineIsNotTestedOn(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.until(t, s.begin(t), "R03")
	cmd := s.change(s.machine)
	cmd.Renewed = []string{"/parts/1/joint"}
	_, err := s.ChangeBuild(ctx, s.petra, cmd)
	require.NoError(t, err)
	_, _, err = s.RecordItem(ctx, s.petra, s.record(test, "R03", "builder", s.good(t, test, "R03")))
	e := requireCode(t, "test-refused", err)
	require.Contains(t, e.Message, "version 2 now")
	test, err = s.Test(ctx, s.petra, ref(test))
	require.NoError(t, err)
	require.NotEmpty(t, test.Over)
	test = s.does(t, test, "D01")
	require.Empty(t, test.Ended)
	s.machine, err = s.Build(ctx, s.petra, s.project.ID, s.machine.ID)
	require.NoError(t, err)
	again := s.begin(t)
	require.Equal(t, 2, again.BuildVersion)

	s.stand(t, "A", "withdrawn")
	_, _, err = s.RecordItem(ctx, s.petra, s.record(again, "B01", "builder", s.good(t, again, "B01")))
	e = requireCode(t, "test-refused", err)
	require.Contains(t, e.Message, "withdrawn")
	_, _, err = s.StartTest(ctx, s.petra, domain.StartTest{Project: s.project.ID, Build: s.machine.ID, Key: s.key()})
	requireCode(t, "test-not-ready", err)
}

func TestManyAtOneItem(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	cmd := domain.StartTest{Project: s.project.ID, Build: s.machine.ID, Key: "begun-0001"}
	for _, err := range atOnce(5, func(int) error { _, _, err := s.StartTest(ctx, s.petra, cmd); return err }) {
		require.NoError(t, err)
	}
	oneWins(t, "test-runs", append([]error{nil}, atOnce(3, func(i int) error {
		_, _, err := s.StartTest(ctx, s.petra, domain.StartTest{Project: s.project.ID, Build: s.machine.ID, Key: fmt.Sprintf("begun-100%d", i)})
		return err
	})...))
	test, err := s.Test(ctx, s.petra, domain.TestRef{Project: s.project.ID, Build: s.machine.ID, Number: 1})
	require.NoError(t, err)
	b01 := s.good(t, test, "B01")
	oneWins(t, "test-refused", atOnce(5, func(i int) error {
		cmd := s.record(test, "B01", "builder", b01)
		cmd.Key = fmt.Sprintf("race-000%d", i)
		_, _, err := s.RecordItem(ctx, s.petra, cmd)
		return err
	}))
	require.Equal(t, 1, s.db.Number(t, "SELECT count(*) FROM test_signatures"))
	test, err = s.Test(ctx, s.petra, ref(test))
	require.NoError(t, err)
	entry := test.Entries[slices.IndexFunc(test.Entries, func(e domain.TestEntry) bool { return e.Outcome == procedure.Met })].ID
	errs := atOnce(6, func(i int) error { // two people at once, each on two devices and with a retry
		who := []domain.Actor{s.tomasz, s.wen}[i%2]
		_, _, err := s.SignItem(ctx, who, domain.SignItem{Test: ref(test), Entry: entry, Sign: s.sign(who, "second"), Key: fmt.Sprintf("race-10%d", i%2) + "0"})
		return err
	})
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
			continue
		}
		requireCode(t, "test-refused", err)
	}
	require.Equal(t, 3, won, "one of them, and their retries")
	require.Equal(t, 2, s.db.Number(t, "SELECT count(*) FROM test_signatures"))
	s.requireRecordHolds(t)
}

// safety.md section 10: what ends a certificate at once, and that putting it back
// revives nothing; only an incident can be signed off as harmless.
func TestACertificateLapses(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test, _ := s.certified(t)
	require.True(t, s.now(t).Valid)

	// Of another project nothing counts; of the project as a whole it does.
	e, _, err := s.WriteEntry(ctx, s.tomasz, domain.WriteEntry{Project: s.project.ID, Text: "The pond froze over", Incident: true, Key: "incident-1"})
	require.NoError(t, err)
	require.Contains(t, s.now(t).Reasons[0], "incident")
	_, err = s.RestIncident(ctx, s.wen, domain.RestIncident{Project: s.project.ID, Entry: e.ID, Reason: "it was drained", Proof: domain.Proof{Password: storetest.Password}})
	require.NoError(t, err)
	require.True(t, s.now(t).Valid, "signed off as harmless by a steward who did not build it")

	change := func(change func(*domain.ChangeBuild)) {
		t.Helper()
		cmd := s.change(s.machine)
		change(&cmd)
		_, err := s.ChangeBuild(ctx, s.petra, cmd)
		require.NoError(t, err)
	}
	home := "below the mill"
	change(func(c *domain.ChangeBuild) { c.Place = given("in the yard") })
	require.Len(t, s.now(t).Reasons, 1)
	change(func(c *domain.ChangeBuild) { c.Place = &home })
	require.Contains(t, s.now(t).Reasons[0], "moved")
	change(func(c *domain.ChangeBuild) { c.Differences = map[string]float64{"/trompe/intake/n_tubes": 28} })
	s.now(t)
	change(func(c *domain.ChangeBuild) { c.Differences = map[string]float64{} })
	require.Len(t, s.now(t).Reasons, 2, "the tubes are as they were, and so is the place")
	require.Contains(t, s.machine.Certificate.Reasons[0], "changed since its test")

	s.db.Exec(t, "INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key) SELECT id, 'found_wrong', current_date - 30, 'it was dropped', added_by, $1, 'wrong-00001' FROM instruments", s.clock.now().Add(time.Minute))
	s.stand(t, "A", "withdrawn")
	_, err = s.RevokeCertificate(ctx, s.tomasz, domain.RevokeCertificate{Project: s.project.ID, Build: s.machine.ID, Kind: domain.CertificateRevoked, Reason: "doubt", Proof: domain.Proof{Password: storetest.Password}})
	requireCode(t, "not-steward", err)
	revoke := domain.RevokeCertificate{Project: s.project.ID, Build: s.machine.ID, Kind: domain.CertificateRevoked, Reason: "doubt", Proof: domain.Proof{Password: storetest.Password}}
	after, err := s.RevokeCertificate(ctx, s.wen, revoke)
	require.NoError(t, err)
	require.NotNil(t, after.Newest.End)
	_, err = s.RevokeCertificate(ctx, s.wen, revoke)
	requireCode(t, "certificate-ended", err)
	var codes []string
	for _, r := range after.Newest.At(after.Now).Reasons {
		codes = append(codes, r.Code)
	}
	require.Equal(t, []string{"revoked", "revoked", "revoked", "revision_mismatch", "site_changed"}, codes)
	_, _, err = s.issue(test, s.wen)
	require.NoError(t, err, "a retry finds the one that there was, and makes none")
	require.Equal(t, 1, s.db.Number(t, "SELECT count(*) FROM certificates"))
	s.requireRecordHolds(t)
}

// safety.md section 11: a tightened limit ends a certificate only where the
// machine exceeds it; loosening it again revives nothing.
func TestATightenedLimitLapsesWhatExceedsIt(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.certified(t)
	keeper := s.db.Person(t, "Ines Calloway", domain.Keeper)
	set := func(key string, change func(*domain.SafetySettings)) {
		t.Helper()
		s.clock.forward(time.Minute)
		now, err := s.Safety(ctx, keeper)
		require.NoError(t, err)
		cmd := domain.ProposeSafety{Follows: now.ID, Settings: now.Settings, Why: "Old pipe.", Key: key}
		change(&cmd.Settings)
		p, _, err := s.ProposeSafety(ctx, keeper, cmd)
		require.NoError(t, err)
		for _, who := range []domain.Actor{s.wen, s.tomasz} {
			_, err = s.ApproveSafety(ctx, who, p.ID, storetest.Password)
			require.NoError(t, err)
		}
	}
	set("safety-0001", func(c *domain.SafetySettings) { c.HoldPlasticMin, c.CheckersRaised = 120, 3 })
	require.True(t, s.now(t).Valid, "nothing that the machine exceeds: %v", s.now(t).Reasons)
	set("safety-0002", func(c *domain.SafetySettings) { c.HydroFactor = 1.8 })
	require.Len(t, s.now(t).Reasons, 1)
	require.Contains(t, s.now(t).Reasons[0], "now ")
	set("safety-0003", func(c *domain.SafetySettings) { c.HydroFactor = 1.5 })
	require.False(t, s.now(t).Valid, "loosening it again revives nothing")
	set("safety-0004", func(c *domain.SafetySettings) { c.ECompetentJ, c.PVHomeJ, c.CollapseFactor = 0, 0, 20 })
	require.Greater(t, len(s.now(t).Reasons), 1, "%v", s.now(t).Reasons)
}

// What was found wrong before a test, and calibrated again, is no harm to it.
func TestAGaugeFoundWrongBeforeCountsNot(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.db.Exec(t, "INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key) SELECT id, 'found_wrong', current_date - 60, 'it was dropped', added_by, now() - interval '2 hours', 'wrong-00001' FROM instruments")
	s.db.Exec(t, "INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key) SELECT id, 'calibrated', current_date, 'mended', added_by, now() - interval '1 hour', 'mended-0001' FROM instruments")
	s.certified(t)
	require.True(t, s.now(t).Valid)
}

// A gauge is used until the test has ended: one that went wrong after it was chosen,
// and before the last reading, counts against the test.
func TestAGaugeThatWentWrongWhileTheTestWentOn(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.until(t, s.begin(t), "P09") // the gauge is P08
	s.clock.forward(24 * time.Hour)
	keeper := s.db.Person(t, "Runa Holt", domain.Keeper)
	today := s.clock.now().UTC().Truncate(24 * time.Hour)
	_, _, _, err := s.RecordInstrumentAct(ctx, keeper, domain.RecordInstrumentAct{Instrument: s.gauge.ID, Kind: domain.InstrumentWrong, On: today, Text: "It was dropped this morning.", Key: s.key()})
	require.NoError(t, err)
	s.clock.forward(24 * time.Hour)
	test = s.until(t, test, "")
	require.Equal(t, domain.TestPassed, test.Ended)
	_, _, err = s.issue(test, s.wen)
	e := requireCode(t, "certificate-refused", err)
	require.Contains(t, e.Message, "It was dropped this morning.")
}

// Spec 10: removing a person does not remove their signature. Nor does what the
// register says of a gauge later change what was signed.
func TestWhoLeavesKeepsTheirSignature(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test, _ := s.certified(t)
	keeper := s.db.Person(t, "Runa Holt", domain.Keeper)
	require.NoError(t, s.CloseAccount(ctx, keeper, s.tomasz.Account))
	require.NoError(t, s.CloseAccount(ctx, keeper, s.wen.Account))
	coarse := 4.0
	facts := s.gauge.InstrumentFacts
	facts.ClassPct = &coarse
	_, _, err := s.CorrectInstrument(ctx, keeper, domain.CorrectInstrument{Instrument: s.gauge.ID, Version: s.gauge.Version, Facts: facts})
	require.NoError(t, err)
	require.True(t, s.now(t).Valid)
	again, err := s.Test(ctx, s.petra, ref(test))
	require.NoError(t, err)
	require.Equal(t, test.Attempt().Recorded(), again.Attempt().Recorded())
	_, _, err = s.RecordItem(ctx, s.petra, s.record(test, "D02", "second", s.good(t, test, "D02")))
	require.Equal(t, domain.NotFound, domain.KindOf(err), "who left signs nothing more: %v", err)
	s.requireRecordHolds(t)
}

// Signing for pressure takes three people: who was the second issues nothing.
func TestTheSecondIssuesNoCertificate(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	test := s.until(t, s.begin(t), "")
	s.db.Exec(t, "UPDATE accounts SET steward = true WHERE id IN ($1, $2)", s.petra.Account, s.tomasz.Account)
	_, _, err := s.issue(test, s.tomasz)
	requireCode(t, "signed-as-second", err)
	_, _, err = s.issue(test, s.petra)
	requireCode(t, "built-it", err)
	late := s.clock.now().AddDate(2, 0, 0)
	_, _, err = s.IssueCertificate(ctx, s.wen, domain.IssueCertificate{Test: ref(test), ExpiresOn: &late, Proof: domain.Proof{Password: storetest.Password}})
	e := requireCode(t, "invalid", err)
	require.Equal(t, "/expires_on", e.Fields[0].Pointer)
	_, _, err = s.WriteEntry(ctx, s.tomasz, domain.WriteEntry{Project: s.project.ID, Build: &s.machine.ID, Text: "A leak", Incident: true, Key: "incident-1"})
	require.NoError(t, err)
	_, _, err = s.issue(test, s.wen)
	e = requireCode(t, "certificate-refused", err)
	require.Contains(t, e.Message, "incident")
	s.db.Exec(t, "UPDATE accounts SET steward = false WHERE id = $1", s.wen.Account)
	list, err := s.Certificates(ctx, s.wen, s.project.ID, s.machine.ID, domain.Page{})
	require.NoError(t, err)
	require.Contains(t, list.Lacking, "another steward is needed")
	require.Equal(t, 1, list.Ready.Test.Number)
	_, _, err = s.issue(test, s.wen)
	requireCode(t, "not-steward", err)
}
