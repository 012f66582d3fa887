package use

import (
	"math"

	"leat/calc"
)

// EmpiricalIn is an air pipe in the units of the workshop's formula.
type EmpiricalIn struct {
	QM3min float64 `json:"q_m3min"`     // m³/min of free air
	L      float64 `json:"L"`           // m
	DMm    float64 `json:"d_mm"`        // mm
	P      float64 `json:"p_kgcm2_abs"` // kgf/cm²
}

// EmpiricalOut is the pressure lost by the workshop's formula.
type EmpiricalOut struct {
	DpKgcm2 float64 `json:"dp_kgcm2"`
	DpPa    float64 `json:"dp_Pa"`
}

const kgfPerCm2 = 98066.5 // Pa, by definition

// EmpiricalDrop returns the pressure lost in an air pipe in kgf/cm²:
//
//	Δp = 7.57e4·q^1.85·L/(d⁵·p)
//
// q is in m³/min of free air, length in m, bore in mm, p in kgf/cm² absolute.
//
// Valid for usual shop pipes, within 20 %, and for drops small against p.
//
// Source: Engineering ToolBox, Pressure drop in compressed air pipes, equation 1, read.
func EmpiricalDrop(q, length, bore, p float64) float64 {
	return 7.57e4 * math.Pow(q, 1.85) * length / (math.Pow(bore, 5) * p)
}

// Empirical answers what pressure an air pipe takes, as a second opinion.
func Empirical(in EmpiricalIn) (EmpiricalOut, []calc.Warning, *calc.Fault) {
	dp := EmpiricalDrop(in.QM3min, in.L, in.DMm, in.P)
	return EmpiricalOut{DpKgcm2: dp, DpPa: kgfPerCm2 * dp}, nil, nil
}

const toolbox = "Engineering ToolBox, Pressure drop in compressed air pipes, equation 1, read"

var empirical = calc.New(calc.Description{
	Name: "system/air_pipe_empirical", Answers: "pressure lost in an air pipe, a second opinion", Evidence: calc.OftenMeasured,
	Words: []string{"air line", "pipe", "pressure drop", "rule of thumb"},
	Inputs: []calc.Field{
		calc.Positive("/q_m3min", "m³/min", "flow of free air").Need(),
		calc.Positive("/L", "m", "length of the pipe").Need(),
		calc.Positive("/d_mm", "mm", "bore of the pipe").Need(),
		calc.Positive("/p_kgcm2_abs", "kgf/cm²", "pressure at the start, absolute; 1 kgf/cm² is 98066.5 Pa").Need(),
	},
	Outputs: []calc.Field{
		calc.Gives("/dp_kgcm2", "kgf/cm²", "pressure lost", "Δp = 7.57e4·q^1.85·L/(d⁵·p)", toolbox, "/q_m3min", "/L", "/d_mm", "/p_kgcm2_abs"),
		calc.Gives("/dp_Pa", "Pa", "pressure lost", "98066.5·Δp", "unit", "/dp_kgcm2"),
	},
	Equation: "Δp = 7.57e4·q^1.85·L/(d⁵·p)",
	Validity: "Usual shop pipes, within 20 %; the drop is small against the pressure.",
	Sources:  []string{toolbox},
	Example:  []byte(`{"q_m3min": 0.18, "L": 25, "d_mm": 20, "p_kgcm2_abs": 2.05}`),
}, EmpiricalIn{}, Empirical)
