package domain

import "leat/calc"

// SearchID names a search for machines. Nobody can guess it.
type SearchID string

// SearchGone returns the NotFound error of a search that is kept no longer.
func SearchGone() error {
	return &Error{
		Kind: NotFound, Code: "search-gone",
		Message: "This search is kept no longer: ten minutes have passed, you started several others since, or the notebook was started anew. What you asked still stands in the form; start it again.",
	}
}

// SearchFaults returns the Invalid error for the faults of what is asked of a
// search, or nil when it has none.
func SearchFaults(faults []calc.Fault) error {
	fields := make([]Field, len(faults))
	for i, f := range faults {
		fields[i] = Field{Pointer: f.At, Code: string(f.Code), Message: f.Message}
	}
	return Faulty(fields)
}
