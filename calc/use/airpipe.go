package use

import (
	"math"

	"leat/calc"
	"leat/calc/pipe"
)

// PipeIn is an air pipe and the flow in it, as mass or as free air.
type PipeIn struct {
	P1    float64  `json:"p1"`     // Pa
	D     float64  `json:"D"`      // m
	L     float64  `json:"L"`      // m
	Qm    *float64 `json:"qm"`     // kg/s
	QFree float64  `json:"Q_free"` // m³/s
	T     float64  `json:"T"`      // K
	Eps   float64  `json:"eps"`    // m
	K     float64  `json:"K"`
	Mu    float64  `json:"mu"`     // Pa·s
	PFree float64  `json:"p_free"` // Pa
	TFree float64  `json:"T_free"` // K
}

// PipeOut is what an air pipe leaves of the pressure.
type PipeOut struct {
	P2 float64 `json:"p2"`
	Dp float64 `json:"dp"`
	Re float64 `json:"Re"`
	F  float64 `json:"f"`
	V1 float64 `json:"v1"`
	V2 float64 `json:"v2"`
}

// PipeDrop returns the share of the inlet pressure p1 in Pa absolute that a pipe
// takes from air at one temperature, and whether the air gets through at all:
//
//	p₁² − p₂² = G²·R·T·(N + 2·ln(p₁/p₂)), p₂ = p₁·(1 − share), N = f·L/D + ΣK
//
// flux G is the mass flow over the section in kg/(s·m²), t in K. Newton's
// method from no drop: the curve bends down, so it never steps too far.
//
// Valid for steady flow at one temperature, up to choking at the end.
//
// Source: isothermal flow of a gas in a pipe, textbook.
func PipeDrop(p1, flux, t, n float64) (share float64, passes bool) {
	speed := flux / p1 * math.Sqrt(calc.AirR*t) // the inlet's share of the speed at which the end chokes
	w := speed * speed
	if !(speed < 1 && 1-w+2*w*math.Log(speed) >= w*n) {
		return 0, false
	}
	for range 100 {
		step := (w*n - share*(2-share) - 2*w*math.Log1p(-share)) / (2*(1-share) - 2*w/(1-share))
		share = math.Min(share+step, 1-speed)
		if !(step > 1e-16*share) {
			break
		}
	}
	return share, true
}

// Pipe answers what pressure is left at the end of an air pipe.
func Pipe(in PipeIn) (PipeOut, []calc.Warning, *calc.Fault) {
	if fault := pipe.Rough(in.Eps, in.D); fault != nil {
		return PipeOut{}, nil, fault
	}
	mass, at := in.QFree*in.PFree/(calc.AirR*in.TFree), "/Q_free"
	if in.Qm != nil {
		mass, at = *in.Qm, "/qm"
	}
	flux := mass / (math.Pi / 4 * in.D * in.D)
	re := flux * in.D / in.Mu
	f := pipe.Friction(re, in.Eps/in.D)
	share, passes := PipeDrop(in.P1, flux, in.T, f*in.L/in.D+in.K)
	if !passes {
		return PipeOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: at,
			Message: "So much air does not get through this pipe at this pressure: it would have to be faster than sound. Take a wider or shorter pipe, more pressure, or less air."}
	}
	p2 := in.P1 * (1 - share)
	volume := flux * calc.AirR * in.T
	out := PipeOut{P2: p2, Dp: in.P1 * share, Re: re, F: f, V1: volume / in.P1, V2: volume / p2}
	return out, out.warnings(in.P1), nil
}

func (out PipeOut) warnings(p1 float64) (warnings []calc.Warning) {
	if out.Dp > 0.1*p1 {
		warnings = append(warnings, calc.Warning{Code: "W_DROP", Message: "The pipe takes more than a tenth of the pressure. Take a wider or shorter one."})
	}
	if out.V2 > 15 {
		warnings = append(warnings, calc.Warning{Code: "W_FAST", Message: "The air runs faster than 15 m/s at the end: it carries water along and is loud. Take a wider pipe."})
	}
	return warnings
}
