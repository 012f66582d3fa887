package lessons

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/trompe"
)

// Proposal is what runs say of the coefficients, and whether a group may adopt
// it. Names of coefficients stand in the order of Learned.
type Proposal struct {
	CalcVersion  string          `json:"calc_version"`
	Current      string          `json:"current"` // the set that it was compared with
	Seed         string          `json:"seed"`
	Builds       []Taught        `json:"builds"`
	Coefficients []Moved         `json:"coefficients"`
	Learned      *trompe.Learned `json:"learned"` // nil: nothing could be learned
	Factor       *float64        `json:"factor"`  // by which the scatter between builds was widened
	Directions   int             `json:"directions"`
	Difference   *float64        `json:"difference"` // of scores, new less current; nil: no build was left out
	Inside       int             `json:"inside"`     // builds within what the others predicted, 95 %
	Lower        float64         `json:"lower"`      // of the share inside, 95 %
	Upper        float64         `json:"upper"`
	Effective    *float64        `json:"effective"` // of 2000 draws
	Checks       []Check         `json:"checks"`
	Adoptable    bool            `json:"adoptable"`
	Words        []string        `json:"words"`
}

// Taught is what one build had to say, and how the others predicted it.
type Taught struct {
	Name          string   `json:"name"`
	Values        int      `json:"values"`
	Skipped       bool     `json:"skipped"` // the model has no number for it
	Weight        *float64 `json:"weight"`
	D2            *float64 `json:"d2"`
	CRPSNew       *float64 `json:"crps_new"`
	CRPSCurrent   *float64 `json:"crps_current"`
	InsideNew     *bool    `json:"inside_new"`
	InsideCurrent *bool    `json:"inside_current"`
}

// Moved is a coefficient before and after, for a new build: its median and its
// 95 % interval, and the same as z.
type Moved struct {
	Name        string  `json:"name"`
	About       string  `json:"about"`
	Before      Spread  `json:"before"`
	After       Spread  `json:"after"`
	Shift       float64 `json:"shift"`   // in standard deviations of set 0
	Removed     float64 `json:"removed"` // share of the variance that the builds remove
	NotInformed bool    `json:"not_informed"`
	MovedFar    bool    `json:"moved_far"`
	Known       string  `json:"known_with"` // another, where only a combination of both is known
}

// Spread is a median with the ends of its 95 % interval.
type Spread struct {
	Middle float64 `json:"middle"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
}

// Build is a machine with the runs that count, of which all points and
// independent quantities are learned from.
type Build struct {
	confront.Shown
	Crew   string   // which of the crews made it, by number: a part of the seed
	People []string `json:"-"` // who is or was on it; no part of the seed, which may not hang on who they are
}

// Learn works out what the runs of builds say of the coefficients, always from
// set 0 with all of them, and tries it against the set in force. It takes some
// seconds for each build, on all processors, and ends early with the error of
// ctx. Any other error is a defect of leat: builds that nothing can be learned
// from make a proposal that is not adoptable.
func Learn(ctx context.Context, builds []Build, current *trompe.Set) (Proposal, error) {
	text, err := json.Marshal(builds)
	if err != nil {
		return Proposal{}, fmt.Errorf("lessons: write the runs: %w", err)
	}
	l := &learning{Context: ctx, names: coefficients(), proposal: Proposal{CalcVersion: calc.Version, Current: current.Name, Coefficients: []Moved{}, Words: []string{}}}
	l.seed = evidence.SeedOf(string(text), calc.Version, "lessons")
	l.proposal.Seed = l.seed.String()
	var shown []confront.Shown
	for _, b := range builds {
		shown = append(shown, b.Shown)
	}
	if l.shown, err = confront.NewLessons(shown, l.names); err != nil {
		return Proposal{}, fmt.Errorf("lessons: %w", err)
	}
	for i, b := range builds {
		l.solved = append(l.solved, map[string][]float64{})
		l.proposal.Builds = append(l.proposal.Builds, Taught{Name: b.Build, Values: len(l.shown.Records[i].Y)})
	}
	l.prior, l.example = evidence.PriorOf(len(l.names)), example(builds)
	l.learn(current)
	if err := ctx.Err(); err != nil {
		return Proposal{}, fmt.Errorf("lessons: %w", err)
	}
	l.check(l.crews(builds))
	return l.proposal, nil
}

// learning is a proposal at work.
type learning struct {
	context.Context
	names   []string
	shown   *confront.Lessons
	solved  []map[string][]float64 // by build and z, so that nothing is solved twice
	prior   evidence.Prior
	example trompe.Input
	seed    evidence.Seed

	adoption *evidence.Adoption
	lesson   *evidence.Lesson // nil: none
	failure  error            // why
	proposal Proposal
}

// model is what a build should give. Once nobody waits any more it gives out.
func (l *learning) model(build int, z []float64) []float64 {
	if l.Err() != nil {
		return slices.Repeat([]float64{math.NaN()}, len(l.shown.Records[build].Y))
	}
	at := fmt.Sprint(z)
	g, ok := l.solved[build][at]
	if !ok {
		g = l.shown.Gives(build, z)
		l.solved[build][at] = g
	}
	return slices.Clone(g)
}

func (l *learning) learn(current *trompe.Set) {
	plane := evidence.Differences(l.model)
	l.adoption, l.failure = evidence.LeaveOneOut(l.prior, l.inForce(current), l.shown.Records, plane, evidence.TheRules, fewestBuilds)
	if l.failure != nil {
		return
	}
	l.lesson = l.adoption.Lesson
	effective, err := evidence.Effective(l.seed, l.lesson, l.prior, l.shown.Records, l.model, evidence.TheRules)
	if err != nil {
		l.lesson, l.failure = nil, err
		return
	}
	l.proposal.Effective = &effective
	l.tell()
}

// inForce is the set in force as what is believed of a new build.
func (l *learning) inForce(current *trompe.Set) evidence.Prior {
	known := current.Learned
	if known == nil {
		return l.prior
	}
	p := evidence.PriorOf(len(l.names))
	for i, name := range l.names {
		a := slices.Index(known.Names, name)
		if a < 0 {
			continue
		}
		p.M[i], p.Omega[i] = known.M[a], known.Omega[a]
		for k, other := range l.names {
			if b := slices.Index(known.Names, other); b >= 0 {
				p.P[i][k] = known.P[a][b]
			}
		}
	}
	return p
}

// tell writes down what was learned.
func (l *learning) tell() {
	p := &l.proposal
	p.Learned = &trompe.Learned{
		Parent: "0", CalcVersion: calc.Version, Names: l.names, M: l.lesson.M, P: l.lesson.P, Omega: l.lesson.Omega(l.prior), Delta: evidence.ModelLack,
	}
	p.Factor = &l.lesson.Factor
	for _, b := range l.lesson.Skipped {
		p.Builds[b].Skipped = true
	}
	for i, b := range l.lesson.Used {
		p.Builds[b].Weight, p.Builds[b].D2 = &l.lesson.Weights[i], &l.lesson.D2[i]
	}
	for _, r := range l.adoption.Rows {
		b := &p.Builds[r.Build]
		b.CRPSNew, b.CRPSCurrent, b.InsideNew, b.InsideCurrent = &r.CRPSNew, &r.CRPSCurrent, &r.InsideNew, &r.InsideCurrent
	}
	if len(l.adoption.Rows) > 0 {
		p.Difference = &l.adoption.Difference
	}
	p.Inside, p.Lower, p.Upper = l.adoption.Inside, l.adoption.Lower, l.adoption.Upper
	l.moved()
}

// moved says of each coefficient where it was and where it is.
func (l *learning) moved() {
	heard := l.prior.Hear(l.lesson)
	l.proposal.Directions = heard.Learned
	set, _ := trompe.SetZero()
	for i, name := range l.names {
		c := Moved{
			Name: name, Before: l.spread(i, 0, 1), Shift: heard.Shift[i], Removed: heard.Removed[i],
			After:       l.spread(i, l.lesson.M[i], math.Hypot(math.Sqrt(l.lesson.P[i][i]), l.proposal.Learned.Omega[i])),
			NotInformed: slices.Contains(heard.NotInformed, i), MovedFar: slices.Contains(heard.MovedFar, i),
		}
		for _, k := range set.Coefficients {
			if k.Name == name {
				c.About = k.About
			}
		}
		if k := slices.Index(heard.Together, i); k >= 0 {
			c.Known = l.names[heard.Together[1-k]]
		}
		l.proposal.Coefficients = append(l.proposal.Coefficients, c)
	}
}

// example is a machine of which no coefficient was given: what a coefficient is
// may hang on its bore.
func example(builds []Build) (in trompe.Input) {
	for _, b := range builds {
		for _, run := range b.Runs {
			if in, faults := trompe.Decode(run.Machine); len(faults) == 0 {
				in.Params, in.Intake.KIn = nil, nil
				return in
			}
		}
	}
	return in
}

func (l *learning) spread(i int, z, sd float64) Spread {
	value := func(z float64) float64 {
		at := make([]float64, len(l.names))
		at[i] = z
		return l.example.At(l.names, at).Params[l.names[i]]
	}
	return Spread{value(z), value(z - inside95*sd), value(z + inside95*sd)}
}

// inside95 is half the 95 % interval, in standard deviations.
const inside95 = 1.96

// Set makes the set of a proposal, under the name that it is adopted with.
func (p Proposal) Set(name, about string) (*trompe.Set, error) {
	if p.Learned == nil {
		return nil, errors.New("lessons: nothing was learned, so there is no set")
	}
	return trompe.NewSet(name, about, *p.Learned)
}

// coefficients lists those that are learned: all that set 0 is not sure of.
func coefficients() (names []string) {
	set, _ := trompe.SetZero()
	for _, c := range set.Coefficients {
		if c.U > 0 {
			names = append(names, c.Name)
		}
	}
	return names
}
