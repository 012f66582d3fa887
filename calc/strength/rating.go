package strength

import (
	"fmt"

	"leat/calc"
)

// RatingIn is a marked part and how it is used.
type RatingIn struct {
	RatingPa float64 `json:"rating_pa"`
	Table    string  `json:"table"`
	TempC    float64 `json:"temp_c"`
	Gas      bool    `json:"gas"`
	Threaded bool    `json:"threaded"`
}

// RatingOut is what is left of its rating.
type RatingOut struct {
	FT      float64 `json:"f_t"`
	FThread float64 `json:"f_thread"`
	FGas    float64 `json:"f_gas"`
	AllowPa float64 `json:"allow_pa"`
	Cold    bool    `json:"cold"`
}

// ThreadFactor returns what a cut thread leaves of a rating.
//
// Valid for threads in heavy plastic wall; Schedule 40 and thinner are not to be
// threaded at all.
//
// Source: a maker's derating page, read: half the plain-end rating.
func ThreadFactor(table string, threaded bool) float64 {
	if threaded && isPlastic(table) {
		return 0.5
	}
	return 1
}

// GasFactor returns what gas instead of water leaves of a rating.
//
// Valid for ratings made with the coefficient 1.25 for water.
//
// Source: PE100+ Association guidance, read: C ≥ 2.0 for gas.
func GasFactor(table string, gas bool) float64 {
	if gas && isPE(table) {
		return 1.25 / 2
	}
	return 1
}

// Cold tells whether a wall is so cold that it gets brittle: no test, no gas
// and no blows. The limits are common practice, no source.
func Cold(table string, tempC float64) bool {
	switch {
	case isPVC(table):
		return tempC < 5
	case table == "STEEL":
		return tempC < -10
	}
	return tempC < -20
}

// Rating answers what pressure a marked part may hold where it is used. In is
// checked: the table exists and is not left upwards.
func Rating(in RatingIn) (RatingOut, []calc.Warning, *calc.Fault) {
	d, _ := DeratingOf(in.Table)
	out := RatingOut{
		FT:      d.TemperatureFactor(in.TempC),
		FThread: ThreadFactor(in.Table, in.Threaded),
		FGas:    GasFactor(in.Table, in.Gas),
		Cold:    Cold(in.Table, in.TempC),
	}
	out.AllowPa = in.RatingPa * out.FT * out.FThread * out.FGas
	return out, nil, nil
}

// inTable is the rule that nothing is allowed above the last point of a table.
var inTable = calc.Relation[RatingIn]{At: "/temp_c", Code: calc.Range, Of: []string{"/table", "/temp_c"}, Broken: func(in RatingIn) string {
	d, ok := DeratingOf(in.Table)
	if !ok || in.TempC <= d.Last() {
		return ""
	}
	return fmt.Sprintf("%g °C is too hot for %s: above %g °C it is not allowed under pressure. Shade or cool it, or take another material.", in.TempC, in.Table, d.Last())
}}

const deratingSource = "Derating tables, each row with its source: PVC from Machinery's Handbook, ABS, PA and copper from makers' and trade tables, read; PE100 from ISO 13761 and steel from EN 10242, from memory"

var rating = calc.New(calc.Description{
	Name: "safety/rating", Answers: "what is left of a marked pressure rating when the part is warm, threaded or full of gas",
	Words: []string{"rating", "derating", "temperature", "thread", "allowed pressure", "hot"},
	Inputs: []calc.Field{
		ratingField("rating for water at 20 or 23 °C, gauge, as it is printed on the weakest part"),
		table(),
		calc.AtLeast("/temp_c", "°C", -40, "wall temperature: the hottest for the rating, the coldest for the cold flag. Sun on dark pipe counts: 15 °C more than the air").Need(),
		calc.YesNo("/gas", "the part holds air or another gas"),
		calc.YesNo("/threaded", "a thread is cut into the part"),
	},
	Outputs: []calc.Field{
		calc.Gives("/f_t", "", "factor for temperature", "line through the points of the table; 1 below the first", deratingSource, "/table", "/temp_c"),
		calc.Gives("/f_thread", "", "factor for a cut thread", "0.5 in plastic, else 1", "A maker's derating page, read", "/table", "/threaded"),
		calc.Gives("/f_gas", "", "factor for gas", "1.25/2 for PE, else 1", "PE100+ Association guidance, read", "/table", "/gas"),
		calc.Gives("/allow_pa", "Pa", "pressure that is allowed, gauge", "rating·f_T·f_thread·f_gas", deratingSource, "/rating_pa", "/f_t", "/f_thread", "/f_gas"),
		calc.Gives("/cold", "", "so cold that it gets brittle: no test, no gas, no blows", "PVC below 5 °C, steel below −10 °C, others below −20 °C", "common practice, no source", "/table", "/temp_c").As(calc.Flag),
	},
	Equation: "p_allow = rating·f_T·f_thread·f_gas",
	Validity: "From −40 °C to the last temperature of the table. The rating is the lowest of pipe, fittings, valves, joints and threads. Schedule 40 pipe and thinner is not to be threaded at all. The tables PVC-U-EN1452 and PE100-ASNZS only after a member has read the standard and recorded so.",
	Sources:  []string{deratingSource},
	Example:  []byte(`{"rating_pa": 1000000, "table": "PVC", "temp_c": 35}`),
}, RatingIn{}, Rating, inTable)
