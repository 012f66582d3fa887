package domain

import (
	"slices"
	"strings"
	"time"
	"unicode"
)

// FileID names a file.
type FileID int64

// FileKind says what a file is kept as.
type FileKind string

// The kinds of file.
const (
	PictureFile FileKind = "picture" // shown, without anything but its pixels
	OtherFile   FileKind = "file"    // only to be downloaded, as it was sent
)

// AnyBytes is the media type of what is no picture.
const AnyBytes = "application/octet-stream"

// File is a picture or another file of a project.
type File struct {
	ID            FileID
	Project       ProjectID
	Kind          FileKind
	MediaType     string
	Name          string
	Size          int // bytes
	Digest        []byte
	Width, Height int // pixels; 0 for what is no picture
	MadeBy        Person
	MadeAt        time.Time
	Hides         []FileHide // who signed that it must go, in order
	Allowed       []Action
}

// LinkFileHide is the kind of link that signs that a file must go.
const LinkFileHide LinkKind = "file_hide"

// FileHide is the signature of somebody who wants a file hidden.
type FileHide struct {
	By              Person
	At              time.Time
	Reason          string
	Keeper, Steward bool // what they were then
}

// Hidden tells whether two have signed that the file must go.
func (f File) Hidden() bool { return len(f.Hides) == 2 }

// Allows lists what somebody may do to the file.
func (f File) Allows(who Actor, access Access) []Action {
	if f.MaySign(access) != nil {
		return []Action{}
	}
	return allowed(who, access, HideFiles)
}

// MaySign returns why somebody can't sign that the file must go, or nil: of two
// people who sign, one is a keeper and the other one a steward.
func (f File) MaySign(access Access) error {
	if f.Hidden() {
		return FileHidden(f.Hides)
	}
	if len(f.Hides) == 0 {
		return nil
	}
	first := f.Hides[0]
	if first.By.ID == access.Account {
		return &Error{Kind: Forbidden, Code: "same-person", Message: "You have signed this already. Somebody else signs too: " + first.other(access) + "."}
	}
	if first.Keeper && slices.Contains(access.Roles, Steward) || first.Steward && slices.Contains(access.Roles, Keeper) {
		return nil
	}
	return &Error{Kind: Forbidden, Code: "same-role", Message: first.By.Name + " has signed this already in the same role. It takes a keeper and a steward, two people. Who can sign now: " + first.other(access) + "."}
}

// other names who can sign beside the first.
func (h FileHide) other(access Access) string {
	var people []Person
	if h.Keeper {
		people = append(people, access.Stewards...)
	}
	if h.Steward {
		people = append(people, access.Keepers...)
	}
	slices.SortStableFunc(people, func(a, b Person) int { return strings.Compare(a.Name, b.Name) })
	people = slices.DeleteFunc(slices.CompactFunc(people, Person.is), func(p Person) bool { return p.ID == h.By.ID })
	if len(people) == 0 {
		return "nobody in the group can; a keeper can give somebody the role that is lacking"
	}
	return names(people)
}

// Variant says in which size a file is wanted.
type Variant string

// The variants. Only pictures have a thumbnail.
const (
	FullSize Variant = "full"
	Thumb    Variant = "thumb"
)

// FileMost is how many bytes of a file are taken.
const FileMost = 15_000_000

const (
	fileNameMost   = 200
	hideReasonMost = 500
)

// KeepFile keeps a file of a project.
type KeepFile struct {
	Project ProjectID
	Name    string
	Picture bool // it is meant to be one
	Data    []byte
	Key     string // made by the client; a retry with it makes no second file
}

// Validate trims the name and finds all faults but those of the bytes.
func (c *KeepFile) Validate() error {
	faults := line("/name", &c.Name, 1, fileNameMost)
	odd := func(r rune) bool { return r == '/' || r == '\\' || unicode.Is(unicode.Bidi_Control, r) }
	if strings.ContainsFunc(c.Name, odd) {
		faults = append(faults, Field{"/name", "text", "A name has no slashes in it, and nothing that turns the direction of writing. Send it without."})
	}
	if len(c.Data) == 0 {
		faults = append(faults, Field{"", "missing", "The file is empty. Choose it again."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// HideFile signs that a file must go.
type HideFile struct {
	Project ProjectID
	File    FileID
	Reason  string
	Proof   Proof
}

// Validate trims the reason and finds all faults.
func (c *HideFile) Validate() error {
	faults := prose("/reason", &c.Reason, hideReasonMost)
	if c.Reason == "" {
		faults = append(faults, Field{"/reason", "missing", "Say why it must go. The reason stays, for all to read."})
	}
	return Faulty(append(faults, c.Proof.Validate("", true)...))
}

// FileHidden returns the Gone error of a file that two have hidden.
func FileHidden(hides []FileHide) error {
	return &Error{
		Kind: Gone, Code: "file-hidden",
		Message: "This was hidden by " + hides[0].By.Name + " and " + hides[1].By.Name + ", and its content is gone. They say why: " + hides[0].Reason,
	}
}
