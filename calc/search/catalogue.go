package search

import "slices"

// Line is one size of pipe.
type Line struct {
	Name   string  `json:"name"`
	OuterM float64 `json:"outer_m"` // outside diameter
	BoreM  float64 `json:"bore_m"`
}

// Family is one series of pressure pipe in all its sizes, narrowest first.
type Family struct {
	Key   string `json:"key"`
	Name  string `json:"name"`
	lines []Line
}

// Families lists the series that a machine may be made of; the first is the
// one that counts when none is chosen.
func Families() []Family { return families }

func familyKeys() (keys []string) {
	for _, f := range families {
		keys = append(keys, f.Key)
	}
	return keys
}

func familyOf(key string) Family {
	i := slices.IndexFunc(families, func(f Family) bool { return f.Key == key })
	return families[max(i, 0)]
}
