package ram

import (
	"math"

	"leat/calc"
)

// ValveIn is a waste valve and what holds it open.
type ValveIn struct {
	FHold     float64 `json:"F_hold"`     // N
	DiscArea  float64 `json:"disc_area"`  // m²
	PortArea  float64 `json:"port_area"`  // m²
	DriveArea float64 `json:"drive_area"` // m²
	CForce    float64 `json:"C_force"`
}

// ValveOut is the flow that shuts it.
type ValveOut struct {
	VPort  float64 `json:"v_port"`
	VClose float64 `json:"V_close"`
}

// ClosingSpeed returns the speed of the water in the port, in m/s, that shuts a
// waste valve:
//
//	v = √(2·F/(ρ·C_f·A))
//
// force F that holds it open is in N, rho in kg/m³, cf the coefficient C_f of
// the flow force, disc its area A in m².
//
// Valid as an estimate.
//
// Source: flow force by stagnation pressure; C_f of 1 to 2.5 is common
// practice, no source.
func ClosingSpeed(rho, cf, force, disc float64) float64 {
	return math.Sqrt(2 * force / (rho * cf * disc))
}

// WasteValve answers at what speed of the water a waste valve shuts.
func WasteValve(in ValveIn) (ValveOut, []calc.Warning, *calc.Fault) {
	v := ClosingSpeed(calc.WaterDensity, in.CForce, in.FHold, in.DiscArea)
	return ValveOut{VPort: v, VClose: v * in.PortArea / in.DriveArea}, []calc.Warning{{Code: "W_ESTIMATE",
		Message: "This is an estimate only: the flow force depends on the shape of the valve. Build the weight or spring adjustable, count the beats, and set it by them."}}, nil
}

const flowForce = "flow force by stagnation pressure; C_f of 1 to 2.5 common practice, no source"

var wasteValve = calc.New(calc.Description{
	Name: "system/waste_valve", Answers: "speed of the water at which the waste valve of a ram shuts", Evidence: calc.ModelOnly,
	Words: []string{"ram", "waste valve", "spring", "weight", "beats"},
	Inputs: []calc.Field{
		calc.Positive("/F_hold", "N", "force that holds the valve open: its weight under water, or its spring").Need(),
		calc.Positive("/disc_area", "m²", "area of the disc").Need(),
		calc.Positive("/port_area", "m²", "area of the opening that the water leaves by").Need(),
		calc.Positive("/drive_area", "m²", "area of the bore of the drive pipe").Need(),
		calc.Positive("/C_force", "", "coefficient of the flow force").Preset("1.5").Usually("1 to 2.5"),
	},
	Outputs: []calc.Field{
		calc.Gives("/v_port", "m/s", "speed of the water in the opening", "v = √(2·F/(ρ·C_f·A_disc)), ρ = 998.2", flowForce, "/F_hold", "/C_force", "/disc_area"),
		calc.Gives("/V_close", "m/s", "speed of the water in the drive pipe", "v·A_port/A_drive", continued, "/v_port", "/port_area", "/drive_area"),
	},
	Equation: "V_close = √(2·F/(ρ·C_f·A_disc))·A_port/A_drive",
	Validity: "An estimate for a first setting.",
	Sources:  []string{flowForce},
	Example:  []byte(`{"F_hold": 12, "disc_area": 0.0028, "port_area": 0.0016, "drive_area": 0.00216}`),
}, ValveIn{CForce: 1.5}, WasteValve)
