package procedure

import (
	_ "embed" // the first procedure
	"slices"
	"strings"
)

// Template is a procedure: everything that may have to be done, and the shorter
// list for machines that can do little.
type Template struct {
	Version int               `json:"version"`
	ID      string            `json:"id"`
	Title   string            `json:"title"`
	Stages  []string          `json:"stages"`
	Roles   map[string]string `json:"roles"` // who signs as what, in words
	Items   []Item            `json:"items"`
	Short   Short             `json:"short"`
}

// Item is one thing to do, to record and to sign.
type Item struct {
	ID       string     `json:"id"`
	Stage    string     `json:"stage"`
	Point    string     `json:"point"`
	Title    string     `json:"title"`
	When     Expression `json:"when"` // none: always
	Do       string     `json:"do"`
	Record   []Wanted   `json:"record"`
	Sign     []string   `json:"sign"` // roles
	AlsoSign *AlsoSign  `json:"also_sign,omitempty"`
	Why      string     `json:"why"`
}

// Wanted is one thing to record.
type Wanted struct {
	Kind        string     `json:"kind"`
	Name        string     `json:"name"` // unique in the whole procedure
	Unit        string     `json:"unit,omitempty"`
	When        Expression `json:"when"`
	Limits      Expression `json:"limits"`                 // value is what was recorded
	Equals      string     `json:"equals,omitempty"`       // the name that it must equal
	EqualsCount string     `json:"equals_count,omitempty"` // the name that says how many ticks are wanted
	Values      []string   `json:"values,omitempty"`       // of a choice
	Needs       []string   `json:"needs,omitempty"`        // of an instrument
	Per         string     `json:"per,omitempty"`          // repeated for each of these
}

// AlsoSign is a role that signs too, on a condition.
type AlsoSign struct {
	When Expression `json:"when"`
	By   string     `json:"by"`
}

// Short is the shorter list.
type Short struct {
	ID    string              `json:"id"`
	Title string              `json:"title"`
	For   string              `json:"for"`
	Items []string            `json:"items"`
	Sign  map[string][]string `json:"sign"` // of items, where other roles sign than in the full list
}

// The points of an item.
const (
	Hold    = "hold"    // nothing later can be met before it is
	Witness = "witness" // signed by two people who were there
	Review  = "review"  // may be signed early
)

// The roles of signers.
const (
	Builder   = "builder"   // made or changed a part of the build
	Second    = "second"    // did not
	Competent = "competent" // a steward who did not
)

// Roles lists the roles in the order in which they are shown.
var roles = []string{Builder, Second, Competent}

// The kinds of what is recorded, and what an entry of each is.
const (
	Confirm    = "confirm"    // true; or how many were ticked, where a number of them is wanted
	Reading    = "reading"    // a number in the unit
	Words      = "text"       // a text; the one that was shown, where it must equal one
	Choice     = "choice"     // one of the values
	Instrument = "instrument" // an object with what is needed; also height_m above the lowest point and interval_days, where they are known
	Photo      = "photo"      // a list of the numbers of pictures
	People     = "people"     // a list of names, or of the numbers of members
)

// The stages that the rules know by name; a procedure may have others.
const (
	stageBefore     = "before"
	stagePressurise = "pressurise"
	stageHold       = "hold"
	stageRelease    = "release"
	stageAir        = "air"
)

// What an entry may be repeated for.
const (
	PerLine  = "pressure_line"
	PerStage = "stage"
)

//go:embed procedure.json
var firstText string

// FirstText returns the procedure that leat brings, as it is written.
func FirstText() string { return firstText }

var first, _ = Read([]byte(firstText)) // a test finds its faults

// First returns the procedure that leat brings.
func First() Template { return first }

// Item returns the item of this name.
func (t Template) Item(id string) (Item, bool) {
	i := slices.IndexFunc(t.Items, func(item Item) bool { return item.ID == id })
	if i < 0 {
		return Item{}, false
	}
	return t.Items[i], true
}

// TitleOf returns the title of the whole list or of the short one.
func (t Template) TitleOf(short bool) string {
	if short {
		return t.Short.Title
	}
	return t.Title
}

// AfterFailure tells whether an item is there only for an attempt that failed.
func (i Item) AfterFailure() bool { return i.When.String() == "any_item_failed" }

// StaysOpen tells whether an item can still be done once an attempt has failed:
// letting the pressure go, and what a failure asks for.
func (i Item) StaysOpen() bool { return i.Stage == stageRelease || i.AfterFailure() }

// bySite tells whether an item hangs on a fact of the site.
func (i Item) bySite() bool {
	return slices.ContainsFunc(i.When.Uses(), func(name string) bool { return strings.HasPrefix(name, "site.") })
}

// inShort tells whether an item may be asked of a plain machine: it is listed, or
// a fact of the site can ask for it before the work begins.
func (t Template) inShort(i Item) bool {
	return slices.Contains(t.Short.Items, i.ID) || i.Stage == stageBefore && i.bySite()
}
