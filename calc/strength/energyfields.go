package strength

import "leat/calc"

const (
	pcc2  = "ASME PCC-2 Article 501 (2008 as Article 5.1), read"
	crowl = "Crowl and Louvar, Chemical Process Safety, from memory"
)

var energy = calc.New(calc.Description{
	Name: "safety/energy", Answers: "energy stored in gas, water and wall under pressure",
	Words:    []string{"stored energy", "burst", "compressed air", "receiver", "TNT", "pressure test"},
	Inputs:   energyInputs(),
	Outputs:  energyOutputs,
	Equation: "E = P·V/(γ − 1)·(1 − (p_a/P)^((γ − 1)/γ)) + p²·V_w/(2·K) + wall",
	Validity: "Ideal gas. The isentropic energy decides; the others stand beside it for comparison. Energy sets the blast, not how far a shard flies.",
	Sources:  []string{pcc2, crowl},
	Example:  []byte(`{"p_pa": 300000, "v_gas_m3": 0.02, "v_liq_m3": 0}`),
}, EnergyIn{Gamma: calc.AirGamma, PAtmPa: calc.Atmosphere, KPa: waterModulus}, Energy, hollow(func(in EnergyIn) (float64, float64) {
	if in.ODM == nil || in.WallM == nil {
		return 1, 0 // no wall is counted
	}
	return *in.ODM, *in.WallM
}))

// energyInputs declares the wall as a whole: all of its figures or none.
func energyInputs() []calc.Field {
	gamma := calc.Between("/gamma", "", 1, 1.7, "ratio of the heat capacities of the gas").Preset("1.4")
	gamma.AboveLow = true
	fields := []calc.Field{
		calc.AtLeast("/p_pa", "Pa", 0, "pressure, gauge").Need(),
		calc.AtLeast("/v_gas_m3", "m³", 0, "volume of gas that could leave through one break, trapped air too").Need(),
		calc.AtLeast("/v_liq_m3", "m³", 0, "volume of water under the same pressure").Need(),
		gamma, barometer(), stiffness(),
	}
	wall := append(ring(), modulus("short-term modulus of the wall, given together with the wall"), poisson())
	for i := range wall {
		var others []string
		for j, f := range wall {
			if j != i {
				others = append(others, f.At)
			}
		}
		wall[i] = wall[i].NeedWith(others...)
	}
	return append(fields, wall...)
}

var energyOutputs = []calc.Field{
	calc.Gives("/e_isentropic_j", "J", "energy of the gas, by which leat decides", "E = P·V/(γ − 1)·(1 − (p_a/P)^((γ − 1)/γ)), P = p + p_a", pcc2, "/p_pa", "/p_atm_pa", "/v_gas_m3", "/gamma"),
	calc.Gives("/e_brode_j", "J", "the same by Brode, for comparison", "p·V/(γ − 1)", crowl, "/p_pa", "/v_gas_m3", "/gamma"),
	calc.Gives("/e_isothermal_j", "J", "the same at one temperature, for comparison", "P·V·ln(P/p_a)", crowl, "/p_pa", "/p_atm_pa", "/v_gas_m3"),
	calc.Gives("/e_availability_j", "J", "the same less what pushes the open air away, for comparison", "P·V·(ln(P/p_a) − (1 − p_a/P))", crowl, "/p_pa", "/p_atm_pa", "/v_gas_m3"),
	calc.Gives("/e_liquid_j", "J", "energy of the pressed water", "p²·V/(2·K)", "definition of the bulk modulus", "/p_pa", "/v_liq_m3", "/k_pa"),
	calc.Gives("/e_wall_j", "J", "energy of the stretched wall", "V·p²·(D − t)·(5 − 4·ν)/(8·t·E)", "strain energy of a thin cylinder with closed ends", "/p_pa", "/v_gas_m3", "/v_liq_m3", "/od_m", "/wall_m", "/e_pa", "/nu"),
	calc.Gives("/e_total_j", "J", "energy in all", "gas (isentropic) + water + wall", pcc2, "/e_isentropic_j", "/e_liquid_j", "/e_wall_j"),
	calc.Gives("/tnt_kg", "kg", "as much as this mass of TNT", "E/4266920", pcc2, "/e_total_j"),
	calc.Gives("/pv_bar_l", "bar·L", "pressure times gas volume, by which laws sort vessels", "p·V/100", "Directive 2014/29/EU, read", "/p_pa", "/v_gas_m3"),
}
