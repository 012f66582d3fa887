package pipe

import (
	"math"

	"leat/calc"
)

// LossIn is a pipe and the flow in it.
type LossIn struct {
	D   float64 `json:"D"`   // m
	L   float64 `json:"L"`   // m
	Q   float64 `json:"Q"`   // m³/s
	Eps float64 `json:"eps"` // m
	K   float64 `json:"K"`
	Nu  float64 `json:"nu"`  // m²/s
	Rho float64 `json:"rho"` // kg/m³
}

// LossOut is what a pipe does to the flow in it.
type LossOut struct {
	V      float64 `json:"v"`
	Re     float64 `json:"Re"`
	F      float64 `json:"f"`
	Regime string  `json:"regime"`
	HLoss  float64 `json:"h_loss"`
	DpPa   float64 `json:"dp_Pa"`
}

// Loss answers what head and pressure a flow loses in a full pipe.
func Loss(in LossIn) (LossOut, []calc.Warning, *calc.Fault) {
	if fault := Rough(in.Eps, in.D); fault != nil {
		return LossOut{}, nil, fault
	}
	out := in.at(in.Q)
	return out, out.warnings(), nil
}

// at works out the pipe with another flow.
func (in LossIn) at(q float64) LossOut {
	v := 4 * q / (math.Pi * in.D * in.D)
	re := Reynolds(v, in.D, in.Nu)
	f := Friction(re, in.Eps/in.D)
	h := HeadLoss(f, in.L, in.D, in.K, v, calc.Gravity)
	return LossOut{V: v, Re: re, F: f, Regime: Regime(re), HLoss: h, DpPa: in.Rho * calc.Gravity * h}
}

// Rough refuses a wall whose roughness fills the bore. Both are in m.
func Rough(eps, bore float64) *calc.Fault {
	if eps < bore/2 {
		return nil
	}
	return &calc.Fault{Code: calc.Range, At: "/eps",
		Message: "The roughness of the wall is half the bore or more: no way is left for the flow. It must be below half the bore. Plastic has 0.0000015 m, steel 0.000046 m; look for a slipped unit."}
}

func (out LossOut) warnings() (warnings []calc.Warning) {
	if out.Regime == Transitional {
		warnings = append(warnings, calc.Warning{Code: "W_TRANSITION",
			Message: "The flow is neither calm nor fully turbulent, and the friction may be off by half either way. Take another bore or flow, or leave room for it."})
	}
	if out.V > 3 {
		warnings = append(warnings, calc.Warning{Code: "W_FAST",
			Message: "The water runs faster than 3 m/s: it is loud, wears bends, and kicks hard when a valve shuts. Take a wider pipe."})
	}
	return warnings
}

const (
	moody  = "Colebrook 1939 and Moody's roughnesses, from memory"
	darcy  = "Darcy and Weisbach"
	fitted = "typical loss coefficients of fittings, from memory"
)

// bore and its fellows are the fields that every calculation of a full pipe has.
var (
	bore   = calc.Positive("/D", "m", "bore of the pipe").Need()
	length = calc.Positive("/L", "m", "length of the pipe").Need()
	walls  = []calc.Field{
		calc.AtLeast("/eps", "m", 0, "roughness of the wall: drawn plastic or copper 0.0000015, steel 0.000046, galvanised 0.00015, cast iron 0.00026").Preset("0.0000015"),
		calc.AtLeast("/K", "", 0, "sum of the loss coefficients of what is fitted: sharp entry 0.5, exit 1, elbow 0.75 to 0.9, long bend 0.3, open ball valve 0.05, check valve 1.5 to 2.5").Preset("0"),
		calc.Positive("/nu", "m²/s", "kinematic viscosity of the water").Preset("0.000001004"),
		calc.Positive("/rho", "kg/m³", "density of the water").Preset("998.2"),
	}
	losses = []calc.Field{
		calc.Gives("/v", "m/s", "speed of the water", "v = 4·Q/(π·D²)", "continuity", "/Q", "/D"),
		calc.Gives("/Re", "", "Reynolds number", "Re = v·D/ν", "definition", "/v", "/D", "/nu"),
		calc.Gives("/f", "", "Darcy's friction factor", "64/Re below 2300; 1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f)) from 4000; linear in Re between", moody, "/Re", "/eps", "/D"),
		calc.Gives("/regime", "", "kind of flow", "Re against 2300 and 4000", "common practice, no source", "/Re").As(calc.Text),
		calc.Gives("/h_loss", "m", "head lost", "h = (f·L/D + ΣK)·v²/(2g)", darcy, "/f", "/L", "/D", "/K", "/v"),
		calc.Gives("/dp_Pa", "Pa", "pressure lost", "Δp = ρ·g·h", "hydrostatics", "/rho", "/h_loss"),
	}
	still = LossIn{Eps: 1.5e-6, Nu: calc.WaterNu, Rho: calc.WaterDensity}
)

const fullPipe = "Full pipe, steady flow, ε below D/2. Friction within 10 %, fittings within 30 %, within 50 % from Re 2300 to 4000."

var loss = calc.New(calc.Description{
	Name: "system/pipe_loss", Answers: "head and pressure that a flow loses in a pipe or hose", Evidence: calc.OftenMeasured,
	Words:    []string{"pipe", "hose", "friction", "loss", "pressure drop", "bend"},
	Inputs:   append([]calc.Field{bore, length, calc.Positive("/Q", "m³/s", "flow").Need()}, walls...),
	Outputs:  losses,
	Equation: "h = (f·L/D + ΣK)·v²/(2g), f by Colebrook",
	Validity: fullPipe,
	Sources:  []string{darcy, moody, fitted},
	Example:  []byte(`{"D": 0.1, "L": 30, "Q": 0.01, "K": 1.5}`),
}, still, Loss)
