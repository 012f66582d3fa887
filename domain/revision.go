package domain

import (
	"fmt"

	"leat/calc"
)

// letters are those that a revision may have, in their order: I, O, Q, S, X and
// Z are left out, for they are mistaken for other signs.
//
// Source: ASME Y14.35, revision letters (from memory).
const letters = "ABCDEFGHJKLMNPRTUVWY"

// Letter returns the letter of the revision at a position, from 1: A ... Y, then
// AA, AB ... AY, BA ... It returns "" for what is no position.
func Letter(position int) string {
	if position < 1 {
		return ""
	}
	n := position - 1
	return Letter(n/len(letters)) + letters[n%len(letters):n%len(letters)+1]
}

// SheetRef names a sheet of a project.
type SheetRef struct {
	Design DesignID
	Letter string
	Number int
}

func (r SheetRef) String() string { return fmt.Sprintf("%s.%d", r.Letter, r.Number) }

// StartRevision starts the next letter of a design, whose newest one is frozen,
// with a copy of a sheet as its first.
type StartRevision struct {
	Project ProjectID
	Design  DesignID
	Version int64     // of the design, as it was read
	From    *SheetRef // nil: the newest sheet of the design
}

// StillDraft returns the Conflict of a design whose newest letter was not issued
// yet.
func StillDraft(letter string) error {
	return &Error{
		Kind: Conflict, Code: "letter-is-draft",
		Message: fmt.Sprintf("Letter %s is a draft, so no next letter is started. Save the change as its next sheet, or issue it for check. "+
			"To leave it behind, issue it and take it back.", letter),
	}
}

// CopyFault returns the Invalid error for a sheet that today's calculation
// refuses, with what it says first, or nil when it has no faults.
func CopyFault(from SheetRef, faults []calc.Fault) error {
	if len(faults) == 0 {
		return nil
	}
	return Faulty([]Field{{"/from", "cannot_copy", fmt.Sprintf(
		"Today’s calculation can’t read sheet %s as it stands (%s: %s). Copy another sheet, or type this one’s figures anew.", from, faults[0].At, faults[0].Message)}})
}
