package evidence

import (
	"math"
	"slices"

	"leat/calc"
)

const qrFit = "least squares by QR; checked by the NIST Statistical Reference Datasets"

type linregIn struct {
	X      []float64 `json:"x"`
	Y      []float64 `json:"y"`
	Origin bool      `json:"origin"`
}

type linregOut struct {
	B    []float64 `json:"b"`
	U    []float64 `json:"u"`
	S    float64   `json:"s"`
	Nu   int       `json:"nu"`
	Corr *float64  `json:"corr"`
}

func line(in linregIn) (linregOut, []calc.Warning, *calc.Fault) {
	notPossible := func(why string) (linregOut, []calc.Warning, *calc.Fault) {
		return linregOut{}, nil, &calc.Fault{Code: calc.Range, At: "/x", Message: why}
	}
	switch {
	case in.Origin && !slices.ContainsFunc(in.X, func(x float64) bool { return x != 0 }):
		return notPossible("All x are 0: a line through the origin has no slope then. Measure away from 0.")
	case !in.Origin && allEqual(in.X):
		return notPossible("All x are equal: no slope can be told. Measure at different x.")
	}
	fit, ok := StraightLine(in.X, in.Y, in.Origin)
	if !ok {
		return notPossible("There are too few points, or their x lie too close together, to tell how well the line fits. Three points are the least, two through the origin.")
	}
	out := linregOut{B: fit.B, U: fit.U(), S: fit.S, Nu: fit.Nu}
	if !in.Origin {
		corr := lineCorrelation(in.X)
		out.Corr = &corr
	}
	return out, nil, nil
}

// lineCorrelation is that of intercept and slope: −x̄/√(mean of x²), whatever the scatter.
func lineCorrelation(x []float64) float64 {
	var sum, length float64
	for _, v := range x {
		sum += v
		length = math.Hypot(length, v)
	}
	return -sum / math.Sqrt(float64(len(x))) / length
}

var linreg = calc.New(calc.Description{
	Name: "evidence/linreg", Answers: "the straight line through measured points, and how well it is known",
	Words: []string{"line", "regression", "least squares", "slope", "intercept", "calibration", "fit"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/x", "", "x of each point")).Need(),
		calc.ListOf(calc.Signed("/y", "", "y of each point")).Need(),
		calc.YesNo("/origin", "the line goes through the origin"),
	},
	Outputs: []calc.Field{
		calc.Gives("/b", "", "intercept and slope; through the origin the slope alone", "least squares", qrFit, "/x", "/y", "/origin").As(calc.List),
		calc.Gives("/u", "", "their standard uncertainties", "s·√((RᵀR)⁻¹)_ii", qrFit, "/s", "/x").As(calc.List),
		calc.Gives("/s", "", "standard deviation of the points about the line, along y", "√(Σ(y − b₀ − b₁·x)²/ν)", qrFit, "/b", "/x", "/y", "/nu"),
		calc.Gives("/nu", "", "degrees of freedom", "points − parameters", qrFit, "/x", "/origin").As(calc.Count),
		calc.Gives("/corr", "", "correlation of intercept and slope; none through the origin", "−Σx/√(n·Σx²)", qrFit, "/x"),
	},
	Equation: "y = b₀ + b₁·x, Σ(y − b₀ − b₁·x)² least",
	Validity: "The error is in y and about the same everywhere; x is known much better.",
	Sources:  []string{qrFit, "JCGM 100:2008, H.3, from memory"},
	Example:  []byte(`{"x": [0, 1, 2, 3], "y": [0.1, 2.2, 3.9, 6.1]}`),
}, linregIn{}, line,
	fits("/y", []string{"/x"}, "there are %d x", func(in linregIn) int { return len(in.Y) }, func(in linregIn) int { return len(in.X) }))
