package receiver

import "leat/calc"

var tank = calc.New(calc.Description{
	Name: "system/exergy_tank", Answers: "energy and free air in a receiver", Evidence: calc.OftenMeasured,
	Words: []string{"receiver", "tank", "cylinder", "energy", "store", "regulator"},
	Inputs: []calc.Field{
		volume,
		calc.Positive("/p", "Pa", "pressure in the receiver, absolute").Need(),
		calc.Positive("/p_min", "Pa", "least pressure at which the air is of use, absolute"),
		atmosphere, airTemp,
		calc.Positive("/p_reg", "Pa", "pressure behind the regulator, absolute").Preset("the least pressure of use"),
	},
	Outputs: []calc.Field{
		calc.Gives("/E_iso_J", "J", "most work that any use can have of it", "E = p·V·ln(p/p_a) − (p − p_a)·V", availability, "/p", "/V", "/p_atm"),
		calc.Gives("/E_iso_Wh", "Wh", "most work that any use can have of it", "E/3600", "unit", "/E_iso_J"),
		calc.Gives("/E_adiab_J", "J", "work when it expands fast", "(p·V − p_a·V_x)/(γ − 1) − p_a·(V_x − V), V_x = V·(p/p_a)^(1/γ), γ = 1.4", firstLaw, "/p", "/V", "/p_atm"),
		calc.Gives("/E_adiab_Wh", "Wh", "work when it expands fast", "E/3600", "unit", "/E_adiab_J"),
		calc.Gives("/T_end_adiab", "K", "how cold the air gets when it expands fast; below 0 °C (273 K) its moisture freezes", "T·(p_a/p)^((γ − 1)/γ)", isentrope, "/T", "/p", "/p_atm"),
		calc.Gives("/free_air_m3", "m³", "free air in it, above what stays behind", "(p − p_a)·V/p_a", idealGas, "/p", "/V", "/p_atm"),
		calc.Gives("/E_iso_between_Wh", "Wh", "most work down to the least pressure of use", "E(p) − E(p_min)", availability, "/E_iso_J", "/p_min", "/V", "/p_atm"),
		calc.Gives("/free_air_between_m3", "m³", "free air down to the least pressure of use", "(p − p_min)·V/p_a", idealGas, "/p", "/p_min", "/V", "/p_atm"),
		calc.Gives("/E_regulated_Wh", "Wh", "most work behind a regulator", "(p − p_min)·V·ln(p_reg/p_a)", availability, "/p", "/p_min", "/V", "/p_reg", "/p_atm"),
	},
	Equation: "E = p·V·ln(p/p_a) − (p − p_a)·V",
	Validity: "Rigid receiver, ideal gas. No use gets more than the isothermal figure; a tool gets a small part of it. " +
		"This much stored energy can kill when a vessel bursts: prove it with water, fit a relief valve, and follow the local rules on pressure vessels.",
	Sources: []string{availability, firstLaw, isentrope},
	Example: []byte(`{"V": 0.05, "p": 901325, "p_min": 301325}`),
}, TankIn{PAtm: calc.Atmosphere, T: roomTemp}, Tank)

const (
	firstLaw  = "first law for an ideal gas, γ = 1.4"
	isentrope = "GPSA Engineering Data Book, 13th edition, as quoted"
)
