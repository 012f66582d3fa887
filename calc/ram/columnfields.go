package ram

import "leat/calc"

const bardonecchia = "column compressors of Bardonecchia, Revue des Deux Mondes 1865, t. 55, read"

var column = calc.New(calc.Description{
	Name: "system/column_compressor", Answers: "fall and water that a falling column needs to compress air", Evidence: calc.BuiltMeasured,
	Words: []string{"ram", "column", "compressor", "air", "pulse"},
	Inputs: []calc.Field{
		fall,
		calc.Signed("/p2_gauge", "Pa", "pressure at which the air is delivered").Need(),
		calc.Positive("/stroke_volume", "m³", "water that moves into the chamber at each stroke").Need(),
		atmosphere, density,
		calc.AtLeast("/p_intake_gauge", "Pa", 0, "pressure of the air taken in").Preset("0"),
		calc.AtLeast("/clearance_volume", "m³", 0, "room in the chamber that the water does not fill").Preset("0"),
		calc.Share("/coupling_eff", "share of the energy of the water that reaches the air").Preset("0.8"),
		calc.Positive("/T", "K", "temperature of the air").Preset("288.15"),
	},
	Outputs: []calc.Field{
		calc.Gives("/H_min_ideal", "m", "least fall without any loss", "(W/S − p_a)/(ρ·g), W = p₁·V·ln r + p₂·(S − S₁), S₁ = V·(1 − 1/r)", isothermal, "/p2_gauge", "/p_intake_gauge", "/p_atm", "/stroke_volume", "/clearance_volume", "/rho"),
		calc.Gives("/H_min", "m", "least fall", "H_ideal/coupling", bardonecchia, "/H_min_ideal", "/coupling_eff"),
		calc.Gives("/free_air_beat_m3", "m³", "free air of a stroke", "p₂·(S − S₁)/p_a", "ideal gas", "/p2_gauge", "/p_intake_gauge", "/p_atm", "/stroke_volume", "/clearance_volume"),
		calc.Gives("/air_mass_beat", "kg", "air of a stroke", "p₂·(S − S₁)/(R·T), R = 287.05", "ideal gas", "/free_air_beat_m3", "/p_atm", "/T"),
		calc.Gives("/exergy_gain_beat_J", "J", "work put into that air, as it can be had back at best", "p₂·(S − S₁)·ln r", isothermal, "/free_air_beat_m3", "/p_atm", "/p2_gauge", "/p_intake_gauge"),
		calc.Gives("/water_energy_beat_J", "J", "energy of the water of a stroke", "ρ·g·H·S", mechanics, "/rho", "/H", "/stroke_volume"),
		calc.Gives("/eff", "", "share of that which is in the air", "gain/energy", defined, "/exergy_gain_beat_J", "/water_energy_beat_J"),
	},
	Equation: "H_min = (W/S − p_a)/(ρ·g)/coupling, W = p₁·V·ln r + p₂·(S − S₁)",
	Validity: "Slow compression. One such plant drove a tunnel in the 1860s with 26 m of fall and 6 atm; it burst its pipes at first and carried water into the air. " +
		"Built only with air from the room: with air of a trompe it is an idea. A vessel struck so needs a relief valve, a water test and somebody who knows the local rules.",
	Sources: []string{bardonecchia, isothermal},
	Example: []byte(`{"H": 26, "p2_gauge": 506625, "stroke_volume": 1.25}`),
}, ColumnIn{PAtm: calc.Atmosphere, Rho: calc.WaterDensity, Coupling: 0.8, T: 288.15}, Column)
