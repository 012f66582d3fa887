package notebook_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/confront"
	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

// measuring is a shed with a run that Tomasz has opened on its machine, which Petra
// built, and with an operating point in it.
type measuring struct {
	*shed
	run domain.Run
}

func measured(t testing.TB, s *shed) *measuring {
	t.Helper()
	m := &measuring{shed: s}
	r, made, err := s.OpenRun(ctx, s.tomasz, domain.OpenRun{Project: s.project.ID, Build: s.machine.ID, Title: "First water", Key: s.key()})
	require.NoError(t, err)
	require.True(t, made)
	m.run = r
	m.point(t, confront.AsDrawn)
	return m
}

func (m *measuring) point(t testing.TB, setting string) {
	t.Helper()
	r, made, err := m.AddRunPoint(ctx, m.tomasz, domain.AddRunPoint{Run: m.run.Ref(), Name: "As drawn", Setting: setting, Key: m.key()})
	require.NoError(t, err)
	require.True(t, made)
	m.run = r
}

// bucket is a water flow by ten litres and some times.
func (m *measuring) bucket(seconds ...float64) domain.RecordReading {
	return m.reading(confront.WaterFlow, "bucket", nil, "s", map[string]float64{"volume_m3": 0.010, "mark_m3": 0.0001}, seconds...)
}

// pressure is a delivery pressure, read on the gauge of the shed.
func (m *measuring) pressure(pa ...float64) domain.RecordReading {
	return m.reading(confront.DeliveryPressure, "pressure_gauge", &m.gauge.ID, "Pa", map[string]float64{"zero_before_pa": 0, "zero_after_pa": 0}, pa...)
}

func (m *measuring) reading(quantity, method string, with *domain.InstrumentID, unit string, extra map[string]float64, values ...float64) domain.RecordReading {
	texts := make([]string, len(values))
	for i, v := range values {
		texts[i] = fmt.Sprint(v)
	}
	return domain.RecordReading{
		Run: m.run.Ref(), Point: 1, Quantity: quantity, Method: method, Instrument: with, Values: values, Typed: domain.TypedReading{Unit: unit, Texts: texts}, Extra: extra, Key: m.key(),
	}
}

func (m *measuring) takes(t testing.TB, cmd domain.RecordReading) domain.Reading {
	t.Helper()
	r, made, err := m.RecordReading(ctx, m.tomasz, cmd)
	require.NoError(t, err)
	require.True(t, made)
	m.run = r
	readings := r.Points[cmd.Point-1].Readings
	return readings[len(readings)-1]
}

func (m *measuring) strikes(t testing.TB, who domain.Actor, id domain.ReadingID, position int) {
	t.Helper()
	r, made, err := m.StrikeReading(ctx, who, domain.StrikeReading{Run: m.run.Ref(), Reading: id, Position: position, Reason: "The hose slipped", Key: m.key()})
	require.NoError(t, err)
	require.True(t, made)
	m.run = r
}

func (m *measuring) submits(t testing.TB) {
	t.Helper()
	r, err := m.SubmitRun(ctx, m.tomasz, m.run.Ref())
	require.NoError(t, err)
	m.run = r
}

// judges submits the run and has its verdict worked out.
func (m *measuring) judges(t testing.TB) confront.Verdict {
	t.Helper()
	m.submits(t)
	_, err := m.JudgeDue(ctx)
	require.NoError(t, err)
	m.reload(t)
	return m.verdict(t)
}

func (m *measuring) verdict(t testing.TB) (v confront.Verdict) {
	t.Helper()
	require.Equal(t, domain.JudgementReady, m.run.Judgement.State, m.run.Judgement.Failure)
	require.NoError(t, json.Unmarshal(m.run.Judgement.Verdict.Body, &v))
	return v
}

func (m *measuring) reload(t testing.TB) {
	t.Helper()
	r, err := m.Run(ctx, m.petra, m.run.Ref())
	require.NoError(t, err)
	m.run = r
}

func (m *measuring) confirms(who domain.Actor) (domain.Run, error) {
	return m.ConfirmRun(ctx, who, domain.ConfirmRun{Run: m.run.Ref(), Proof: domain.Proof{Password: storetest.Password}})
}

func (m *measuring) setsAside(who domain.Actor) (domain.Run, error) {
	return m.SetRunAside(ctx, who, domain.SetRunAside{Run: m.run.Ref(), Reason: "The valve leaked", Proof: domain.Proof{Password: storetest.Password}})
}

func codes(marks []domain.Mark) (list []string) {
	for _, m := range marks {
		list = append(list, m.Code)
	}
	return list
}

func (m *measuring) runsWaiting(t testing.TB, who domain.Actor) (numbers []int64) {
	t.Helper()
	all, err := m.Waiting(ctx, who)
	require.NoError(t, err)
	for _, a := range all {
		if a.Kind == domain.AwaitsConfirming {
			numbers = append(numbers, a.Number)
		}
	}
	return numbers
}

func TestARunIsReadJudgedAndConfirmed(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.certified(t)
	m := measured(t, s)
	require.Equal(t, []string{confront.DeliveryPressure, confront.FreeAir}, m.run.Required)
	require.Equal(t, m.run.Form.CoefficientSet, m.run.CoefficientSet)

	water := m.takes(t, m.bucket(24.8, 24.9, 25, 25.1, 60))
	m.strikes(t, m.tomasz, water.ID, 5)
	water = m.run.Points[0].Readings[0]
	require.InEpsilon(t, 0.010/24.95, *water.Worked.Value, 1e-12, "V/t̄ of the four that were kept")
	require.InEpsilon(t, 0.010/((24.8+24.9+25+25.1+60)/5), *water.WithAll.Value, 1e-12, "V/t̄ of all")
	require.Equal(t, []float64{24.8, 24.9, 25, 25.1, 60}, water.Values, "what was struck stays")
	pressure := m.takes(t, m.pressure(20000, 20100, 20200))
	require.True(t, pressure.Certified)
	require.True(t, pressure.Counts)
	require.InEpsilon(t, 20100, *pressure.Worked.Value, 1e-12)

	_, err := m.confirms(m.wen)
	requireCode(t, "run-not-submitted", err)
	m.submits(t)
	require.Equal(t, domain.JudgementWaits, m.run.Judgement.State)
	_, err = m.confirms(m.wen)
	requireCode(t, "verdict-waiting", err)
	require.Empty(t, m.runsWaiting(t, m.wen))
	done, err := m.JudgeDue(ctx)
	require.NoError(t, err)
	require.Equal(t, 1, done)
	m.reload(t)
	v := m.verdict(t)
	require.Equal(t, 2*draws, v.Draws)
	require.Len(t, v.Items, 2, "of the two quantities that were measured")
	require.Equal(t, string(v.Outcome.Outcome), m.run.Verdict.Outcome)

	require.Equal(t, []int64{1}, m.runsWaiting(t, m.wen))
	require.Empty(t, m.runsWaiting(t, m.tomasz))
	_, err = m.ConfirmRun(ctx, m.wen, domain.ConfirmRun{Run: m.run.Ref(), Proof: domain.Proof{Password: "four wet dippers"}})
	require.Equal(t, domain.Invalid, domain.KindOf(err))
	r, err := m.confirms(m.wen)
	require.NoError(t, err)
	require.Equal(t, domain.RunConfirmed, r.State())
	again, err := m.confirms(m.wen)
	require.NoError(t, err)
	require.Equal(t, r.Ends, again.Ends, "a retry signs nothing more")
	other := m.db.Person(t, "Ola Brandt", domain.Steward)
	_, err = m.confirms(other)
	requireCode(t, "run-ended", err)
	require.Empty(t, m.runsWaiting(t, m.wen))

	_, err = m.setsAside(m.tomasz)
	requireCode(t, "not-steward", err)
	r, err = m.setsAside(other)
	require.NoError(t, err)
	require.Equal(t, domain.RunSetAside, r.State())
	require.Equal(t, "not_counted", r.Marks()[0].Code)
	require.Len(t, r.Ends, 2, "that it was confirmed stays to be seen")
	m.requireRecordHolds(t)
	require.Equal(t, 2, m.db.Number(t, "SELECT count(*) FROM record_links WHERE kind IN ('run_confirmed', 'run_set_aside')"))
}

// product.md, "Test sheet": what is sent without a valid certificate is kept and
// marked, never counted.
func TestPressureWithoutACertificateNeverCounts(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	held := m.reading("/takeoff/receiver_gauge_pa", "pressure_gauge", &m.gauge.ID, "bar", map[string]float64{"zero_before_pa": 0, "zero_after_pa": 0}, 20000, 20000)
	for _, cmd := range []domain.RecordReading{
		m.pressure(20000, 20100), held,
		m.reading(confront.FreeAir, "inverted_vessel", nil, "s", map[string]float64{"volume_m3": 0.005, "mark_m3": 0.00005}, 20, 20.1),
	} {
		r := m.takes(t, cmd)
		require.False(t, r.Certified)
		require.False(t, r.Counts, cmd.Quantity)
		require.Contains(t, codes(r.Marks), "uncertified")
	}
	require.True(t, m.takes(t, m.bucket(25, 25.2)).Counts, "water alone is no pressure")
	require.Equal(t, "uncertified", m.run.Marks()[0].Code)
	require.Equal(t, 3, m.run.Counts.Uncertified)

	// A certificate that is issued afterwards makes nothing of it count.
	m.certified(t)
	m.reload(t)
	require.False(t, m.run.Points[0].Readings[0].Counts)
	v := m.judges(t)
	require.Len(t, v.Items, 1)
	require.Equal(t, confront.WaterFlow, v.Items[0].Name)
	require.Equal(t, "undecided", m.run.Verdict.Outcome)
}

func TestWhoTookPartConfirmsNothing(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	m := measured(t, s)
	reads, strikes, points, submits := m.db.Person(t, "Rhys Marlow", domain.Steward), m.db.Person(t, "Kit Harte", domain.Steward), m.db.Person(t, "Ula Finch", domain.Steward), m.db.Person(t, "Noor Azar", domain.Steward)
	r, _, err := m.RecordReading(ctx, reads, m.bucket(25, 25.2))
	require.NoError(t, err)
	m.strikes(t, strikes, r.Points[0].Readings[0].ID, 0)
	_, _, err = m.AddRunPoint(ctx, points, domain.AddRunPoint{Run: m.run.Ref(), Name: "Shut", Setting: confront.Shut, Key: m.key()})
	require.NoError(t, err)
	_, err = m.SubmitRun(ctx, submits, m.run.Ref())
	require.NoError(t, err)
	_, err = m.JudgeDue(ctx)
	require.NoError(t, err)
	m.db.Exec(t, "UPDATE accounts SET steward = true WHERE id IN ($1, $2)", m.petra.Account, m.tomasz.Account)
	for name, who := range map[string]domain.Actor{"opened": m.tomasz, "read": reads, "struck": strikes, "added a point": points, "submitted": submits, "built": m.petra} {
		_, err := m.confirms(who)
		requireCode(t, "took-part", err)
		m.violates(t, "run_ends_by_uninvolved", fmt.Sprintf("INSERT INTO run_ends (run_id, kind, reason, who, at, link) SELECT id, 'confirmed', '', %d, now(), 901 FROM runs", who.Account))
		if name != "opened" {
			_, err = m.setsAside(who)
			requireCode(t, "took-part", err)
		}
		require.Empty(t, m.runsWaiting(t, who), name)
	}
	_, err = m.confirms(m.db.Person(t, "Bryn Sayer"))
	require.Contains(t, requireCode(t, "not-steward", err).Message, "Wen Achebe", "who may is named")
	m.violates(t, "run_ends_by_uninvolved", "INSERT INTO run_ends (run_id, kind, reason, who, at, link) SELECT r.id, 'confirmed', '', a.id, now(), 901 FROM runs r, accounts a WHERE a.name = 'Bryn Sayer'")
	m.reload(t)
	require.Empty(t, m.run.Lacking)
	m.db.Exec(t, "UPDATE accounts SET steward = false WHERE id = $1", m.wen.Account)
	m.reload(t)
	require.Contains(t, m.run.Lacking, "another steward is needed")

	_, err = m.setsAside(m.tomasz)
	require.NoError(t, err, "who opened it may, until it is confirmed")
}

func TestAFrozenRunTakesNothing(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	r := m.takes(t, m.bucket(25, 25.2))
	m.submits(t)
	again, err := m.SubmitRun(ctx, m.tomasz, m.run.Ref())
	require.NoError(t, err)
	require.Equal(t, m.run.Submitted, again.Submitted)
	_, err = m.SubmitRun(ctx, m.petra, m.run.Ref())
	requireCode(t, "run-frozen", err)
	_, _, err = m.RecordReading(ctx, m.tomasz, m.bucket(25, 25.2))
	requireCode(t, "run-frozen", err)
	_, _, err = m.AddRunPoint(ctx, m.tomasz, domain.AddRunPoint{Run: m.run.Ref(), Name: "Late", Setting: confront.Open, Key: m.key()})
	requireCode(t, "run-frozen", err)
	_, _, err = m.StrikeReading(ctx, m.tomasz, domain.StrikeReading{Run: m.run.Ref(), Reading: r.ID, Reason: "Late", Key: m.key()})
	requireCode(t, "run-frozen", err)
	require.Equal(t, []domain.Action{domain.PutAside}, m.run.Allowed, "of who opened it")
}

// A run belongs to the build as it stood when it was opened.
func TestAChangedMachineTakesNoMoreReadings(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	r := m.takes(t, m.bucket(25, 25.2))
	m.now(t)
	cmd := m.change(m.machine)
	cmd.Renewed = []string{"/parts/0"}
	_, err := m.ChangeBuild(ctx, m.petra, cmd)
	require.NoError(t, err)
	_, _, err = m.RecordReading(ctx, m.tomasz, m.bucket(25, 25.2))
	requireCode(t, "run-outdated", err)
	_, _, err = m.AddRunPoint(ctx, m.tomasz, domain.AddRunPoint{Run: m.run.Ref(), Name: "Late", Setting: confront.Open, Key: m.key()})
	requireCode(t, "run-outdated", err)
	m.violates(t, "run_readings_in_time", copied("run_readings", "true", map[string]string{"client_key": "'by-hand-01'"}))
	m.violates(t, "run_points_in_time", copied("run_points", "true", map[string]string{"client_key": "'by-hand-01'", "number": "7"}))
	m.strikes(t, m.tomasz, r.ID, 1)
	require.Contains(t, codes(m.run.Marks()), "build_changed")
	m.judges(t)
	require.Equal(t, 1, m.run.BuildVersion)
}

func TestBadReadingsAreRefusedInWords(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	with := func(change func(*domain.RecordReading)) domain.RecordReading {
		cmd := m.pressure(20000, 20100)
		change(&cmd)
		return cmd
	}
	none := domain.InstrumentID(999)
	for at, cmd := range map[string]domain.RecordReading{
		"/instrument missing":       with(func(c *domain.RecordReading) { c.Instrument = nil }),
		"/instrument unknown_value": with(func(c *domain.RecordReading) { c.Instrument = &none }),
		"/instrument inconsistent": with(func(c *domain.RecordReading) {
			c.Quantity, c.Method, c.Typed.Unit, c.Extra = confront.WaterFlow, "meter", "L/s", nil
		}),
		"/typed/unit unknown_value":      with(func(c *domain.RecordReading) { c.Typed.Unit = "furlong" }),
		"/values missing":                with(func(c *domain.RecordReading) { c.Values = []float64{math.NaN(), math.NaN()} }),
		"/values/1 range":                with(func(c *domain.RecordReading) { c.Values = []float64{20000, math.Inf(1)} }),
		"/typed/texts inconsistent":      with(func(c *domain.RecordReading) { c.Typed.Texts = []string{"20"} }),
		"/quantity derived":              with(func(c *domain.RecordReading) { c.Quantity, c.Method = confront.Efficiency, "judged" }),
		"/quantity unknown_value":        with(func(c *domain.RecordReading) { c.Quantity = "beats_hz" }),
		"/method unknown_value":          with(func(c *domain.RecordReading) { c.Method = "notch" }),
		"/extra/volume_m3 unknown_value": with(func(c *domain.RecordReading) { c.Extra["volume_m3"] = 1 }),
		"/extra/height_m range":          with(func(c *domain.RecordReading) { c.Extra["height_m"] = math.Inf(1) }),
		"/device_at range":               with(func(c *domain.RecordReading) { c.DeviceAt = given(m.clock.now().Add(time.Hour)) }),
		"/client_key range":              with(func(c *domain.RecordReading) { c.Key = "x" }),
	} {
		_, _, err := m.RecordReading(ctx, m.tomasz, cmd)
		require.Equal(t, domain.Invalid, domain.KindOf(err), "%s: %v", at, err)
		require.Contains(t, err.Error(), "["+at+"]")
	}
	require.Equal(t, 0, m.db.Number(t, "SELECT count(*) FROM run_readings"), "nothing half-saved")

	// What only lacks is kept, and said.
	single := m.takes(t, m.bucket(25))
	require.Equal(t, "incomplete", single.Worked.Status)
	require.NotEmpty(t, single.Worked.Missing)
	gap := m.takes(t, m.bucket(25, math.NaN(), 25.2))
	require.True(t, math.IsNaN(gap.Values[1]), "a missing value is no zero")
	require.Equal(t, 2, gap.Worked.N)
	require.False(t, gap.Counts, "the first that stands counts")
	m.strikes(t, m.tomasz, single.ID, 0)
	m.reload(t)
	require.True(t, m.run.Points[0].Readings[1].Counts)
	m.clock.forward(400 * 24 * time.Hour)
	require.Contains(t, codes(m.takes(t, m.pressure(20000, 20100)).Marks), "overdue", "the gauge was due after a year")
	require.Contains(t, codes(m.run.Marks()), "overdue")
}

// Registered before: what was read before the run was opened is no test.
func TestWhatWasReadBeforeTheRunWasOpenedIsHindsight(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	cmd := m.bucket(25, 25.2)
	cmd.DeviceAt = given(m.run.OpenedAt.Add(-time.Hour))
	m.takes(t, cmd)
	require.Contains(t, codes(m.run.Marks()), "hindsight")
	on := measured(t, m.shed)
	ontime := on.bucket(25, 25.2)
	ontime.DeviceAt = given(on.run.OpenedAt)
	on.takes(t, ontime)
	require.NotContains(t, codes(on.run.Marks()), "hindsight")
}

func TestRunsAreRefusedWhereNothingCanBeMeasured(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	open := func(change func(*domain.OpenRun)) error {
		cmd := domain.OpenRun{Project: s.project.ID, Build: s.machine.ID, Title: "Run", Key: s.key()}
		change(&cmd)
		_, _, err := s.OpenRun(ctx, s.tomasz, cmd)
		return err
	}
	low, high := 2.0, 1.0
	require.Contains(t, open(func(c *domain.OpenRun) { c.Required = []string{confront.Efficiency} }).Error(), "[/required/0 unknown_value]")
	require.Contains(t, open(func(c *domain.OpenRun) { c.Required = []string{"beats_hz"} }).Error(), "[/required/0 unknown_value]")
	require.Contains(t, open(func(c *domain.OpenRun) {
		c.Limits = map[string]domain.RunLimits{confront.FreeAir: {Low: &low, High: &high}}
	}).Error(), "[/limits/free_air_m3s/high inconsistent]")
	require.Contains(t, open(func(c *domain.OpenRun) { c.Limits = map[string]domain.RunLimits{confront.FreeAir: {}} }).Error(), "[/limits/free_air_m3s missing]")
	s.stand(t, "A", "withdrawn")
	requireCode(t, "run-refused", open(func(*domain.OpenRun) {}))
	list, err := s.Runs(ctx, s.tomasz, s.project.ID, s.machine.ID, domain.Page{})
	require.NoError(t, err)
	require.Contains(t, list.Refused, "withdrawn")
	require.Empty(t, list.Allowed)
}

func TestRetriesAtOnceAddOnce(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	read, open := m.bucket(25, 25.2), domain.OpenRun{Project: m.project.ID, Build: m.machine.ID, Title: "Second", Key: m.key()}
	point := domain.AddRunPoint{Run: m.run.Ref(), Name: "Shut", Setting: confront.Shut, Key: m.key()}
	for _, call := range []func(int) error{
		func(int) error { _, _, err := m.RecordReading(ctx, m.tomasz, read); return err },
		func(int) error { _, _, err := m.AddRunPoint(ctx, m.tomasz, point); return err },
		func(int) error { _, _, err := m.OpenRun(ctx, m.tomasz, open); return err },
	} {
		won := 0
		for _, err := range atOnce(6, call) {
			if err == nil {
				won++
			}
		}
		require.Positive(t, won)
		require.NoError(t, call(0), "a retry answers the first")
	}
	require.Equal(t, 1, m.db.Number(t, "SELECT count(*) FROM run_readings"))
	require.Equal(t, 2, m.db.Number(t, "SELECT count(*) FROM run_points"))
	require.Equal(t, 2, m.db.Number(t, "SELECT count(*) FROM runs"))
	reading := m.db.Number(t, "SELECT id FROM run_readings")
	strike := domain.StrikeReading{Run: m.run.Ref(), Reading: domain.ReadingID(reading), Position: 1, Reason: "A slip", Key: m.key()}
	oneWins(t, "reading-struck", atOnce(6, func(i int) error {
		cmd := strike
		cmd.Key = fmt.Sprintf("strike-at-once-%d", i)
		_, _, err := m.StrikeReading(ctx, m.tomasz, cmd)
		return err
	}))
}

func TestOfManySubmissionsAndConfirmationsAtOnceOneWins(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	members := []domain.Actor{m.tomasz, m.petra, m.db.Person(t, "Bryn Sayer"), m.db.Person(t, "Kit Harte")}
	oneWins(t, "run-frozen", atOnce(4, func(i int) error { _, err := m.SubmitRun(ctx, members[i], m.run.Ref()); return err }))
	_, err := m.JudgeDue(ctx)
	require.NoError(t, err)
	stewards := []domain.Actor{m.wen}
	for i := range 4 {
		stewards = append(stewards, m.db.Person(t, fmt.Sprintf("Steward %d", i), domain.Steward))
	}
	oneWins(t, "run-ended", atOnce(len(stewards), func(i int) error { _, err := m.confirms(stewards[i]); return err }))
	require.Equal(t, 1, m.db.Number(t, "SELECT count(*) FROM run_ends"))
	m.requireRecordHolds(t)
}

// Readings that arrive while somebody submits are in the frozen run, or refused.
func TestReadingsAgainstSubmission(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	errs := atOnce(7, func(i int) error {
		if i == 3 {
			_, err := m.SubmitRun(ctx, m.tomasz, m.run.Ref())
			return err
		}
		_, _, err := m.RecordReading(ctx, m.petra, m.bucket(25, 25.2))
		return err
	})
	kept := 1
	for i, err := range errs {
		if err == nil && i != 3 {
			kept++
		} else if err != nil {
			requireCode(t, "run-frozen", err)
		}
	}
	require.Equal(t, kept, m.db.Number(t, "SELECT count(*) FROM run_readings"))
}

// A server that was killed works the verdict out again, to the same bytes; two
// servers at once keep one.
func TestAVerdictIsWorkedOutAgainToTheSameBytes(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.certified(t)
	m := measured(t, s)
	m.takes(t, m.bucket(25, 25.2))
	m.takes(t, m.pressure(20000, 20100))
	m.submits(t)
	ended, cancel := context.WithCancel(ctx)
	cancel()
	_, err := m.JudgeDue(ended)
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, 0, m.db.Number(t, "SELECT count(*) FROM run_verdicts"))

	var both sync.WaitGroup
	for range 2 {
		both.Go(func() {
			other := notebook.New(m.db.DB, notebook.Options{Now: m.clock.now, Draws: draws})
			_, err := other.JudgeDue(ctx)
			require.NoError(t, err)
		})
	}
	both.Wait()
	m.reload(t)
	first := m.run.Verdict.Body
	m.db.Exec(t, "ALTER TABLE run_verdicts DISABLE TRIGGER ALL")
	m.db.Exec(t, "DELETE FROM run_verdicts")
	m.clock.forward(time.Hour)
	_, err = m.JudgeDue(ctx)
	require.NoError(t, err)
	m.reload(t)
	require.Equal(t, string(first), string(m.run.Verdict.Body))
}

// The job of the server judges what is due when it starts, and what is submitted
// later, and ends when it is told.
func TestTheServerKeepsJudging(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	m.submits(t)
	job, end := context.WithCancel(ctx)
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		m.KeepJudging(job, func(err error) { t.Error(err) })
	}()
	judged := func(n int) func() bool {
		return func() bool { return m.db.Number(t, "SELECT count(*) FROM run_verdicts") == n }
	}
	require.Eventually(t, judged(1), 30*time.Second, 5*time.Millisecond)
	later := measured(t, m.shed)
	later.takes(t, later.bucket(25, 25.2))
	later.submits(t)
	require.Eventually(t, judged(2), 30*time.Second, 5*time.Millisecond)
	end()
	<-stopped
}

// What was set aside while its verdict was worked out gets none.
func TestARunThatWasSetAsideIsNotJudged(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2))
	m.submits(t)
	r, err := m.setsAside(m.tomasz)
	require.NoError(t, err)
	require.Equal(t, domain.NoJudgement, r.Judgement.State)
	done, err := m.JudgeDue(ctx)
	require.NoError(t, err)
	require.Zero(t, done)
	m.violates(t, "run_verdicts_of_submitted", "INSERT INTO run_verdicts (run_id, body, digest, seed, draws, at) SELECT id, '{}', sha256('{}'), 'a', 1, now() FROM runs")
	_, err = m.SubmitRun(ctx, m.petra, m.run.Ref())
	requireCode(t, "run-frozen", err)
	_, err = m.setsAside(m.wen)
	requireCode(t, "run-ended", err)
}

// Section 6 of the specification of evidence: at u = u_pred an instrument decides
// next to nothing, at a tenth of it nearly always.
func TestAPlanSaysWhatAnInstrumentCouldDecide(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	plan, err := m.RunPlan(ctx, m.tomasz, m.run.Ref(), 0)
	require.NoError(t, err)
	found := false
	for _, p := range plan {
		require.NotEqual(t, confront.Efficiency, p.Name)
		if p.Name != confront.DeliveryPressure {
			continue
		}
		found = true
		require.Len(t, p.Instruments, 1)
		i := p.Instruments[0]
		require.InEpsilon(t, 1600/math.Sqrt(3), i.U, 1e-12, "class 1 of a span of 1.6 bar")
		require.InDelta(t, i.Decided, i.Met+i.Missed, 1e-12)
		require.GreaterOrEqual(t, i.Decided, 0.0)
		require.LessOrEqual(t, i.Decided, 1.0)
	}
	require.True(t, found)
	_, err = m.RunPlan(ctx, m.tomasz, m.run.Ref(), 999)
	require.Equal(t, domain.NotFound, domain.KindOf(err))
}

// The database keeps the rules of a run by itself, whatever the server says.
func TestTheDatabaseKeepsTheRulesOfARun(t *testing.T) {
	t.Parallel()
	m := measured(t, inShed(t))
	r := m.takes(t, m.bucket(25, 25.2))
	m.takes(t, m.pressure(20000, 20100))
	fresh := map[string]string{"client_key": "'by-hand-01'"}
	run := func(changed ...string) string {
		return copied("runs", "true", with(with(fresh, "number", "9"), changed...))
	}
	m.violates(t, "runs_build_id_number_key", run("number", "1"))
	m.violates(t, "runs_opened_by_client_key_key", run("client_key", "client_key"))
	m.violates(t, "runs_number_check", run("number", "0"))
	m.violates(t, "runs_title_check", run("title", "''"))
	m.violates(t, "runs_purpose_check", run("purpose", "repeat('x', 2001)"))
	m.violates(t, "runs_required_check", run("required", "'{}'"))
	m.violates(t, "runs_limits_check", run("limits", "'[]'"))
	m.violates(t, "runs_version_check", run("version", "0"))
	m.violates(t, "runs_client_key_check", run("client_key", "'x'"))
	m.violates(t, "runs_of_newest", run("build_version", "2"), run("calc_version", "'0'"), run("coefficient_set", "'7'"), run("opened_by", "-1"))
	m.violates(t, "runs_kept", "UPDATE runs SET required = '[]'", "UPDATE runs SET coefficient_set = '0'", "DELETE FROM runs")
	m.violates(t, "runs_kept_truncate", "TRUNCATE runs CASCADE")

	point := func(changed ...string) string {
		return copied("run_points", "true", with(with(fresh, "number", "2"), changed...))
	}
	m.violates(t, "run_points_number_check", point("number", "51"))
	m.violates(t, "run_points_setting_check", point("setting", "'ajar'"))
	m.violates(t, "run_points_name_check", point("name", "''"))
	m.violates(t, "run_points_run_id_number_key", point("number", "1"))
	m.violates(t, "run_points_added_by_client_key_key", point("client_key", "client_key"))
	m.violates(t, "run_points_append_only", "UPDATE run_points SET setting = 'shut'", "DELETE FROM run_points")

	reading := func(changed ...string) string {
		return copied("run_readings", fmt.Sprintf("id = %d", r.ID), with(fresh, changed...))
	}
	m.violates(t, "run_readings_values_check", reading("values", "'{}'"), reading("values", "'{NULL,NULL}'"), reading("values", "'{NaN,1}'"), reading("values", "'{NULL,Infinity}'"), reading("values", "'{{1,2}}'"))
	m.violates(t, "run_readings_quantity_check", reading("quantity", "''"))
	m.violates(t, "run_readings_method_check", reading("method", "''"))
	m.violates(t, "run_readings_instrument_id_instrument_check", reading("instrument", "'{}'"))
	m.violates(t, "run_readings_instrument_check", reading("instrument", "'[]'", "instrument_id", fmt.Sprint(m.gauge.ID)))
	m.violates(t, "run_readings_typed_check", reading("typed", "'[]'"))
	m.violates(t, "run_readings_extra_check", reading("extra", "'[]'"))
	m.violates(t, "run_readings_point_id_run_id_fk", reading("point_id", "-1"))
	m.violates(t, "run_readings_taken_by_client_key_key", reading("client_key", "client_key"))
	m.violates(t, "run_readings_append_only", "UPDATE run_readings SET certified = true", "UPDATE run_readings SET values = '{1}'", "DELETE FROM run_readings")

	strike := fmt.Sprintf("INSERT INTO run_strikes (reading_id, position, reason, who, at, client_key) VALUES (%d, POSITION, 'So', %d, now(), 'by-hand-01')", r.ID, m.petra.Account)
	m.violates(t, "run_strikes_in_time", strings.Replace(strike, "POSITION", "3", 1), strings.NewReplacer(fmt.Sprintf("(%d,", r.ID), "(-1,", "POSITION", "1").Replace(strike))
	m.strikes(t, m.tomasz, r.ID, 1)
	m.violates(t, "run_strikes_reading_id_position_key", strings.Replace(strike, "POSITION", "1", 1))
	m.violates(t, "run_strikes_append_only", "UPDATE run_strikes SET reason = 'x'", "DELETE FROM run_strikes")

	end := fmt.Sprintf("INSERT INTO run_ends (run_id, kind, reason, who, at, link) SELECT id, 'confirmed', '', %d, now(), 901 FROM runs", m.wen.Account)
	m.violates(t, "run_ends_in_turn", end)
	m.judges(t)
	m.violates(t, "run_submissions_run_id_key", "INSERT INTO run_submissions SELECT * FROM run_submissions")
	m.violates(t, "run_submissions_append_only", "DELETE FROM run_submissions")
	m.violates(t, "run_verdicts_append_only", "UPDATE run_verdicts SET draws = 1", "DELETE FROM run_verdicts")
	m.violates(t, "run_verdicts_append_only_truncate", "TRUNCATE run_verdicts")
	m.violates(t, "run_readings_in_time", reading())
	m.violates(t, "run_points_in_time", point())
	m.violates(t, "run_ends_kind_reason_check", strings.Replace(end, "''", "'so'", 1), strings.Replace(end, "'confirmed'", "'set_aside'", 1))
	m.violates(t, "run_ends_link_fk", end+"; SET CONSTRAINTS ALL IMMEDIATE")
	_, err := m.confirms(m.wen)
	require.NoError(t, err)
	m.violates(t, "run_ends_in_turn", end)
	m.violates(t, "run_ends_append_only", "UPDATE run_ends SET reason = 'x'", "DELETE FROM run_ends")
}
