package domain_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func date(t *testing.T, text string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return d
}

func gauge() domain.InstrumentFacts {
	return domain.InstrumentFacts{Name: "Test gauge", Kind: domain.PressureGauge, Unit: "Pa", High: 600_000, IntervalDays: 365}
}

func TestInstrumentFactsAreRefusedInWords(t *testing.T) {
	today := date(t, "2026-11-30")
	try := func(change func(*domain.AddInstrument)) error {
		c := domain.AddInstrument{Facts: gauge(), Key: "key-00000001"}
		change(&c)
		return c.Validate(today)
	}
	require.NoError(t, try(func(*domain.AddInstrument) {}))
	tomorrow, class, none := today.AddDate(0, 0, 1), 11.0, 0.0
	for pointer, change := range map[string]func(*domain.AddInstrument){
		"/name":          func(c *domain.AddInstrument) { c.Facts.Name = " " },
		"/kind":          func(c *domain.AddInstrument) { c.Facts.Kind = "ruler" },
		"/unit":          func(c *domain.AddInstrument) { c.Facts.Unit = "bar" },
		"/range_high":    func(c *domain.AddInstrument) { c.Facts.High = c.Facts.Low },
		"/class_pct":     func(c *domain.AddInstrument) { c.Facts.ClassPct = &class },
		"/resolution":    func(c *domain.AddInstrument) { c.Facts.Resolution = &none },
		"/interval_days": func(c *domain.AddInstrument) { c.Facts.IntervalDays = 0 },
		"/calibrated_on": func(c *domain.AddInstrument) { c.CalibratedOn, c.Calibration = &tomorrow, "by hand" },
		"/calibration":   func(c *domain.AddInstrument) { c.CalibratedOn = &today },
		"/client_key":    func(c *domain.AddInstrument) { c.Key = "" },
	} {
		require.Equal(t, []string{pointer}, pointersOf(t, try(change)))
	}
	c := domain.AddInstrument{Facts: gauge(), Key: "key-00000001"}
	c.Facts.Kind, c.Facts.Unit = domain.OtherInstrument, "lux"
	require.NoError(t, c.Validate(today), "other instruments say their own unit")
}

// product.md, "Instruments": an overdue one can't be used for a test sheet; the
// group lets the calibration of a gauge count for 365 days at most (section 11).
func TestWhenACalibrationCounts(t *testing.T) {
	i := domain.Instrument{InstrumentFacts: gauge()}
	require.True(t, i.Overdue(date(t, "2026-11-30")), "never calibrated")
	on := date(t, "2025-11-30")
	i.CalibratedOn = &on
	i.Due(domain.DefaultSafetySettings())
	require.False(t, i.Overdue(date(t, "2026-11-30")), "365 days later, the last day")
	require.Empty(t, i.Unfit(date(t, "2026-11-30")))
	require.True(t, i.Overdue(date(t, "2026-12-01")))
	require.Contains(t, i.Unfit(date(t, "2026-12-01")), "2026-11-30")
	i.IntervalDays = 3650
	i.Due(domain.DefaultSafetySettings())
	require.True(t, i.Overdue(date(t, "2026-12-01")), "the group's limit counts, whatever the interval")
	i.Kind = domain.Thermometer
	i.Due(domain.DefaultSafetySettings())
	require.False(t, i.Overdue(date(t, "2026-12-01")), "and only for gauges")
}

func TestHistoryOfAnInstrument(t *testing.T) {
	act := func(kind domain.InstrumentActKind, on, at string) domain.InstrumentAct {
		return domain.InstrumentAct{Kind: kind, On: date(t, on), At: date(t, at).Add(12 * time.Hour)}
	}
	after := func(acts ...domain.InstrumentAct) domain.Instrument {
		i := domain.Instrument{InstrumentFacts: gauge()}
		i.ByActs(acts, "Europe/London")
		i.Due(domain.DefaultSafetySettings())
		return i
	}
	today := date(t, "2026-11-30")
	calibrated, older := act(domain.InstrumentCalibrated, "2026-09-01", "2026-09-02"), act(domain.InstrumentCalibrated, "2025-09-01", "2026-10-01")
	require.Equal(t, date(t, "2026-09-01"), *after(calibrated, older).CalibratedOn, "the later day counts, not the later entry")
	wrong := act(domain.InstrumentWrong, "2026-10-01", "2026-11-10")
	require.Contains(t, after(calibrated, wrong).Unfit(today), "found wrong")
	between := act(domain.InstrumentCalibrated, "2026-10-15", "2026-11-12")
	require.NotNil(t, after(calibrated, wrong, between).Wrong, "a calibration before it was found wrong puts nothing right")
	put := act(domain.InstrumentCalibrated, "2026-11-10", "2026-11-12")
	require.Empty(t, after(calibrated, wrong, put).Unfit(today))
	require.Contains(t, after(calibrated, act(domain.InstrumentRetired, "2026-11-11", "2026-11-11")).Unfit(today), "retired")
}

// Dates begin and end in the group's time zone.
func TestTheDayOfTheGroup(t *testing.T) {
	late := time.Date(2026, 11, 30, 23, 30, 0, 0, time.UTC)
	for zone, want := range map[string]string{"UTC": "2026-11-30", "Europe/Oslo": "2026-12-01", "America/Denver": "2026-11-30", "Pacific/Kiritimati": "2026-12-01", "Nowhere/Such": "2026-11-30"} {
		require.Equal(t, date(t, want), domain.DayIn(late, zone), zone)
	}
}
