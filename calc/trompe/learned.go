package trompe

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"

	"leat/calc"
	"leat/calc/evidence"
)

// Learned is what the builds of the group said of coefficients. Each is carried
// as z, without unit: θ = F⁻¹(Φ(z)), where F is the distribution that set 0 gives
// it; 0 is its median there and 1 one standard deviation, and it stays within its
// limits. A new build has z ~ N(M, P + diag(Omega²)). Coefficients without a name
// here stay as set 0 has them.
type Learned struct {
	Parent      string      `json:"parent"`       // the set that it was learned from: always "0"
	CalcVersion string      `json:"calc_version"` // of the model that it was learned with
	Names       []string    `json:"names"`        // of the coefficients, in the order of the others
	M           []float64   `json:"m"`
	P           [][]float64 `json:"p"`     // covariance of what builds have in common
	Omega       []float64   `json:"omega"` // standard deviation of a build's own part, as widened when it was learned
	Delta       float64     `json:"delta"` // share of a prediction that the model lacked when it was learned
}

// NewSet returns set 0 with what was learned, under a name of its own. An error
// says which part of it can't be.
func NewSet(name, about string, learned Learned) (*Set, error) {
	s := Set{Name: name, Calc: setZero.Calc, About: about, Coefficients: setZero.Coefficients, Learned: &learned}
	text, err := s.Text()
	if err != nil {
		return nil, err
	}
	return ParseSet(text)
}

// Text returns a set as JSON that [ParseSet] reads.
func (s *Set) Text() ([]byte, error) {
	text, err := json.MarshalIndent(s, "", "  ")
	return append(text, '\n'), err
}

// Usable tells why nothing new may be calculated with a set, or nothing: what
// was learned with another version of the model must be learned again first.
func (s *Set) Usable() error {
	if s.Learned == nil || s.Learned.CalcVersion == calc.Version {
		return nil
	}
	return fmt.Errorf("set %s was learned with version %s of the calculation, and this is version %s: learn it again from what was measured, and use set 0 until then",
		s.Name, s.Learned.CalcVersion, calc.Version)
}

func (s *Set) checkLearned() error {
	l := s.Learned
	if l == nil {
		return nil
	}
	switch {
	case l.Parent != setZero.Name || s.Name == l.Parent:
		return errors.New(`a learned set has "parent": "0" and another name than its parent: all sets are learned from set 0`)
	case l.CalcVersion == "":
		return errors.New("the learned set does not name the version of the calculation that it was learned with")
	case !slices.EqualFunc(s.Coefficients, setZero.Coefficients, Coefficient.spreadsAs):
		return errors.New("the coefficients of the learned set are not distributed as those of set 0, which it was learned from")
	case !(l.Delta >= 0):
		return errors.New("the share that the model lacks, delta, must be at least 0")
	case len(l.Names) == 0:
		return errors.New("the learned set names no coefficient")
	}
	for i, name := range l.Names {
		if c := s.coefficient(name); c == nil || c.U == 0 || slices.Contains(l.Names[:i], name) {
			return fmt.Errorf("the learned set names %q, which is not a coefficient with an uncertainty, or is named twice", name)
		}
	}
	return l.checkNumbers()
}

func (l *Learned) checkNumbers() error {
	n := len(l.Names)
	if len(l.M) != n || len(l.Omega) != n || len(l.P) != n {
		return fmt.Errorf("the learned set names %d coefficients, but m, p or omega have another size", n)
	}
	for i := range n {
		if !(l.Omega[i] >= 0) || math.IsInf(l.Omega[i], 0) || math.IsNaN(l.M[i]) || math.IsInf(l.M[i], 0) {
			return fmt.Errorf("the learned set has an m or omega of %s that can't be", l.Names[i])
		}
		if len(l.P[i]) != n {
			return errors.New("p of the learned set is not as wide as it is high")
		}
	}
	if !evidence.Covariance(l.P) {
		return errors.New("p of the learned set is not a covariance: it must be symmetric and positive definite")
	}
	return nil
}

// spreadsAs tells whether two coefficients have one name and one distribution.
func (c Coefficient) spreadsAs(other Coefficient) bool {
	c.About, c.Source, other.About, other.Source = "", "", "", ""
	return reflect.DeepEqual(c, other)
}

// at returns the value of a coefficient at z, see [Learned].
func (c Coefficient) at(z float64, in Input) float64 {
	if c.U == 0 {
		return c.bestFor(in)
	}
	return evidence.Normal(evidence.Probability(z), c.bestFor(in), c.U, c.Low, c.most())
}

// valueFor returns the value of a coefficient that a machine is solved with: at
// what was learned, or the best.
func (s *Set) valueFor(name string, in Input) float64 {
	c := s.coefficient(name)
	if s.Learned != nil {
		if i := slices.Index(s.Learned.Names, name); i >= 0 {
			return c.at(s.Learned.M[i], in)
		}
	}
	return c.bestFor(in)
}

// At returns the machine with its coefficients at z, see [Learned]: what a build
// is compared with when the group learns from it. What the builder gave stays.
func (in Input) At(names []string, z []float64) Input {
	var unknowns []Unknown
	var values []float64
	for i, name := range names {
		if c := setZero.coefficient(name); !c.known(in) {
			unknowns, values = append(unknowns, Unknown{At: "/params/" + name}), append(values, c.at(z[i], in))
		}
	}
	return in.With(unknowns, values)
}

// Learned returns mean and covariance of z of a new build for these unknowns, as
// the set in force says. It returns false where nothing was learned: each is by
// itself, with mean 0 and variance 1.
func (in Input) Learned(unknowns []Unknown) (m []float64, p [][]float64, ok bool) {
	l := in.Set().Learned
	if l == nil {
		return nil, nil, false
	}
	places := make([]int, len(unknowns)) // in l; −1: not learned
	for i, u := range unknowns {
		places[i] = slices.IndexFunc(l.Names, func(name string) bool { return u.At == "/params/"+name })
	}
	m, p = make([]float64, len(unknowns)), make([][]float64, len(unknowns))
	for i, a := range places {
		p[i] = make([]float64, len(unknowns))
		if a < 0 {
			p[i][i] = 1
			continue
		}
		m[i] = l.M[a]
		for k, b := range places {
			if b >= 0 {
				p[i][k] = l.P[a][b]
			}
		}
		p[i][i] += l.Omega[a] * l.Omega[a]
	}
	return m, p, true
}
