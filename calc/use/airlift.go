package use

import (
	"math"

	"leat/calc"
)

// AirliftIn is a tube with air let in at its foot.
type AirliftIn struct {
	D     float64 `json:"D"`           // m
	S     float64 `json:"submergence"` // m
	Lift  float64 `json:"lift"`        // m
	QFree float64 `json:"Q_free"`      // m³/s
	PAtm  float64 `json:"p_atm"`       // Pa
	Rho   float64 `json:"rho"`         // kg/m³
	Sigma float64 `json:"sigma"`       // N/m
	Nu    float64 `json:"nu"`          // m²/s
}

// AirliftOut is the water that an airlift raises.
type AirliftOut struct {
	Ratio      float64 `json:"submergence_ratio"`
	Void       float64 `json:"void"`
	Water      float64 `json:"Q_water"`
	WaterLmin  float64 `json:"Q_water_Lmin"`
	PAirGauge  float64 `json:"p_air_gauge"`
	Efficiency float64 `json:"efficiency"`
}

// SlugSpeed returns how fast a long bubble rises in still water in a tube, in m/s:
//
//	V_s = 0.352·(1 − 3.18·Σ − 14.77·Σ²)·√(g·D), Σ = σ/(ρ·g·D²)
//
// g is in m/s², bore d in m, sigma in N/m, rho in kg/m³. In tubes too narrow it
// is not above zero: the bubble sticks.
//
// Valid for Σ from 0.02 to 0.2, tubes of some 3 to 25 mm.
//
// Source: Reinemann, Parlange and Timmons, Int. J. Multiphase Flow 16, 113 (1990), from memory.
func SlugSpeed(g, d, sigma, rho float64) float64 {
	s := sigma / (rho * g * d * d)
	return 0.352 * (1 - 3.18*s - 14.77*s*s) * math.Sqrt(g*d)
}

// SlugFriction returns Darcy's friction factor of slugs in a smooth tube:
//
//	f = 64/Re below 2300, 0.316·Re^(−1/4) above 4000, linear in Re between
//
// Valid up to Re of some 100000.
//
// Source: Hagen and Poiseuille; Blasius; from memory.
func SlugFriction(re float64) float64 {
	switch {
	case re < 2300:
		return 64 / re
	case re > 4000:
		return 0.316 * math.Pow(re, -0.25)
	}
	low, high := 64.0/2300, 0.316*math.Pow(4000, -0.25)
	return low + (re-2300)/1700*(high-low)
}

// Airlift answers what water an airlift raises.
func Airlift(in AirliftIn) (AirliftOut, []calc.Warning, *calc.Fault) {
	slug := SlugSpeed(calc.Gravity, in.D, in.Sigma, in.Rho)
	if slug <= 0 {
		return AirliftOut{}, nil, &calc.Fault{Code: calc.Range, At: "/D",
			Message: "The tube is so narrow that surface tension holds the bubbles. In clean water they rise in tubes above 6.5 mm; take a wider one."}
	}
	water, void, ok := in.solve(slug)
	if !ok {
		return AirliftOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/Q_free",
			Message: "No water comes over the top with this air. Hang the tube deeper, lift less, or change air and bore: too little air does not reach the top, and too much fills a narrow tube."}
	}
	foot := in.Rho * calc.Gravity * in.S
	out := AirliftOut{Ratio: in.S / (in.S + in.Lift), Void: void, Water: water, WaterLmin: 60_000 * water, PAirGauge: foot,
		Efficiency: in.Rho * calc.Gravity * water * in.Lift / AirPower(in.QFree, in.PAtm, foot)}
	if out.Efficiency >= 1 && !math.IsInf(out.Efficiency, 0) {
		return AirliftOut{}, nil, &calc.Fault{Code: calc.Bound,
			Message: "The water would gain more than the air can give. This is a defect of leat: please report the input."}
	}
	return out, out.warnings(in), nil
}

// AirPower returns the power in W that free air gives when it expands at one
// temperature:
//
//	P = p_a·Q·ln(1 + p/p_a)
//
// free air is in m³/s, the open air in Pa absolute, p in Pa gauge.
//
// Valid for an ideal gas; no machine gets more.
//
// Source: isothermal expansion, textbook.
func AirPower(free, open, gauge float64) float64 { return open * free * math.Log1p(gauge/open) }

// solve bisects ln of the flow of water: the heavier the tube stands, the less
// its submergence carries, so there is one balance at most.
func (in AirliftIn) solve(slug float64) (water, void float64, ok bool) {
	area := math.Pi / 4 * in.D * in.D
	low, high := 1e-12, 20*area
	if rest, _ := in.balance(area, slug, low); !(rest > 0) {
		return 0, 0, false
	}
	if rest, _ := in.balance(area, slug, high); !(rest < 0) {
		return 0, 0, false
	}
	a, b := math.Log(low), math.Log(high)
	for range 60 {
		middle := (a + b) / 2
		if rest, _ := in.balance(area, slug, math.Exp(middle)); rest > 0 {
			a = middle
		} else {
			b = middle
		}
	}
	water = math.Exp((a + b) / 2)
	_, void = in.balance(area, slug, water)
	return water, void, true
}

// balance returns what is left of the submergence, in m of water, when a flow of
// water stands in the tube and rubs along it.
func (in AirliftIn) balance(area, slug, water float64) (rest, void float64) {
	gas := in.QFree * in.PAtm / (in.PAtm + in.Rho*calc.Gravity*in.S/2)
	j := (gas + water) / area
	void = gas / area / (1.2*j + slug)
	f := SlugFriction(j * in.D / in.Nu)
	return in.S - (in.S+in.Lift)*(1-void)*(1+f*j*j/(2*calc.Gravity*in.D)), void
}
