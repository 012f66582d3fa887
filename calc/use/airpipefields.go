package use

import "leat/calc"

const (
	isothermal = "Isothermal flow of a gas in a pipe, textbook; held against Crane TP 410, examples 7-16 and 7-22, as an open library quotes them"
	friction   = "Colebrook 1939 and Moody's roughnesses, from memory"
)

var airPipe = calc.New(calc.Description{
	Name: "system/air_pipe", Answers: "pressure left at the end of an air pipe", Evidence: calc.OftenMeasured,
	Words: []string{"air line", "pipe", "hose", "pressure drop", "tube"},
	Inputs: append([]calc.Field{
		inlet("pressure at the start"),
		calc.Positive("/D", "m", "bore of the pipe").Need(),
		calc.Positive("/L", "m", "length of the pipe").Need(),
		calc.Positive("/qm", "kg/s", "mass flow; or give the flow of free air").NeedUnless("/Q_free"),
		calc.Positive("/Q_free", "m³/s", "flow of free air, where no mass flow is given"),
		calc.Positive("/T", "K", "temperature of the air in the pipe").Preset(roomText),
		calc.AtLeast("/eps", "m", 0, "roughness of the wall: steel 0.000046, galvanised 0.00015, drawn plastic or copper 0.0000015").Preset("0.000046"),
		calc.AtLeast("/K", "", 0, "sum of the loss coefficients of what is fitted: elbow 0.9, open ball valve 0.05, exit 1").Preset("0"),
		calc.Positive("/mu", "Pa·s", "viscosity of the air").Preset("0.0000182"),
	}, freeAir()...),
	Outputs: []calc.Field{
		calc.Gives("/p2", "Pa", "pressure at the end, absolute", "p₁² − p₂² = G²·R·T·(f·L/D + ΣK + 2·ln(p₁/p₂)), G = q_m/A, q_m = Q·p/(R·T) of the free air", isothermal,
			"/p1", "/D", "/L", "/qm", "/Q_free", "/T", "/K", "/f", "/p_free", "/T_free"),
		calc.Gives("/dp", "Pa", "pressure lost", "p₁ − p₂", "definition", "/p1", "/p2"),
		calc.Gives("/Re", "", "Reynolds number", "Re = G·D/μ", "definition", "/qm", "/Q_free", "/p_free", "/T_free", "/D", "/mu"),
		calc.Gives("/f", "", "Darcy's friction factor", "64/Re below 2300; 1/√f = −2·log10(ε/(3.7·D) + 2.51/(Re·√f)) from 4000; linear in Re between", friction, "/Re", "/eps", "/D"),
		calc.Gives("/v1", "m/s", "speed of the air at the start", "v = G·R·T/p₁", idealGas, "/qm", "/Q_free", "/p_free", "/T_free", "/D", "/T", "/p1"),
		calc.Gives("/v2", "m/s", "speed of the air at the end", "v = G·R·T/p₂", idealGas, "/qm", "/Q_free", "/p_free", "/T_free", "/D", "/T", "/p2"),
	},
	Equation: "p₁² − p₂² = G²·R·T·(f·L/D + ΣK + 2·ln(p₁/p₂))",
	Validity: "Steady flow of dry air at one temperature, up to the flow at which the end chokes, ε below D/2. Friction within 10 %, fittings within 30 %.",
	Sources:  []string{isothermal, friction},
	Example:  []byte(`{"p1": 201325, "D": 0.02, "L": 25, "Q_free": 0.003, "eps": 0.0000015}`),
}, PipeIn{T: room, Eps: 4.6e-5, Mu: 1.82e-5, PFree: calc.Atmosphere, TFree: room}, Pipe)
