package strength

import "leat/calc"

const (
	gasRules = "Rules after OSHA's bulletin of 13 December 1990, ASME B31.3 and B31.9, ASTM D1785, PPFA User Bulletin 4, POP002, HSE GS4, PSSR 2000 and the directives 2014/68/EU and 2014/29/EU, read; the limits of 79 and 1356 J and 0.1 bar from memory or common practice"
	gasLaws  = "PSSR 2000, ASME VIII-1, 2014/29/EU and 29 CFR 1910.169, read"
)

var gas = calc.New(calc.Description{
	Name: "safety/gas", Answers: "whether a part may hold air, and on what conditions",
	Words:    []string{"compressed air", "PVC", "plastic pipe", "receiver", "separator", "air line", "shatter"},
	Inputs:   gasInputs,
	Outputs:  gasOutputs,
	Equation: "All rules are run; any reason: not allowed; any condition: conditional; else allowed",
	Validity: "Gauge pressure counts even under water, because the water can be lost. Local law, makers' instructions and licensed practice come first where they are stricter.",
	Sources:  []string{gasRules},
	Example:  []byte(`{"gas_class": "ductile", "p_pa": 60000, "v_gas_m3": 0.02, "location": "buried", "od_m": 0.11, "temp_c": 4, "allow_pa": 625000, "joint": "electrofusion", "gas_statement": true, "vessel": false, "certified": false}`),
}, GasIn{Config: DefaultGasConfig}, Gas)

// must declares a flag that has no default.
func must(at, about string) calc.Field { return calc.YesNo(at, about).Need().Preset("") }

var gasInputs = []calc.Field{
	calc.OneOf("/gas_class", "how the material fails under gas: PVC is brittle, drain and waste pipe made for no pressure, PE and ABS ductile, hose flexible", Brittle, NonPressure, Ductile, Metal, Flexible).Need(),
	calc.AtLeast("/p_pa", "Pa", 0, "highest gas pressure that can be in the part, gauge: at the relief valve or blow-off, with the riser blocked").Need(),
	calc.AtLeast("/v_gas_m3", "m³", 0, "all gas that could leave through one break; a check valve does not divide it").Need(),
	calc.OneOf("/location", "where the part is: guarded is in a casing that holds fragments, buried has 0.6 m of cover all round", Exposed, Guarded, Buried, Submerged).Need(),
	calc.Positive("/od_m", "m", "outside diameter").Need(),
	calc.Between("/temp_c", "°C", -40, 120, "coldest wall temperature").Need(),
	calc.AtLeast("/allow_pa", "Pa", 0, "pressure that is allowed after derating for gas; 0 where nothing is marked").Need(),
	calc.OneOf("/joint", "the weakest joint of the part", joints...).Need(),
	must("/gas_statement", "the maker says in writing, or a standard printed on it, that it is for compressed air"),
	must("/vessel", "the part is a receiver or tank that stores air; above 0.5 bar all wider than 152 mm counts as one"),
	must("/certified", "the vessel carries the mark of a standard for pressure vessels"),
	calc.Part("/config", "limits that the group has set"),
	calc.Between("/config/p_low_pa", "Pa", 0, 10000, "up to this pressure gas can do little, gauge").Preset("10000"),
	calc.Between("/config/p_brittle_max_pa", "Pa", 0, 50000, "highest pressure in brittle plastic, gauge").Preset("50000"),
	calc.Between("/config/e_low_j", "J", 0, 79, "up to this energy gas can do little").Preset("79"),
	calc.Between("/config/e_brittle_max_j", "J", 0, 1356, "greatest energy in brittle plastic").Preset("79"),
	calc.Between("/config/e_competent_j", "J", 0, 5000, "above this energy a competent person is wanted").Preset("1356"),
	calc.Between("/config/pv_home_j", "J", 0, 5000, "greatest pressure times volume of a vessel without a mark").Preset("5000"),
}

var gasOutputs = []calc.Field{
	calc.Gives("/decision", "", "what the rules say", "reasons, else conditions, else allowed", gasRules, "/reasons", "/conditions").As(calc.Text),
	calc.Gives("/reasons", "", "why it is not allowed", "each rule that is broken, in order", gasRules,
		"/gas_class", "/p_pa", "/e_j", "/pv_bar_l", "/location", "/od_m", "/temp_c", "/allow_pa", "/joint", "/gas_statement", "/vessel", "/certified", "/config").As(calc.Texts),
	calc.Gives("/conditions", "", "on what conditions it is allowed", "each condition that applies, in order", gasRules,
		"/gas_class", "/p_pa", "/e_j", "/location", "/od_m", "/vessel", "/certified", "/config").As(calc.Texts),
	calc.Gives("/flags", "", "where a law may ask for more", "p > 0.5 bar, p > 15 psi, p·V > 50 bar·L, p·V > 250 bar·L, a buried vessel", gasLaws, "/p_pa", "/pv_bar_l", "/od_m", "/vessel", "/location").As(calc.Texts),
	calc.Gives("/e_j", "J", "energy of the gas", "P·V/0.4·(1 − (p_a/P)^(0.4/1.4)), P = p + 101325 Pa", pcc2, "/p_pa", "/v_gas_m3"),
	calc.Gives("/pv_bar_l", "bar·L", "pressure times gas volume", "p·V/100", "Directive 2014/29/EU, read", "/p_pa", "/v_gas_m3"),
}
