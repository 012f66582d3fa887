package ram

import (
	"slices"

	"leat/calc"
)

const (
	ownBalance = "own energy balance of a beat; no published measurement"
	polytropic = "polytropic law of an ideal gas"
)

var pulse = calc.New(calc.Description{
	Name: "system/boost_pulse", Answers: "pressure and air of a booster in which the beats of a ram compress the air of a trompe", Evidence: calc.ModelOnly,
	Words: []string{"ram", "trompe", "boost", "pulse", "chamber", "compressor"},
	Inputs: slices.Concat([]calc.Field{calc.Part("/ram", "the ram; its delivery height only sets the timing of its valve").Need()}, cycleInputs("/ram"), []calc.Field{
		calc.AtLeast("/p_trompe_gauge", "Pa", 0, "pressure of the air that the trompe delivers").Need(),
		calc.Signed("/p2_gauge", "Pa", "pressure at which the booster delivers").Need(),
		calc.Positive("/stroke_volume", "m³", "room in the chamber that the water may fill").Need(),
		calc.Positive("/clearance_volume", "m³", "room in the chamber that it must not fill").Need(),
		atmosphere,
		calc.Positive("/T", "K", "temperature of the air").Preset("288.15"),
		calc.Between("/n", "", 1, 1.4, "exponent of the compression: 1 slow and wet, 1.4 fast and dry").Preset("1"),
		calc.Share("/coupling_eff", "share of the energy of the moving water that reaches the air; a guess").Preset("0.6").Usually("0.2 to 0.8"),
	}),
	Outputs:  pulseOutputs,
	Equation: "S = (coupling·KE − W_c + p₂·S₁)/(p₂ − p_s), W_c = p₁·V·ln r, S₁ = V·(1 − 1/r)",
	Validity: "A model only, off by a factor of three or more. Never more than the second law allows: m·R·T·ln(p₂/p₁) ≤ ρ·g·H·V_drive in a beat.",
	Sources:  []string{ownBalance, polytropic, bardonecchia},
	Example: []byte(`{"ram": {"H": 3, "h": 20, "L": 15, "D": 0.0525, "a": 1340}, "p_trompe_gauge": 50000, "p2_gauge": 200000,
		"stroke_volume": 0.000117, "clearance_volume": 0.0000117}`),
}, PulseIn{Ram: usualRam, PAtm: calc.Atmosphere, T: 288.15, N: 1, Coupling: 0.6}, Pulse)

var pulseOutputs = []calc.Field{
	calc.Gives("/p1", "Pa", "pressure of the air taken in, absolute", "p_a + p_trompe", "gauge to absolute", "/p_atm", "/p_trompe_gauge"),
	calc.Gives("/p2", "Pa", "pressure of the air delivered, absolute", "p_a + p₂", "gauge to absolute", "/p_atm", "/p2_gauge"),
	calc.Gives("/p_static", "Pa", "standing pressure of the supply, absolute", "p_a + ρ·g·H", hydrostatics, "/p_atm", "/ram/rho", "/ram/H"),
	calc.Gives("/p_joukowsky", "Pa", "hardest kick of the drive pipe, absolute", "p_s + ρ·a·V_c", joukowsky, "/p_static", "/ram/rho", "/ram/a", "/ram/V_close", "/ram/V_close_ratio"),
	calc.Gives("/p_deadend", "Pa", "pressure with the outlet shut, absolute", "W_c(p) − p_s·S₁(p) = coupling·KE solved for p; the kick where there is none", ownBalance, "/p1", "/p_static", "/p_joukowsky", "/coupling_eff", "/stroke_volume", "/clearance_volume", "/n"),
	calc.Gives("/ratio", "", "pressure ratio", "r = p₂/p₁", defined, "/p2", "/p1"),
	calc.Gives("/ratio_max_clearance", "", "pressure ratio at which the stroke is used up", "((S_max + V_cl)/V_cl)^n", polytropic, "/stroke_volume", "/clearance_volume", "/n"),
	calc.Gives("/stroke_used", "m³", "water that moves into the chamber in a beat", "S = (coupling·KE − W_c + p₂·S₁)/(p₂ − p_s), S_max at most", ownBalance, "/coupling_eff", "/ram/L", "/ram/D", "/p1", "/p2", "/p_static", "/stroke_compress", "/stroke_volume"),
	calc.Gives("/stroke_best", "m³", "stroke that just uses the beat, in a chamber of these proportions; none where every one is too small", "S_max·coupling·KE/(W_c + (p₂ − p_s)·S_max − p₂·S₁)", ownBalance, "/stroke_volume", "/coupling_eff", "/p1", "/p2", "/p_static", "/stroke_compress"),
	calc.Gives("/stroke_compress", "m³", "part of the stroke before air leaves", "S₁ = V·(1 − r^(−1/n))", polytropic, "/stroke_volume", "/clearance_volume", "/ratio", "/n"),
	calc.Gives("/air_mass_beat", "kg", "air of a beat", "p₂·(S − S₁)/(R·T₂), R = 287.05", "ideal gas", "/p2", "/stroke_used", "/stroke_compress", "/T2"),
	calc.Gives("/free_air_beat_L", "L", "free air of a beat", "1000·m·R·T/p_a", "ideal gas", "/air_mass_beat", "/T", "/p_atm"),
	calc.Gives("/free_air_Lmin", "L/min", "free air", "free air of a beat·beats a minute", "unit", "/free_air_beat_L", "/bpm"),
	calc.Gives("/bpm", "1/min", "beats a minute of the ram", "60/T_ram", motion, "/ram/H", "/ram/h", "/ram/L", "/ram/D"),
	calc.Gives("/exergy_gain_beat_J", "J", "work put into the air of a beat, as it can be had back at best", "m·R·T·ln r", isothermal, "/air_mass_beat", "/T", "/ratio"),
	calc.Gives("/water_energy_beat_J", "J", "energy of the water of a beat", "ρ·g·H·(W₁ + W₂ + S)", mechanics, "/ram/rho", "/ram/H", "/ram/L", "/ram/D", "/stroke_used"),
	calc.Gives("/eff_boost", "", "share of that which is in the air", "gain/energy", defined, "/exergy_gain_beat_J", "/water_energy_beat_J"),
	calc.Gives("/T2", "K", "temperature of the air as it leaves", "T·r^((n − 1)/n)", polytropic, "/T", "/ratio", "/n"),
}
