package evidence

import "leat/calc"

// measured are the calculations from a reading to a value with its uncertainty.
var measured = []calc.Calculation{typeA, budget, propagateLinear, displayed, freeAirFlow, linreg}

const gum4 = "JCGM 100:2008, 4.2, from memory"

// number is a number of a result, null where the status says that there is none.
// One that should be there and is not finite stays: then the whole answer is at fault.
func number(there bool, x float64) *float64 {
	if !there {
		return nil
	}
	return &x
}

type typeAIn struct {
	Readings calc.Readings `json:"readings"`
}

type typeAOut struct {
	N       int      `json:"n"`
	Missing int      `json:"missing"`
	Mean    *float64 `json:"mean"`
	S       *float64 `json:"s"`
	U       *float64 `json:"u"`
	Nu      int      `json:"nu"`
	Lag1    *float64 `json:"lag1"`
	Status  string   `json:"status"`
}

var typeA = calc.New(calc.Description{
	Name: "evidence/type_a", Answers: "what repeated readings say: their mean and how well it is known",
	Words:  []string{"repeat", "mean", "average", "standard deviation", "scatter", "Type A", "uncertainty"},
	Inputs: []calc.Field{calc.ListOf(calc.Signed("/readings", "", "the readings, in one unit")).Gappy().Need().MayBeEmpty()},
	Outputs: []calc.Field{
		calc.Gives("/n", "", "readings that are there", "count", gum4, "/readings").As(calc.Count),
		calc.Gives("/missing", "", "readings that are missing", "count", gum4, "/readings").As(calc.Count),
		calc.Gives("/mean", "", "mean, in the unit of the readings; none without readings", "x̄ = Σx/n", gum4, "/readings"),
		calc.Gives("/s", "", "standard deviation of one reading; none below two", "s = √(Σ(x − x̄)²/(n − 1))", gum4, "/readings", "/mean"),
		calc.Gives("/u", "", "standard uncertainty of the mean; none below two", "u = s/√n", gum4, "/s", "/n"),
		calc.Gives("/nu", "", "degrees of freedom", "ν = n − 1", gum4, "/n"),
		calc.Gives("/lag1", "", "correlation of a reading with the next: far from 0, the readings hang together", "ρ₁ = Σ(x_i − x̄)(x_{i+1} − x̄)/Σ(x_i − x̄)²", "NIST Statistical Reference Datasets, univariate", "/readings", "/mean"),
		calc.Gives("/status", "", "state: no_reading, single_reading, zero_spread or ok", "number and spread of the readings", gum4, "/readings").As(calc.Text),
	},
	Equation: "x̄ = Σx/n, s² = Σ(x − x̄)²/(n − 1), u = s/√n, ν = n − 1",
	Validity: "Readings that do not hang together. Repeats without disturbing anything show the scatter of a minute only: take the gauge off, or change the person, between them.",
	Sources:  []string{gum4, "NIST Statistical Reference Datasets"},
	Example:  []byte(`{"readings": [12.1, 11.8, 12.4, null, 12.0]}`),
}, typeAIn{}, func(in typeAIn) (typeAOut, []calc.Warning, *calc.Fault) {
	r := TypeA(in.Readings)
	spread := r.N > 1
	return typeAOut{r.N, r.Missing, number(r.N > 0, r.Mean), number(spread, r.S), number(spread, r.U), r.Nu, number(r.Status == OK, r.Lag1), r.Status}, nil, nil
})
