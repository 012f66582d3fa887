package pressuretest

import "leat/calc"

// AirCheckIn is water pumped in between two pressures.
type AirCheckIn struct {
	VM3     float64 `json:"v_m3"`
	P1Pa    float64 `json:"p1_pa"`
	P2Pa    float64 `json:"p2_pa"`
	IDM     float64 `json:"id_m"`
	WallM   float64 `json:"wall_m"`
	EPa     float64 `json:"e_pa"`
	KPa     float64 `json:"k_pa"`
	AddedM3 float64 `json:"added_m3"`
	Factor  float64 `json:"factor"`
	PAtmPa  float64 `json:"p_atm_pa"`
}

// AirCheckOut says how much gas is still in it.
type AirCheckOut struct {
	TheoryM3    float64 `json:"dv_theory_m3"`
	MostM3      float64 `json:"dv_max_m3"`
	OK          bool    `json:"ok"`
	GasAtP1M3   float64 `json:"gas_at_p1_m3"`
	GasFraction float64 `json:"gas_fraction"`
}

// TakenUp returns the water in m³ that a pipe full of water takes up when the
// pressure rises by dp:
//
//	ΔV = V·Δp·(1/K + d/(t·E))
//
// volume in m³; dp, bulk modulus k and Young's modulus e in Pa; inside diameter
// d and wall in m.
//
// Valid for thin elastic pipe without air.
//
// Source: EN 805 A.27, form from memory.
func TakenUp(volume, dp, k, d, wall, e float64) float64 {
	return volume * dp * (1/k + d/(wall*e))
}

// AirCheck answers whether so little water went in that no air can be left.
func AirCheck(in AirCheckIn) (AirCheckOut, []calc.Warning, *calc.Fault) {
	theory := TakenUp(in.VM3, in.P2Pa-in.P1Pa, in.KPa, in.IDM, in.WallM, in.EPa)
	gas := max(0, in.AddedM3-theory) / (1 - (in.P1Pa+in.PAtmPa)/(in.P2Pa+in.PAtmPa))
	most := in.Factor * theory
	return AirCheckOut{TheoryM3: theory, MostM3: most, OK: in.AddedM3 <= most, GasAtP1M3: gas, GasFraction: gas / in.VM3}, nil, nil
}

const airCheckSource = "EN 805 A.27, form from memory; gas by Boyle's law"

var airCheck = calc.New(calc.Description{
	Name: "safety/air_check", Answers: "whether air is left in a section that is full of water",
	Words: []string{"trapped air", "venting", "air check", "pump"},
	Inputs: []calc.Field{
		calc.Positive("/v_m3", "m³", "volume of the section").Need(),
		calc.AtLeast("/p1_pa", "Pa", 0, "gauge before").Need(),
		calc.Positive("/p2_pa", "Pa", "gauge after").Need(),
		calc.Positive("/id_m", "m", "inside diameter").Need(),
		calc.Positive("/wall_m", "m", "wall").Need(),
		calc.Positive("/e_pa", "Pa", "Young's modulus of the wall").Need(),
		calc.Positive("/k_pa", "Pa", "bulk modulus of the water").Preset("2.18e9"),
		calc.AtLeast("/added_m3", "m³", 0, "water pumped in between the two").Need(),
		calc.Between("/factor", "", 1, 2, "how much more than the theory is taken for no air").Preset("1.2"),
		barometer("/p_atm_pa"),
	},
	Outputs: []calc.Field{
		calc.Gives("/dv_theory_m3", "m³", "water that it takes up without air", "V·Δp·(1/K + d/(t·E))", airCheckSource, "/v_m3", "/p1_pa", "/p2_pa", "/k_pa", "/id_m", "/wall_m", "/e_pa"),
		calc.Gives("/dv_max_m3", "m³", "most that passes", "factor·ΔV", airCheckSource, "/factor", "/dv_theory_m3"),
		calc.Gives("/ok", "", "no more went in than that", "added ≤ factor·ΔV", airCheckSource, "/added_m3", "/dv_max_m3").As(calc.Flag),
		calc.Gives("/gas_at_p1_m3", "m³", "gas in it, at the first pressure", "max(0; added − ΔV)/(1 − P₁/P₂), absolute", airCheckSource, "/added_m3", "/dv_theory_m3", "/p1_pa", "/p2_pa", "/p_atm_pa"),
		calc.Gives("/gas_fraction", "", "gas as a share of the volume; more than 1 % is too much", "gas/V", "common practice, no source, for the 1 %", "/gas_at_p1_m3", "/v_m3"),
	},
	Equation: "ΔV = V·Δp·(1/K + d/(t·E))",
	Validity: "While pressure rises slowly, without leak. One per cent of gas brings most of the danger of air back.",
	Sources:  []string{airCheckSource},
	Example:  []byte(`{"v_m3": 0.02, "p1_pa": 50000, "p2_pa": 200000, "id_m": 0.1, "wall_m": 0.005, "e_pa": 1e9, "added_m3": 0.00006}`),
}, AirCheckIn{KPa: 2.18e9, Factor: 1.2, PAtmPa: calc.Atmosphere}, AirCheck,
	calc.Relation[AirCheckIn]{At: "/p2_pa", Of: []string{"/p1_pa", "/p2_pa"}, Broken: func(in AirCheckIn) string {
		if in.P2Pa > in.P1Pa {
			return ""
		}
		return "The second pressure must be above the first: the check is made while pressure rises."
	}})
