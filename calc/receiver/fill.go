package receiver

import (
	"math"

	"leat/calc"
)

// FillIn is a receiver and what fills it. Pressures are absolute.
type FillIn struct {
	V      float64   `json:"V"`       // m³
	P1     float64   `json:"p1"`      // Pa
	P2     float64   `json:"p2"`      // Pa
	CurveP []float64 `json:"curve_p"` // Pa
	CurveQ []float64 `json:"curve_q"` // m³/s of free air
	PAtm   float64   `json:"p_atm"`   // Pa
	T      float64   `json:"T"`       // K
	TRef   float64   `json:"T_ref"`   // K
}

// FillOut is how long the filling takes.
type FillOut struct {
	TS   float64 `json:"t_s"`
	TMin float64 `json:"t_min"`
}

// SegmentIntegral returns ∫dp/Q in Pa·s/m³ over a rise of pressure dp, in Pa,
// along which the flow changes evenly from qa to qb, in m³/s:
//
//	Δp·ln(q_b/q_a)/(q_b − q_a),  Δp/q_a where both are the same
//
// Valid for qa and qb above 0.
//
// Source: integral of a straight line.
func SegmentIntegral(dp, qa, qb float64) float64 {
	change := (qb - qa) / qa
	switch {
	case change == 0:
		return dp / qa
	case math.Abs(change) < 0.5:
		return dp / qa * math.Log1p(change) / change // keeps its digits where the two are close
	}
	return dp * math.Log(qb/qa) / (qb - qa)
}

// Fill answers how long a machine takes to fill a receiver.
func Fill(in FillIn) (FillOut, []calc.Warning, *calc.Fault) {
	if fault := in.fault(); fault != nil {
		return FillOut{}, nil, fault
	}
	ps, qs := in.stations()
	var sum float64
	for i := range len(ps) - 1 {
		if qs[i] <= 0 || qs[i+1] <= 0 {
			return FillOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/curve_q",
				Message: "Between the two pressures the machine delivers nothing: it never gets there. Fill to a lower pressure, or dig the machine deeper."}
		}
		sum += SegmentIntegral(ps[i+1]-ps[i], qs[i], qs[i+1])
	}
	t := in.V / in.PAtm * in.TRef / in.T * sum
	return FillOut{TS: t, TMin: t / 60}, nil, nil
}

// stations returns the curve from the pressure at the start to that at the end.
func (in FillIn) stations() (ps, qs []float64) {
	at := func(p float64) {
		ps, qs = append(ps, p), append(qs, calc.Interpolate(p, in.CurveP, in.CurveQ))
	}
	at(in.P1)
	for _, p := range in.CurveP {
		if in.P1 < p && p < in.P2 {
			at(p)
		}
	}
	at(in.P2)
	return ps, qs
}

func (in FillIn) fault() *calc.Fault {
	if in.P2 <= in.P1 {
		return &calc.Fault{Code: calc.Range, At: "/p2", Message: "The pressure at the end must be above that at the start; both count from vacuum."}
	}
	for i := range len(in.CurveP) - 1 {
		if in.CurveP[i+1] <= in.CurveP[i] {
			return &calc.Fault{Code: calc.Range, At: "/curve_p", Message: "The pressures of the curve must rise from each to the next. Sort them, with the flow that belongs to each."}
		}
	}
	last := len(in.CurveP) - 1
	switch {
	case len(in.CurveQ) != len(in.CurveP) || last < 1:
		return &calc.Fault{Code: calc.Inconsistent, At: "/curve_q", Message: "The curve needs two points or more, and a flow for each pressure: both lists of one length."}
	case in.P1 < in.CurveP[0] || in.P2 > in.CurveP[last]:
		return &calc.Fault{Code: calc.Infeasible, At: "/curve_p",
			Message: "The curve does not reach from the pressure at the start to that at the end. Take more points of what the machine delivers, or fill less far: above its ceiling a trompe gives nothing."}
	}
	return nil
}

const straight = "ideal gas, straight lines between the points of the curve"

var fillTime = calc.New(calc.Description{
	Name: "system/fill_time", Answers: "how long a machine takes to fill a receiver", Evidence: calc.OftenMeasured,
	Words: []string{"receiver", "tank", "fill", "pump up", "charge", "time"},
	Inputs: []calc.Field{
		volume,
		calc.Positive("/p1", "Pa", "pressure at the start, absolute").Need(),
		calc.Positive("/p2", "Pa", "pressure at the end, absolute").Need(),
		calc.ListOf(calc.Positive("/curve_p", "Pa", "pressures of what the machine delivers, absolute, rising")).Need(),
		calc.ListOf(calc.Signed("/curve_q", "m³/s", "free air that it delivers at each of these pressures")).Need(),
		atmosphere, airTemp, freeTemp,
	},
	Outputs: []calc.Field{
		calc.Gives("/t_s", "s", "time", "t = (V/p_a)·(T_ref/T)·Σ∫dp/Q", straight, "/V", "/p1", "/p2", "/curve_p", "/curve_q", "/p_atm", "/T", "/T_ref"),
		calc.Gives("/t_min", "min", "time", "t/60", "unit", "/t_s"),
	},
	Equation: "t = (V/p_a)·(T_ref/T)·∫dp/Q",
	Validity: "Nothing is drawn while it fills, the air keeps its temperature. A trompe has a ceiling, and reaches it only after endless time.",
	Sources:  []string{straight},
	Example:  []byte(`{"V": 0.05, "p1": 101325, "p2": 180000, "curve_p": [101325, 150000, 200000], "curve_q": [0.0012, 0.0009, 0.0002]}`),
}, FillIn{PAtm: calc.Atmosphere, T: roomTemp, TRef: roomTemp}, Fill)
