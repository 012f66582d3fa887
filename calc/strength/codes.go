package strength

import "slices"

// Codes is a list of short names in a fixed order, none twice, never null.
type Codes []string

// add appends a code where it applies and does not stand there yet.
func (c *Codes) add(code string, applies bool) {
	if applies && !slices.Contains(*c, code) {
		*c = append(*c, code)
	}
}
