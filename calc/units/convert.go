package units

import (
	"fmt"
	"strings"

	"leat/calc"
)

// ConvertIn is a number with its unit, and the unit that is wanted.
type ConvertIn struct {
	Value float64 `json:"value"`
	From  string  `json:"from"`
	To    string  `json:"to"`
}

// ConvertOut is the number in the unit that was wanted.
type ConvertOut struct {
	Value float64 `json:"value"`
}

// Convert answers what a number is in another unit.
func Convert(in ConvertIn) (ConvertOut, []calc.Warning, *calc.Fault) {
	from, measured, ok := find(in.From)
	if !ok {
		return ConvertOut{}, nil, unknownUnit("/from", in.From)
	}
	to, wanted, ok := find(in.To)
	if !ok {
		return ConvertOut{}, nil, unknownUnit("/to", in.To)
	}
	if measured.name != wanted.name {
		return ConvertOut{}, nil, &calc.Fault{Code: calc.Unit, At: "/to",
			Message: fmt.Sprintf("%s is a unit of %s and %s one of %s: one cannot become the other. Units of %s are: %s.",
				in.From, measured.name, in.To, wanted.name, measured.name, strings.Join(names(measured), ", "))}
	}
	return ConvertOut{in.Value * (from.factor / to.factor)}, nil, nil
}

// SI returns how much of its SI unit a unit is, and the name of that. ok is false
// for a name that is not known here; capitals count.
//
// Valid for all units of [Convert]: those without an offset.
//
// Source: as the table of factors says; exact by definition of the units.
func SI(name string) (unit string, factor float64, ok bool) {
	u, of, ok := find(name)
	return of.si, u.factor, ok
}

func unknownUnit(at, name string) *calc.Fault {
	return &calc.Fault{Code: calc.Unit, At: at, Message: fmt.Sprintf("%q is no unit known here. The names are: %s. Capitals count.", name, strings.Join(names(quantities...), ", "))}
}

// unitField is text, so that a unit of the wrong kind is told as such; its
// choices are there to pick from.
func unitField(at, about string) calc.Field {
	f := calc.Words(at, about).Need()
	f.Choices = names(quantities...)
	return f
}

const definitions = "exact by definition of the units; columns of water and mercury are the conventional ones"

var convert = calc.New(calc.Description{
	Name: "system/convert", Answers: "what a number is in another unit", Evidence: calc.OftenMeasured,
	Words: []string{"unit", "convert", "psi", "bar", "gallon", "cubic feet", "horsepower", "inch"},
	Inputs: []calc.Field{
		calc.Signed("/value", "", "number to convert").Need(),
		unitField("/from", "unit it is in"),
		unitField("/to", "unit that is wanted"),
	},
	Outputs: []calc.Field{
		calc.Gives("/value", "", "number in the unit that is wanted", "value·(from in SI)/(to in SI)", definitions, "/from", "/to"),
	},
	Equation: "value·(from in SI)/(to in SI)",
	Validity: "Units of one quantity. A metre of water here is the conventional one of 9806.65 Pa, for reading instruments; a real metre at 20 °C presses with 9789 Pa. Pressures keep what they are counted from.",
	Sources:  []string{definitions},
	Example:  []byte(`{"value": 30, "from": "psi", "to": "bar"}`),
}, ConvertIn{}, Convert)
