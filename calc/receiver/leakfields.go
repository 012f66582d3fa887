package receiver

import "leat/calc"

const (
	decay   = "ideal gas: what is lost is the difference of p/T"
	choking = "a choked leak is as large as the pressure"
	leakGUM = "GUM, JCGM 100; 1 kPa and 0.5 K are common practice, no source"
)

var leakTest = calc.New(calc.Description{
	Name: "system/leak_test", Answers: "what a closed receiver leaks, by the fall of its pressure", Evidence: calc.OftenMeasured,
	Words: []string{"leak", "tight", "pressure decay", "receiver", "gauge"},
	Inputs: []calc.Field{
		volume,
		calc.Positive("/p1", "Pa", "pressure at the first reading, absolute").Need(),
		calc.Positive("/p2", "Pa", "pressure at the second reading, absolute").Need(),
		calc.Positive("/t", "s", "time between the readings").Need(),
		calc.Positive("/p_min", "Pa", "pressure about which you ask when it will be reached, absolute"),
		atmosphere,
		calc.Positive("/T1", "K", "temperature of the air at the first reading").Preset("293.15"),
		calc.Positive("/T2", "K", "temperature of the air at the second reading").Preset("293.15"),
		freeTemp,
		calc.AtLeast("/u_p", "Pa", 0, "standard uncertainty of a pressure").Preset("1000"),
		calc.AtLeast("/u_T", "K", 0, "standard uncertainty of a temperature").Preset("0.5"),
	},
	Outputs: []calc.Field{
		calc.Gives("/p2_corrected", "Pa", "second pressure at the temperature of the first, absolute", "p₂·T₁/T₂", idealGas, "/p2", "/T1", "/T2"),
		calc.Gives("/leak_free_m3s", "m³/s", "leak, in free air", "q = V·(p₁/T₁ − p₂/T₂)·T_ref/(p_a·t)", decay, "/V", "/p1", "/T1", "/p2", "/T2", "/T_ref", "/p_atm", "/t"),
		calc.Gives("/leak_free_Lmin", "L/min", "leak, in free air", "60000·q", "unit", "/leak_free_m3s"),
		calc.Gives("/U95_Lmin", "L/min", "how far the leak may be off either way, 95 %", "2·V·T_ref/(p_a·t)·√(2·(u_p/T₁)² + 2·(p₁·u_T/T₁²)²)", leakGUM, "/V", "/T_ref", "/p_atm", "/t", "/u_p", "/u_T", "/T1", "/p1"),
		calc.Gives("/tau_s", "s", "time in which the pressure falls to 37 %; none where nothing leaks", "τ = t/ln(p₁/p₂c)", choking, "/t", "/p1", "/p2_corrected"),
		calc.Gives("/dp_per_K", "Pa/K", "what one kelvin does to the pressure without any leak", "p₁/T₁", idealGas, "/p1", "/T1"),
		calc.Gives("/t_to_p_min_s", "s", "time from the first reading until the pressure asked about; none where nothing leaks", "τ·ln(p₁/p_min)", choking, "/tau_s", "/p1", "/p_min"),
	},
	Equation: "q = V·(p₁/T₁ − p₂/T₂)·T_ref/(p_a·t)",
	Validity: "Closed and left alone, above 1.9 times the pressure of the air around. It shows tightness only, below the pressure that was proven: prove strength with water, never with air.",
	Sources:  []string{decay, choking, leakGUM},
	Example:  []byte(`{"V": 0.05, "p1": 901325, "p2": 881325, "t": 3600, "p_min": 301325}`),
}, LeakIn{PAtm: calc.Atmosphere, T1: roomTemp, T2: roomTemp, TRef: roomTemp, UP: 1000, UT: 0.5}, Leak)
