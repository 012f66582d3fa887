package evidence

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/mat"
)

// The check that a plane is good enough.
const (
	EffectiveDraws = 2000
	EffectiveLeast = 200 // below this the lesson can't be adopted
)

// Effective returns how many of 2000 draws from N(m, P), a number without unit,
// count once each is weighed by what prior and builds say of it:
//
//	ln v = −½·(z − m₀)ᵀP₀⁻¹(z − m₀) − ½·Σ w·rᵀS⁻¹r + ½·(z − m)ᵀP⁻¹(z − m), r = y − g(z)
//	(Σv)²/Σv²
//
// Weights and S are those of the lesson. It is 2000 where the model is a plane;
// below [EffectiveLeast] it bends too much for what was learned to hold. A draw
// for which the model has no number counts for nothing.
//
// Valid for a lesson that [Learn] made of these builds, this prior and
// [Differences] of this model; errors are those of Learn.
//
// Source: A. Kong, J. S. Liu, W. H. Wong, J. Am. Stat. Assoc. 89, 278 (1994),
// from memory.
func Effective(seed Seed, lesson *Lesson, prior Prior, builds []Record, model func(build int, z []float64) []float64, rules Rules) (float64, error) {
	l, err := newLearner(prior, builds, Differences(model), rules)
	if err != nil {
		return 0, err
	}
	pulls := make([]pull, len(lesson.Used))
	for i, b := range lesson.Used {
		t, err := l.tangent(b, lesson.M)
		if err != nil {
			return 0, err
		}
		var ok bool
		if pulls[i], ok = t.pull(l.Omega, lesson.Factor); !ok {
			return 0, ErrSingular
		}
	}
	rows := Draw(seed, EffectiveDraws, 1, numbered(len(lesson.M)))
	if !Correlate(rows, lesson.M, lesson.P) {
		return 0, ErrSingular
	}
	logs := make([]float64, len(rows))
	for i, z := range rows {
		logs[i] = l.density(z, lesson)
		for k, b := range lesson.Used {
			g := mat.NewVecDense(len(l.g0[b]), difference(builds[b].Y, model(b, z)))
			var scaled mat.VecDense
			if !usable(pulls[k].s.SolveVecTo(&scaled, g)) {
				return 0, ErrSingular
			}
			logs[i] -= lesson.Weights[k] * mat.Dot(g, &scaled) / 2
		}
	}
	return effectiveSize(logs), nil
}

// density is what prior and N(m, P) say of a draw, as a logarithm. P⁻¹ is P₀⁻¹
// and what the builds add to it.
func (l *learner) density(z []float64, lesson *Lesson) float64 {
	fromPrior, fromLesson := mat.NewVecDense(len(z), difference(z, l.M)), mat.NewVecDense(len(z), difference(z, lesson.M))
	learned := mat.Inner(fromLesson, l.inverse, fromLesson)
	if len(lesson.Used) > 0 {
		learned += mat.Inner(fromLesson, symmetricOf(lesson.Told), fromLesson)
	}
	return (learned - mat.Inner(fromPrior, l.inverse, fromPrior)) / 2
}

func effectiveSize(logs []float64) float64 {
	most := math.Inf(-1)
	for _, v := range logs {
		if v > most { // never for NaN
			most = v
		}
	}
	var sum, squares float64
	for _, v := range logs {
		if w := math.Exp(v - most); w > 0 {
			sum, squares = sum+w, squares+w*w
		}
	}
	if squares == 0 {
		return 0
	}
	return sum * sum / squares
}

func numbered(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(i)
	}
	return names
}
