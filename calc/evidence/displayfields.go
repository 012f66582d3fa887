package evidence

import (
	"math"

	"leat/calc"
)

const gum7 = "JCGM 100:2008, 7.2.6, from memory"

type displayIn struct {
	Value  calc.Reading `json:"value"`
	U      calc.Reading `json:"u"`
	Digits calc.Int     `json:"digits"`
}

type displayOut struct {
	Value     *float64 `json:"value"`
	U         *float64 `json:"u"`
	ValueText *string  `json:"value_text"`
	UText     *string  `json:"u_text"`
	Exponent  *int     `json:"exponent"`
	Status    string   `json:"status"`
}

func display(in displayIn) (displayOut, []calc.Warning, *calc.Fault) {
	value, u := float64(in.Value), float64(in.U)
	out := displayOut{Value: calc.OrNull(value), U: calc.OrNull(u), Status: "not_rounded"}
	if math.IsNaN(value) || math.IsNaN(u) || u == 0 {
		return out, nil, nil
	}
	s := Show(value, u, int(in.Digits))
	out.ValueText, out.UText, out.Exponent, out.Status = &s.Value, &s.U, &s.Exponent, OK
	return out, nil, nil
}

var displayed = calc.New(calc.Description{
	Name: "evidence/display", Answers: "how a value and its uncertainty are written",
	Words: []string{"rounding", "significant digits", "decimals", "uncertainty"},
	Inputs: []calc.Field{
		calc.Signed("/value", "", "the value").Gappy(),
		calc.AtLeast("/u", "", 0, "its uncertainty").Gappy(),
		calc.Counted("/digits", 1, 15, "digits that the uncertainty keeps").Preset("2"),
	},
	Outputs: []calc.Field{
		calc.Gives("/value", "", "the value as given", "value", gum7, "/digits"),
		calc.Gives("/u", "", "the uncertainty as given", "u", gum7, "/digits"),
		calc.Gives("/value_text", "", "the value as written; none where nothing is known of its uncertainty", "rounded to the place of the uncertainty, half to even", gum7, "/value", "/exponent").As(calc.Text),
		calc.Gives("/u_text", "", "the uncertainty as written", "rounded to its digits, half to even", gum7, "/u", "/exponent").As(calc.Text),
		calc.Gives("/exponent", "", "power of ten of the last place that is kept", "place of the first figure of u − digits + 1; one more where rounding carries", gum7, "/u", "/digits").As(calc.Count),
		calc.Gives("/status", "", "state: ok or not_rounded", "not rounded where value or uncertainty is missing or the uncertainty is 0", gum7, "/value", "/u").As(calc.Text),
	},
	Equation: "u to two digits, the value to the same place",
	Validity: "For what people read. What is stored and calculated with keeps all its digits.",
	Sources:  []string{gum7},
	Example:  []byte(`{"value": 10.05762, "u": 0.027}`),
}, displayIn{Digits: 2}, display)
