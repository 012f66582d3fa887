package evidence

import (
	"fmt"

	"leat/calc"
)

type propagateIn struct {
	Sens calc.Matrix `json:"sens"`
	Cov  calc.Matrix `json:"cov"`
	U    []float64   `json:"u"`
	Corr calc.Matrix `json:"corr"`
}

type propagateOut struct {
	Cov  [][]float64  `json:"cov"`
	U    []float64    `json:"u"`
	Corr [][]*float64 `json:"corr"`
}

func propagate(in propagateIn) (propagateOut, []calc.Warning, *calc.Fault) {
	given := in.Cov
	if given == nil {
		given = CovarianceOf(in.U, in.Corr)
	}
	v := Propagate(in.Sens, given)
	out := propagateOut{Cov: v, U: Deviations(v)}
	for _, row := range Correlations(v) {
		shown := make([]*float64, len(row))
		for j, x := range row {
			shown[j] = calc.OrNull(x)
		}
		out.Corr = append(out.Corr, shown)
	}
	return out, nil, nil
}

// covarianceOfThem is the rule that a matrix has as many rows and columns as there are
// quantities.
func covarianceOfThem(at string, of []string, matrix func(propagateIn) calc.Matrix, n func(propagateIn) int) calc.Relation[propagateIn] {
	return calc.Relation[propagateIn]{At: at, Of: append(of, at), Broken: func(in propagateIn) string {
		if m := matrix(in); m != nil && !m.Is(n(in), n(in)) {
			return fmt.Sprintf("There are %d quantities: give %d rows of %d numbers.", n(in), n(in), n(in))
		}
		return ""
	}}
}

// propagatedMost is how many results, and how many quantities, are worked out at once:
// as many as values of one lesson. Their covariances are the square of it.
const propagatedMost = 500

// propagatable faults more results or quantities than are worked out at once.
func propagatable(in propagateIn) string {
	if results, quantities := len(in.Sens), len(in.Sens[0]); max(results, quantities) > propagatedMost {
		return fmt.Sprintf("There are %d results of %d quantities. At most %d results of %d quantities are worked out at once: leave out those that nothing here hangs on.", results, quantities, propagatedMost, propagatedMost)
	}
	return ""
}

var propagateLinear = calc.New(calc.Description{
	Name: "evidence/propagate_linear", Answers: "how well several results are known that are worked out from the same readings, and how they hang together",
	Words: []string{"uncertainty", "propagation", "covariance", "correlation", "sensitivity"},
	Inputs: []calc.Field{
		calc.RowsOf(calc.Signed("/sens", "", "how much each result changes with each quantity, a row for each result")).Need(),
		calc.RowsOf(calc.Signed("/cov", "", "covariance of the quantities; or give their standard uncertainties")).NeedUnless("/u"),
		calc.ListOf(calc.AtLeast("/u", "", 0, "standard uncertainty of each quantity, read where no covariance is given")).Unread("/cov"),
		calc.RowsOf(calc.Between("/corr", "", -1, 1, "correlations of the quantities")).Unread("/cov").Preset("none"),
	},
	Outputs: []calc.Field{
		calc.Gives("/cov", "", "covariance of the results", "V_y = C·V_x·Cᵀ, V_x = r_ij·u_i·u_j", gum5, "/sens", "/u", "/corr").As(calc.List),
		calc.Gives("/u", "", "standard uncertainty of each result", "√V_ii", gum5, "/cov").As(calc.List),
		calc.Gives("/corr", "", "correlations of the results; none with a result that is known for certain", "V_ij/(u_i·u_j)", gum5, "/cov", "/u").As(calc.List),
	},
	Equation: "V_y = C·V_x·Cᵀ",
	Validity: "Straight relations, or slopes that hardly change within a standard uncertainty. At most 500 results of 500 quantities.",
	Sources:  []string{gum5, "JCGM 100:2008, H.2, from memory"},
	Example:  []byte(`{"sens": [[1, 0], [1, -1]], "u": [2, 1], "corr": [[1, 0.5], [0.5, 1]]}`),
}, propagateIn{}, propagate,
	calc.Relation[propagateIn]{At: "/sens", Code: calc.Range, Of: []string{"/sens"}, Broken: propagatable},
	covarianceOfThem("/cov", []string{"/sens"}, func(in propagateIn) calc.Matrix { return in.Cov }, func(in propagateIn) int { return len(in.Sens[0]) }),
	fits("/u", []string{"/sens"}, "each row of sensitivities has %d", func(in propagateIn) int { return len(in.U) }, func(in propagateIn) int {
		if in.U == nil {
			return 0
		}
		return len(in.Sens[0])
	}),
	covarianceOfThem("/corr", []string{"/u"}, func(in propagateIn) calc.Matrix { return in.Corr }, func(in propagateIn) int { return len(in.U) }))
