package ram

import (
	"math"

	"leat/calc"
)

// ColumnIn is a column of water that falls from rest onto air.
type ColumnIn struct {
	Fall      float64 `json:"H"`                // m
	P2Gauge   float64 `json:"p2_gauge"`         // Pa
	Stroke    float64 `json:"stroke_volume"`    // m³
	PAtm      float64 `json:"p_atm"`            // Pa
	Rho       float64 `json:"rho"`              // kg/m³
	Intake    float64 `json:"p_intake_gauge"`   // Pa
	Clearance float64 `json:"clearance_volume"` // m³
	Coupling  float64 `json:"coupling_eff"`
	T         float64 `json:"T"` // K
}

// ColumnOut is what a fall of such a column compresses.
type ColumnOut struct {
	HMinIdeal    float64 `json:"H_min_ideal"`
	HMin         float64 `json:"H_min"`
	FreeAirBeat  float64 `json:"free_air_beat_m3"`
	AirMassBeat  float64 `json:"air_mass_beat"`
	ExergyBeat   float64 `json:"exergy_gain_beat_J"`
	WaterBeat    float64 `json:"water_energy_beat_J"`
	Eff          float64 `json:"eff"`
	takesFreeAir bool
}

// Level is lower where the column takes in air that a trompe has compressed:
// that was never built.
func (out ColumnOut) Level() calc.Evidence {
	if out.takesFreeAir {
		return calc.BuiltMeasured
	}
	return calc.ModelOnly
}

// Column answers what a column of water compresses that falls from rest.
func Column(in ColumnIn) (ColumnOut, []calc.Warning, *calc.Fault) {
	c := chamber{p1: in.PAtm + in.Intake, stroke: in.Stroke, clearing: in.Clearance, n: 1}
	p2 := in.PAtm + in.P2Gauge
	r := p2 / c.p1
	if fault := in.cannot(c, p2, r); fault != nil {
		return ColumnOut{}, nil, fault
	}
	pushed := in.Stroke - Travel(c.whole(), r, 1)
	work := CompressionWork(c.p1, c.whole(), r, 1) + p2*pushed
	weight := in.Rho * calc.Gravity
	out := ColumnOut{HMinIdeal: (work/in.Stroke - in.PAtm) / weight, FreeAirBeat: p2 * pushed / in.PAtm, AirMassBeat: p2 * pushed / (calc.AirR * in.T),
		ExergyBeat: p2 * pushed * math.Log(r), WaterBeat: weight * in.Fall * in.Stroke, takesFreeAir: in.Intake == 0}
	out.HMin = out.HMinIdeal / in.Coupling
	out.Eff = out.ExergyBeat / out.WaterBeat
	if in.Fall < out.HMin {
		return ColumnOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/H",
			Message: "The fall is too small: the column stops before the air has the pressure that is wanted. Take more fall or less pressure."}
	}
	if out.ExergyBeat > (out.WaterBeat+in.Intake*in.Stroke)*(1+1e-9) {
		return ColumnOut{}, nil, broken()
	}
	return out, nil, nil
}

func (in ColumnIn) cannot(c chamber, p2, r float64) *calc.Fault {
	if p2 <= c.p1 {
		return &calc.Fault{Code: calc.Infeasible, At: "/p2_gauge",
			Message: "The pressure wanted is not above that of the air taken in, so nothing is to be compressed. Give a higher one; both are read on a gauge."}
	}
	if in.Clearance > 0 && r >= c.whole()/in.Clearance {
		return tooMuchStays()
	}
	return nil
}

func tooMuchStays() *calc.Fault {
	return &calc.Fault{Code: calc.Infeasible, At: "/clearance_volume",
		Message: "So much room stays behind the stroke that the air never gets to the pressure wanted: it is only squeezed into that room. Make the room smaller, the stroke larger, or the pressure lower."}
}
