package domain

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/sheet"
)

// Recalculation is what a newer calculation answers for an issued sheet. The old
// answer stays.
type Recalculation struct {
	CalcVersion    string
	CoefficientSet string
	Differs        []Difference
	At             time.Time
}

// Recalculated is a recalculation to be kept, of an issued sheet.
type Recalculated struct {
	Revision int64
	Report   sheet.Report
	Differs  []Difference
	At       time.Time
}

// DifferenceKind says what sort of answer became another.
type DifferenceKind string

// The kinds of difference.
const (
	OtherStatus  DifferenceKind = "status"
	OtherWarning DifferenceKind = "warning"
	OtherSafety  DifferenceKind = "safety"
	OtherNumber  DifferenceKind = "number"
)

// Difference is one answer that a newer calculation gives otherwise: words, or
// a number in its SI unit. What one of the two does not have is empty or nil. It
// is kept and shown as this JSON.
type Difference struct {
	What      DifferenceKind `json:"what"`
	At        string         `json:"at"` // JSON pointer into the report
	Was       string         `json:"was"`
	Is        string         `json:"is"`
	WasNumber *float64       `json:"was_number"`
	IsNumber  *float64       `json:"is_number"`
}

// What a number without an interval may move before somebody is told: the gist
// of a machine that has none by a hundredth, what a part must hold and how far
// people keep away by nothing but rounding. Both are our own rules.
const (
	gistMoves   = 0.01
	safetyMoves = 1e-6
)

// Differs lists what a newer report answers otherwise than an older one of the
// same input: the status, warnings, safety answers, and each number that moved
// by more than a tenth of its interval.
func Differs(old, fresh sheet.Report) []Difference {
	d := differences{list: []Difference{}}
	if len(fresh.Faults) > 0 {
		f := fresh.Faults[0]
		d.word(OtherStatus, "", statusOf(old), "refused: "+f.At+": "+f.Message)
		return d.list
	}
	d.word(OtherStatus, "/gist/status", statusOf(old), statusOf(fresh))
	d.words(OtherWarning, warnings(old), warnings(fresh))
	d.words(OtherSafety, safety(old), safety(fresh))
	d.numbers(OtherSafety, safetyNumbers(old), safetyNumbers(fresh), func(string) float64 { return 0 }, safetyMoves)
	if old.Trompe != nil && old.Trompe.Uncertainty != nil {
		d.numbers(OtherNumber, numbersOf(old), numbersOf(fresh), func(at string) float64 { return tenth(old, at) }, 1e-9)
		return d.list
	}
	d.numbers(OtherNumber, gistNumbers(old), gistNumbers(fresh), func(string) float64 { return 0 }, gistMoves)
	return d.list
}

type differences struct{ list []Difference }

func (d *differences) word(what DifferenceKind, at, was, is string) {
	if was != is {
		d.list = append(d.list, Difference{What: what, At: at, Was: was, Is: is})
	}
}

func (d *differences) words(what DifferenceKind, old, fresh map[string]string) {
	for _, at := range places(old, fresh) {
		d.word(what, at, old[at], fresh[at])
	}
}

// numbers compares numbers by where they stand; one may move by what wide says
// of it, and by a share of itself.
func (d *differences) numbers(what DifferenceKind, old, fresh map[string]*float64, wide func(at string) float64, share float64) {
	for _, at := range places(old, fresh) {
		was, is := old[at], fresh[at]
		if was == nil && is == nil || was != nil && is != nil && math.Abs(*is-*was) <= max(wide(at), share*math.Abs(*was)) {
			continue
		}
		d.list = append(d.list, Difference{What: what, At: at, WasNumber: was, IsNumber: is})
	}
}

func places[V any](a, b map[string]V) []string {
	both := maps.Clone(a)
	maps.Copy(both, b)
	return slices.Sorted(maps.Keys(both))
}

// warnings are the codes of the warnings of a report, by the section that gives
// them.
func warnings(r sheet.Report) map[string]string {
	all := map[string]string{}
	if r.Trompe != nil {
		all["/trompe/warnings"] = warningCodes(r.Trompe.Warnings)
	}
	for _, s := range r.Steps {
		if s.Answer != nil {
			all[s.At+"/warnings"] = warningCodes(s.Answer.Warnings)
		}
	}
	return all
}

func warningCodes(warnings []calc.Warning) string {
	return codes(warnings, func(w calc.Warning) string { return w.Code })
}

// codes joins codes in their order, each once.
func codes[T any](list []T, code func(T) string) string {
	all := make([]string, len(list))
	for i, x := range list {
		all[i] = code(x)
	}
	slices.Sort(all)
	return strings.Join(slices.Compact(all), ", ")
}

func saidCodes(list []build.Said) string {
	return codes(list, func(s build.Said) string { return s.Code })
}

// safety are the answers in words that say whether a machine may be built.
func safety(r sheet.Report) map[string]string {
	if r.Build == nil {
		return map[string]string{}
	}
	all := map[string]string{"/build/class": string(r.Build.Class), "/build/flags": saidCodes(r.Build.Flags)}
	for _, p := range r.Build.Parts {
		all["/build"+p.At+"/verdict"] = p.Verdict
		all["/build"+p.At+"/reasons"] = saidCodes(p.Reasons)
		all["/build"+p.At+"/conditions"] = saidCodes(p.Conditions)
	}
	return all
}

func safetyNumbers(r sheet.Report) map[string]*float64 {
	all := map[string]*float64{}
	if r.Build == nil {
		return all
	}
	for _, p := range r.Build.Parts {
		all["/build"+p.At+"/p_design_pa"], all["/build"+p.At+"/allow_pa"] = p.DesignPa, p.AllowPa
		if p.Distance != nil {
			all["/build"+p.At+"/distance/m"] = &p.Distance.M
		}
	}
	return all
}

// numbersOf are the numbers of a trompe, which have intervals.
func numbersOf(r sheet.Report) map[string]*float64 {
	all := map[string]*float64{}
	if r.Trompe == nil || r.Trompe.Numbers == nil {
		return all
	}
	for _, v := range r.Trompe.Values() {
		if !math.IsNaN(v.X) {
			all["/trompe/"+v.Name] = &v.X
		}
	}
	return all
}

// tenth is a tenth of the interval of a number of the old report.
func tenth(old sheet.Report, at string) float64 {
	i := old.Trompe.Uncertainty.Outputs[strings.TrimPrefix(at, "/trompe/")]
	if i.Low == nil || i.High == nil {
		return 0
	}
	return (*i.High - *i.Low) / 10
}

func gistNumbers(r sheet.Report) map[string]*float64 {
	g := cmp.Or(r.Gist, &sheet.Gist{})
	return map[string]*float64{
		"/gist/gauge_pa": g.GaugePa, "/gist/free_air_m3s": g.FreeAirM3S, "/gist/water_m3s": g.WaterM3S, "/gist/lifted_m3s": g.LiftedM3S,
	}
}
