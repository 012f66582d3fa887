package parts

import (
	"fmt"

	"leat/calc"
)

// StockIn is a list of pieces to be cut from bars of one stock length.
type StockIn struct {
	Stock  float64     `json:"stock_m"`
	Kerf   float64     `json:"kerf_m"`
	Trim   float64     `json:"trim_m"`
	Pieces []StockWant `json:"pieces"`
}

// StockWant is a number of pieces of one length.
type StockWant struct {
	Len float64  `json:"len_m"`
	Qty calc.Int `json:"qty"` // 0: not given, 1
}

// StockOut says how many bars the pieces take.
type StockOut struct {
	LowerBound int     `json:"lower_bound"`
	FFDBars    int     `json:"ffd_bars"`
	Bars       int     `json:"bars"`
	Exact      bool    `json:"exact"`
	NetM       float64 `json:"net_m"`
	BoughtM    float64 `json:"bought_m"`
	WasteM     float64 `json:"waste_m"`
}

// MostPieces is how many pieces one plan may have.
const MostPieces = 10_000

// StockBars answers how many stock lengths pieces of several lengths take.
func StockBars(in StockIn) (StockOut, []calc.Warning, *calc.Fault) {
	var pieces []Tenths
	var net Tenths
	for _, want := range in.Pieces {
		for range max(1, want.Qty) {
			pieces = append(pieces, InTenths(want.Len))
			net += InTenths(want.Len)
		}
	}
	stock := InTenths(in.Stock)
	p := Pack(stock-InTenths(in.Trim), InTenths(in.Kerf), pieces)
	bought := Tenths(len(p.Bars)) * stock
	return StockOut{
		LowerBound: p.LowerBound, FFDBars: p.FirstFit, Bars: len(p.Bars), Exact: p.Exact,
		NetM: net.Metres(), BoughtM: bought.Metres(), WasteM: (bought - net).Metres(),
	}, nil, nil
}

// comesOut blames a piece that is longer than a bar, and one too many.
func comesOut(input map[string]any, list []any, i int) (faults []calc.Fault) {
	stock, known := calc.NumberIn(input, "stock_m")
	trim, _ := calc.NumberIn(input, "trim_m")
	length, ok := calc.NumberIn(list[i], "len_m")
	if known && ok && InTenths(length) > InTenths(stock)-InTenths(trim) {
		faults = append(faults, calc.Fault{Code: calc.Inconsistent, At: "/len_m", Message: fmt.Sprintf(
			"A piece of %.1f mm does not come out of a bar of %.1f mm less %.1f mm of trim. Buy longer bars, or join the piece from two.",
			1000*length, 1000*stock, 1000*trim)})
	}
	if before := pieceCount(list[:i]); before <= MostPieces && pieceCount(list[:i+1]) > MostPieces {
		faults = append(faults, calc.Fault{Code: calc.Range, At: "/qty", Message: fmt.Sprintf(
			"With these the list has more than %d pieces. Plan them in several lists.", MostPieces)})
	}
	return faults
}

func pieceCount(list []any) (n float64) {
	for _, entry := range list {
		qty, given := calc.NumberIn(entry, "qty")
		if !given {
			qty = 1
		}
		n += qty
	}
	return n
}

var stock = calc.New(calc.Description{
	Name: "safety/stock", Answers: "how many bars or stock lengths of pipe pieces of several lengths take",
	Words: []string{"cutting stock", "cut list", "bars", "offcut", "waste", "kerf", "saw"},
	Inputs: []calc.Field{
		stockField(),
		kerfField(),
		calc.Between("/trim_m", "m", 0, longest, "what is cut off each bar first to have a clean end").Preset("0"),
		calc.RecordsOf("/pieces", "the pieces to be cut",
			calc.Between("/len_m", "m", 1e-4, longest, "length of the piece").Need(),
			calc.AtLeast("/qty", "", 1, "how many of these").As(calc.Count).Preset("1"),
		).Need().Judged(comesOut),
	},
	Outputs: []calc.Field{
		calc.Gives("/lower_bound", "", "no plan can do with fewer bars", "⌈Σ(l + k)/(U + k)⌉, U = S − trim", wholeTenths, "/pieces", "/kerf_m", "/stock_m", "/trim_m").As(calc.Count),
		calc.Gives("/ffd_bars", "", "bars when each piece, longest first, comes from the first bar with room for it", "first fit decreasing", "common practice", "/pieces", "/kerf_m", "/stock_m", "/trim_m").As(calc.Count),
		calc.Gives("/bars", "", "bars of the best plan found", "search; of 24 pieces or fewer, all plans", wholeTenths, "/pieces", "/kerf_m", "/stock_m", "/trim_m").As(calc.Count),
		calc.Gives("/exact", "", "whether no plan has fewer bars", "all plans searched, or bars = lower bound", "logic", "/bars", "/lower_bound", "/pieces").As(calc.Flag),
		calc.Gives("/net_m", "m", "length of all pieces", "Σ l", wholeTenths, "/pieces"),
		calc.Gives("/bought_m", "m", "length of all bars", "bars·S", wholeTenths, "/bars", "/stock_m"),
		calc.Gives("/waste_m", "m", "what is left over, saw cuts included", "bought − net", wholeTenths, "/bought_m", "/net_m"),
	},
	Equation: "a bar takes pieces while Σ(l + k) ≤ U + k, U = S − trim",
	Validity: "Lengths are rounded to the nearest tenth of a millimetre first. The last saw cut may fall off the end. At most 10 000 pieces.",
	Sources:  []string{"cutting stock: first fit decreasing and exhaustive search, common practice"},
	Example:  []byte(`{"stock_m": 6, "pieces": [{"len_m": 2.2}, {"len_m": 1.7}, {"len_m": 1.4, "qty": 2}, {"len_m": 3.3, "qty": 2}, {"len_m": 2.1}, {"len_m": 1.1}, {"len_m": 1.3}]}`),
}, StockIn{}, StockBars)
