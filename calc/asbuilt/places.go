package asbuilt

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/sheet"
	"leat/calc/trompe"
)

// Place is a value of a sheet that may differ in the machine as built.
type Place struct {
	At    string    `json:"at"`
	Kind  calc.Kind `json:"kind"` // number or count
	Unit  string    `json:"unit"`
	About string    `json:"about"`
	Value *float64  `json:"value"` // on the sheet; null where it takes its default
}

// Places lists what may differ from a sheet, in the order of the water.
func Places(in sheet.Input) []Place {
	list := []Place{}
	whole, err := generic(in)
	if err != nil {
		return list
	}
	list = append(list, placesOf("/trompe", whole["trompe"], trompe.Inputs())...)
	return append(list, placesOf("", whole, sheet.Inputs())...)
}

// placesOf lists the places among fields that stand below a pointer, in an
// object.
func placesOf(below string, object any, fields []calc.Field) (list []Place) {
	for _, f := range fields {
		if f.Kind == calc.Records {
			entries, _ := find(object, f.At).([]any)
			for i, entry := range entries {
				list = append(list, placesOf(fmt.Sprintf("%s%s/%d", below, f.At, i), entry, f.Item)...)
			}
			continue
		}
		above, there := find(object, f.At[:strings.LastIndexByte(f.At, '/')]).(map[string]any)
		if !there || !May(below+f.At) || !meant(object, f) {
			continue
		}
		p := Place{At: below + f.At, Kind: f.Kind, Unit: f.Unit, About: f.About}
		if n, ok := above[f.At[strings.LastIndexByte(f.At, '/')+1:]].(json.Number); ok {
			if x, err := n.Float64(); err == nil {
				p.Value = &x
			}
		}
		list = append(list, p)
	}
	return list
}

// Differing leaves out of these values those that the sheet has itself.
func Differing(in sheet.Input, values map[string]float64) map[string]float64 {
	differing := maps.Clone(values)
	for _, p := range Places(in) {
		if v, ok := values[p.At]; ok && p.Value != nil && *p.Value == v {
			delete(differing, p.At)
		}
	}
	return differing
}

// meant tells whether a field has a meaning with the choice that is made.
func meant(object any, f calc.Field) bool {
	if f.When == nil {
		return true
	}
	choice, _ := find(object, f.When.At).(string)
	if choice == "" {
		choice = f.When.Else
	}
	return slices.Contains(f.When.Is, choice)
}
