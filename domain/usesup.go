package domain

import (
	"fmt"
	"slices"

	"leat/calc/procedure"
)

// UsesUp is a signature that somebody may give, and after which nobody in the
// group is left for another one that the machine needs. It is allowed: it is said
// before.
type UsesUp struct {
	Role string
	Who  Person
	Text string
}

// usesUp lists the signatures under an item that would leave nobody for the
// certificate, or for the rest of the test. One that goes on no more leads to none.
func (t Test) usesUp(may []MaySign) []UsesUp {
	list := []UsesUp{}
	if t.Ended != "" || t.Over != "" {
		return list
	}
	for _, m := range may {
		for _, role := range m.Roles {
			if text := t.lastFor(m.Signer, role); text != "" {
				list = append(list, UsesUp{role, m.Person, text})
			}
		}
	}
	return list
}

// lastFor says what nobody is left for once somebody has signed in a role; empty
// when somebody is, or nobody was before.
func (t Test) lastFor(who Signer, role string) string {
	last := func(fit func(Signer) bool) bool {
		return fit(who) && !slices.ContainsFunc(t.Members, func(m Signer) bool { return m.ID != who.ID && fit(m) })
	}
	switch {
	case role == procedure.Second && last(t.couldIssue):
		return fmt.Sprintf("Nobody but %s can issue the certificate of this machine, and whoever signs as second may not. Let another member sign as second; else a keeper has to make somebody a steward who did not build it.", who.Name)
	case role == procedure.Competent && t.Basis.Competent && last(t.couldBeSecond):
		return fmt.Sprintf("Nobody but %s can sign this test as second, and whoever signs as competent may not. Let another steward sign as competent; else a keeper has to invite somebody who did not build it.", who.Name)
	}
	return ""
}

func (t Test) couldIssue(s Signer) bool {
	return s.Steward && !includes(t.Builders, s.ID) && t.signedAs(procedure.Second, s.ID) == nil
}

func (t Test) couldBeSecond(s Signer) bool {
	return !includes(t.Builders, s.ID) && t.signedAs(procedure.Competent, s.ID) == nil
}
