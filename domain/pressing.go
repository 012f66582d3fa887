package domain

import "slices"

// pressing returns why somebody may not begin a test, or end a certificate; nil
// for other actions.
func (r rule) pressing(access Access) error {
	if r.steward && !slices.Contains(access.Roles, Steward) {
		return &Error{Kind: Forbidden, Code: "not-steward", Message: "Only a steward may do this. " + access.whoIsSteward()}
	}
	if r.built && !access.onCrew() && !slices.ContainsFunc(access.Builders, Person{ID: access.Account}.is) {
		return &Error{Kind: Forbidden, Code: "not-builder", Message: "Only the crew of this project, or somebody who built the machine, may do this: " + names(access.crewAndBuilders()) + ". Ask one of them."}
	}
	return nil
}

func (a Access) crewAndBuilders() []Person {
	all := slices.Clone(a.Crew)
	for _, b := range a.Builders {
		if !slices.ContainsFunc(all, b.is) {
			all = append(all, b)
		}
	}
	return all
}
