package receiver

import (
	"math"

	"leat/calc"
)

// TankIn is a rigid receiver. Pressures are absolute.
type TankIn struct {
	V    float64  `json:"V"`     // m³
	P    float64  `json:"p"`     // Pa
	PMin *float64 `json:"p_min"` // Pa, down to which it is used
	PAtm float64  `json:"p_atm"` // Pa
	T    float64  `json:"T"`     // K
	PReg *float64 `json:"p_reg"` // Pa, behind the regulator
}

// TankOut is what a receiver holds. What rests on a least pressure is nil without one.
type TankOut struct {
	EIsoJ            float64  `json:"E_iso_J"`
	EIsoWh           float64  `json:"E_iso_Wh"`
	EAdiabJ          float64  `json:"E_adiab_J"`
	EAdiabWh         float64  `json:"E_adiab_Wh"`
	TEndAdiab        float64  `json:"T_end_adiab"`
	FreeAirM3        float64  `json:"free_air_m3"`
	EIsoBetweenWh    *float64 `json:"E_iso_between_Wh,omitempty"`
	FreeAirBetweenM3 *float64 `json:"free_air_between_m3,omitempty"`
	ERegulatedWh     *float64 `json:"E_regulated_Wh,omitempty"`
}

// IsothermalExergy returns the most work in J that air in a receiver can give:
//
//	E = p·V·ln(p/p_a) − (p − p_a)·V
//
// p and the pressure around pa are absolute, in Pa, v is in m³.
//
// Valid for p of pa or more, the air as warm as the surroundings.
//
// Source: availability of a closed ideal gas, as in Moran and Shapiro, from memory.
func IsothermalExergy(p, pa, v float64) float64 { return p*v*math.Log(p/pa) - (p-pa)*v }

// AdiabaticWork returns the work in J that air in a receiver gives when it
// expands so fast that no heat comes in:
//
//	E = (p·V − p_a·V_x)/(γ − 1) − p_a·(V_x − V),  V_x = V·(p/p_a)^(1/γ)
//
// p and pa are absolute, in Pa, v is in m³, gamma is the ratio of the heat capacities.
//
// Valid for p of pa or more.
//
// Source: first law for an ideal gas, less the work against the air around.
func AdiabaticWork(p, pa, v, gamma float64) float64 {
	expanded := v * math.Pow(p/pa, 1/gamma)
	return (p*v-pa*expanded)/(gamma-1) - pa*(expanded-v)
}

// IsentropicTemperature returns the temperature in K after a fast change of
// pressure from p1 to p2:
//
//	T₂ = T₁·(p₂/p₁)^((γ − 1)/γ)
//
// Pressures are absolute, in Pa, t is in K.
//
// Valid for an ideal gas without heat and friction.
//
// Source: GPSA Engineering Data Book, 13th edition, as quoted.
func IsentropicTemperature(t, p1, p2, gamma float64) float64 {
	return t * math.Pow(p2/p1, (gamma-1)/gamma)
}

// Tank answers what energy and free air a receiver holds.
func Tank(in TankIn) (TankOut, []calc.Warning, *calc.Fault) {
	if fault := in.fault(); fault != nil {
		return TankOut{}, nil, fault
	}
	iso := IsothermalExergy(in.P, in.PAtm, in.V)
	fast := AdiabaticWork(in.P, in.PAtm, in.V, calc.AirGamma)
	out := TankOut{EIsoJ: iso, EIsoWh: iso / 3600, EAdiabJ: fast, EAdiabWh: fast / 3600,
		TEndAdiab: IsentropicTemperature(in.T, in.P, in.PAtm, calc.AirGamma), FreeAirM3: (in.P - in.PAtm) * in.V / in.PAtm}
	if in.PMin != nil {
		in.between(&out, *in.PMin)
	}
	return out, nil, nil
}

// between adds what can be had down to a least pressure.
func (in TankIn) between(out *TankOut, least float64) {
	regulated := least
	if in.PReg != nil {
		regulated = *in.PReg
	}
	out.EIsoBetweenWh = new((out.EIsoJ - IsothermalExergy(least, in.PAtm, in.V)) / 3600)
	out.FreeAirBetweenM3 = new((in.P - least) * in.V / in.PAtm)
	out.ERegulatedWh = new((in.P - least) * in.V * math.Log(regulated/in.PAtm) / 3600)
}

func (in TankIn) fault() *calc.Fault {
	switch {
	case in.P < in.PAtm:
		return &calc.Fault{Code: calc.Range, At: "/p",
			Message: "The pressure in the receiver is below that of the air around. It counts from vacuum here: add the air pressure, 101325 Pa, to what the gauge shows."}
	case in.PMin != nil && (*in.PMin < in.PAtm || *in.PMin >= in.P):
		return &calc.Fault{Code: calc.Range, At: "/p_min",
			Message: "The least pressure of use must lie between the pressure of the air around and that in the receiver. It counts from vacuum: add 101325 Pa to a gauge reading."}
	case in.PReg != nil && in.PMin == nil:
		return &calc.Fault{Code: calc.Missing, At: "/p_min",
			Message: "With a regulator the receiver is used down to a least pressure. Give it; most leave it at the pressure behind the regulator."}
	case in.PReg != nil && (*in.PReg < in.PAtm || *in.PReg > *in.PMin):
		return &calc.Fault{Code: calc.Range, At: "/p_reg",
			Message: "The pressure behind the regulator must lie between that of the air around and the least pressure of use: a regulator cannot raise it."}
	}
	return nil
}
