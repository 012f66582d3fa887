package notebook

import (
	"fmt"
	"time"

	"leat/domain"
)

// instrumentsDay is how many days ago the register was begun.
const instrumentsDay = 74

// The instruments of the demo that its people test and measure with.
const (
	testGauge   = "Test gauge, 100 mm dial"
	longTube    = "Long U-tube with water"
	thermometer = "Lab thermometer"
	barometer   = "Barometer in the lab window"
)

// demoInstrument is an instrument with what was last done to it.
type demoInstrument struct {
	facts       domain.InstrumentFacts
	daysAgo     int // that it was calibrated, no less than instrumentsDay
	calibration string
}

func demoInstruments() []demoInstrument {
	return []demoInstrument{
		{
			domain.InstrumentFacts{
				Name: testGauge, Kind: domain.PressureGauge, Serial: "TW-07", Unit: "Pa", Low: 0, High: 60e3, Resolution: given(500.0), ClassPct: given(1.0), IntervalDays: 365,
				Note: "Belongs to the test box. Never on a ram.",
			},
			120, "Against the water column in the stairwell of the school, 0 to 5.5 m.",
		},
		{
			domain.InstrumentFacts{
				Name: "Workshop gauge", Kind: domain.PressureGauge, Serial: "none, green paint on the rim", Unit: "Pa", Low: 0, High: 1e6, ClassPct: given(2.5), IntervalDays: 365,
				Note: "For looking, not for testing.",
			},
			500, "As bought.",
		},
		{
			domain.InstrumentFacts{
				Name: longTube, Kind: domain.WaterManometer, Serial: "TW-11", Unit: "m", Low: 0, High: 1.5, Resolution: given(0.001), Accuracy: given(0.001), IntervalDays: 730,
				Note: "Clear hose on a board with a steel rule. Shake the bubbles out first.",
			},
			200, "Rule against the tape of the surveyor's office.",
		},
		{
			domain.InstrumentFacts{
				Name: thermometer, Kind: domain.Thermometer, Serial: "TW-02", Unit: "°C", Low: -10, High: 50, Resolution: given(0.5), Accuracy: given(0.5), IntervalDays: 365,
			},
			150, "In melting ice, and beside the one of the clinic at 20 °C.",
		},
		{
			domain.InstrumentFacts{
				Name: barometer, Kind: domain.Barometer, Serial: "TW-03", Unit: "Pa", Low: 85e3, High: 108e3, Resolution: given(10.0), Accuracy: given(150.0), IntervalDays: 365,
				Note: "Shows the pressure of the place, not that of the sea.",
			},
			90, "Against the airfield's report, brought back from the height of the sea to that of the lab.",
		},
	}
}

// instruments puts the instruments into the register; one of them is overdue.
func (s *story) instruments() error {
	for _, i := range demoInstruments() {
		on := s.at.UTC().AddDate(0, 0, -i.daysAgo+instrumentsDay).Truncate(24 * time.Hour)
		added, _, _, err := s.AddInstrument(s.ctx, s.people[ines], domain.AddInstrument{Facts: i.facts, CalibratedOn: &on, Calibration: i.calibration, Key: s.key()})
		if err != nil {
			return fmt.Errorf("%s: %w", i.facts.Name, err)
		}
		s.tools[i.facts.Name] = added.ID
	}
	return nil
}
