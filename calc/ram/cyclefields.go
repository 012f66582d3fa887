package ram

import "leat/calc"

const (
	motion    = "equation of motion of a rigid column, with one elastic step"
	joukowsky = "Joukowsky"
	clemson   = "20 to 50 beats, Clemson Extension, from memory; 1.2 for a polytropic spring"
	defra     = "1.5 times: UK Water Supply (Water Fittings) Regulations 1999, Defra guide, read"
	valves    = "loss coefficients, closing speed and time are common practice, no source: calibrate them with a test"
	calvert   = "L/D of 150 to 1000: Calvert, from memory"
	korteweg  = "Korteweg and Joukowsky, as in C. S. Martin, Waterhammer potential in pumps and systems, equation 1"
)

var cycle = calc.New(calc.Description{
	Name: "system/ram_cycle", Answers: "a hydraulic ram beat by beat: flow, beats, efficiency, pressures", Evidence: calc.BuiltMeasured,
	Words:    []string{"ram", "hydraulic ram", "drive pipe", "waste valve", "beats", "water hammer", "air vessel"},
	Inputs:   cycleInputs(""),
	Outputs:  cycleOutputs,
	Equation: "q_b = (A·L/M_d)·ln(1 + M_d·V₀²/(2g·(h − H))), V₀ = V_c − g·(h − H)/a",
	Validity: "Straight rigid drive pipe; ±40 % on the flow before a test, by judgement. Calibrate beats by V_close, waste flow by K_waste_valve, delivery by K_delivery_valve, in this order. " +
		"Never more than q_b·(h − H) ≤ L·A·V_c²/(2g) ≤ W₁·H. The pipe is struck millions of times a year: glued plastic and air vessels of plastic are not made for that, and a plastic vessel full of air bursts into fragments.",
	Sources: []string{motion, valves, calvert, clemson, defra},
	Example: []byte(`{"H": 3, "h": 20, "L": 15, "D": 0.0525, "wall": 0.0039, "E_wall": 200e9}`),
}, usualRam, Cycle)

var usualRam = CycleIn{VCloseRatio: 0.6, Rho: calc.WaterDensity, Nu: calc.WaterNu, Eps: 4.6e-5,
	KDrive: 1.5, KWaste: 6, KDelivery: 10, TClose: 0.02, Recoil: 1, Ripple: 0.10}

// cycleInputs declares a ram, its places beginning with at.
func cycleInputs(at string) []calc.Field {
	return []calc.Field{
		under(at, fall), under(at, rise),
		calc.Positive(at+"/L", "m", "length of the drive pipe").Need(),
		calc.Positive(at+"/D", "m", "bore of the drive pipe").Need(),
		waveSpeed(at+"/a").NeedUnless(at+"/wall", at+"/E_wall"),
		calc.Positive(at+"/wall", "m", "thickness of the wall of the drive pipe").NeedUnless(at + "/a").NeedWith(at + "/E_wall"),
		calc.Positive(at+"/E_wall", "Pa", "modulus of the wall: steel 200e9, copper 120e9, PVC 3e9, PE 0.9e9").NeedUnless(at + "/a").NeedWith(at + "/wall"),
		calc.Positive(at+"/V_close", "m/s", "speed of the water in the drive pipe at which the waste valve shuts").Preset("the share below of the speed it would reach"),
		calc.Positive(at+"/V_close_ratio", "", "that speed as a share of the speed it would reach with the valve open").Preset("0.6"),
		under(at, density),
		calc.Positive(at+"/nu", "m²/s", "kinematic viscosity of the water").Preset("0.000001004"),
		calc.AtLeast(at+"/eps", "m", 0, "roughness of the drive pipe: plastic 0.0000015, steel 0.000046, galvanised 0.00015").Preset("0.000046"),
		calc.AtLeast(at+"/K_drive", "", 0, "loss coefficient of strainer, entry and bends").Preset("1.5"),
		calc.AtLeast(at+"/K_waste_valve", "", 0, "loss coefficient of the open waste valve, by the speed in the drive pipe").Preset("6").Usually("3 to 15"),
		calc.AtLeast(at+"/K_delivery_valve", "", 0, "loss coefficient of the open delivery valve, by the speed in the drive pipe").Preset("10").Usually("4 to 20"),
		calc.AtLeast(at+"/t_close", "s", 0, "time in which the waste valve shuts").Preset("0.02"),
		calc.AtLeast(at+"/recoil_factor", "", 0, "how far the water swings back against one full elastic step").Preset("1"),
		calc.Positive(at+"/ripple", "", "how much the pressure may swing in the air vessel, as a share").Preset("0.1"),
	}
}

func under(at string, f calc.Field) calc.Field { f.At = at + f.At; return f }

func waveSpeed(at string) calc.Field {
	f := calc.Between(at, "m/s", 0, 1500, "speed of a pressure wave in the drive pipe: steel about 1400, plastic 300 to 400")
	f.AboveLow = true
	return f
}

var cycleOutputs = []calc.Field{
	calc.Gives("/A", "m²", "area of the bore", "π·D²/4", "geometry", "/D"),
	calc.Gives("/V_inf", "m/s", "speed that the water would reach with the waste valve open", "(1 + K_drive + K_waste + f·L/D)·V²/(2g) = H solved for V", "Bernoulli, with the friction of Darcy and Colebrook", "/H", "/L", "/D", "/eps", "/nu", "/K_drive", "/K_waste_valve"),
	calc.Gives("/M", "", "loss coefficient of all that", "M = 2·g·H/V_inf²", motion, "/H", "/V_inf"),
	calc.Gives("/V_close", "m/s", "speed at which the waste valve shuts", "as given, or ratio·V_inf", valves, "/V_close_ratio", "/V_inf"),
	calc.Gives("/t_accel", "s", "time in which the water speeds up", "t₁ = L·V_inf/(g·H)·artanh(V_c/V_inf)", motion, "/L", "/H", "/V_inf", "/V_close"),
	calc.Gives("/t_pump", "s", "time in which it pumps", "t₃ = L·V_d/(g·(h − H))·arctan(V₀/V_d), V_d = √(2g·(h − H)/M_d), V₀ = V_c − g·(h − H)/a", motion, "/L", "/H", "/h", "/V_close", "/a", "/K_drive", "/K_delivery_valve", "/D", "/eps", "/nu"),
	calc.Gives("/t_recoil", "s", "time in which it swings back", "t₄ = L·V_r/(g·H), V_r = recoil·g·(h − H)/a", motion, "/L", "/H", "/h", "/recoil_factor", "/a"),
	calc.Gives("/T", "s", "time of a beat", "T = t₁ + t_close + t₃ + t₄", motion, "/t_accel", "/t_close", "/t_pump", "/t_recoil"),
	calc.Gives("/bpm", "1/min", "beats a minute", "60/T", "unit", "/T"),
	calc.Gives("/vol_waste_beat", "m³", "water wasted in a beat", "−(A·L/M)·ln(1 − (V_c/V_inf)²) + A·V_c·t_close/2", motion, "/A", "/L", "/M", "/V_close", "/V_inf", "/t_close"),
	calc.Gives("/vol_delivered_beat", "m³", "water lifted in a beat", "q_b = (A·L/M_d)·ln(1 + M_d·V₀²/(2g·(h − H))), M_d = K_drive + K_delivery + f·L/D", motion, "/A", "/L", "/D", "/H", "/h", "/V_close", "/a", "/K_drive", "/K_delivery_valve", "/eps", "/nu"),
	calc.Gives("/q", "m³/s", "flow lifted", "q_b/T", continued, "/vol_delivered_beat", "/T"),
	calc.Gives("/q_Lmin", "L/min", "flow lifted", "60000·q", "unit", "/q"),
	calc.Gives("/Q_waste", "m³/s", "flow that leaves at the waste valve", "(W₁ + W₂)/T", continued, "/vol_waste_beat", "/T"),
	calc.Gives("/Q_waste_Lmin", "L/min", "flow that leaves at the waste valve", "60000·Q_waste", "unit", "/Q_waste"),
	calc.Gives("/Q_drive_Lmin", "L/min", "flow into the ram", "60000·(q + Q_waste)", continued, "/q", "/Q_waste"),
	calc.Gives("/eta_daubuisson", "", "D'Aubuisson's efficiency", "η_D = q·h/((q + Q_waste)·H)", defined, "/q", "/h", "/Q_waste", "/H"),
	calc.Gives("/eta_rankine", "", "Rankine's efficiency, which counts only the lift above the intake", "η_R = q·(h − H)/(Q_waste·H)", defined, "/q", "/h", "/Q_waste", "/H"),
	calc.Gives("/KE_beat_J", "J", "energy of the moving water when the valve shuts", "½·ρ·A·L·V_c²", "mechanics", "/rho", "/A", "/L", "/V_close"),
	calc.Gives("/E_in_beat_J", "J", "energy of the water that falls in a beat", "ρ·g·H·(W₁ + W₂ + q_b)", "mechanics", "/rho", "/H", "/vol_waste_beat", "/vol_delivered_beat"),
	calc.Gives("/dh_joukowsky", "m", "kick of the valve when it shuts at once", "a·V_c/g", joukowsky, "/a", "/V_close"),
	calc.Gives("/a", "m/s", "speed of a pressure wave", "as given, or √(K/ρ)/√(1 + (K/E)·(D/e)), K = 2.19e9 Pa", korteweg, "/rho", "/E_wall", "/D", "/wall"),
	calc.Gives("/p_max_gauge", "Pa", "pressure at each beat", "ρ·g·H + ρ·a·V_c", joukowsky, "/rho", "/H", "/a", "/V_close"),
	calc.Gives("/p_worst_gauge", "Pa", "pressure when the valve sticks and slams, or the delivery is shut", "ρ·g·H + ρ·a·V_inf", joukowsky, "/rho", "/H", "/a", "/V_inf"),
	calc.Gives("/p_test_gauge", "Pa", "pressure to test with, full of water", "1.5·p_worst", defra, "/p_worst_gauge"),
	calc.Gives("/L_over_D", "", "length of the drive pipe in bores", "L/D", calvert, "/L", "/D"),
	calc.Gives("/L_over_H", "", "length of the drive pipe over the fall", "L/H", "2.5 to 12 from memory", "/L", "/H"),
	calc.Gives("/airvessel_air_min", "m³", "least air in the air vessel, at its pressure", "the larger of 20·q_b and what the ripple wants", clemson, "/vol_delivered_beat", "/airvessel_air_ripple"),
	calc.Gives("/airvessel_air_ripple", "m³", "air that keeps the swing within the ripple", "1.2·q_b·(1 − t₃/T)/ripple", clemson, "/vol_delivered_beat", "/t_pump", "/T", "/ripple"),
}
