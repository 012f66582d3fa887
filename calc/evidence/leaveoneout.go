package evidence

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// What speaks against a set of coefficients.
const (
	TooFewBuilds     = "too_few_builds"
	LeaveOneOutWorse = "leave_one_out_worse"
	CoverageTooLow   = "coverage_too_low"
	MovedFar         = "moved_far"
	LowWeight        = "low_weight"
)

const (
	noWorse   = 1e-12 // a score that differs by up to this is the same
	inside95  = 1.96  // standard deviations
	leastHeld = 0.2   // weight of a build below which nothing is adopted
)

// LeftOut is how one build was predicted by the others.
type LeftOut struct {
	Build                    int
	CRPSNew, CRPSCurrent     float64 // continuous ranked probability score, mean over its values, each over its prediction by the prior
	InsideNew, InsideCurrent bool    // all its values lie within their 95 % intervals
}

// Adoption is what leaving out each build in turn says of what is learned from all.
type Adoption struct {
	Rows         []LeftOut
	Difference   float64  // mean of new − current score; NaN without rows
	Inside       int      // builds inside their new intervals
	Lower, Upper float64  // of the share inside, 95 %
	Reasons      []string // that speak against it, in order
	Lesson       *Lesson  // from all builds
}

// LeaveOneOut learns without each build in turn and predicts it, beside what the
// current set of coefficients would have said of it. A set is worth adopting
// where no reason speaks against it; what the group itself has to see to, such
// as who signs, is not looked at here.
func LeaveOneOut(prior, current Prior, builds []Record, plane Plane, rules Rules, minBuilds int) (*Adoption, error) {
	l, err := newLearner(prior, builds, plane, rules)
	if err != nil {
		return nil, err
	}
	a := &Adoption{Difference: math.NaN()}
	if a.Lesson, err = l.learn(l.used); err != nil {
		return nil, err
	}
	for i, b := range l.used {
		row, err := l.leaveOut(i, current)
		if err != nil {
			return nil, err
		}
		row.Build = b
		a.Rows = append(a.Rows, row)
	}
	a.judge(prior, minBuilds)
	return a, nil
}

func (l *learner) leaveOut(i int, current Prior) (row LeftOut, err error) {
	b := l.used[i]
	others := append(append([]int(nil), l.used[:i]...), l.used[i+1:]...)
	lesson, err := l.learn(others)
	if err != nil {
		return row, err
	}
	row.CRPSNew, row.InsideNew, err = l.predict(b, Prior{lesson.M, lesson.P, l.Omega}, lesson.Factor)
	if err == nil {
		row.CRPSCurrent, row.InsideCurrent, err = l.predict(b, current, 1)
	}
	return row, err
}

// predict compares a build with what is believed of the coefficients: mean g(m),
// variance JPJᵀ + J·Ω·Jᵀ + R.
func (l *learner) predict(b int, of Prior, factor float64) (score float64, inside bool, err error) {
	g, j, ok := l.near(b, of.M)
	if !ok {
		return 0, false, l.gaveOut(b)
	}
	p := symmetricOf(of.P)
	for i, w := range of.Omega {
		p.SetSym(i, i, p.At(i, i)+factor*factor*w*w)
	}
	var spread mat.Dense
	spread.Product(j, p, j.T())
	inside = true
	for i, y := range l.builds[b].Y {
		sd := math.Sqrt(spread.At(i, i) + l.r[b].At(i, i))
		score += NormalCRPS(g[i], sd, y) / math.Abs(l.g0[b][i]) / float64(len(g))
		inside = inside && math.Abs(y-g[i]) <= inside95*sd
	}
	return score, inside, nil
}

// judge says what speaks against adopting.
func (a *Adoption) judge(prior Prior, minBuilds int) {
	var sum float64
	for _, row := range a.Rows {
		sum += row.CRPSNew - row.CRPSCurrent
		if row.InsideNew {
			a.Inside++
		}
	}
	n := len(a.Rows)
	if n > 0 {
		a.Difference = sum / float64(n)
	}
	a.Lower, a.Upper = WilsonInterval(a.Inside, n, Level)
	low := false
	for _, w := range a.Lesson.Weights {
		low = low || w < leastHeld
	}
	for _, r := range []struct {
		holds bool
		text  string
	}{
		{n < minBuilds, TooFewBuilds},
		{a.Difference > noWorse, LeaveOneOutWorse},
		{a.Upper < Level, CoverageTooLow},
		{len(prior.Hear(a.Lesson).MovedFar) > 0, MovedFar},
		{low, LowWeight},
	} {
		if r.holds {
			a.Reasons = append(a.Reasons, r.text)
		}
	}
}
