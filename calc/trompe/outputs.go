package trompe

import (
	"strings"

	"leat/calc"
)

// Outputs declares the fields of [Result], in the order in which they are
// shown, each with the equation it comes from. Of the lists, the members are
// declared too: /budget_head_m/slip, /profile/void.
func Outputs() []calc.Field { return outputs }

var outputs = join(stateOutputs, flowOutputs, pressureOutputs, insideOutputs, surplusOutputs, powerOutputs, airOutputs, listOutputs)

func answer(at, unit, about string) calc.Field {
	return calc.Field{At: at, Kind: calc.Number, Unit: unit, About: about}
}

func words(at, about string) calc.Field { return calc.Field{At: at, Kind: calc.Text, About: about} }

func list(at, about string) calc.Field { return calc.Field{At: at, Kind: calc.List, About: about} }

// by says where an output comes from: its equation, the source of that, and,
// parted by spaces, what stands in it: inputs, coefficients and other outputs.
// The equation explains the symbols that its outputs and inputs do not.
func by(f calc.Field, equation, source, from string) calc.Field {
	f.Equation, f.Source, f.From = equation, source, strings.Fields(from)
	return f
}

// Sources that several equations share.
const (
	definition  = "definition"
	statics     = "hydrostatics"
	idealGas    = "ideal gas law"
	ourBalance  = "our own energy balance; all terms together make the fall"
	ourRule     = "our own rule"
	bernoulli   = "Bernoulli with losses in velocity heads"
	driftFlux   = "drift flux in downflow: H. Goda et al. 2003 (equations from memory), C0 held at 1 by our own reasoning"
	isothermal  = "isothermal compression of an ideal gas"
	friction    = "S. E. Haaland 1983 (from memory) with a factor by judgement"
	absorption  = "penetration theory after L.-T. Chen and W. Rice 1983 (abstract read); solubilities: R. Sander 2023"
	settling    = "settling basin law with mixed depth (from memory); bubble rise: H. D. Mendelson 1967 (from memory)"
	ourSurplus  = "our own model of a pipe that holds no more air; no published test"
	linePassage = "isothermal pipe flow of gas"
)

// What many equations take.
const (
	openAir   = " /site/altitude_m /site/p_amb_pa "
	moistAir  = openAir + " /site/t_air_c /site/rh "
	waterSite = " /site/t_water_c /site/g "
	throat    = " /intake/n_tubes /intake/tube_od_m /intake/throat_area_m2 /downcomer/bore_m /n_parallel "
	tubes     = " /intake/n_tubes /intake/tube_id_m /intake/tube_length_m /intake/tube_roughness_m /intake/port_cda_m2 /n_parallel "
	pipe      = " /downcomer/bore_m /downcomer/length_m /downcomer/outlet_m /intake/mouth_m /n_parallel "
	airLine   = " /takeoff/mode /takeoff/receiver_gauge_pa /takeoff/bore_m /takeoff/length_m /takeoff/roughness_m /takeoff/k /takeoff/valve_cda_m2 "
)

var stateOutputs = []calc.Field{
	by(words("/status", "whether and how the machine works"),
		"the largest stable flow at which the mixture arrives at the pressure that the chamber asks for; the reason, if there is none", ourRule,
		"/water_flow_m3s /free_air_induced_m3s /part_full_length_m /void_max"),
	by(words("/evidence", "how well the answer is supported, A often measured to D model only"),
		"by status: B up to a share of air of 0.25, C above it and for part-full pipes, D with a short seal", ourRule,
		"/status /void_max /full_bore_length_m /delivery_state"),
	by(words("/message", "the status in a builder's words"), "one sentence for each status", ourRule, "/status"),
	by(list("/warnings", "what a builder must know about the result"), "each names the value it found and the limit it compares with", "with each limit in the calculation; most from memory or common practice",
		"/void_max /j_min_ms /fill_factor /separation_efficiency /riser_velocity_ms /full_bore_length_m /mouth_gauge_pa /blow_off_gauge_pa /free_air_delivered_m3s /surplus_fall_m /wanted/gauge_pa /wanted/free_air_m3s"),
	by(calc.Field{At: "/uncertainty", Kind: calc.Group, About: "the 95 % intervals of the numbers, how many draws failed, and which unknown matters; only where it was asked for"},
		"the machine solved with draws of its coefficients and of the measures with a tolerance; ends that leave 2.5 % of the draws on each side", "JCGM 101:2008, from memory; draws: M. D. McKay et al. 1979, from memory",
		"/tolerances /params"),
	by(words("/delivery_state", "what the air does at this take-off"), "the pressure that the air line needs for all the air, held against the window", ourRule,
		"/lowest_delivery_gauge_pa /blow_off_gauge_pa /free_air_delivered_m3s"+airLine),
	by(words("/regime", "what limits the water: the head, the flow of the source, or the hose"), "the machine's own flow held against what the source gives", ourRule,
		"/water_flow_m3s /supply/type /supply/flow_max_m3s"),
	by(answer("/inlet_level_m", "m", "level of the water over the intake"),
		"z_f: the supply's level; lower where the source gives less than the machine would take, until both flows are the same", statics,
		"/water_flow_m3s /mouth_gauge_pa /supply/level_m /supply/level_max_m /supply/flow_max_m3s /supply/static_pa /supply/z_m /supply/outlet_m /supply/k_pa_s2_m6"+waterSite),
	by(answer("/chamber_level_m", "m", "level of the water in the chamber"),
		"z_c: at the lip at blow-off; into a receiver, the level whose pressure drives the air through the line", statics,
		"/chamber/lip_m /chamber/high_m /blow_off_gauge_pa /free_air_delivered_m3s"+airLine+waterSite),
	by(answer("/head_m", "m", "fall from inlet level to outlet"), "H = z_f − z_t, inlet level less riser outlet", definition, "/inlet_level_m /riser/outlet_m"),
}

var flowOutputs = []calc.Field{
	by(answer("/water_flow_m3s", "m³/s", "water used"),
		"q from (1 + K)·ρ·v²/2 = p_a − p_m + ρ·g·(z_f − z_m) − k·q², v = q/A between the tubes, K = k_in + friction along the bundle", bernoulli+"; contraction from memory of handbooks",
		"/inlet_level_m /mouth_gauge_pa /intake/mouth_m /intake/bundle_length_m /intake/tube_roughness_m /intake/k_in /supply/k_pa_s2_m6 /params/k_in"+throat+waterSite),
	by(answer("/free_air_induced_m3s", "m³/s", "air drawn in, as air of the site"),
		"the air at which the pressure gained down the pipe just meets the chamber: p_e = p_c + ρ·g·max(0, z_c − z_d); part full, as much as the full part can hold", driftFlux,
		"/water_flow_m3s /chamber_gauge_pa /chamber_level_m /mixed_gauge_pa /downcomer_outlet_gauge_pa /downcomer/outlet_m /alpha_sat /plunge_velocity_ms"+moistAir+waterSite),
	by(answer("/free_air_delivered_m3s", "m³/s", "air delivered, as air of the site"),
		"drawn in, less dissolved, carried up the riser and blown off", "balance of air",
		"/free_air_induced_m3s /free_air_dissolved_m3s /free_air_carry_over_m3s /free_air_blow_off_m3s"),
	by(answer("/free_air_blow_off_m3s", "m³/s", "air that escapes under the lip"),
		"what parts from the water and the line does not pass: p_c² − p_rec² = m²·(R/M)·T·[1/CdA² + (f·L/d + k + 2·ln(p_c/p_rec))/A²]", linePassage,
		"/chamber_gauge_pa /receiver_gauge_pa /free_air_induced_m3s /free_air_dissolved_m3s /free_air_carry_over_m3s"+airLine),
	by(answer("/free_air_carry_over_m3s", "m³/s", "air that the water carries up the riser"), "air that reaches the chamber × (1 − separation)", settling,
		"/free_air_induced_m3s /free_air_dissolved_m3s /separation_efficiency"),
	by(answer("/free_air_dissolved_m3s", "m³/s", "air that goes into solution"),
		"along the pipe, oxygen and nitrogen each: dn/ds = −k_L·a·A·(H·y·p − c)", absorption,
		"/water_flow_m3s /free_air_induced_m3s /bubble_d32_m /profile /site/water_saturation /params/k_abs"+moistAir+waterSite+pipe),
	by(answer("/air_delivered_iso1217_m3s", "m³/s", "air delivered, dry at 100 kPa and 20 °C"), "n·R·293.15 K/100 kPa, n the delivered moles of dry air", "ISO 1217 (from memory)", "/free_air_delivered_m3s"+moistAir),
	by(answer("/air_delivered_iso2533_m3s", "m³/s", "air delivered, dry at 101.325 kPa and 15 °C"), "n·R·288.15 K/101.325 kPa, n the delivered moles of dry air", "ISO 2533 (from memory)", "/free_air_delivered_m3s"+moistAir),
	by(answer("/air_water_ratio", "", "air drawn in over water used"), "air drawn in ÷ water used", definition, "/free_air_induced_m3s /water_flow_m3s"),
	by(answer("/ideal_free_air_m3s", "m³/s", "the most air that this fall and flow could compress; no machine gets there"),
		"Q ≤ ρ·g·H·q·(T_a/T)/[(p_a − p_va)·ln((p_c − p_v)/(p_a − p_v))]", isothermal+", saturated with vapour", "/water_power_w /chamber_gauge_pa"+moistAir+waterSite),
}

var pressureOutputs = []calc.Field{
	by(answer("/chamber_gauge_pa", "Pa", "gauge pressure in the chamber"), "p_c = p_lip − ρ·g·(z_c − z_lip)", statics, "/blow_off_gauge_pa /chamber_level_m /chamber/lip_m"+waterSite),
	by(answer("/blow_off_gauge_pa", "Pa", "gauge pressure at which air escapes under the lip"),
		"ρ·g·(z_t − z_lip) + (1 + k_minor + k_f·f·L/D)·ρ·w²/2, lighter by the air that the riser carries", statics+" and friction: "+friction+"; air in the riser: M. Ishii 1977 (from memory)",
		"/riser_velocity_ms /free_air_carry_over_m3s /takeoff/mode /takeoff/blowoff_route /chamber/lip_m /riser/outlet_m /riser/length_m /riser/bore_m /riser/count /riser/outer_bore_m /riser/inner_od_m /riser/kind /riser/roughness_m /riser/k_minor /params/k_f /params/k_v"+openAir+waterSite),
	by(answer("/static_blow_off_gauge_pa", "Pa", "the same without flow"), "ρ·g·(z_t − z_lip)", statics, "/riser/outlet_m /chamber/lip_m"+waterSite),
	by(answer("/lowest_delivery_gauge_pa", "Pa", "gauge pressure below which the chamber floods"), "blow-off less ρ·g·(z_high − z_lip)", statics, "/blow_off_gauge_pa /chamber/high_m /chamber/lip_m"+waterSite),
	by(answer("/receiver_gauge_pa", "Pa", "gauge pressure in the receiver"), "as given", "your own input", "/takeoff/mode /takeoff/receiver_gauge_pa"),
	by(answer("/mouth_gauge_pa", "Pa", "gauge pressure at the mouths of the air tubes"),
		"p_m below p_a by what draws the air: m²·[(f·L/d + k_air + 2·ln(p_a/p_2))/A² + 1/port²] = (p_a² − p_2²)/RT, p_2 = p_m + 4·σ/d", linePassage+"; entry loss from memory",
		"/free_air_induced_m3s /params/k_air"+tubes+moistAir+" /site/t_water_c"),
	by(answer("/mixed_gauge_pa", "Pa", "gauge pressure at the top of the full bore"),
		"p_1 = p_m + k_rec·[ρ·q·v + m·v_t − A·M]/A, v the water's speed as it meets the full bore, M the momentum flux of the mixture", "momentum balance of sudden widening, recovery by judgement",
		"/mouth_gauge_pa /water_flow_m3s /free_air_induced_m3s /plunge_velocity_ms /air_tube_velocity_ms /params/k_rec /params/k_c0 /params/k_v"+pipe+waterSite),
	by(answer("/downcomer_outlet_gauge_pa", "Pa", "gauge pressure at the downcomer's mouth"),
		"p_1 and, down the full part, dp/ds = (ρ_m·g·sinθ − F − M_n)/(1 + M_p); a flared end gives back k_dif·(1 − (D/D_o)⁴)·M/2", driftFlux+"; "+friction,
		"/mixed_gauge_pa /water_flow_m3s /free_air_induced_m3s /part_full_length_m /downcomer/roughness_m /downcomer/k_minor /downcomer/outlet_bore_m /params/k_c0 /params/k_v /params/k_f /params/k_dif"+pipe+waterSite),
}
