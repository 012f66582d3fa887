package search

import (
	"math"
	"slices"

	"leat/calc/parts"
)

// Line is one size of pipe.
type Line struct {
	Key    string // of the catalogue
	Name   string
	OuterM float64 // outside diameter
	BoreM  float64
}

// Family is one series of pressure pipe in all its sizes, narrowest first.
type Family struct {
	Key   string `json:"key"`
	Name  string `json:"name"`
	lines []Line
}

// narrowest is the least bore of a downcomer in m: narrower ones are at the edge
// of what the bubble model was measured in.
const narrowest = 0.025

var families = []Family{
	family("pe100", "PE100 SDR17", "ISO 4427-2", "PE100 SDR17"),
	family("pvc_u", "PVC-U S10 (SDR21)", "EN ISO 1452-2", "S10 SDR21"),
	family("pvc_40", "PVC schedule 40", "ASTM D1785", "Schedule 40"),
}

// family takes a series from the catalogue: the sizes that are rated for pressure.
func family(key, name, standard, series string) Family {
	f := Family{Key: key, Name: name}
	for _, l := range parts.WithBore("", narrowest, math.Inf(1)) {
		if l.Standard == standard && l.Series == series && l.PressureRated {
			f.lines = append(f.lines, Line{l.Key, l.Designation, l.ODM, math.Round(*l.IDM*1e5) / 1e5})
		}
	}
	return f
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
