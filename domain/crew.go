package domain

import (
	"slices"
	"time"
)

// AskID names an ask.
type AskID int64

// Ask is the question to a member whether to join the crew of a project.
type Ask struct {
	ID      AskID
	Project ProjectID
	Title   string // of the project
	Member  Person // who is asked
	By      Person
	At      time.Time
	Answer  AskAnswer // empty while the ask waits
}

// AskAnswer is what became of an ask.
type AskAnswer string

// What may become of an ask.
const (
	AskYes       AskAnswer = "yes"
	AskNo        AskAnswer = "no"
	AskWithdrawn AskAnswer = "withdrawn" // by the crew
)

// Ends tells whether an answer ends the ask: not when the same was said before,
// by a request whose answer got lost. It returns a Conflict when something else
// was said before.
func (a Ask) Ends(answer AskAnswer) (bool, error) {
	switch a.Answer {
	case "":
		return true, nil
	case answer:
		return false, nil
	}
	return false, AskAnswered(a.Answer)
}

// AskAnswered returns the Conflict of an ask that waits no longer.
func AskAnswered(answer AskAnswer) *Error {
	said := map[AskAnswer]string{
		AskYes: "It was answered with yes.", AskNo: "It was answered with no.", AskWithdrawn: "The crew has withdrawn it.",
	}[answer]
	return &Error{Kind: Conflict, Code: "ask-answered", Message: "This ask waits no longer. " + said + " Nothing was changed; the crew can ask again."}
}

// CrewMember says whom a crew asks, or whom a keeper adds.
type CrewMember struct {
	Project ProjectID
	Member  AccountID
}

// Fits returns a Conflict when the member is on the crew already.
func (c CrewMember) Fits(access Access) error {
	i := slices.IndexFunc(access.Crew, func(p Person) bool { return p.ID == c.Member })
	if i < 0 {
		return nil
	}
	return &Error{Kind: Conflict, Code: "on-crew", Message: access.Crew[i].Name + " is on the crew of this project already."}
}

// AnswerAsk is the answer of who was asked.
type AnswerAsk struct {
	Project ProjectID
	Ask     AskID
	Yes     bool
}

// Answer returns the answer as it is kept.
func (c AnswerAsk) Answer() AskAnswer {
	if c.Yes {
		return AskYes
	}
	return AskNo
}
