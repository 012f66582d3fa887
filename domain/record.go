package domain

import (
	"fmt"
	"time"

	"leat/domain/digest"
)

// LinkKind says what sort of act was signed.
type LinkKind string

// LinkAct is the kind of what was done about people and the group; the acts
// themselves say which.
const LinkAct LinkKind = "act"

// Link is one signed act in the record. Each holds the sum of the one before.
type Link struct {
	Number  int64
	Kind    LinkKind
	At      time.Time
	Who     Person
	Project ProjectID // 0: of no project
	Body    []byte    // what was signed, as RFC 8785 writes it
	Digest  digest.Sum
	Before  digest.Sum
	Sum     digest.Sum
	About   LinkAbout // only in a page of the record; no part of what is signed
}

// LinkAbout is the thing that a link is about: its name, and what leads to it. What
// does not belong to it is zero.
type LinkAbout struct {
	Title  string // of the design, machine or project; the name of a person or file
	Design DesignID
	Letter string
	Build  BuildID
	Test   int    // number of the test sheet
	Item   string // of the test
	Run    int    // its number
	Number int64  // of proposed settings or sets, or of a version of the procedure
}

// signedTime is how a time is written where it is signed.
const signedTime = "2006-01-02T15:04:05.000000Z"

// Chained returns the sum of a link: the digest of its number, kind, time,
// person, project, the digest of what was signed and the sum of the link before.
func (l Link) Chained() (digest.Sum, error) {
	return digest.Of(map[string]any{
		"number": l.Number, "kind": l.Kind, "at": l.At.UTC().Format(signedTime), "who": l.Who.ID, "project": l.Project,
		"digest": l.Digest.String(), "before": l.Before.String(),
	})
}

// RecordHead is where the record ends: how many links it has, and the sum of
// the last.
type RecordHead struct {
	Number int64
	Sum    digest.Sum
}

// BrokenRecord says where the record stops being true.
type BrokenRecord struct {
	Number int64 // of the first link that does not hold
	Kind   LinkKind
	What   string // is wrong with it
}

func (b BrokenRecord) Error() string {
	return fmt.Sprintf("link %d (%s) does not hold: %s", b.Number, b.Kind, b.What)
}
