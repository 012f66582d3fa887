package notebook_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/confront"
	"leat/domain"
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
			require.Equal(t, m.run.Title, a.Title)
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
