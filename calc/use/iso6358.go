package use

import (
	"math"

	"leat/calc"
)

// ComponentIn is a valve, fitting or silencer with the figures of its maker.
type ComponentIn struct {
	C  float64 `json:"C"`  // m³/(s·Pa), sonic conductance
	P1 float64 `json:"p1"` // Pa
	B  float64 `json:"b"`
	P2 float64 `json:"p2"` // Pa
	T1 float64 `json:"T1"` // K
}

// ComponentOut is the air that a component lets through.
type ComponentOut struct {
	Choked   bool    `json:"choked"`
	Qm       float64 `json:"qm"`
	QANRM3s  float64 `json:"Q_anr_m3s"`
	QANRLmin float64 `json:"Q_anr_Lmin"`
}

// The reference air of ISO 6358: 100 kPa, 20 °C, 65 % humidity. From memory.
const anrDensity, anrK = 1.185, 293.15 // kg/m³, K

// ComponentFlow returns the mass flow in kg/s through a component of sonic
// conductance c in m³/(s·Pa) and critical ratio b, from p1 to p2 in Pa absolute,
// at t1 in K:
//
//	q_m = C·p₁·ρ₀·√(T₀/T₁)                                         p₂/p₁ up to b
//	q_m = C·p₁·ρ₀·√(T₀/T₁)·√(1 − ((p₂/p₁ − b)/(1 − b))²)   above
//
// Valid for p2 below p1 and b from 0 to below 1.
//
// Source: ISO 6358, from memory.
func ComponentFlow(c, b, p1, p2, t1 float64) float64 {
	choked := c * p1 * anrDensity * math.Sqrt(anrK/t1)
	if p2/p1 <= b {
		return choked
	}
	rest := (p1 - p2) / p1 / (1 - b) // 1 − (r − b)/(1 − b)
	return choked * math.Sqrt(rest*(2-rest))
}

// Component answers what air a component lets through.
func Component(in ComponentIn) (ComponentOut, []calc.Warning, *calc.Fault) {
	if fault := backwards(in.P1, in.P2); fault != nil {
		return ComponentOut{}, nil, fault
	}
	mass := ComponentFlow(in.C, in.B, in.P1, in.P2, in.T1)
	q := mass / anrDensity
	return ComponentOut{Choked: in.P2/in.P1 <= in.B, Qm: mass, QANRM3s: q, QANRLmin: 60_000 * q}, nil, nil
}

const iso6358 = "ISO 6358, from memory"

var component = calc.New(calc.Description{
	Name: "system/iso6358", Answers: "air through a valve or fitting whose maker states C and b", Evidence: calc.OftenMeasured,
	Words: []string{"valve", "fitting", "conductance", "C value", "b value", "ANR"},
	Inputs: []calc.Field{
		calc.Positive("/C", "m³/(s·Pa)", "sonic conductance; a maker's dm³/(s·bar) is 1e-8 of it").Need(),
		inlet("pressure before it"),
		calc.Between("/b", "", 0, 1, "critical pressure ratio, from the maker; below 1").Preset("0.5").Usually("0.2 to 0.5"),
		outlet(), inletK(),
	},
	Outputs: []calc.Field{
		calc.Gives("/choked", "", "less pressure behind brings no more", "p₂/p₁ up to b", iso6358, "/p1", "/p2", "/b").As(calc.Flag),
		calc.Gives("/qm", "kg/s", "mass flow", "C·p₁·ρ₀·√(T₀/T₁), above b times √(1 − ((p₂/p₁ − b)/(1 − b))²)", iso6358, "/C", "/p1", "/p2", "/b", "/T1"),
		calc.Gives("/Q_anr_m3s", "m³/s", "flow of air of 100 kPa, 20 °C, 65 % humidity (ANR)", "Q = q_m/1.185", iso6358, "/qm"),
		calc.Gives("/Q_anr_Lmin", "L/min", "flow of air of 100 kPa, 20 °C, 65 % humidity (ANR)", "60000·Q", "unit", "/Q_anr_m3s"),
	},
	Equation: "q_m = C·p₁·ρ₀·√(T₀/T₁)·√(1 − ((p₂/p₁ − b)/(1 − b))²), the last root 1 up to p₂/p₁ = b",
	Validity: "Components with figures measured by ISO 6358; ρ₀ = 1.185 kg/m³, T₀ = 293.15 K.",
	Sources:  []string{iso6358},
	Example:  []byte(`{"C": 2e-8, "p1": 701325, "b": 0.35, "p2": 601325}`),
}, ComponentIn{B: 0.5, P2: calc.Atmosphere, T1: room}, Component, calc.Relation[ComponentIn]{At: "/b", Code: calc.Range, Of: []string{"/b"}, Broken: func(in ComponentIn) string {
	if in.B < 1 {
		return ""
	}
	return "A critical ratio of 1 would let air through without any drop of pressure. It must be below 1; most components have 0.2 to 0.5."
}})
