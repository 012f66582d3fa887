package domain

import (
	"cmp"
	"math"
	"slices"
	"time"

	"leat/calc/confront"
	"leat/calc/gauge"
	"leat/domain/digest"
)

// RunID names a run.
type RunID int64

// RunRef is how people name a run: by its number, of those of its build.
type RunRef struct {
	Project ProjectID
	Build   BuildID
	Number  int
}

// Run is one measuring session on a build as it stood when it was opened. What
// it is held against was registered then, before anything was read.
type Run struct {
	ID             RunID
	Project        ProjectID
	Build          BuildID
	Machine        string // title of the build
	Number         int
	BuildVersion   int
	Letter         string
	Sheet          SheetRef
	Title          string
	Purpose        string
	CoefficientSet string
	CalcVersion    string
	Required       []string             // quantities that it is judged by
	Limits         map[string]RunLimits // declared instead of the interval of the prediction
	OpenedBy       Person
	OpenedAt       time.Time
	Version        int64

	Submitted *RunSubmission
	Verdict   *RunVerdict // without its body in a list
	Ends      []RunEnd    // in the order in which they were signed
	Newest    int         // number of the newest version of the build
	Taught    bool        // its set of coefficients was learned from this build
	Counts    RunCounts

	// Nil in a list.
	Points    []RunPoint
	TookPart  []Person
	Builders  []Person // of the machine, with an account
	Form      RunForm
	Judgement RunJudgement
	Lacking   string // why nobody in the group can confirm it
	Allowed   []Action
}

// RunLimits is what is promised of a quantity instead of the interval of its
// prediction, in SI. One of the two may be nil.
type RunLimits struct {
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
}

// RunCounts are the numbers that the marks of a run hang on.
type RunCounts struct {
	Points      int
	Readings    int
	Uncertified int // readings of pressure or air that no certificate covered
	Overdue     int // readings with an instrument whose calibration counted no more
	Early       int // readings that a device took before the run was opened
}

// RunState is how far a run has come. It follows from what was signed.
type RunState string

// The states of a run.
const (
	RunOpen      RunState = "open"
	RunSubmitted RunState = "submitted" // frozen
	RunConfirmed RunState = "confirmed"
	RunSetAside  RunState = "set_aside"
)

// RunSubmission says who froze a run.
type RunSubmission struct {
	By Person
	At time.Time
}

// RunVerdict is a verdict as it was frozen.
type RunVerdict struct {
	Body    []byte // JSON of [leat/calc/confront.Verdict]; nil in a list
	Digest  digest.Sum
	Seed    string
	Draws   int
	Outcome string // on the run as a whole
	Calc    string // version of the calculation that worked it out
	At      time.Time
}

// RunEnd says, signed, whether a run counts.
type RunEnd struct {
	Kind   RunState // [RunConfirmed] or [RunSetAside]
	Reason string
	By     Person
	At     time.Time
	Link   int64

	Elsewhere bool // it was signed in another group
}

// The kinds of link that the end of a run makes.
const (
	LinkRunConfirmed LinkKind = "run_confirmed"
	LinkRunSetAside  LinkKind = "run_set_aside"
)

// RunPoint is one operating point.
type RunPoint struct {
	ID       int64
	Number   int
	Name     string
	Setting  string // one of [leat/calc/confront.Settings]
	Note     string
	By       Person
	At       time.Time
	Readings []Reading
	Windows  []SeriesWindow
	Worked   []confront.Quantity // what counts here, with what is derived from it
}

// ReadingID names a reading.
type ReadingID int64

// Reading is one reading set, as it came. It never changes.
type Reading struct {
	ID         ReadingID
	Quantity   string // name of a quantity, or pointer of a condition
	Method     string // one of [leat/calc/gauge.Methods]
	Instrument *ReadInstrument
	Typed      TypedReading
	Values     []float64 // in the unit of the method; NaN: missing
	Extra      map[string]float64
	Reset      bool
	Certified  bool // the machine had a valid certificate when it arrived
	By         Person
	At         time.Time
	DeviceAt   *time.Time
	Strikes    []ReadingStrike

	// Worked out each time.
	Counts  bool
	Marks   []Mark
	Worked  confront.Quantity
	WithAll *confront.Quantity // with the values that were excluded; nil where none was
}

// TypedReading is what somebody typed, letter for letter.
type TypedReading struct {
	Unit  string   `json:"unit"`
	Texts []string `json:"texts"`
}

// ReadInstrument is an instrument as the register had it when it was read.
type ReadInstrument struct {
	ID           InstrumentID
	CalibratedOn *time.Time
	DueOn        *time.Time
	Unfit        string // what spoke against it then; empty: nothing
	InstrumentFacts
}

// ReadingStrike strikes a reading through, or excludes one of its values.
type ReadingStrike struct {
	Position int // of the value, from 1; 0: the whole reading
	Reason   string
	By       Person
	At       time.Time
}

// JudgementState is how far the verdict of a run is.
type JudgementState string

// The states of a verdict.
const (
	NoJudgement      JudgementState = "none"
	JudgementWaits   JudgementState = "waiting"
	JudgementRuns    JudgementState = "running"
	JudgementReady   JudgementState = "ready"
	JudgementFailure JudgementState = "failed"
)

// RunJudgement is the verdict of a run, or how far it is.
type RunJudgement struct {
	State    JudgementState
	Done, Of int // draws
	Failure  string
	Verdict  *RunVerdict
}

// Runs is a page of the runs of a build, newest first, and what a new one would
// hold to.
type Runs struct {
	Items   []Run
	Refused string // why no run can be opened now
	Form    RunForm
	Allowed []Action
}

// Planned is a quantity that was predicted with an interval, with what the
// instruments could decide about it.
type Planned struct {
	Predicted
	Instruments []PlannedInstrument
}

// PlannedInstrument is the chance that an instrument decides about a quantity.
type PlannedInstrument struct {
	ID      InstrumentID
	Name    string
	U       float64 // standard uncertainty by its limits and resolution
	Met     float64
	Missed  float64
	Decided float64
	Unfit   string
}

// Ref names the run.
func (r Run) Ref() RunRef { return RunRef{r.Project, r.Build, r.Number} }

// State follows from what was submitted and signed.
func (r Run) State() RunState {
	switch {
	case len(r.Ends) > 0:
		return r.Ends[len(r.Ends)-1].Kind
	case r.Submitted != nil:
		return RunSubmitted
	}
	return RunOpen
}

// Point returns a point of the run by its number.
func (r Run) Point(number int) (RunPoint, error) {
	i := slices.IndexFunc(r.Points, func(p RunPoint) bool { return p.Number == number })
	if i < 0 {
		return RunPoint{}, Missing("operating point")
	}
	return r.Points[i], nil
}

// Reading returns a reading of the run.
func (r Run) Reading(id ReadingID) (Reading, error) {
	for _, p := range r.Points {
		for _, reading := range p.Readings {
			if reading.ID == id {
				return reading, nil
			}
		}
	}
	return Reading{}, Missing("reading")
}

// EndedBy tells whether somebody has signed this about the run, and it stands so.
func (r Run) EndedBy(kind RunState, who AccountID) bool {
	return r.State() == kind && r.Ends[len(r.Ends)-1].By.ID == who
}

// Struck tells whether the whole reading was struck through.
func (r Reading) Struck() bool {
	return slices.ContainsFunc(r.Strikes, func(s ReadingStrike) bool { return s.Position == 0 })
}

// Kept are the values without those that were excluded, which are missing
// instead.
func (r Reading) Kept() []float64 {
	kept := slices.Clone(r.Values)
	for _, s := range r.Strikes {
		if s.Position > 0 && s.Position <= len(kept) {
			kept[s.Position-1] = math.NaN()
		}
	}
	return kept
}

// Unit is the unit of the values.
func (r Reading) Unit() string {
	m, _ := gauge.MethodOf(r.Method)
	return cmp.Or(m.Unit, MeasurableNamed(r.Quantity).Unit)
}

// Overdue tells whether no calibration of the instrument counted on the day of
// the reading, in the time zone of the group.
func (r Reading) Overdue(zone string) bool {
	i := r.Instrument
	return i != nil && (i.DueOn == nil || DayIn(r.At, zone).After(*i.DueOn))
}

// Uncertified tells whether the reading is of pressure or air and no certificate
// covered it: then it never counts.
func (r Reading) Uncertified() bool { return !r.Certified && MeasurableNamed(r.Quantity).Pressurised }
