package strength

import "leat/calc"

// SurgeAllowIn is a part that surges run through.
type SurgeAllowIn struct {
	RatingPa  float64 `json:"rating_pa"`
	PeakPa    float64 `json:"peak_pa"`
	RangePa   float64 `json:"range_pa"`
	Table     string  `json:"table"`
	Duty      string  `json:"duty"`
	RamFactor float64 `json:"ram_factor"`
}

// How often surges come.
const (
	Occasional = "occasional"
	Recurrent  = "recurrent"
	RamDuty    = "ram" // some 10⁷ a year
)

// SurgeAllowOut says whether the part may take them.
type SurgeAllowOut struct {
	LimitPeakPa  float64 `json:"limit_peak_pa"`
	LimitRangePa float64 `json:"limit_range_pa"`
	OK           bool    `json:"ok"`
	Reasons      Codes   `json:"reasons"`
}

// Reasons why surges are too much.
const (
	PeakOverRating = "peak_over_rating"
	RangeOverLimit = "range_over_limit"
)

// RangeFactor returns which part of its rating a surge may swing through, given
// the factor for rams.
//
// Valid for derated ratings.
//
// Source: BS CP 312:1977 as a paper on surge and fatigue reports it, read; the
// factor for rams from memory, chosen stricter.
func RangeFactor(table, duty string, ram float64) float64 {
	tires := isPVC(table) || table == "ABS"
	switch {
	case tires && duty == Recurrent:
		return 0.5
	case tires && duty == RamDuty:
		return ram
	}
	return 1
}

// SurgeAllow answers whether a part may take surges.
func SurgeAllow(in SurgeAllowIn) (SurgeAllowOut, []calc.Warning, *calc.Fault) {
	out := SurgeAllowOut{LimitPeakPa: in.RatingPa, LimitRangePa: in.RatingPa * RangeFactor(in.Table, in.Duty, in.RamFactor), Reasons: Codes{}}
	out.Reasons.add(PeakOverRating, in.PeakPa > out.LimitPeakPa)
	out.Reasons.add(RangeOverLimit, in.RangePa > out.LimitRangePa)
	out.OK = len(out.Reasons) == 0
	return out, nil, nil
}

const fatigue = "BS CP 312:1977 as a WRc paper on surge and fatigue reports it, read; the factor for rams from memory"

var surgeAllow = calc.New(calc.Description{
	Name: "safety/surge_allow", Answers: "whether a pipe may take the surges that run through it",
	Words: []string{"water hammer", "surge", "fatigue", "ram", "drive pipe", "PVC"},
	Inputs: []calc.Field{
		ratingField("pressure that is allowed after derating, gauge"),
		calc.AtLeast("/peak_pa", "Pa", 0, "highest pressure of the surge, gauge").Need(),
		calc.AtLeast("/range_pa", "Pa", 0, "what the surge adds to the pressure at rest").Need(),
		table(),
		calc.OneOf("/duty", "how often the surge comes: now and then, every day, or with each beat of a ram", Occasional, Recurrent, RamDuty).Need(),
		calc.Between("/ram_factor", "", 0, 0.5, "part of the rating that a ram may swing through in PVC and ABS").Preset("0.25"),
	},
	Outputs: []calc.Field{
		calc.Gives("/limit_peak_pa", "Pa", "highest peak that is allowed, gauge", "p_allow", fatigue, "/rating_pa"),
		calc.Gives("/limit_range_pa", "Pa", "greatest swing that is allowed", "k·p_allow; PVC and ABS: k = 1 occasional, 0.5 recurrent, the factor for rams; all others: k = 1", fatigue, "/rating_pa", "/table", "/duty", "/ram_factor"),
		calc.Gives("/ok", "", "the part may take the surges", "peak and swing within their limits", fatigue, "/peak_pa", "/range_pa", "/limit_peak_pa", "/limit_range_pa").As(calc.Flag),
		calc.Gives("/reasons", "", "why not", "each limit that is passed", fatigue, "/peak_pa", "/range_pa", "/limit_peak_pa", "/limit_range_pa").As(calc.Texts),
	},
	Equation: "peak ≤ p_allow and Δp ≤ k·p_allow",
	Validity: "Plastic tires under surges: a ram beats some ten million times a year. Metals and PE are judged by the peak alone.",
	Sources:  []string{fatigue},
	Example:  []byte(`{"rating_pa": 1000000, "peak_pa": 610000, "range_pa": 577000, "table": "PVC", "duty": "ram"}`),
}, SurgeAllowIn{RamFactor: 0.25}, SurgeAllow)
