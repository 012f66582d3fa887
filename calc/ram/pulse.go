package ram

import (
	"math"

	"leat/calc"
)

// PulseIn is a ram whose beats compress the air of a trompe further.
type PulseIn struct {
	Ram       CycleIn `json:"ram"`
	Trompe    float64 `json:"p_trompe_gauge"`   // Pa
	P2Gauge   float64 `json:"p2_gauge"`         // Pa
	Stroke    float64 `json:"stroke_volume"`    // m³
	Clearance float64 `json:"clearance_volume"` // m³
	PAtm      float64 `json:"p_atm"`            // Pa
	T         float64 `json:"T"`                // K
	N         float64 `json:"n"`
	Coupling  float64 `json:"coupling_eff"`
}

// PulseOut is what such a machine gives, pressures absolute. StrokeBest is nil
// where no chamber of these proportions is too large.
type PulseOut struct {
	P1             float64  `json:"p1"`
	P2             float64  `json:"p2"`
	PStatic        float64  `json:"p_static"`
	PJoukowsky     float64  `json:"p_joukowsky"`
	PDeadEnd       float64  `json:"p_deadend"`
	Ratio          float64  `json:"ratio"`
	RatioMost      float64  `json:"ratio_max_clearance"`
	StrokeUsed     float64  `json:"stroke_used"`
	StrokeBest     *float64 `json:"stroke_best"`
	StrokeCompress float64  `json:"stroke_compress"`
	AirMassBeat    float64  `json:"air_mass_beat"`
	FreeAirBeatL   float64  `json:"free_air_beat_L"`
	FreeAirLmin    float64  `json:"free_air_Lmin"`
	BPM            float64  `json:"bpm"`
	ExergyBeat     float64  `json:"exergy_gain_beat_J"`
	WaterBeat      float64  `json:"water_energy_beat_J"`
	EffBoost       float64  `json:"eff_boost"`
	T2             float64  `json:"T2"`
}

// Pulse answers what the beats of a ram add to the air of a trompe.
func Pulse(in PulseIn) (PulseOut, []calc.Warning, *calc.Fault) {
	ram, _, fault := Cycle(in.Ram)
	if fault != nil {
		return PulseOut{}, nil, &calc.Fault{Code: fault.Code, At: "/ram" + fault.At, Message: fault.Message}
	}
	c := chamber{p1: in.PAtm + in.Trompe, stroke: in.Stroke, clearing: in.Clearance, n: in.N}
	out := in.pressures(ram, c)
	if fault := in.cannot(out); fault != nil {
		return PulseOut{}, nil, fault
	}
	wanted := in.strokes(&out, ram, c)
	if wanted <= out.StrokeCompress {
		return PulseOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/stroke_volume",
			Message: "One pulse is too weak to bring so much air to the pressure wanted. Take a smaller chamber, less pressure, or a longer or wider drive pipe."}
	}
	in.air(&out, ram)
	if out.ExergyBeat > out.WaterBeat*(1+1e-9) {
		return PulseOut{}, nil, broken()
	}
	deadEnd, ok := c.deadEnd(in.Coupling*ram.KEBeat, out.PStatic)
	if out.PDeadEnd = deadEnd; !ok {
		out.PDeadEnd = out.PJoukowsky
	}
	return out, in.warnings(out, !ok, wanted), nil
}

func (in PulseIn) pressures(ram CycleOut, c chamber) PulseOut {
	static := in.PAtm + in.Ram.Rho*calc.Gravity*in.Ram.Fall
	out := PulseOut{P1: c.p1, P2: in.PAtm + in.P2Gauge, PStatic: static, PJoukowsky: static + in.Ram.Rho*ram.A*ram.VClose, RatioMost: c.mostRatio(), BPM: ram.BPM}
	out.Ratio = out.P2 / out.P1
	return out
}

// strokes works out how far the water gets, and returns how far it would get
// were the chamber long enough.
func (in PulseIn) strokes(out *PulseOut, ram CycleOut, c chamber) (wanted float64) {
	energy := in.Coupling * ram.KEBeat
	work := CompressionWork(c.p1, c.whole(), out.Ratio, c.n)
	out.StrokeCompress = Travel(c.whole(), out.Ratio, c.n)
	against := out.P2 - out.PStatic
	wanted = (energy - work + out.P2*out.StrokeCompress) / against
	out.StrokeUsed = math.Min(wanted, in.Stroke)
	if full := work + against*in.Stroke - out.P2*out.StrokeCompress; full > 0 {
		out.StrokeBest = new(in.Stroke * energy / full)
	}
	return wanted
}

// air works out what a beat delivers, and the energies of it.
func (in PulseIn) air(out *PulseOut, ram CycleOut) {
	out.T2 = in.T
	if math.Abs(in.N-1) >= 1e-9 {
		out.T2 = in.T * math.Pow(out.Ratio, (in.N-1)/in.N)
	}
	out.AirMassBeat = out.P2 * (out.StrokeUsed - out.StrokeCompress) / (calc.AirR * out.T2)
	out.FreeAirBeatL = 1000 * out.AirMassBeat * calc.AirR * in.T / in.PAtm
	out.FreeAirLmin = out.FreeAirBeatL * ram.BPM
	out.ExergyBeat = out.AirMassBeat * calc.AirR * in.T * math.Log(out.Ratio)
	out.WaterBeat = in.Ram.Rho * calc.Gravity * in.Ram.Fall * (ram.WasteBeat + out.StrokeUsed)
	out.EffBoost = out.ExergyBeat / out.WaterBeat
}
