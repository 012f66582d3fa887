package evidence

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// What the group assumes until it decides otherwise.
const (
	BuildSpread = 0.5  // ω: standard deviation of a build's own coefficients, in those of set 0
	ModelLack   = 0.02 // δ: share of a prediction that the model lacks, as a standard uncertainty
	RobustNu    = 4    // ν of the weights of builds
)

// The rounds of learning from a model that is no plane.
const (
	learnRounds = 50
	learnedSame = 1e-6     // coefficients that change by less have settled, in standard deviations of set 0
	leastStep   = 1.0 / 16 // of a step that is taken when steps go to and fro
	stride      = 0.25     // of a central difference, in the same
)

// Prior is what is believed of the coefficients before any build. Each is
// carried as z, without unit: 0 is its median in set 0 and 1 one standard
// deviation of it, θ = F⁻¹(Φ(z)).
type Prior struct {
	M     []float64
	P     [][]float64 // covariance of what builds have in common
	Omega []float64   // standard deviation of a build's own part
}

// PriorOf returns what set 0 says of n coefficients: a new build has z ~ N(0, 1),
// of which [BuildSpread] is its own.
func PriorOf(n int) Prior {
	p := Prior{M: make([]float64, n), P: make([][]float64, n), Omega: make([]float64, n)}
	for i := range n {
		p.P[i] = make([]float64, n)
		p.P[i][i] = 1 - BuildSpread*BuildSpread
		p.Omega[i] = BuildSpread
	}
	return p
}

// Record is what was measured on one build: all its points and independent
// quantities, each in its own unit, and their covariance.
type Record struct {
	Name string
	Y    []float64
	R    [][]float64
}

// Plane returns what a build should give with the coefficients z, in the order
// of its Y, and how that changes with z, a row a value. NaN: there is no such
// number.
type Plane func(build int, z []float64) (g []float64, j [][]float64)

// Differences makes a [Plane] of a model by central differences of 0.25 in z.
// The model returns what a build should give with the coefficients z.
func Differences(model func(build int, z []float64) []float64) Plane {
	return func(build int, z []float64) ([]float64, [][]float64) {
		g := model(build, z)
		j := make([][]float64, len(g))
		for i := range j {
			j[i] = make([]float64, len(z))
		}
		for c := range z {
			above, below := model(build, moved(z, c, stride)), model(build, moved(z, c, -stride))
			for i := range j {
				j[i][c] = (above[i] - below[i]) / (2 * stride)
			}
		}
		return g, j
	}
}

func moved(z []float64, c int, by float64) []float64 {
	other := slices.Clone(z)
	other[c] += by
	return other
}

// Rules say how builds are learned from.
type Rules struct {
	Disc  float64 // δ, see [ModelLack]
	Nu    float64 // see [RobustNu]; 0: every build has the weight 1
	Widen bool    // the scatter between builds is widened where they differ by more
}

// TheRules are those by which a set of coefficients is learned.
var TheRules = Rules{Disc: ModelLack, Nu: RobustNu, Widen: true}

// Lesson is what builds say of the coefficients.
type Lesson struct {
	M       []float64
	P       [][]float64
	Factor  float64     // on ω: 1 to 6
	Used    []int       // places of the builds that were learned from
	Skipped []int       // places of those with a number missing
	Weights []float64   // of those used, 0 to 1; below 0.5 a build deserves a look
	D2      []float64   // of those used: squared distance from what is learned
	Told    [][]float64 // what the builds add to P₀⁻¹: Σ w·JᵀS⁻¹J
}

// Reasons why nothing is learned.
var (
	ErrNotConverged = errors.New("the coefficients do not settle: nothing can be learned from these builds together")
	ErrSingular     = errors.New("a covariance has no inverse: look for an uncertainty of 0 or two values that are one")
)

// Learn finds the coefficients that builds speak for, by iterated Gauss–Newton
// from the prior:
//
//	S = R + J·Ω·Jᵀ + diag(δ·g₀)²,  H = P₀⁻¹ + Σ w·JᵀS⁻¹J,
//	m = m₀ + H⁻¹·Σ w·JᵀS⁻¹(y − g(m) + J·(m − m₀)),  P = H⁻¹
//
// with g₀ the prediction at m₀. A build has the weight w = min(1, (ν + n)/(ν + D²)),
// D² = rᵀS⁻¹r, so that an odd one does not take over; and ω is multiplied by a
// factor of 1 to 6 until the builds scatter no more than they are said to. Where
// the steps go to and fro, a half, a quarter ... of each is taken, which ends at the
// same coefficients. A build with a number missing is left out and named.
//
// An error says that nothing is learned: [ErrNotConverged], [ErrSingular], or a
// build whose model gives out on the way.
//
// Source: K. L. Lange, R. J. A. Little, J. M. G. Taylor, J. Am. Stat. Assoc. 84,
// 881 (1989), for the weights; R. C. Paule, J. Mandel, J. Res. NBS 87, 377
// (1982), for the widening; from memory.
func Learn(prior Prior, builds []Record, plane Plane, rules Rules) (*Lesson, error) {
	l, err := newLearner(prior, builds, plane, rules)
	if err != nil {
		return nil, err
	}
	return l.learn(l.used)
}

// learner holds what all fits to the same builds share.
type learner struct {
	Prior
	builds        []Record
	plane         Plane
	rules         Rules
	inverse       *mat.SymDense   // of P₀
	r             []*mat.SymDense // of each build used, with what the model lacks
	g0            [][]float64     // what each build used should give at the start
	used, skipped []int
}

func newLearner(prior Prior, builds []Record, plane Plane, rules Rules) (*learner, error) {
	l := &learner{Prior: prior, builds: builds, plane: plane, rules: rules, inverse: mat.NewSymDense(len(prior.M), nil)}
	var chol mat.Cholesky
	if !chol.Factorize(symmetricOf(prior.P)) || !usable(chol.InverseTo(l.inverse)) {
		return nil, ErrSingular
	}
	l.r, l.g0 = make([]*mat.SymDense, len(builds)), make([][]float64, len(builds))
	for b, record := range builds {
		g, _, ok := l.near(b, prior.M)
		if !ok || record.gaps() {
			l.skipped = append(l.skipped, b)
			continue
		}
		l.used, l.g0[b], l.r[b] = append(l.used, b), g, symmetricOf(record.R)
		for i, v := range g { // a share of each prediction is what the model lacks
			l.r[b].SetSym(i, i, l.r[b].At(i, i)+rules.Disc*rules.Disc*v*v)
		}
	}
	return l, nil
}

// near asks the model about a build. ok is false where a number is missing, or
// there is none at all.
func (l *learner) near(build int, z []float64) (g []float64, j *mat.Dense, ok bool) {
	g, rows := l.plane(build, z)
	if len(rows) == 0 {
		return g, nil, false
	}
	return g, dense(rows), !anyNaN(g) && !slices.ContainsFunc(rows, anyNaN)
}

// learn fits some of the builds.
func (l *learner) learn(some []int) (*Lesson, error) {
	lesson := &Lesson{M: l.M, Used: some, Skipped: l.skipped}
	share, last := 1.0, make([]float64, len(l.M))
	for range learnRounds {
		q := problem{inverse: l.inverse, omega: l.Omega, nu: l.rules.Nu}
		for _, b := range some {
			t, err := l.tangent(b, lesson.M)
			if err != nil {
				return nil, err
			}
			q.builds = append(q.builds, t)
		}
		x, ok := q.widened(l.rules.Widen)
		if !ok {
			return nil, ErrSingular
		}
		before := lesson.M
		lesson.take(x, l.M)
		if distance(before, lesson.M) < learnedSame {
			if len(some) == 0 {
				lesson.P = l.P // as it was given, to the last digit
			}
			return lesson, nil
		}
		step := difference(lesson.M, before)
		if mat.Dot(mat.NewVecDense(len(step), step), mat.NewVecDense(len(last), last)) < 0 { // to and fro over a bend of the model
			share = max(share/2, leastStep)
		}
		last = step
		lesson.M = onTheWay(before, lesson.M, share)
	}
	return nil, ErrNotConverged
}

// onTheWay is the point that lies at a share of the way from a to b.
func onTheWay(a, b []float64, share float64) []float64 {
	z := slices.Clone(b)
	for i := range z {
		z[i] -= (1 - share) * (b[i] - a[i]) // exactly b for all of it
	}
	return z
}

// tangent sets out what a build says near a point.
func (l *learner) tangent(b int, z []float64) (t tangent, err error) {
	g, j, ok := l.near(b, z)
	if !ok {
		return t, l.gaveOut(b)
	}
	t = tangent{j: j, r: l.r[b], e: mat.NewVecDense(len(g), nil)}
	t.e.MulVec(j, mat.NewVecDense(len(z), difference(z, l.M)))
	for i, y := range l.builds[b].Y {
		t.e.SetVec(i, t.e.AtVec(i)+y-g[i])
	}
	return t, nil
}

// gaveOut is the error of a build whose model has no number on the way.
func (l *learner) gaveOut(b int) error {
	return fmt.Errorf("the model of build %s gives no number near what the builds say: nothing can be learned from it", l.builds[b].Name)
}

func (l *Lesson) take(x *solved, start []float64) {
	l.M = make([]float64, len(start))
	for i, m := range start {
		l.M[i] = m + x.step.AtVec(i)
	}
	l.P, l.Told = rowsOf(x.p), rowsOf(x.told)
	l.Factor, l.Weights, l.D2 = x.factor, x.weight, x.d2
}

// gaps tells whether a number is missing.
func (r Record) gaps() bool { return anyNaN(r.Y) || slices.ContainsFunc(r.R, anyNaN) }

func difference(a, b []float64) []float64 {
	d := make([]float64, len(a))
	for i := range a {
		d[i] = a[i] - b[i]
	}
	return d
}

func distance(a, b []float64) (most float64) {
	for i := range a {
		most = max(most, math.Abs(a[i]-b[i]))
	}
	return most
}

// Omega returns what a new build has of its own after a lesson from this prior:
// ω, widened.
func (l *Lesson) Omega(prior Prior) []float64 {
	omega := slices.Clone(prior.Omega)
	for i := range omega {
		omega[i] *= l.Factor
	}
	return omega
}
