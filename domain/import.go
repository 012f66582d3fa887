package domain

import (
	"fmt"
	"strings"
	"time"

	"leat/domain/digest"
)

// LinkImported is the kind of link that signs that a project was brought in.
const LinkImported LinkKind = "project_imported"

// ImportProject brings in a project that another group took along.
type ImportProject struct {
	Key    string // made by the client; a retry with it brings nothing in twice
	Again  bool   // though this very archive was brought in before
	Digest digest.Sum
	Proof  Proof
}

// ArchiveMost is how many bytes of an archive are taken, with what is sent beside it.
const ArchiveMost = 256<<20 + 1<<16

// Validate finds all faults but those of the archive.
func (c *ImportProject) Validate() error {
	return Faulty(append(clientKey("/client_key", c.Key), c.Proof.Validate("", true)...))
}

// Import says where a project came from.
type Import struct {
	Project   ProjectID
	Title     string // of the project
	Group     string
	WrittenAt time.Time
	Record    RecordHead // where their record ended
	Digest    digest.Sum // of the archive
	By        Person
	At        time.Time
}

// From names the other group.
func (i Import) From() string { return groupElsewhere(i.Group) }

func groupElsewhere(name string) string {
	if name == "" {
		return "a group without a name"
	}
	return name
}

// NameElsewhere is how somebody of another group is named here.
func NameElsewhere(name, group string) string {
	if group == "" {
		group = "elsewhere"
	}
	text := []rune(fmt.Sprintf("%s (%s)", name, group))
	if len(text) > nameMost {
		return strings.TrimSpace(string(text[:nameMost-1])) + "…"
	}
	return string(text)
}

// InstrumentElsewhere is why an instrument that came with an archive is not used.
func InstrumentElsewhere(group string) string {
	return "It came with an archive from " + groupElsewhere(group) + ", and is not in this register to be used."
}

// ImportedBefore is the Conflict of an archive that was brought in already.
func ImportedBefore(i Import) error {
	return &Error{Kind: Conflict, Code: "archive-here", Project: i.Project, Message: fmt.Sprintf(
		"This very archive was brought in on %s by %s: it is the project “%s”. Nothing was saved. If you want it a second time, say so and send it again.",
		i.At.Format(time.DateOnly), i.By.Name, i.Title)}
}

// SetDiffers is the Conflict of an archive with coefficients under a name that
// others have here.
func SetDiffers(name, group string) error {
	return &Error{Kind: Conflict, Code: "set-differs", Message: fmt.Sprintf(
		"The answers in this archive were worked out with coefficient set %s of %s, and this group has another set %s. Their signed answers name their set, so they can’t stand here beside yours. Nothing was saved. An installation of leat of its own can take this archive.",
		name, groupElsewhere(group), name)}
}

// ClearedElsewhere is the Conflict of what would stand on a check in another group.
func ClearedElsewhere(letter, group string) error {
	return &Error{Kind: Conflict, Code: "cleared-elsewhere", Message: fmt.Sprintf(
		"Revision %s was checked by %s, not here. What was signed there gives no right here: start the next letter, and have it checked in this group.", letter, groupElsewhere(group))}
}

// TestedElsewhere is the Conflict of a certificate on a test of another group.
func TestedElsewhere(group string) error {
	return &Error{Kind: Conflict, Code: "cleared-elsewhere", Message: "This test was begun by " + groupElsewhere(group) + ", not here, so no certificate is issued on it here. " + testHere}
}

const testHere = "Have the next letter checked in this group, bring the machine to it, and begin a test of your own."

// CertifiedElsewhere is why a certificate that came with an archive does not hold.
func CertifiedElsewhere(group string) string {
	return "The machine came with an archive from " + groupElsewhere(group) + ": it has to be tested and certified here."
}
