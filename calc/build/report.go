package build

import (
	"cmp"
	"strings"

	"leat/calc"
	"leat/calc/strength"
)

// Report says whether a machine may be built.
type Report struct {
	Class    strength.HazardClass `json:"class"`
	Why      []Said               `json:"why"`      // what made it so
	Checkers int                  `json:"checkers"` // who must say clear
	Parts    []Judged             `json:"parts"`
	Flags    []Said               `json:"flags"`            // legal notes; they never block by themselves
	Limits   *Limits              `json:"limits,omitempty"` // that were used; nil: those that leat comes with
}

// Barred names the parts that are not allowed; none of no report.
func (r *Report) Barred() (names []string) {
	if r == nil {
		return nil
	}
	for _, p := range r.Parts {
		if p.Verdict == strength.NotAllowed {
			names = append(names, p.called())
		}
	}
	return names
}

// Judged is one part with its decision.
type Judged struct {
	At         string    `json:"at"` // /parts/0
	Role       string    `json:"role"`
	Name       string    `json:"name"`
	Verdict    string    `json:"verdict"`     // allowed, conditional or not_allowed
	DesignPa   *float64  `json:"p_design_pa"` // gauge, at its lowest point
	Case       string    `json:"case"`        // which case decides that
	AllowPa    *float64  `json:"allow_pa"`    // what it may hold
	Reasons    []Said    `json:"reasons"`
	Conditions []Said    `json:"conditions"`
	Changes    []Change  `json:"changes,omitempty"` // of a part that is not allowed: the nearest that would be
	Distance   *Distance `json:"distance"`          // while its pressure rises; null where it holds no gas
	Asked      []Asked   `json:"asked"`
}

// called is what a builder calls the part.
func (p Judged) called() string { return cmp.Or(p.Name, strings.ReplaceAll(p.Role, "_", " ")) }

// Distance is how far people keep away, in m, and by which rule.
type Distance struct {
	M    float64 `json:"m"`
	Rule Said    `json:"rule"`
}

// Said is a short code with its words.
type Said struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Asked is one named calculation that a decision rests on.
type Asked struct {
	Title  string         `json:"title"`
	Calc   string         `json:"calc"`
	Input  map[string]any `json:"input"`
	Answer calc.Answer    `json:"answer"`
}

// Change is one change that would make a part allowed.
type Change struct {
	Text    string         `json:"text"`
	Set     map[string]any `json:"set"`          // pointers into the sheet, and what to put there
	Verdict string         `json:"verdict"`      // that the part then has
	AirM3S  *float64       `json:"air_m3s"`      // free air then; null where the machine would not run
	CostM3S *float64       `json:"air_cost_m3s"` // what it costs in free air; null where that is not known
}
