package evidence

import (
	"fmt"

	"leat/calc"
)

// learned are the calculations by which builds teach coefficients.
var learned = []calc.Calculation{update, leaveOneOut, plan}

const (
	gaussNewton   = "least squares with a normal prior, as in any text on inverse problems (Tarantola 2005), from memory; weights of Lange, Little and Taylor 1989, from memory"
	bySpread      = "R. C. Paule, J. Mandel, J. Res. NBS 87, 377 (1982), from memory; for several values at once derived here"
	linearAlgebra = "linear algebra"
	leftOut       = "leave-one-out cross-validation, common practice; score of Gneiting and Raftery 2007, from memory"
)

// lessonFields are the inputs of a lesson; extra rules are for each build.
func lessonFields(extra ...calc.Judge) []calc.Field {
	judge := func(input map[string]any, list []any, i int) (faults []calc.Fault) {
		for _, rule := range append(extra, buildFits) {
			faults = append(faults, rule(input, list, i)...)
		}
		return faults
	}
	return []calc.Field{
		calc.ListOf(calc.Signed("/m0", "", "coefficients at the start, in standard deviations of set 0")).Need(),
		calc.RowsOf(calc.Signed("/P0", "", "their variances, or their covariance a row a coefficient: what all builds have in common")).As(calc.NumbersOrRows).Need(),
		calc.RecordsOf("/builds", "what was measured, build by build, and what was predicted",
			calc.Words("/name", "name of the build").Need(),
			calc.ListOf(calc.Signed("/y", "", "measured values").Gappy()).Need(),
			calc.ListOf(calc.Signed("/g", "", "what was predicted for each at the start").Gappy()).Need(),
			calc.RowsOf(calc.Signed("/J", "", "what one standard deviation of each coefficient does to each value, a row a value").Gappy()).Need(),
			calc.RowsOf(calc.AtLeast("/R", "", 0, "standard uncertainty of each value, or their covariance a row a value").Gappy()).As(calc.NumbersOrRows).Need(),
		).Need().MayBeEmpty().Filled().Judged(judge),
		calc.ListOf(calc.AtLeast("/omega", "", 0, "standard deviation of a build's own part of each coefficient")).Need(),
		calc.AtLeast("/disc", "", 0, "share of each prediction that the model lacks, as a standard uncertainty").Preset("0"),
		calc.AtLeast("/robust_nu", "", 0, "how soon a build that lies off loses weight; 0 or null: never").Preset("4"),
		calc.Words("/names", "names of the coefficients").As(calc.Texts),
		calc.YesNo("/widen", "builds that differ by more than omega widen it").Preset("true"),
	}
}

// lesson is an input that a lesson is in.
type lesson interface{ base() UpdateIn }

// coefficientsMost bounds how many coefficients are learned at once: more than
// the model has.
const coefficientsMost = 30

// amount bounds what is learned from at once, so that an answer comes within
// seconds.
type amount struct {
	builds int
	values int // of all builds together
}

// To leave each build out in turn takes a lesson for each.
var (
	forOneLesson   = amount{500, 500}
	forLeavingEach = amount{40, 200}
)

func lessonRelations[I lesson](most amount) []calc.Relation[I] {
	return []calc.Relation[I]{
		{At: "/m0", Code: calc.Range, Of: []string{"/m0"}, Broken: func(in I) string { return tooMany(len(in.base().M0)) }},
		{At: "/builds", Code: calc.Range, Of: []string{"/builds"}, Broken: func(in I) string { return most.broken(in.base().Builds) }},
		{At: "/P0", Of: []string{"/m0", "/P0"}, Broken: func(in I) string { return sizeOf(in.base().P0, len(in.base().M0)) }},
		{At: "/P0", Code: calc.Range, Of: []string{"/m0", "/P0"}, Broken: func(in I) string { return definite(in.base().P0) }},
		fits("/omega", []string{"/m0"}, "%d coefficients", func(in I) int { return len(in.base().Omega) }, func(in I) int { return len(in.base().M0) }),
		{At: "/names", Of: []string{"/m0", "/names"}, Broken: func(in I) string {
			if b := in.base(); b.Names != nil && len(b.Names) != len(b.M0) {
				return fmt.Sprintf("There are %d names for %d coefficients. Give a name to each, or none.", len(b.Names), len(b.M0))
			}
			return ""
		}},
	}
}

// tooMany faults more coefficients than are learned at once.
func tooMany(coefficients int) string {
	if coefficients <= coefficientsMost {
		return ""
	}
	return fmt.Sprintf("There are %d coefficients. At most %d are learned at once: leave out those that nothing here hangs on.", coefficients, coefficientsMost)
}

// broken faults more builds or values than are learned from at once.
func (a amount) broken(builds []BuildIn) string {
	values := 0
	for _, b := range builds {
		values += len(b.Y)
	}
	if len(builds) <= a.builds && values <= a.values {
		return ""
	}
	return fmt.Sprintf("There are %d builds with %d values together. At most %d builds with %d values are worked out at once: take the newest, or one value of each quantity and build.", len(builds), values, a.builds, a.values)
}

// sizeOf faults a list or rows that are not of n coefficients.
func sizeOf(of calc.ListOrRows, n int) string {
	if of.Rows == nil && len(of.List) == n || of.Rows != nil && of.Rows.Is(n, n) {
		return ""
	}
	return fmt.Sprintf("For %d coefficients this is a list of %d variances, or %d rows of %d numbers.", n, n, n, n)
}

// definite faults a list or rows that are no covariance.
func definite(of calc.ListOrRows) string {
	if max(len(of.List), len(of.Rows)) > coefficientsMost || Covariance(covariance(of, false)) {
		return ""
	}
	return "This is no covariance of uncertain coefficients: it must be symmetric and positive definite. Each variance is above 0, and two coefficients that hang together fully count once."
}

// buildFits judges whether the values of a build fit each other and the
// coefficients, and whether it is there twice.
func buildFits(input map[string]any, list []any, i int) (faults []calc.Fault) {
	build, _ := list[i].(map[string]any)
	for _, other := range list[:i] {
		if before, ok := other.(map[string]any); ok && before["name"] != nil && before["name"] == build["name"] {
			faults = append(faults, calc.Fault{Code: calc.Inconsistent, At: "/name", Message: fmt.Sprintf("A build named %v is there already. All values of one build go into one entry.", build["name"])})
			break
		}
	}
	n, known := length(build["y"])
	if !known {
		return faults
	}
	misfit := func(at, message string) {
		faults = append(faults, calc.Fault{Code: calc.Inconsistent, At: at, Message: message})
	}
	if g, ok := length(build["g"]); ok && g != n {
		misfit("/g", fmt.Sprintf("There are %d predictions for %d measured values.", g, n))
	}
	d, started := length(input["m0"])
	if rows, columns, ok := dimensions(build["J"]); ok && (rows != n || started && columns != d) {
		misfit("/J", fmt.Sprintf("%d measured values want as many rows here, each with a number for every coefficient.", n))
	}
	if rows, columns, ok := dimensions(build["R"]); ok && (rows != n || columns != 0 && columns != n) {
		misfit("/R", fmt.Sprintf("%d measured values want as many standard uncertainties here, or as many rows of as many numbers.", n))
	}
	return faults
}

// predictsSomething judges that no prediction is 0: scores are shares of them.
func predictsSomething(_ map[string]any, list []any, i int) (faults []calc.Fault) {
	g, _ := calc.NumbersIn(list[i], "g")
	for j, x := range g {
		if x == 0 {
			faults = append(faults, calc.Fault{Code: calc.Range, At: fmt.Sprintf("/g/%d", j), Message: "How well a value was predicted is judged as a share of the prediction: it can't be 0."})
		}
	}
	return faults
}

// length returns how long a list is; ok is false where there is none.
func length(v any) (n int, ok bool) {
	list, ok := v.([]any)
	return len(list), ok
}

// dimensions returns the size of rows; of a plain list there are no columns.
func dimensions(v any) (rows, columns int, ok bool) {
	list, ok := v.([]any)
	if len(list) > 0 {
		columns, _ = length(list[0])
	}
	return len(list), columns, ok
}

var update = calc.New(calc.Description{
	Name: "evidence/update", Answers: "what the builds of a group say of the coefficients of the model",
	Words:  []string{"learn", "coefficient", "builds", "update", "group", "weight", "posterior"},
	Inputs: lessonFields(),
	Outputs: []calc.Field{
		calc.Gives("/m", "", "coefficients as learned, in standard deviations of set 0", "m = m₀ + H⁻¹·Σ w·JᵀS⁻¹(y − g), S = R + diag((δ·g)²) + f²·J·diag(ω²)·Jᵀ, H = P₀⁻¹ + Σ w·JᵀS⁻¹J", gaussNewton, "/m0", "/P0", "/builds", "/omega", "/disc", "/weights", "/omega_scale").As(calc.Numbers),
		calc.Gives("/P", "", "their covariance, a row a coefficient", "P = H⁻¹", gaussNewton, "/m0", "/P0", "/builds", "/omega", "/disc", "/weights", "/omega_scale").As(calc.Rows),
		calc.Gives("/sd", "", "their standard deviations", "√P_ii", linearAlgebra, "/P").As(calc.Numbers),
		calc.Gives("/shift", "", "how far each moved, in standard deviations of the start", "(m − m₀)/√P₀_ii", linearAlgebra, "/m", "/m0", "/P0").As(calc.Numbers),
		calc.Gives("/variance_removed", "", "share of the variance of each that the builds removed", "1 − P_ii/P₀_ii", linearAlgebra, "/P", "/P0").As(calc.Numbers),
		calc.Gives("/weights", "", "weight of each build; below 0.5 look at the build again", "w = min(1, (ν + n)/(ν + D²)), from 1 until they stay", gaussNewton, "/D2", "/robust_nu", "/builds").As(calc.Group),
		calc.Gives("/D2", "", "how far each build lies off, squared", "D² = rᵀS⁻¹r, r = y − g − J·(m − m₀)", gaussNewton, "/builds", "/m").As(calc.Group),
		calc.Gives("/omega_scale", "", "by how much builds differ more than was assumed, 1 to 6", "least f with Σ w·D² ≤ Σ w·n − trace(I − P·P₀⁻¹)", bySpread, "/D2", "/weights", "/P", "/P0", "/widen"),
		calc.Gives("/learned", "", "directions of which the builds know more than was known before", "singular values above 1", linearAlgebra, "/singular").As(calc.Count),
		calc.Gives("/singular", "", "what the builds say over what was known, direction by direction", "√eigenvalues of P₀^½·(Σ w·JᵀS⁻¹J)·P₀^½", linearAlgebra, "/P0", "/builds", "/weights").As(calc.Numbers),
		calc.Gives("/skipped", "", "builds that were left out, as a number is missing", "any of y, g, J, R missing", gaussNewton, "/builds").As(calc.Texts),
		calc.Gives("/warnings", "", "what the builds can't tell", "variance removed < 0.1; |shift| > 3; largest |correlation| in P > 0.9", linearAlgebra, "/variance_removed", "/shift", "/P", "/names").As(calc.Texts),
	},
	Equation: "m = m₀ + H⁻¹·Σ w·JᵀS⁻¹(y − g)",
	Validity: "At most 500 builds with 500 values together, and 30 coefficients. Models that are planes over the step that is taken: g(m) = g + J·(m − m₀). Start from set 0 with all builds each time: a lesson on a lesson counts builds twice. Builds that were set aside are left out before, and counted beside it.",
	Sources:  []string{gaussNewton, bySpread},
	Example: []byte(`{"m0": [0, 0], "P0": [0.75, 0.75], "omega": [0.5, 0.5], "disc": 0.02, "names": ["intake loss", "drift velocity"], "builds": [
		{"name": "mill race", "y": [9700, 0.00051], "g": [9900, 0.00054], "J": [[-300, 20], [-0.00002, -0.00003]], "R": [60, 0.00001]},
		{"name": "quarry", "y": [12100, 0.00071], "g": [12300, 0.00074], "J": [[-350, 30], [-0.00003, -0.00004]], "R": [[6400, 0], [0, 2e-10]]},
		{"name": "weir", "y": [7900, null], "g": [8000, 0.0004], "J": [[-250, 20], [-0.00002, -0.00002]], "R": [60, 0.00001]}]}`),
}, UpdateIn{RobustNu: RobustNu, Widen: true}, Update, lessonRelations[UpdateIn](forOneLesson)...)

var leaveOneOut = calc.New(calc.Description{
	Name: "evidence/leave_one_out", Answers: "whether what the builds say of coefficients may be adopted: each build is predicted by the others",
	Words:  []string{"learn", "adopt", "coefficient", "cross-validation", "builds", "set"},
	Inputs: append(lessonFields(predictsSomething), calc.AtLeast("/min_builds", "", 2, "builds that it takes at least").As(calc.Count).Preset("3")),
	Outputs: []calc.Field{
		calc.Gives("/adopt", "", "nothing here speaks against it", "no reasons", leftOut, "/reasons").As(calc.Flag),
		calc.Gives("/reasons", "", "what speaks against it", "rows < min_builds; mean difference > 1e-12; upper end of coverage < 0.95; |shift| > 3; any weight < 0.2", leftOut, "/rows", "/min_builds", "/mean_difference", "/coverage", "/builds").As(calc.Texts),
		calc.Gives("/rows", "", "how each build was predicted: score by the others and by the start (less is better), and whether all its values lay within 95 %", "mean of the normal CRPS over |g|, mean g + J·(m − m₀), variance J·P·Jᵀ + S; |z| ≤ 1.96", leftOut, "/m0", "/P0", "/builds", "/omega", "/disc", "/robust_nu", "/widen").As(calc.List),
		calc.Gives("/mean_difference", "", "mean of new less current score; none without builds", "mean(new − current)", leftOut, "/rows"),
		calc.Gives("/coverage", "", "builds within what the others predicted", "|z| ≤ 1.96", leftOut, "/rows").As(calc.Group),
		calc.Gives("/coverage/k", "", "builds within", "|z| ≤ 1.96 for all values", leftOut, "/rows").As(calc.Count),
		calc.Gives("/coverage/n", "", "of how many", "rows", leftOut, "/rows").As(calc.Count),
		calc.Gives("/coverage/lower", "", "lower end of that share, 95 %", "after Wilson", wilsonSource, "/coverage/k", "/coverage/n"),
		calc.Gives("/coverage/upper", "", "upper end of that share, 95 %", "after Wilson", wilsonSource, "/coverage/k", "/coverage/n"),
	},
	Equation: "mean over builds of CRPS(learned without it) − CRPS(current)",
	Validity: "At most 40 builds with 200 values together, and 30 coefficients. The other conditions are for the group: builds of at least two crews, a check that the model is no more bent than the lesson allows, coefficients within what is possible, and two people who sign.",
	Sources:  []string{leftOut, wilsonSource},
	Example: []byte(`{"m0": [0], "P0": [0.75], "omega": [0.5], "names": ["intake loss"], "builds": [
		{"name": "mill race", "y": [9700], "g": [9900], "J": [[-300]], "R": [60]},
		{"name": "quarry", "y": [12000], "g": [12300], "J": [[-350]], "R": [80]},
		{"name": "weir", "y": [7800], "g": [8000], "J": [[-250]], "R": [60]}]}`),
}, LeaveOneOutIn{RobustNu: RobustNu, Widen: true, MinBuilds: 3}, LeaveOut, lessonRelations[LeaveOneOutIn](forLeavingEach)...)

var plan = calc.New(calc.Description{
	Name: "evidence/plan", Answers: "what to measure on a build to learn most about the next design",
	Words: []string{"plan", "measure", "experiment", "instrument", "learn", "information", "cost"},
	Inputs: []calc.Field{
		calc.RowsOf(calc.Signed("/P", "", "variances of the coefficients, or their covariance a row a coefficient")).As(calc.NumbersOrRows).Need(),
		calc.RecordsOf("/candidates", "measurements that could be made",
			calc.Words("/name", "name of the measurement").Need(),
			calc.ListOf(calc.Signed("/J", "", "what one standard deviation of each coefficient does to it")).Need(),
			calc.Positive("/u", "", "standard uncertainty of the measurement").Need(),
			calc.Positive("/cost", "", "what it costs, in money or hours").Preset("1"),
			calc.Signed("/g", "", "what is predicted for it").Preset("0"),
		).Need().Filled().Judged(candidateFits),
		calc.ListOf(calc.Signed("/target", "", "what one standard deviation of each coefficient does to what you want to know of the next design")).Need(),
		calc.ListOf(calc.AtLeast("/omega", "", 0, "standard deviation of the build's own part of each coefficient")).Preset("0"),
		calc.AtLeast("/disc", "", 0, "share of each prediction that the model lacks, as a standard uncertainty").Preset("0"),
		calc.Counted("/steps", 1, 1000, "how many measurements are wanted").Preset("3"),
	},
	Outputs: []calc.Field{
		calc.Gives("/order", "", "measurements in the order of their worth, each with the share of the target's variance that is left and the information gained, with all before it", "largest fall of cᵀPc per cost; cᵀP⁺c/cᵀPc; ½·ln(det P/det P⁺)", gaussNewton, "/P", "/candidates", "/target", "/omega", "/disc", "/steps").As(calc.List),
	},
	Equation: "P⁺ = (P⁻¹ + Jᵀ(diag(u² + (δ·g)²) + J·diag(ω²)·Jᵀ)⁻¹J)⁻¹",
	Validity: "Measurements on one build; one after the other, which need not be the best set. Two points far apart on the curve usually beat ten at one. Whatever the plan: zero before and after, barometer, both temperatures, and the first point once more at the end.",
	Sources:  []string{gaussNewton},
	Example: []byte(`{"P": [0.75, 0.75], "target": [-300, 20], "omega": [0.5, 0.5], "disc": 0.02, "candidates": [
		{"name": "pressure, valve open", "J": [-300, 20], "u": 60, "g": 9900},
		{"name": "free air, valve open", "J": [-0.00002, -0.00003], "u": 0.00001, "g": 0.00054, "cost": 2},
		{"name": "pressure, valve half shut", "J": [-150, 60], "u": 60, "g": 10400}]}`),
}, PlanIn{Steps: 3}, PlanRun,
	calc.Relation[PlanIn]{At: "/P", Code: calc.Range, Of: []string{"/P"}, Broken: func(in PlanIn) string { return tooMany(in.size()) }},
	calc.Relation[PlanIn]{At: "/P", Of: []string{"/P"}, Broken: func(in PlanIn) string { return sizeOf(in.P, in.size()) }},
	calc.Relation[PlanIn]{At: "/P", Code: calc.Range, Of: []string{"/P"}, Broken: func(in PlanIn) string { return definite(in.P) }},
	fits("/target", []string{"/P"}, "%d coefficients", func(in PlanIn) int { return len(in.Target) }, PlanIn.size),
	calc.Relation[PlanIn]{At: "/omega", Of: []string{"/P", "/omega"}, Broken: func(in PlanIn) string {
		if in.Omega != nil && len(in.Omega) != in.size() {
			return fmt.Sprintf("There are %d here, and %d coefficients: they must be as many.", len(in.Omega), in.size())
		}
		return ""
	}})

// size is how many coefficients there are.
func (in PlanIn) size() int { return max(len(in.P.List), len(in.P.Rows)) }

// candidateFits judges whether a measurement fits the coefficients.
func candidateFits(input map[string]any, list []any, i int) []calc.Fault {
	d, known := length(input["P"])
	candidate, _ := list[i].(map[string]any)
	if n, ok := length(candidate["J"]); known && ok && n != d {
		return []calc.Fault{{Code: calc.Inconsistent, At: "/J", Message: fmt.Sprintf("There are %d numbers here, and %d coefficients: they must be as many.", n, d)}}
	}
	return nil
}
