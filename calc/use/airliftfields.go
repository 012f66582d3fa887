package use

import "leat/calc"

const (
	nicklin  = "Nicklin 1963; Reinemann, Parlange and Timmons, Int. J. Multiphase Flow 16, 113 (1990), abstract read, equations from memory"
	isoPower = "Isothermal expansion, textbook"
)

func (out AirliftOut) warnings(in AirliftIn) (warnings []calc.Warning) {
	if out.Ratio < 0.3 || out.Ratio > 0.95 {
		warnings = append(warnings, calc.Warning{Code: "W_SUBMERGENCE", At: "/submergence",
			Message: "Airlifts are known where 0.3 to 0.95 of the tube is under water. Hang it deeper, or lift to another height."})
	}
	if in.D > 0.025 {
		warnings = append(warnings, calc.Warning{Code: "W_WIDE", At: "/D",
			Message: "This was measured in tubes up to 25 mm; wider ones raise less, because the bubbles no longer fill them. Compare with the rule for wells."})
	}
	return warnings
}

func depthUnder() calc.Field {
	return calc.Positive("/submergence", "m", "how deep below the water level the air is let in").Need()
}

var airlift = calc.New(calc.Description{
	Name: "system/airlift", Answers: "water that an airlift raises with given air", Evidence: calc.BuiltMeasured,
	Words: []string{"airlift", "air lift", "pump", "mammoth pump", "well", "lift water"},
	Inputs: []calc.Field{
		calc.Positive("/D", "m", "bore of the rising tube").Need(),
		depthUnder(),
		calc.AtLeast("/lift", "m", 0, "how far above the water level it runs out").Need(),
		calc.Positive("/Q_free", "m³/s", "flow of free air").Need(),
		openAir(), water(),
		calc.Positive("/sigma", "N/m", "surface tension of the water").Preset("0.0728"),
		calc.Positive("/nu", "m²/s", "kinematic viscosity of the water").Preset("0.000001004"),
	},
	Outputs: []calc.Field{
		calc.Gives("/submergence_ratio", "", "share of the tube that is under water", "S/(S + lift)", "definition", "/submergence", "/lift"),
		calc.Gives("/void", "", "share of the tube that is air", "ε = (q_g/A)/(1.2·j + V_s), j = (q_g + q_l)/A", nicklin, "/Q_free", "/Q_water", "/D", "/sigma", "/rho", "/p_atm", "/submergence"),
		calc.Gives("/Q_water", "m³/s", "water raised", "S = (S + lift)·(1 − ε)·(1 + f·j²/(2·g·D)) solved for q_l", nicklin, "/submergence", "/lift", "/D", "/Q_free", "/p_atm", "/rho", "/sigma", "/nu"),
		calc.Gives("/Q_water_Lmin", "L/min", "water raised", "60000·q_l", "unit", "/Q_water"),
		calc.Gives("/p_air_gauge", "Pa", "pressure that the air needs, gauge", "ρ·g·S", "hydrostatics", "/rho", "/submergence"),
		calc.Gives("/efficiency", "", "power into the water over power of the air", "ρ·g·q_l·lift/(p_a·Q·ln(1 + ρ·g·S/p_a))", isoPower, "/rho", "/Q_water", "/lift", "/p_atm", "/Q_free", "/submergence"),
	},
	Equation: "S = (S + lift)·(1 − ε)·(1 + f·j²/(2·g·D)), ε = (q_g/A)/(1.2·j + V_s)",
	Validity: "Slugs in tubes of 3 to 25 mm, Re above 500, surface-tension number 0.02 to 0.2, water below 20 m/s. Expect 30 % either way.",
	Sources:  []string{nicklin},
	Example:  []byte(`{"D": 0.019, "submergence": 1.2, "lift": 0.6, "Q_free": 0.00005}`),
}, AirliftIn{PAtm: calc.Atmosphere, Rho: calc.WaterDensity, Sigma: 0.0728, Nu: calc.WaterNu}, Airlift)
