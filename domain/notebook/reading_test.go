package notebook_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/gauge"
	"leat/domain"
)

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
		"/values/2 range":                m.bucket(25, 25.1, 0),
		"/values/0 range":                m.bucket(-25, 25),
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
	require.Contains(t, codes(gap.Marks), "missing")
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

// A reading whose uncertainty is not known is kept, and judged as an incomplete
// record, never as a number.
func TestWhatAReadingLacksIsSaidAndDecidesNothing(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.certified(t)
	m := measured(t, s)
	keeper := s.db.Person(t, "Nell Orchard", domain.Keeper)
	bare, _, _, err := s.AddInstrument(ctx, keeper, domain.AddInstrument{
		Facts: domain.InstrumentFacts{Name: "Old dial", Kind: domain.PressureGauge, Serial: "none", Unit: "Pa", High: 1.6e5, IntervalDays: 365}, Key: "gauge-0002",
	})
	require.NoError(t, err)
	zeros := map[string]float64{"zero_before_pa": 0, "zero_after_pa": 0}
	unknown := m.takes(t, m.reading(confront.DeliveryPressure, "pressure_gauge", &bare.ID, "Pa", zeros, 20000, 20100))
	require.Equal(t, "incomplete", unknown.Worked.Status, "no class, no accuracy")
	require.Nil(t, unknown.Worked.U)
	require.Contains(t, unknown.Worked.Missing[0], "Old dial")
	require.Contains(t, codes(unknown.Marks), "overdue", "it was never compared")
	m.takes(t, m.reading(confront.FreeAir, "inverted_vessel", nil, "s", map[string]float64{"volume_m3": 0.005, "mark_m3": 0.00005}, 20))
	even := m.takes(t, m.bucket(25, 25, 25))
	require.Equal(t, "ok", even.Worked.Status, "equal readings: the marks and the watch carry it")
	require.Positive(t, *even.Worked.U)
	require.Equal(t, []string{"zero_spread"}, codes(even.Marks))

	v := m.judges(t)
	for _, item := range v.Items {
		if item.Name == confront.WaterFlow {
			require.NotNil(t, item.PConform)
			continue
		}
		require.Equal(t, "incomplete_record", string(item.Reason), item.Name)
		require.Nil(t, item.PConform, item.Name)
		require.NotEmpty(t, item.Words, item.Name)
	}
	require.Len(t, v.Items, 4, "with the efficiency that would be worked out of them")
	require.Equal(t, "undecided", m.run.Verdict.Outcome)
}

// Without a barometer, on a sheet that does not say how high the place lies, no
// free air is made up; once the barometer is read, the same reading has a value.
func TestAMissingBarometerIsSaid(t *testing.T) {
	t.Parallel()
	s := inShed(t)
	s.certified(t)
	m := measured(t, s)
	vessel := m.reading(confront.FreeAir, "inverted_vessel", nil, "s", map[string]float64{"volume_m3": 0.005, "mark_m3": 0.00005}, 20, 20.1)
	r := m.takes(t, vessel)
	require.Nil(t, r.Worked.Value)
	require.Equal(t, "incomplete", r.Worked.Status)
	require.Contains(t, r.Worked.Missing, "barometer")
	require.Contains(t, r.Worked.Flags, evidence.HumidityAssumed)
	keeper := s.db.Person(t, "Nell Orchard", domain.Keeper)
	within, day := 100.0, m.clock.now().AddDate(0, -1, 0).UTC().Truncate(24*time.Hour)
	barometer, _, _, err := s.AddInstrument(ctx, keeper, domain.AddInstrument{
		Facts:        domain.InstrumentFacts{Name: "Hall barometer", Kind: domain.Barometer, Serial: "B-3", Unit: "Pa", Low: 9e4, High: 1.1e5, Accuracy: &within, IntervalDays: 365},
		CalibratedOn: &day, Calibration: "against the harbour's", Key: "barometer-1",
	})
	require.NoError(t, err)
	m.takes(t, m.reading(gauge.AirPressure, "barometer", &barometer.ID, "hPa", nil, 100200, 100200))
	m.reload(t)
	require.NotContains(t, m.run.Points[0].Readings[0].Worked.Missing, "barometer")
}
