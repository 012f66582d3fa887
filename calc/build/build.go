package build

import (
	"slices"

	"leat/calc/strength"
)

// Judge decides about every part of a machine, within the limits of the group,
// and sums them up. An error is a defect of leat.
func Judge(m Machine, f Facts, l Limits, parts []Part) (Report, error) {
	rep := Report{Parts: make([]Judged, 0, len(parts)), Why: []Said{}, Flags: []Said{}}
	for i := range parts {
		judged, err := judgePart(m, f, l, parts, i)
		if err != nil {
			return Report{}, err
		}
		rep.Parts = append(rep.Parts, judged)
	}
	rep.lackingParts(m, parts)
	rep.legal()
	rep.classify(m, f, l)
	if l != DefaultLimits() {
		rep.Limits = &l
	}
	return rep, nil
}

// needed are the roles that each kind of machine cannot do without.
func (m Machine) needed() (roles []string) {
	if m.Trompe != nil {
		roles = append(roles, Downcomer, Chamber, Riser)
	}
	if m.RamMaxPa != nil {
		roles = append(roles, DrivePipe, AirVessel)
	}
	return roles
}

// lackingParts adds a part that nobody described: what is not known is not allowed.
func (r *Report) lackingParts(m Machine, parts []Part) {
	for _, role := range m.needed() {
		if !slices.ContainsFunc(parts, func(p Part) bool { return p.Role == role }) {
			r.Parts = append(r.Parts, Judged{
				At: "/parts", Role: role, Verdict: strength.NotAllowed, Reasons: []Said{{"not_described", words("not_described")}}, Conditions: []Said{}, Asked: []Asked{},
			})
		}
	}
}
