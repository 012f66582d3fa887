package logger

import (
	"strings"

	"leat/calc/units"
)

// measure is how a number of a file becomes one in SI.
type measure struct {
	unit           string // SI
	factor, offset float64
	counted        string // gauge or absolute, of a pressure
}

// others are units that the conversion of leat does not have: temperatures, which
// have an offset, and pure numbers. All are exact.
var others = map[string]measure{
	"K": {"K", 1, 0, ""}, "degC": {"K", 1, 273.15, ""}, "degF": {"K", 5.0 / 9, 273.15 - 32*5.0/9, ""},
	"%": {"1", 0.01, 0, ""}, "1": {"1", 1, 0, ""},
	"Hz": {"1/s", 1, 0, ""}, "1/s": {"1/s", 1, 0, ""}, "1/min": {"1/s", 1.0 / 60, 0, ""},
}

// spellings are other ways to write a unit, in multiples of it.
var spellings = map[string]struct {
	unit  string
	times float64
}{
	"°C": {"degC", 1}, "℃": {"degC", 1}, "C": {"degC", 1}, "deg C": {"degC", 1}, "°F": {"degF", 1}, "℉": {"degF", 1}, "F": {"degF", 1}, "deg F": {"degF", 1},
	"hPa": {"mbar", 1}, "MPa": {"kPa", 1000}, "PSI": {"psi", 1}, "mH₂O": {"mH2O", 1},
	"l/min": {"L/min", 1}, "l/s": {"L/s", 1}, "mL/min": {"L/min", 1e-3}, "ml/min": {"L/min", 1e-3},
	"m³/s": {"m3/s", 1}, "m^3/s": {"m3/s", 1}, "m³/h": {"m3/h", 1}, "m^3/h": {"m3/h", 1},
	"cm": {"mm", 10}, "m³": {"m3", 1}, "m^3": {"m3", 1}, "l": {"L", 1},
}

// countings are endings that say what a pressure counts from.
var countings = []struct{ ending, counted string }{
	{" gauge", "gauge"}, {" absolute", "absolute"}, {" abs", "absolute"}, {"(g)", "gauge"}, {"(a)", "absolute"},
	{" g", "gauge"}, {" a", "absolute"}, {"g", "gauge"}, {"a", "absolute"},
}

// findMeasure reads the name of a unit. Capitals count: mbar is no Mbar.
func findMeasure(name string) (measure, bool) {
	if m, ok := convertible(name); ok {
		return m, true
	}
	for _, c := range countings {
		unit, ok := strings.CutSuffix(name, c.ending)
		if m, known := convertible(strings.TrimSpace(unit)); ok && known && m.unit == "Pa" {
			m.counted = c.counted
			return m, true
		}
	}
	return measure{}, false
}

func convertible(name string) (measure, bool) {
	times := 1.0
	if s, ok := spellings[name]; ok {
		name, times = s.unit, s.times
	}
	if m, ok := others[name]; ok {
		return m, true
	}
	si, factor, ok := units.SI(name)
	return measure{unit: si, factor: times * factor}, ok
}

// seconds are the units of a column of times.
var seconds = map[string]float64{"s": 1, "sec": 1, "ms": 1e-3, "min": 60, "h": 3600}

// isUnit tells whether a text is the name of a unit of any kind.
func isUnit(name string) bool {
	_, ok := findMeasure(name)
	return ok || seconds[name] != 0
}

const someUnits = "for instance bar, kPa, psi, °C, K, L/min, L/s, m3/h, m, mm, %, or 1 for a pure number; capitals count"

// CountedIn returns what a pressure in a unit counts from, gauge or absolute,
// where its name says so.
func CountedIn(name string) string {
	m, _ := findMeasure(name)
	return m.counted
}

// SI returns the SI unit of a unit of a channel, and how a number in it becomes
// one in SI: times factor, plus offset. ok is false where it is not known.
func SI(name string) (unit string, factor, offset float64, ok bool) {
	m, ok := findMeasure(name)
	return m.unit, m.factor, m.offset, ok
}
