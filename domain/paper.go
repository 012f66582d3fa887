package domain

import (
	"fmt"
	"time"

	"leat/calc/procedure"
)

// paperCounts is how long a signed paper may wait.
const paperCounts = 24 * time.Hour

// wrongPaper returns why what a paper says of an item, signed at a time, does not
// count now. Times on paper are whole minutes by somebody's watch, so they may be off
// by as much as the clock of a device.
func (t Test) wrongPaper(item string, at, now time.Time) *Error {
	hold, signed := t.heldUntil(item)
	switch {
	case at.After(now.Add(tolerance)):
		return testRefused("paper-late", "The time on the paper is still to come. Type it as it stands there.")
	case at.Before(t.StartedAt.Add(-tolerance)):
		return testRefused("paper-late", "The time on the paper is before this test sheet was begun. It belongs to another one.")
	case now.Sub(at) > paperCounts:
		return testRefused("paper-late", fmt.Sprintf("A paper is entered within 24 hours; this one was signed %.0f hours ago. The item has to be done again, and signed by the same roles.", now.Sub(at).Hours()))
	case at.Before(signed.Add(-tolerance)):
		return testRefused("paper-late", fmt.Sprintf("The time on the paper is before %s was signed, and that is a hold point: nothing after it is done before it is. Was the time typed as it stands there? If it was, %s has to be done again, and signed by the same roles.", hold, item))
	}
	return nil
}

// heldUntil returns which of the hold points before an item was signed last, and
// when: on the paper where it was signed on one. What may be signed early waits for
// none.
func (t Test) heldUntil(item string) (hold string, signed time.Time) {
	for _, task := range t.Tasks {
		if task.ID == item && task.Point == procedure.Review {
			return "", time.Time{}
		}
		if task.ID == item {
			break
		}
		if task.Point != procedure.Hold {
			continue
		}
		if at := t.signedLast(task.ID); !at.Before(signed) {
			hold, signed = task.ID, at
		}
	}
	return hold, signed
}

// signedLast is when the last signature under an item was given.
func (t Test) signedLast(item string) (last time.Time) {
	for _, g := range t.Signatures {
		if g.Item != item {
			continue
		}
		at := g.At
		if e, err := t.Entry(g.Entry); err == nil && e.Paper != nil {
			at = e.Paper.At
		}
		if at.After(last) {
			last = at
		}
	}
	return last
}
