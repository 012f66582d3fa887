package trompe

import "leat/calc"

var insideOutputs = []calc.Field{
	by(answer("/fill_factor", "", "share of the bore that the air tubes take"), "n·d_out²/D²", definition, "/intake/n_tubes /intake/tube_od_m /downcomer/bore_m"),
	by(answer("/throat_velocity_ms", "m/s", "water between the air tubes"), "v = q/A, A the bore less the tubes, or as given", "continuity", "/water_flow_m3s"+throat),
	by(answer("/air_tube_velocity_ms", "m/s", "air in the air tubes"), "air drawn in ÷ area of the tubes, at the pressure of the mouths", "continuity", "/free_air_induced_m3s /mouth_gauge_pa"+tubes+openAir),
	by(answer("/j_top_ms", "m/s", "mixture at the top of the full bore"), "(water + air)/bore, the air at the pressure there", "continuity", "/water_flow_m3s /free_air_induced_m3s /mixed_gauge_pa"+pipe+moistAir+waterSite),
	by(answer("/j_min_ms", "m/s", "mixture where it is slowest"), "the least of the profile's", "continuity", "/profile"),
	by(answer("/void_top", "", "share of air by volume at the top of the full bore"), "α = j_g/(C0·j − k_v·V·sinθ), V = √2·(σ·g/ρ)^¼", driftFlux, "/j_top_ms /mixed_gauge_pa /free_air_induced_m3s /params/k_c0 /params/k_v"+pipe+waterSite),
	by(answer("/void_max", "", "greatest share of air by volume"), "the greatest of the profile's", driftFlux, "/profile"),
	by(answer("/alpha_sat", "", "share of air by volume beyond which the pipe runs part full"), "0.32 + 0.18·clamp(log10(D/0.1 m), 0, 1), or as measured; within 0.20 and 0.52",
		"judgement, from built small machines (B. Leavitt and T. Danehy 2013) and bubbly-to-slug transitions; the rise with bore from memory", "/downcomer/bore_m /params/alpha_sat"),
	by(answer("/bubble_d32_m", "m", "mean diameter of the bubbles, by volume over surface"), "0.725·k_b·(σ/ρ)^0.6·ε^−0.4, within 1 and 6 mm; ε = f·j_l³/(2·D)", "J. O. Hinze 1955 (from memory)",
		"/water_flow_m3s /downcomer/bore_m /downcomer/roughness_m /n_parallel /site/t_water_c /params/k_b"),
	by(answer("/separation_efficiency", "", "share of the air that parts from the water in the chamber"), "mean over bubble sizes of 1 − exp(−v_t·A/q), A the water surface", settling,
		"/water_flow_m3s /bubble_d32_m /chamber/kind /chamber/bore_m /chamber/length_m /chamber/floor_m /chamber/inner_od_m /chamber/plan_area_m2 /chamber/lip_m /chamber/high_m /params/sig_g"+waterSite),
	by(answer("/riser_velocity_ms", "m/s", "water in the riser"), "w = q/A", "continuity", "/water_flow_m3s /riser/kind /riser/bore_m /riser/count /riser/outer_bore_m /riser/inner_od_m"),
}

var surplusOutputs = []calc.Field{
	by(answer("/plunge_level_m", "m", "level at which the pipe begins to run full"), "level of the tubes' lower ends less the part-full length's drop", definition, "/part_full_length_m"+pipe),
	by(answer("/part_full_length_m", "m", "length that runs part full"), "the length at which the full part below, holding all the air it can, arrives at the chamber's pressure; 0 while the pipe runs full", ourSurplus,
		"/alpha_sat /downcomer_outlet_gauge_pa /chamber_gauge_pa /plunge_velocity_ms"),
	by(answer("/full_bore_length_m", "m", "length that runs full"), "length of the downcomer less the part-full length", definition, "/part_full_length_m"+pipe),
	by(answer("/plunge_velocity_ms", "m/s", "water as it meets the full bore"), "from the throat's speed a film falls: dv/ds = g·sinθ/v − B·v², B = k_f·f·π·D/(8·q)", "film on a wall, no drag of the core; "+friction,
		"/throat_velocity_ms /part_full_length_m /water_flow_m3s /downcomer/roughness_m /params/k_f"+pipe+throat+waterSite),
	by(answer("/surplus_fall_m", "m", "fall that is wasted"), "part-full length × sinθ, less what the plunge gives back: k_rec·ρ·(q/A)·(v_s − v)/(ρ·g)", ourSurplus,
		"/part_full_length_m /plunge_velocity_ms /throat_velocity_ms /water_flow_m3s /params/k_rec"+pipe+waterSite),
	by(answer("/surplus_pressure_pa", "Pa", "pressure to spare if the pipe ran full"), "pressure at the mouth of a pipe full of all the air it can hold, less what the chamber asks", ourSurplus,
		"/alpha_sat /downcomer_outlet_gauge_pa /chamber_gauge_pa /water_flow_m3s /part_full_length_m"),
	by(answer("/deeper_at_least_m", "m", "how much deeper the separator would have to be, at least, to use that fall"), "pressure to spare/(ρ·g·α at the outlet)", "hydrostatics; too little by a fifth or so, because the share of air falls with depth",
		"/surplus_pressure_pa /profile"+waterSite),
}

var powerOutputs = []calc.Field{
	by(answer("/water_power_w", "W", "power of the falling water"), "ρ·g·q·H", definition, "/water_flow_m3s /head_m"+waterSite),
	by(answer("/isothermal_air_power_w", "W", "power that the air could give back"), "p_a·Q·ln(p_c/p_a)", isothermal, "/free_air_delivered_m3s /chamber_gauge_pa"+openAir),
	by(answer("/efficiency", "", "air power over water power"), "power in the air ÷ power of the water", definition, "/isothermal_air_power_w /water_power_w"),
	by(list("/budget_w", "where the power goes, term by term, in W"), "metres of fall × ρ·g·q", ourBalance, "/budget_head_m /water_flow_m3s"+waterSite),
	by(list("/budget_head_m", "where the fall goes, term by term, in m"), "H = sum of all terms, each a power over ρ·g·q", ourBalance,
		"/head_m /water_flow_m3s /inlet_level_m /mouth_gauge_pa /mixed_gauge_pa /downcomer_outlet_gauge_pa /chamber_gauge_pa /free_air_induced_m3s /free_air_delivered_m3s /profile"),
	term("supply_line", "loss in the hose or supply line", "k·q²/(ρ·g)", "/water_flow_m3s /supply/k_pa_s2_m6"),
	term("intake_contraction", "squeezing between the air tubes", "K·v²/(2·g), K = k_in + friction along the bundle", "/throat_velocity_ms /intake/bundle_length_m /intake/tube_roughness_m /intake/k_in /params/k_in"+throat),
	term("surplus_fall", "fall that is wasted part full", "part-full length × sinθ, less what the plunge gives back", "/surplus_fall_m"),
	term("mixing", "mixing of water and air at the top", "what the widening stream does not give back as pressure; below 0 where it compresses air", "/throat_velocity_ms /plunge_velocity_ms /mouth_gauge_pa /mixed_gauge_pa /free_air_induced_m3s /j_top_ms /params/k_rec /params/k_c0 /params/k_v"),
	term("air_intake", "drawing air through the tubes", "n·R·T·ln((p_a − p_v)/(p_m − p_v))", "/free_air_induced_m3s /mouth_gauge_pa"+openAir),
	term("slip", "bubbles rising against the water", "∫ g·sinθ·(ρ − ρ_g)·(α·A·j − Q_g) ds", "/profile /free_air_induced_m3s /params/k_c0 /params/k_v"+pipe),
	term("downcomer_friction", "friction in the downcomer", "∫ (q + Q_g)·F ds, F = (k_f·f/D + k_minor/L)·ρ_m·j²/2", "/profile /downcomer/roughness_m /downcomer/k_minor /params/k_f"+pipe),
	term("acceleration", "speeding up as the air shrinks", "∫ (q + Q_g) dM less the gain of kinetic power", "/profile /free_air_dissolved_m3s"),
	term("downcomer_exit", "speed lost at the downcomer's mouth", "kinetic power at the end less what a flare gives back", "/profile /downcomer_outlet_gauge_pa /downcomer/outlet_bore_m /params/k_dif"),
	term("fall_in_chamber", "fall inside the chamber", "(p_e − p_c)/(ρ·g) + z_d − z_c: 0 while the mouth is under water", "/downcomer_outlet_gauge_pa /chamber_gauge_pa /chamber_level_m /downcomer/outlet_m"),
	term("bubble_rise_in_chamber", "bubbles rising in the chamber", "n·R·T·ln((p_e − p_v)/(p_c − p_v))", "/free_air_induced_m3s /free_air_dissolved_m3s /downcomer_outlet_gauge_pa /chamber_gauge_pa"),
	term("dissolved_air", "air gone into the water", "work that was done on air now in solution", "/free_air_dissolved_m3s /profile /params/k_abs"),
	term("carry_over", "air carried up the riser", "n·R·T·ln((p_c − p_v)/(p_a − p_v)) of that air", "/free_air_carry_over_m3s /chamber_gauge_pa /params/sig_g"+openAir),
	term("blow_off", "air blown off", "n·R·T·ln((p_c − p_v)/(p_a − p_v)) of that air", "/free_air_blow_off_m3s /chamber_gauge_pa"+openAir),
	term("riser", "speed and friction in the riser", "(p_c − p_a)/(ρ·g) + z_c − z_t; below 0 where air lifts the water", "/chamber_gauge_pa /chamber_level_m /riser/outlet_m"),
	term("air_weight", "weight of the air that falls along", "−∫ g·sinθ·ρ_g·Q_g ds", "/profile /free_air_induced_m3s"),
	term("compression_delivered", "compressing the air that is delivered", "n·R·T·ln((p_c − p_v)/(p_a − p_v)) of the delivered air", "/free_air_delivered_m3s /chamber_gauge_pa"+openAir),
	by(answer("/budget_closure", "", "how far the terms miss the whole"), "|sum of the terms − ρ·g·q·H|/(ρ·g·q·H)", "check of the bookkeeping, not of the physics", "/budget_w /water_power_w"),
}

// term declares a term of the head budget.
func term(name, about, equation, from string) calc.Field {
	return by(answer("/budget_head_m/"+name, "m", about), equation, ourBalance, from+" /water_flow_m3s"+waterSite)
}

var airOutputs = []calc.Field{
	by(answer("/oxygen_fraction_dry", "", "oxygen in the dry air delivered, by mole"), "n_O2/(n_O2 + n_N2) of the air that reaches the chamber; 0.2095 less what dissolves", absorption+"; may be off by half of the loss", "/free_air_induced_m3s /free_air_dissolved_m3s /params/k_abs"),
	by(answer("/vapour_mole_ratio", "", "water vapour over dry air, by mole"), "p_v/(p_c − p_v), saturated at the water's temperature", "Dalton; vapour pressure: A. L. Buck 1996 (from memory)", "/chamber_gauge_pa /site/t_water_c"+openAir),
	by(answer("/vapour_g_per_kg_dry", "g/kg", "water vapour over dry air, by mass"), "1000·(18.015/28.9647) × the ratio by mole", "molar masses", "/vapour_mole_ratio"),
	by(answer("/dew_point_at_atmosphere_c", "°C", "dew point of the air once it is let out"), "temperature at which p_sat = p_v·p_a/p_c", "vapour pressure: A. L. Buck 1996 (from memory)", "/chamber_gauge_pa /site/t_water_c"+openAir),
}

const alongPipe = "/water_flow_m3s /free_air_induced_m3s /mixed_gauge_pa /plunge_level_m /bubble_d32_m /downcomer/roughness_m /downcomer/k_minor /site/water_saturation /params/k_c0 /params/k_v /params/k_f /params/k_abs"

var listOutputs = []calc.Field{
	by(list("/profile", "the mixture at eleven levels: z_m, p_gauge_pa, void, j_ms, u_gas_ms, u_liquid_ms, c0"), "dp/ds = (ρ_m·g·sinθ − F − M_n)/(1 + M_p), down the full part in equal steps", driftFlux+"; "+friction+"; "+absorption, alongPipe+pipe+moistAir+waterSite),
	by(answer("/profile/z_m", "m", "level"), "eleven levels, evenly along the full part", definition, "/plunge_level_m"+pipe),
	by(answer("/profile/p_gauge_pa", "Pa", "gauge pressure at that level"), "dp/ds = (ρ_m·g·sinθ − F − M_n)/(1 + M_p)", driftFlux+"; "+friction, alongPipe+pipe+waterSite),
	by(answer("/profile/void", "", "share of air by volume at that level"), "α = j_g/(C0·j − k_v·V·sinθ)", driftFlux, alongPipe+pipe+moistAir+waterSite),
	by(answer("/profile/j_ms", "m/s", "speed of the mixture"), "j = (q + Q_g)/A", "continuity", alongPipe+pipe+moistAir+waterSite),
	by(answer("/profile/u_gas_ms", "m/s", "speed of the bubbles"), "u_g = C0·j − k_v·V·sinθ", driftFlux, "/profile/j_ms /profile/c0 /params/k_v"+waterSite),
	by(answer("/profile/u_liquid_ms", "m/s", "speed of the water between them"), "q/(A·(1 − α))", "continuity", "/water_flow_m3s /profile/void"+pipe),
	by(answer("/profile/c0", "", "distribution parameter"), "after Goda et al., times k_c0, at most 1", driftFlux, "/profile/j_ms /profile/p_gauge_pa /params/k_c0"+waterSite),
	by(list("/delivery_curve", "the delivery window: chamber_level_m, gauge_pa, water_flow_m3s, free_air_m3s"), "the machine solved again at five levels of the chamber, valve open, and at the lip without air", ourRule, "/chamber/lip_m /chamber/high_m /blow_off_gauge_pa /water_flow_m3s /free_air_induced_m3s /separation_efficiency"),
	by(answer("/delivery_curve/chamber_level_m", "m", "level of the water in the chamber"), "from the highest allowed to the lip in four equal steps", definition, "/chamber/lip_m /chamber/high_m"),
	by(answer("/delivery_curve/gauge_pa", "Pa", "gauge pressure at that level"), "p_lip − ρ·g·(z_c − z_lip)", statics, "/blow_off_gauge_pa /chamber/lip_m /chamber/high_m"+waterSite),
	by(answer("/delivery_curve/water_flow_m3s", "m³/s", "water used at that level"), "as the water flow, with the chamber at that level", ourRule, "/water_flow_m3s /chamber/lip_m /chamber/high_m"),
	by(answer("/delivery_curve/free_air_m3s", "m³/s", "air delivered at that level"), "all the air that parts from the water, with the chamber at that level", ourRule, "/free_air_induced_m3s /free_air_dissolved_m3s /separation_efficiency /chamber/lip_m /chamber/high_m"),
}
