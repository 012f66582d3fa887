package procedure

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/pressuretest"
)

// NamesOf returns everything that leat supplies to the expressions of a
// procedure, on a day, once this much has been recorded. What cannot be worked
// out is absent.
func NamesOf(b Basis, day time.Time, recorded Values) Names {
	n := Names{}
	for name, v := range b.Fixed {
		n[name] = v
	}
	s := soFar{b, recorded}
	s.gauge(n, day)
	n.set("cure_hours_min", s.cure)
	n.set("cure_hours_min"+goesBy, s.cureGoesBy)
	s.relief(n)
	n.set("drop_verdict", func() (Value, bool) { return s.verdict(n) })
	months := b.Rules.LifeMonths
	if decided, ok := n["gas_decision"].Text(); ok {
		if decided == "conditional" {
			months = b.Rules.LifeGasMonths
		}
		n["expiry_max"] = Text(monthsOn(day, months).Format(time.DateOnly))
	}
	return n
}

// goesBy ends the name of the words that say what a limit hangs on.
const goesBy = "_goes_by"

func (n Names) set(name string, of func() (Value, bool)) {
	if v, ok := of(); ok && v.Known() {
		n[name] = v
	}
}

// monthsOn is the same day some months later, or the last of a month that is
// shorter.
func monthsOn(day time.Time, months int) time.Time {
	later := day.AddDate(0, months, 0)
	if later.Day() != day.Day() {
		return later.AddDate(0, 0, -later.Day())
	}
	return later
}

// soFar is a test with what has been recorded in it.
type soFar struct {
	Basis
	recorded Values
}

func (s soFar) reading(name string) *float64 {
	if x, ok := s.recorded[name].Number(); ok {
		return &x
	}
	return nil
}

// cure goes by the coldest that was read since the last joint was made; before
// that, by the coldest weather of use.
func (s soFar) cure() (Value, bool) {
	coldest := s.Test.ColdC
	if c := s.reading("coldest"); c != nil {
		coldest = c
	}
	hours, ok := s.Test.cureHours(coldest, s.Rules.CureFloorH)
	return Number(hours), ok
}

// cureGoesBy says for which cold the wait is shown before the coldest is read.
func (s soFar) cureGoesBy() (Value, bool) {
	if s.Test.ColdC == nil || !slices.ContainsFunc(s.Test.Tested, func(t Tested) bool { return t.Cemented }) {
		return Value{}, false
	}
	return Text(fmt.Sprintf("That is for %s °C at the coldest. The colder it was, the longer.", figures(*s.Test.ColdC, math.Floor))), true
}

// relief supplies how wide a relief must be, and what that hangs on. The blow-off of
// the machine alone may not be set to anything where a part could see more than it
// may hold: it lets nothing out while the riser is blocked.
func (s soFar) relief(n Names) {
	n.set("relief_bore_min_mm", s.reliefBore)
	if kind, _ := s.recorded["relief_kind"].Text(); kind == blowOff && s.Relief.Device {
		delete(n, "relief_set_max_bar")
	}
	if s.Relief.MaxPa <= 0 {
		return
	}
	text := fmt.Sprintf("That is for the highest setting, %s bar. One that opens lower must be wider.", figures(s.Relief.MaxPa/1e5, math.Floor))
	if s.Relief.BoreM != nil {
		text += fmt.Sprintf(" An open standpipe is at least as wide as the supply too: %s mm.", figures(1000**s.Relief.BoreM, math.Ceil))
	}
	n["relief_bore_min_mm"+goesBy] = Text(text)
}

// reliefBore goes by what the device is set to, once that is read: the lower, the
// wider. An open standpipe is as wide as the supply, too.
func (s soFar) reliefBore() (Value, bool) {
	set := s.Relief.MaxPa
	if read := s.reading("relief_set"); read != nil {
		set = min(set, *read*1e5)
	}
	bore, ok := s.Relief.bore(set)
	if kind, _ := s.recorded["relief_kind"].Text(); kind == "open_standpipe" {
		if s.Relief.BoreM == nil {
			return Value{}, false
		}
		bore = max(bore, *s.Relief.BoreM)
	}
	return Number(1000 * bore), ok
}

// gauge supplies what hangs on the gauge. Where nobody has said how high above
// the lowest point it sits, the target is that of the lowest point and the
// ceiling that of the highest, so that wherever it sits neither is missed; where
// that leaves no room, or a wall is so cold that it gets brittle, there is no ceiling,
// and nothing is met.
func (s soFar) gauge(n Names, day time.Time) {
	if s.Test.LowPa <= 0 {
		return
	}
	used := s.recorded["gauge"]
	height, reach := 0.0, s.Test.HeightM
	if h, ok := used.Field("height_m").Number(); ok && h >= 0 && h <= s.Test.HeightM {
		height, reach = h, h
	}
	shown := s.Test.LowPa - weight(height)
	stages := []Value{}
	for _, share := range []float64{0.25, 0.5, 0.75, 1} {
		stages = append(stages, bar(share*shown))
	}
	n["stage_bar"] = List(stages...)
	if shown < manometerBelowPa {
		n["manometer_min_m"] = Number(shown / (calc.WaterDensity * calc.Gravity))
	}
	mpe, ok := s.largestError(n, used, shown, day)
	if !ok {
		return
	}
	wall := s.reading("t_start")
	if wall == nil {
		wall = s.reading("pipe_temp")
	}
	target, most := shown+mpe, min(s.Test.mostAt(wall)-weight(reach)-mpe, s.readable(used))
	n["gauge_mpe_bar"], n["gauge_target_bar"] = bar(mpe), bar(target)
	if most >= target && !s.Test.cold(wall) {
		n["gauge_max_bar"] = bar(most)
	}
}

// readable is what the gauge can be trusted to show at most: three quarters of its
// scale while the pressure stands still, a column of water as much as it is high.
func (s soFar) readable(used Value) float64 {
	if height := s.reading("manometer_height"); height != nil {
		return weight(*height)
	}
	if full, ok := used.Field("full_scale_bar").Number(); ok {
		return pressuretest.SteadyShare * full * 1e5
	}
	return math.Inf(1)
}

// largestError is what the gauge may be wrong by, in Pa. A column of water is
// not wrong.
func (s soFar) largestError(n Names, used Value, shown float64, day time.Time) (pa float64, ok bool) {
	switch kind, _ := s.recorded["gauge_kind"].Text(); kind {
	case "manometer":
		return 0, shown < manometerBelowPa
	case "gauge":
	default:
		return 0, false
	}
	full, ok := used.Field("full_scale_bar").Number()
	class, ok2 := used.Field("class_pct").Number()
	on, _ := used.Field("calibrated_on").Text()
	calibrated, err := time.Parse(time.DateOnly, on)
	age := math.Floor(day.Sub(calibrated).Hours() / 24)
	if !ok || !ok2 || err != nil || full <= 0 || class <= 0 || class > 10 || age < 0 {
		return 0, false
	}
	oldest := s.Rules.GaugeAgeDays
	if days, ok := used.Field("interval_days").Number(); ok {
		oldest = min(oldest, days)
	}
	out, _, _ := pressuretest.Gauge(pressuretest.GaugeIn{TestPa: shown, FullPa: full * 1e5, ClassPct: class, AgeDays: age, MaxAgeDays: oldest})
	n["gauge_ok"] = Yes(out.OK)
	why := []string{}
	for _, code := range out.Reasons {
		why = append(why, build.Words()["gauge_"+code])
	}
	n["gauge_reasons"] = Text(strings.Join(why, " "))
	return out.MPEPa, true
}

// verdict judges the drop, once the hold was read. A leak that is seen fails an
// item of its own.
func (s soFar) verdict(n Names) (Value, bool) {
	mpe, ok := n["gauge_mpe_bar"].Number()
	least, ok2 := n["hold_min_minutes"].Number()
	start, end, before, after, held := s.reading("p_test"), s.reading("p_end"), s.reading("t_start"), s.reading("t_end"), s.reading("hold_minutes")
	if !ok || !ok2 || start == nil || end == nil || before == nil || after == nil || held == nil || *start <= 0 {
		return Value{}, false
	}
	out, _, _ := pressuretest.HydroHold(pressuretest.HydroHoldIn{
		StartPa: *start * 1e5, EndPa: *end * 1e5, MPEPa: mpe * 1e5, DTC: *after - *before, DurS: *held * 60, MinDurS: least * 60,
	})
	return Text(out.Verdict), true
}
