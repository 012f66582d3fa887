package draw

import (
	"fmt"
	"strings"

	"leat/calc/build"
	"leat/calc/strength"
)

// judge pins NOT ALLOWED to each part that may not be built as it is.
func (p *pen) judge(parts []build.Judged) {
	for i, j := range parts {
		if j.Verdict != strength.NotAllowed {
			continue
		}
		if s, ok := p.spotOf(j.Role); ok {
			p.Warnings = append(p.Warnings, Pin{Code: fmt.Sprintf("NOT_ALLOWED_%d", i+1), Part: s.part, Text: "NOT ALLOWED", Detail: called(j), At: s.at, Side: s.side})
		}
	}
}

// spotOf finds where the part of a role is; one without a place of its own is
// pinned to the heart of the machine.
func (p *pen) spotOf(role string) (spot, bool) {
	for _, r := range []string{role, "chamber", "air_vessel", "drive_pipe"} {
		if s, ok := p.spots[r]; ok {
			return s, true
		}
	}
	return spot{}, false
}

func called(j build.Judged) string {
	if j.Name != "" {
		return brief(j.Name)
	}
	words := strings.ReplaceAll(j.Role, "_", " ")
	if words == build.Other {
		return "a part"
	}
	return words
}
