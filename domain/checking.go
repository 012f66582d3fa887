package domain

import "slices"

// checking decides what asks for a checker, for somebody who never was on the
// crew, or for who raised a remark: the role first, then the person.
func (r rule) checking(access Access) error {
	if r.checker && !slices.Contains(access.Roles, Checker) {
		return &Error{Kind: Forbidden, Code: "not-checker", Message: "Only a checker may do this. " + access.whoChecks()}
	}
	if r.stranger && (access.onCrew() || access.among(access.Former) || access.Author) {
		return &Error{Kind: Forbidden, Code: "own-design", Message: "Nobody checks a design of a project whose crew they are, or ever were, on. " + access.whoChecks()}
	}
	if r.raiser && access.Raiser.ID != access.Account && !(access.RaiserLeft && slices.Contains(access.Roles, Steward)) {
		return notRaiser(access)
	}
	return nil
}

func notRaiser(access Access) error {
	message := "Only who raised a remark lays it to rest: " + access.Raiser.Name + "."
	switch {
	case access.RaiserLeft && len(access.Stewards) > 0:
		message = access.Raiser.Name + ", who raised this, has left. A steward may lay it to rest, with a reason: " + names(access.Stewards) + "."
	case access.RaiserLeft:
		message = access.Raiser.Name + ", who raised this, has left, and a steward may lay it to rest; the group has none. A keeper can give somebody the role: " + names(access.Keepers) + "."
	}
	return &Error{Kind: Forbidden, Code: "not-raiser", Message: message}
}

func (a Access) whoChecks() string {
	if len(a.Checkers) == 0 {
		return "Nobody in the group may check this design: it takes a checker who never was on its crew. A keeper can give somebody the role: " + names(a.Keepers) + "."
	}
	return whoMayCheck(a.Checkers)
}

func whoMayCheck(checkers []Person) string {
	if len(checkers) == 0 {
		return "Nobody in the group may."
	}
	return "These may: " + names(checkers) + "."
}
