package build

import (
	"slices"

	"leat/calc/strength"
)

// legal collects the notes that laws may ask for, of all parts.
func (r *Report) legal() {
	for _, p := range r.Parts {
		for _, a := range p.Asked {
			out, ok := a.Answer.Result.(strength.GasOut)
			if !ok {
				continue
			}
			for _, code := range out.Flags {
				if !slices.ContainsFunc(r.Flags, func(s Said) bool { return s.Code == code }) {
					r.Flags = append(r.Flags, Said{code, words(code)})
				}
			}
		}
	}
}
