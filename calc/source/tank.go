package source

import (
	"math"

	"leat/calc"
)

// BalanceIn is a tank under a roof, day by day.
type BalanceIn struct {
	APlan        float64   `json:"A_plan"`   // m²
	Capacity     float64   `json:"capacity"` // m³
	Demand       float64   `json:"demand"`   // m³ a day
	RainMm       []float64 `json:"rain_mm"`
	C            float64   `json:"C"`
	FirstFlushMm float64   `json:"first_flush_mm"`
	VStart       float64   `json:"V_start"` // m³
}

// BalanceOut is where the water of a tank went.
type BalanceOut struct {
	InflowM3   float64 `json:"inflow_m3"`
	YieldM3    float64 `json:"yield_m3"`
	OverflowM3 float64 `json:"overflow_m3"`
	VEndM3     float64 `json:"V_end_m3"`
	ShortDays  int     `json:"short_days"`
}

// Balance answers what a rain tank gives, day by day: what is drawn on a day is
// there from the day before, and comes off before the tank overflows.
func Balance(in BalanceIn) (BalanceOut, []calc.Warning, *calc.Fault) {
	if in.Demand > in.Capacity {
		return BalanceOut{}, nil, &calc.Fault{Code: calc.Range, At: "/demand",
			Message: "More is drawn on a day than the tank holds. Take a larger tank, or draw less; both are in cubic metres."}
	}
	if in.VStart > in.Capacity {
		return BalanceOut{}, nil, &calc.Fault{Code: calc.Range, At: "/V_start",
			Message: "The tank starts with more than it holds. It starts with its capacity at most."}
	}
	out := BalanceOut{VEndM3: in.VStart}
	for _, rain := range in.RainMm {
		out.day(RainYield(in.APlan, rain, in.FirstFlushMm, in.C, 1), in.Demand, in.Capacity)
	}
	return out, nil, nil
}

func (out *BalanceOut) day(inflow, demand, capacity float64) {
	drawn := math.Min(demand, out.VEndM3)
	whole := out.VEndM3 + inflow - drawn
	kept := math.Min(whole, capacity-drawn)
	if drawn < demand {
		out.ShortDays++
	}
	out.InflowM3 += inflow
	out.YieldM3 += drawn
	out.OverflowM3 += whole - kept
	out.VEndM3 = kept
}

const (
	tankPractice = "common practice of rainwater tanks, no source"
	jenkins      = "Jenkins 1978, yield after spillage, from memory"
)

var tankBalance = calc.New(calc.Description{
	Name: "system/tank_balance", Answers: "what a rain tank gives day by day, and when it runs dry", Evidence: calc.OftenMeasured,
	Words: []string{"tank", "rain", "store", "overflow", "dry days"},
	Inputs: []calc.Field{
		calc.Positive("/A_plan", "m²", "area of the roof in plan").Need(),
		calc.Positive("/capacity", "m³", "what the tank holds").Need(),
		calc.AtLeast("/demand", "m³", 0, "what is drawn on every day").Need(),
		calc.ListOf(calc.AtLeast("/rain_mm", "mm", 0, "rain of each day")).Need(),
		calc.Share("/C", "share of the rain that reaches the tank").Preset("0.9"),
		calc.AtLeast("/first_flush_mm", "mm", 0, "first rain of each day that is let go").Preset("0"),
		calc.AtLeast("/V_start", "m³", 0, "water in the tank at the start").Preset("0"),
	},
	Outputs: []calc.Field{
		calc.Gives("/inflow_m3", "m³", "water that ran in", "sum of A·max(0, P − ff)/1000·C", tankPractice, "/A_plan", "/rain_mm", "/first_flush_mm", "/C"),
		calc.Gives("/yield_m3", "m³", "water that was drawn", "sum of Y = min(D, V)", jenkins, "/demand", "/inflow_m3", "/V_start"),
		calc.Gives("/overflow_m3", "m³", "water that ran over", "sum of V + I − Y − V'", jenkins, "/inflow_m3", "/yield_m3", "/capacity"),
		calc.Gives("/V_end_m3", "m³", "water left at the end", "V' = min(V + I − Y, S − Y)", jenkins, "/inflow_m3", "/yield_m3", "/capacity", "/V_start"),
		calc.Gives("/short_days", "", "days on which the tank gave less than wanted", "days with Y < D", "definition", "/demand", "/yield_m3").As(calc.Count),
	},
	Equation: "Y = min(D, V), V' = min(V + I − Y, S − Y)",
	Validity: "Steps of a day; what is drawn is there from the day before, so the tank is judged a little hard.",
	Sources:  []string{jenkins},
	Example:  []byte(`{"A_plan": 100, "capacity": 2, "demand": 0.4, "rain_mm": [12, 0, 0, 3, 25, 0, 0], "V_start": 1}`),
}, BalanceIn{C: 0.9}, Balance)
