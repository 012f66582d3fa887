package domain

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/asbuilt"
	"leat/calc/sheet"
	"leat/domain/digest"
)

const (
	placeMost  = 200
	reasonMost = 500
)

// StartBuild begins a machine from a cleared revision of the project.
type StartBuild struct {
	Project ProjectID
	Title   string
	Design  DesignID
	Letter  string
	Place   string // where it stands
	Note    string
	Key     string // made by the client; a retry with it makes no second build
}

// Validate trims the texts and finds all faults.
func (c *StartBuild) Validate() error {
	faults := line("/title", &c.Title, 1, titleMost)
	faults = append(faults, line("/place", &c.Place, 1, placeMost)...)
	faults = append(faults, prose("/note", &c.Note, reasonMost)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// First returns the first version of a machine, as its sheet says, without its
// answers.
func (c StartBuild) First(drawn Sheet) BuildVersion {
	return BuildVersion{
		Number: 1, Letter: drawn.Letter, Differences: map[string]float64{}, Renewed: map[string]int{}, Place: c.Place, Note: c.Note,
		Sheet: SheetRef{drawn.Design, drawn.Letter, drawn.Number}, Input: drawn.Input,
	}
}

// ChangeBuild records how a machine stands now: what differs from its sheet,
// what was renewed like for like, where it stands. What is nil stays.
type ChangeBuild struct {
	Project     ProjectID
	Build       BuildID
	Version     int64              // of the build, as it was read
	To          *RevisionRef       // a cleared revision that it is rebuilt to
	Differences map[string]float64 // all of them, by pointer; none stand when it is empty
	Renewed     []string           // this time, by pointer
	Place       *string
	Note        string
}

// RevisionRef names a revision of a project.
type RevisionRef struct {
	Design DesignID
	Letter string
}

// renewedMost is how much can be renewed at once.
const renewedMost = 100

// Validate trims the texts and finds the faults that show without the sheet.
func (c *ChangeBuild) Validate() error {
	faults := prose("/note", &c.Note, reasonMost)
	if c.Place != nil {
		place := *c.Place
		faults = append(faults, line("/place", &place, 1, placeMost)...)
		c.Place = &place
	}
	if len(c.Renewed) > renewedMost {
		faults = append(faults, Field{"/renewed", "range", "So much at once is another machine. Rebuild it from a new cleared revision."})
	}
	return Faulty(faults)
}

// Next returns the version that follows a machine as it stands, without its
// answers. It finds all faults of what is to change, and refuses what changes
// nothing, or goes on building what was withdrawn.
func (c ChangeBuild) Next(b Build, to Sheet) (BuildVersion, error) {
	if b.State == Scrapped {
		return BuildVersion{}, BuildScrapped()
	}
	was := *b.Now
	next := BuildVersion{
		Number: was.Number + 1, Letter: to.Letter, Differences: was.Differences, Place: was.Place, Moves: was.Moves, Note: c.Note,
		Sheet: SheetRef{to.Design, to.Letter, to.Number},
	}
	rebuilt := next.Sheet != was.Sheet
	if rebuilt {
		next.Differences = map[string]float64{}
	}
	if c.Differences != nil {
		next.Differences = asbuilt.Differing(to.Input, c.Differences)
	}
	renewed, faults := asbuilt.Renew(to.Input, was.Renewed, c.Renewed)
	next.Renewed = renewed
	input, more := asbuilt.Apply(to.Input, next.Differences)
	next.Input = input
	if err := Faulty(append(renewedFaults(c.Renewed, faults), differenceFaults(more)...)); err != nil {
		return BuildVersion{}, err
	}
	if c.Place != nil && *c.Place != was.Place {
		next.Place, next.Moves = *c.Place, was.Moves+1
	}
	alike := maps.Equal(next.Differences, was.Differences) && len(c.Renewed) == 0
	switch {
	case !rebuilt && alike && next.Moves == was.Moves:
		return BuildVersion{}, Faulty([]Field{{"", "no_change", "Nothing of the machine is changed by this. Enter what differs, was renewed or where it stands now; words alone belong in the log."}})
	case !rebuilt && !alike && b.Revision == Withdrawn:
		return BuildVersion{}, BuildWithdrawn(b.Letter)
	}
	return next, nil
}

// differenceFaults points faults of differences into the request. A fault of
// another place comes from what was changed as a whole.
func differenceFaults(faults []calc.Fault) (fields []Field) {
	for _, f := range faults {
		fields = append(fields, Field{"/differences/" + escaped(f.At), string(f.Code), f.Message})
	}
	return fields
}

func renewedFaults(renewed []string, faults []calc.Fault) (fields []Field) {
	for _, f := range faults {
		fields = append(fields, Field{fmt.Sprintf("/renewed/%d", slices.Index(renewed, f.At)), string(f.Code), f.Message})
	}
	return fields
}

// escaped writes a pointer as one name within another pointer (RFC 6901).
func escaped(at string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(at)
}

// BuiltFaults returns the Invalid error for what the calculation refuses of a
// machine as it stands, or nil when it has no faults.
func BuiltFaults(differences map[string]float64, faults []calc.Fault) error {
	var fields []Field
	for _, f := range faults {
		pointer := "/differences"
		if _, changed := differences[f.At]; changed {
			pointer += "/" + escaped(f.At)
		}
		fields = append(fields, Field{pointer, string(f.Code), f.At + ": " + f.Message})
	}
	return Faulty(fields)
}

// Answered fills in the answers for a version: the report of the machine with
// its differences, and the digest of what a pressure test of it is good for.
func (v *BuildVersion) Answered(report sheet.Report) error {
	object, err := asbuilt.Pressure(v.Input, report.Build, v.Renewed)
	if err != nil {
		return err
	}
	v.Report, v.CalcVersion = report, report.CalcVersion
	v.PressureHash, err = digest.Of(object)
	return err
}

// Worsened returns the Conflict of a machine whose answers of safety are worse
// than those that were cleared, or nil when there are none.
func Worsened(letter string, worse []string) error {
	if len(worse) == 0 {
		return nil
	}
	return &Error{Kind: Conflict, Code: "build-worse", Message: "This makes an answer of safety worse than revision " + letter + " that was cleared. " + strings.Join(worse, " ") +
		" Nothing was saved. It needs a new revision that is checked and cleared. If the machine stands like this already, keep pressure off it and lay it up until then."}
}

// BarredNow returns the Conflict of a cleared revision of which a part is not
// allowed any more, by today's calculation and the limits of the group, or nil
// when no part is named.
func BarredNow(letter string, parts []string) error {
	if len(parts) == 0 {
		return nil
	}
	return &Error{Kind: Conflict, Code: "build-barred", Message: "Revision " + letter + " was cleared, but by today’s calculation and the group’s limits this is not allowed any more: " +
		strings.Join(parts, ", ") + ". Nothing was saved. Start the next revision; its sheet says what would be allowed."}
}

// AddBuilder adds somebody to the builders of a build: a member, or with
// Member 0 a name without an account.
type AddBuilder struct {
	Project ProjectID
	Build   BuildID
	Member  AccountID
	Name    string
}

// Validate trims the name and finds all faults.
func (c *AddBuilder) Validate() error {
	if c.Member == 0 {
		return Faulty(line("/name", &c.Name, 1, 80))
	}
	if c.Name != "" {
		return Faulty([]Field{{"/name", "not_used", "A member goes by the name of the account. Send either the member or a name."}})
	}
	return nil
}

// BuilderIsMember returns the Invalid error for the name of a member, who goes by
// the account: who may sign hangs on it.
func BuilderIsMember() error {
	return Faulty([]Field{{"/name", "member", "A member of the group has this name: choose the member instead, so that it stays clear who may sign. For somebody else of the same name add a word, such as the village."}})
}

// There tells whether they are a builder of it already.
func (c AddBuilder) There(builders []Builder) bool {
	return slices.ContainsFunc(builders, func(b Builder) bool {
		return c.Member != 0 && b.Account == c.Member || c.Member == 0 && b.Account == 0 && strings.EqualFold(b.Name, c.Name)
	})
}

// ChangeBuildState says that a build has come to another state.
type ChangeBuildState struct {
	Project ProjectID
	Build   BuildID
	Version int64 // of the build, as it was read
	State   BuildState
	Reason  string
}

// Validate trims the reason and finds all faults.
func (c *ChangeBuildState) Validate() error {
	faults := prose("/reason", &c.Reason, reasonMost)
	if !slices.Contains(buildStates, c.State) {
		faults = append(faults, Field{"/state", "unknown_value", "Choose built, in_service, laid_up or scrapped."})
	}
	return Faulty(faults)
}
