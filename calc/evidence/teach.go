package evidence

import (
	"encoding/json"
	"slices"
	"strconv"

	"leat/calc"
)

// BuildIn is what was measured on one build and what it should have given.
type BuildIn struct {
	Name string          `json:"name"`
	Y    calc.Readings   `json:"y"`
	G    calc.Readings   `json:"g"`
	J    calc.Matrix     `json:"J"` // a row a value
	R    calc.ListOrRows `json:"R"` // standard uncertainties, or a covariance
}

// weightNu is ν of the weights of builds; null: every build has the weight 1.
type weightNu float64

// UnmarshalJSON reads a number or null.
func (n *weightNu) UnmarshalJSON(text []byte) error {
	*n = 0
	return json.Unmarshal(text, (*float64)(n))
}

// UpdateIn is a lesson that is asked for, of a model that is a plane.
type UpdateIn struct {
	M0       []float64       `json:"m0"`
	P0       calc.ListOrRows `json:"P0"` // variances, or a covariance
	Builds   []BuildIn       `json:"builds"`
	Omega    []float64       `json:"omega"`
	Disc     float64         `json:"disc"`
	RobustNu weightNu        `json:"robust_nu"`
	Names    []string        `json:"names"`
	Widen    bool            `json:"widen"`
}

// UpdateOut is what builds say of coefficients. Lists are in the order of the
// coefficients, maps by the name of the build.
type UpdateOut struct {
	M        []float64          `json:"m"`
	P        [][]float64        `json:"P"`
	SD       []float64          `json:"sd"`
	Shift    []float64          `json:"shift"`
	Removed  []float64          `json:"variance_removed"`
	Weights  map[string]float64 `json:"weights"`
	D2       map[string]float64 `json:"D2"`
	Factor   float64            `json:"omega_scale"`
	Learned  int                `json:"learned"`
	Singular []float64          `json:"singular"`
	Skipped  []string           `json:"skipped"`
	Remarks  []string           `json:"warnings"`
}

// Update learns from builds whose models are planes: g(m) = g + J·(m − m₀).
func Update(in UpdateIn) (out UpdateOut, _ []calc.Warning, _ *calc.Fault) {
	lesson, err := Learn(in.prior(), in.records(), in.plane(), in.rules())
	if err != nil {
		return out, nil, noLesson(err)
	}
	heard := in.prior().Hear(lesson)
	out = UpdateOut{
		M: lesson.M, P: lesson.P, SD: heard.SD, Shift: heard.Shift, Removed: heard.Removed,
		Weights: map[string]float64{}, D2: map[string]float64{}, Factor: lesson.Factor,
		Learned: heard.Learned, Singular: heard.Singular, Skipped: []string{}, Remarks: in.remarks(heard),
	}
	for i, b := range lesson.Used {
		out.Weights[in.Builds[b].Name], out.D2[in.Builds[b].Name] = lesson.Weights[i], lesson.D2[i]
	}
	for _, b := range lesson.Skipped {
		out.Skipped = append(out.Skipped, in.Builds[b].Name)
	}
	return out, nil, nil
}

// noLesson is the fault where nothing can be learned.
func noLesson(err error) *calc.Fault {
	return &calc.Fault{Code: calc.Range, Message: "Nothing is learned: " + err.Error() + "."}
}

func (in UpdateIn) prior() Prior {
	return Prior{M: in.M0, P: covariance(in.P0, false), Omega: in.Omega}
}

func (in UpdateIn) rules() Rules {
	return Rules{Disc: in.Disc, Nu: float64(in.RobustNu), Widen: in.Widen}
}

func (in UpdateIn) records() []Record {
	records := make([]Record, len(in.Builds))
	for b, build := range in.Builds {
		records[b] = Record{Name: build.Name, Y: build.Y, R: covariance(build.R, true)}
	}
	return records
}

func (in UpdateIn) plane() Plane {
	return func(build int, z []float64) ([]float64, [][]float64) {
		b := in.Builds[build]
		g := slices.Clone(b.G)
		for i, row := range b.J {
			for c, slope := range row {
				g[i] += slope * (z[c] - in.M0[c])
			}
		}
		return g, b.J
	}
}

// covariance returns rows, or a list as the diagonal of rows, squared where it
// holds standard uncertainties.
func covariance(of calc.ListOrRows, squared bool) [][]float64 {
	if of.Rows != nil {
		return of.Rows
	}
	rows := make([][]float64, len(of.List))
	for i, x := range of.List {
		rows[i] = make([]float64, len(of.List))
		if rows[i][i] = x; squared {
			rows[i][i] = x * x
		}
	}
	return rows
}

// remarks says in short what the builds can't tell.
func (in UpdateIn) remarks(heard Heard) []string {
	remarks := []string{}
	for i := range in.M0 {
		if slices.Contains(heard.NotInformed, i) {
			remarks = append(remarks, in.name(i)+":not_informed")
		}
		if slices.Contains(heard.MovedFar, i) {
			remarks = append(remarks, in.name(i)+":moved_far")
		}
	}
	if heard.Together != nil {
		pair := []string{in.name(heard.Together[0]), in.name(heard.Together[1])}
		slices.Sort(pair)
		remarks = append(remarks, pair[0]+","+pair[1]+":only_combination_known")
	}
	return remarks
}

func (in UpdateIn) name(i int) string {
	if in.Names == nil {
		return strconv.Itoa(i)
	}
	return in.Names[i]
}

func (in UpdateIn) base() UpdateIn { return in }

// LeaveOneOutIn is a lesson that is to be tried on its own builds.
type LeaveOneOutIn struct {
	M0        []float64       `json:"m0"`
	P0        calc.ListOrRows `json:"P0"`
	Builds    []BuildIn       `json:"builds"`
	Omega     []float64       `json:"omega"`
	Disc      float64         `json:"disc"`
	RobustNu  weightNu        `json:"robust_nu"`
	Names     []string        `json:"names"`
	Widen     bool            `json:"widen"`
	MinBuilds calc.Int        `json:"min_builds"`
}

func (in LeaveOneOutIn) base() UpdateIn {
	return UpdateIn{in.M0, in.P0, in.Builds, in.Omega, in.Disc, in.RobustNu, in.Names, in.Widen}
}

// LeaveOneOutOut says whether what was learned may be adopted.
type LeaveOneOutOut struct {
	Adopt      bool      `json:"adopt"`
	Reasons    []string  `json:"reasons"`
	Rows       []LeftRow `json:"rows"`
	Difference *float64  `json:"mean_difference"`
	Coverage   Covered   `json:"coverage"`
}

// LeftRow is how one build was predicted by the others.
type LeftRow struct {
	Name          string  `json:"name"`
	CRPSNew       float64 `json:"crps_new"`
	CRPSCurrent   float64 `json:"crps_current"`
	InsideNew     bool    `json:"inside95_new"`
	InsideCurrent bool    `json:"inside95_current"`
}

// Covered is how many builds lay within what the others predicted.
type Covered struct {
	K     int     `json:"k"`
	N     int     `json:"n"`
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

// LeaveOut tries a lesson of planes on its own builds.
func LeaveOut(in LeaveOneOutIn) (out LeaveOneOutOut, _ []calc.Warning, _ *calc.Fault) {
	base := in.base()
	a, err := LeaveOneOut(base.prior(), base.prior(), base.records(), base.plane(), base.rules(), int(in.MinBuilds))
	if err != nil {
		return out, nil, noLesson(err)
	}
	out = LeaveOneOutOut{
		Adopt: len(a.Reasons) == 0, Reasons: append([]string{}, a.Reasons...), Rows: []LeftRow{},
		Difference: number(len(a.Rows) > 0, a.Difference), Coverage: Covered{a.Inside, len(a.Rows), a.Lower, a.Upper},
	}
	for _, r := range a.Rows {
		out.Rows = append(out.Rows, LeftRow{in.Builds[r.Build].Name, r.CRPSNew, r.CRPSCurrent, r.InsideNew, r.InsideCurrent})
	}
	return out, nil, nil
}

// CandidateIn is a measurement that could be made.
type CandidateIn struct {
	Name string    `json:"name"`
	J    []float64 `json:"J"`
	U    float64   `json:"u"`
	Cost *float64  `json:"cost"`
	G    float64   `json:"g"`
}

// PlanIn is a plan that is asked for.
type PlanIn struct {
	P          calc.ListOrRows `json:"P"`
	Candidates []CandidateIn   `json:"candidates"`
	Target     []float64       `json:"target"`
	Omega      []float64       `json:"omega"`
	Disc       float64         `json:"disc"`
	Steps      calc.Int        `json:"steps"`
}

// PlanOut is a plan, the measurement to make first at its head.
type PlanOut struct {
	Order []PlanStep `json:"order"`
}

// PlanStep is a measurement of a plan and what is reached with it.
type PlanStep struct {
	Name         string  `json:"name"`
	VarianceLeft float64 `json:"variance_left"`
	Information  float64 `json:"information"`
}

// PlanRun plans what to measure on a build.
func PlanRun(in PlanIn) (out PlanOut, _ []calc.Warning, _ *calc.Fault) {
	candidates := make([]Candidate, len(in.Candidates))
	for i, c := range in.Candidates {
		candidates[i] = Candidate{c.Name, c.J, c.U, 1, c.G}
		if c.Cost != nil {
			candidates[i].Cost = *c.Cost
		}
	}
	omega := in.Omega
	if omega == nil {
		omega = make([]float64, len(in.Target))
	}
	order, ok := Plan(covariance(in.P, false), candidates, in.Target, omega, in.Disc, int(in.Steps))
	if !ok {
		return out, nil, noLesson(ErrSingular)
	}
	for _, c := range order {
		out.Order = append(out.Order, PlanStep{in.Candidates[c.Candidate].Name, c.VarianceLeft, c.Information})
	}
	return out, nil, nil
}
