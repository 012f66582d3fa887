package parts

import (
	"fmt"

	"leat/calc"
)

// TubesIn is a number of equal tubes, cut from stock lengths.
type TubesIn struct {
	Count    calc.Int `json:"count"`
	Length   float64  `json:"length_m"`
	Stock    float64  `json:"stock_m"`
	Kerf     float64  `json:"kerf_m"`
	EndWaste float64  `json:"end_waste_m"`
}

// TubesOut says how many stock lengths they take.
type TubesOut struct {
	PerStock int     `json:"per_stock"`
	Stocks   int     `json:"stocks"`
	NetM     float64 `json:"net_m"`
	BoughtM  float64 `json:"bought_m"`
	WasteM   float64 `json:"waste_m"`
}

// Tubes answers how many stock lengths a number of equal tubes takes.
func Tubes(in TubesIn) (out TubesOut, _ []calc.Warning, _ *calc.Fault) {
	length, stock, kerf, end := InTenths(in.Length), InTenths(in.Stock), InTenths(in.Kerf), InTenths(in.EndWaste)
	if stock-end < length {
		return out, nil, &calc.Fault{Code: calc.Inconsistent, At: "/length_m", Message: fmt.Sprintf(
			"No tube of %.1f mm comes out of a stock length of %.1f mm less %.1f mm at the end. Buy longer stock, or make the tubes shorter.",
			1000*in.Length, 1000*in.Stock, 1000*in.EndWaste)}
	}
	count := Tenths(in.Count)
	out.PerStock = int((stock - end + kerf) / (length + kerf))
	out.Stocks = count.over(Tenths(out.PerStock))
	net, bought := count*length, Tenths(out.Stocks)*stock
	out.NetM, out.BoughtM, out.WasteM = net.Metres(), bought.Metres(), (bought - net).Metres()
	return out, nil, nil
}

// What bought and waste follow from, for all calculations of stock lengths.
const wholeTenths = "arithmetic in whole tenths of a millimetre"

func kerfField() calc.Field {
	return calc.Between("/kerf_m", "m", 0, longest, "width of the saw cut").Preset("0")
}

func stockField() calc.Field {
	return calc.Between("/stock_m", "m", 1e-4, longest, "length in which it is sold").Need()
}

var tubes = calc.New(calc.Description{
	Name: "safety/tubes", Answers: "how many stock lengths a bundle of equal tubes takes",
	Words: []string{"tubes", "air tubes", "stock", "kerf", "cut", "waste"},
	Inputs: []calc.Field{
		calc.Counted("/count", 1, 1e6, "how many tubes").Need(),
		calc.Between("/length_m", "m", 1e-4, longest, "length of one tube").Need(),
		stockField(),
		kerfField(),
		calc.Between("/end_waste_m", "m", 0, longest, "what can't be used of each stock length").Preset("0"),
	},
	Outputs: []calc.Field{
		calc.Gives("/per_stock", "", "tubes from one stock length", "⌊(S − end + k)/(L + k)⌋", wholeTenths, "/stock_m", "/end_waste_m", "/kerf_m", "/length_m").As(calc.Count),
		calc.Gives("/stocks", "", "stock lengths to buy", "⌈n/per stock⌉", wholeTenths, "/count", "/per_stock").As(calc.Count),
		calc.Gives("/net_m", "m", "length of all tubes", "n·L", wholeTenths, "/count", "/length_m"),
		calc.Gives("/bought_m", "m", "length bought", "stocks·S", wholeTenths, "/stocks", "/stock_m"),
		calc.Gives("/waste_m", "m", "what is left over, saw cuts included", "bought − net", wholeTenths, "/bought_m", "/net_m"),
	},
	Equation: "per stock = ⌊(S − end + k)/(L + k)⌋, stocks = ⌈n/per stock⌉",
	Validity: "Lengths are rounded to the nearest tenth of a millimetre first. The last saw cut may fall off the end.",
	Sources:  []string{wholeTenths},
	Example:  []byte(`{"count": 26, "length_m": 0.4, "stock_m": 3, "kerf_m": 0.002}`),
}, TubesIn{}, Tubes)
