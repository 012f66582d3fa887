package ram

import (
	"math"

	"leat/calc"
)

// LiftIn is a ram that feeds a trompe standing above it.
type LiftIn struct {
	Q         float64 `json:"Q"`        // m³/s
	Fall      float64 `json:"H"`        // m
	Feed      float64 `json:"h_feed"`   // m
	Outlet    float64 `json:"h_outlet"` // m
	EtaRam    float64 `json:"eta_ram"`
	EtaTrompe float64 `json:"eta_trompe"`
	PAtm      float64 `json:"p_atm"` // Pa
	Rho       float64 `json:"rho"`   // kg/m³
}

// LiftOut is what such a machine gives.
type LiftOut struct {
	Q            float64 `json:"q"`
	P2Gauge      float64 `json:"p2_gauge"`
	PWaterW      float64 `json:"P_water_W"`
	PLiftedW     float64 `json:"P_lifted_W"`
	PAirW        float64 `json:"P_air_W"`
	QFreeM3s     float64 `json:"Q_free_m3s"`
	QFreeLmin    float64 `json:"Q_free_Lmin"`
	PAirDirectW  float64 `json:"P_air_direct_W"`
	LossVsDirect float64 `json:"loss_vs_direct"`
}

// WaterPower returns the power in W of falling water:
//
//	P = ρ·g·Q·H
//
// rho is in kg/m³, g in m/s², the flow in m³/s, the fall in m.
//
// Valid everywhere.
//
// Source: mechanics.
func WaterPower(rho, g, flow, fall float64) float64 { return rho * g * flow * fall }

// FreeAir returns the free air in m³/s that a power compresses slowly:
//
//	Q = P/(p_a·ln(1 + p/p_a))
//
// power is in W, pa and the pressure gauge above it in Pa.
//
// Valid for isothermal compression of an ideal gas.
//
// Source: isothermal work.
func FreeAir(power, pa, gauge float64) float64 { return power / (pa * math.Log1p(gauge/pa)) }

// Lift answers what a ram gives that feeds a taller trompe.
func Lift(in LiftIn) (LiftOut, []calc.Warning, *calc.Fault) {
	if fault := in.fault(); fault != nil {
		return LiftOut{}, nil, fault
	}
	const g = calc.Gravity
	q := Delivery(in.EtaRam, in.Q, in.Fall, in.Feed)
	out := LiftOut{Q: q, P2Gauge: in.Rho * g * in.Outlet, PWaterW: WaterPower(in.Rho, g, in.Q, in.Fall), PLiftedW: WaterPower(in.Rho, g, q, in.Feed)}
	out.PAirW = in.EtaTrompe * WaterPower(in.Rho, g, q, in.Feed-in.Outlet)
	out.QFreeM3s = FreeAir(out.PAirW, in.PAtm, out.P2Gauge)
	out.QFreeLmin = perMinute * out.QFreeM3s
	out.PAirDirectW = in.EtaTrompe * out.PWaterW
	out.LossVsDirect = 1 - out.PAirW/out.PAirDirectW
	return out, nil, nil
}

func (in LiftIn) fault() *calc.Fault {
	if in.Feed <= in.Fall {
		return &calc.Fault{Code: calc.Infeasible, At: "/h_feed",
			Message: "The feed of the trompe stands no higher than the intake: the water runs there without a ram. Both count from the waste valve."}
	}
	if in.Outlet >= in.Feed {
		return &calc.Fault{Code: calc.Infeasible, At: "/h_outlet",
			Message: "The outlet stands as high as the feed, so no fall is left for the trompe. Put it lower: the difference drives the trompe, its height over the chamber makes the pressure."}
	}
	return nil
}

const (
	hydrostatics = "hydrostatics"
	isothermal   = "isothermal work of an ideal gas"
	mechanics    = "mechanics"
)

var lift = calc.New(calc.Description{
	Name: "system/boost_lift", Answers: "pressure and air of a trompe that a ram feeds from above", Evidence: calc.CombinedParts,
	Words: []string{"ram", "trompe", "boost", "lift", "pressure"},
	Inputs: []calc.Field{
		calc.Positive("/Q", "m³/s", "flow into the ram, what is wasted included").Need(),
		fall,
		calc.Positive("/h_feed", "m", "height of the feed of the trompe over the waste valve").Need(),
		calc.Positive("/h_outlet", "m", "height of the outlet of the trompe over its chamber").Need(),
		calc.Share("/eta_ram", "D'Aubuisson's efficiency of the ram").Preset("0.6"),
		calc.Share("/eta_trompe", "efficiency of the trompe").Preset("0.5"),
		atmosphere, density,
	},
	Outputs: []calc.Field{
		calc.Gives("/q", "m³/s", "flow lifted to the trompe", "q = η_ram·Q·H/h_feed", jennings, "/eta_ram", "/Q", "/H", "/h_feed"),
		calc.Gives("/p2_gauge", "Pa", "pressure of the air", "ρ·g·h_outlet", hydrostatics, "/rho", "/h_outlet"),
		calc.Gives("/P_water_W", "W", "power of the water at the ram, more than anything below", "ρ·g·Q·H", mechanics, "/rho", "/Q", "/H"),
		calc.Gives("/P_lifted_W", "W", "power of the water lifted", "ρ·g·q·h_feed", mechanics, "/rho", "/q", "/h_feed"),
		calc.Gives("/P_air_W", "W", "power of the air", "η_trompe·ρ·g·q·(h_feed − h_outlet)", mechanics, "/eta_trompe", "/rho", "/q", "/h_feed", "/h_outlet"),
		calc.Gives("/Q_free_m3s", "m³/s", "free air", "P/(p_a·ln(p₂/p_a))", isothermal, "/P_air_W", "/p_atm", "/p2_gauge"),
		calc.Gives("/Q_free_Lmin", "L/min", "free air", "60000·Q", "unit", "/Q_free_m3s"),
		calc.Gives("/P_air_direct_W", "W", "power of the air of a trompe straight in the fall", "η_trompe·ρ·g·Q·H", mechanics, "/eta_trompe", "/P_water_W"),
		calc.Gives("/loss_vs_direct", "", "share of that which the lift costs", "1 − P_air/P_direct", defined, "/P_air_W", "/P_air_direct_W"),
	},
	Equation: "P_air = η_trompe·ρ·g·q·(h_feed − h_outlet), q = η_ram·Q·H/h_feed",
	Validity: "Ram and trompe are each well known, the two together are not measured. The lift never adds energy, it buys pressure; a deeper chamber buys it without this loss.",
	Sources:  []string{jennings, isothermal},
	Example:  []byte(`{"Q": 0.01, "H": 3, "h_feed": 12, "h_outlet": 8}`),
}, LiftIn{EtaRam: 0.6, EtaTrompe: 0.5, PAtm: calc.Atmosphere, Rho: calc.WaterDensity}, Lift)
