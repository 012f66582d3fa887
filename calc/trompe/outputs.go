package trompe

import "leat/calc"

// Outputs declares the fields of [Result], in the order in which they are shown.
func Outputs() []calc.Field { return outputs }

func answer(at, unit, about string) calc.Field {
	return calc.Field{At: at, Kind: calc.Number, Unit: unit, About: about}
}

func words(at, about string) calc.Field { return calc.Field{At: at, Kind: calc.Text, About: about} }

func list(at, about string) calc.Field { return calc.Field{At: at, Kind: calc.List, About: about} }

var outputs = []calc.Field{
	words("/status", "whether and how the machine works"),
	words("/evidence", "how well the answer is supported, A often measured to D model only"),
	words("/message", "the status in a builder's words"),
	list("/warnings", "what a builder must know about the result"),
	words("/delivery_state", "what the air does at this take-off"),
	words("/regime", "what limits the water: the head, the flow of the source, or the hose"),
	answer("/inlet_level_m", "m", "level of the water over the intake"),
	answer("/chamber_level_m", "m", "level of the water in the chamber"),
	answer("/head_m", "m", "fall from inlet level to outlet"),
	answer("/water_flow_m3s", "m³/s", "water used"),
	answer("/free_air_induced_m3s", "m³/s", "air drawn in, as air of the site"),
	answer("/free_air_delivered_m3s", "m³/s", "air delivered, as air of the site"),
	answer("/free_air_blow_off_m3s", "m³/s", "air that escapes under the lip"),
	answer("/free_air_carry_over_m3s", "m³/s", "air that the water carries up the riser"),
	answer("/free_air_dissolved_m3s", "m³/s", "air that goes into solution"),
	answer("/air_delivered_iso1217_m3s", "m³/s", "air delivered, dry at 100 kPa and 20 °C"),
	answer("/air_delivered_iso2533_m3s", "m³/s", "air delivered, dry at 101.325 kPa and 15 °C"),
	answer("/air_water_ratio", "", "air drawn in over water used"),
	answer("/ideal_free_air_m3s", "m³/s", "the most air that this fall and flow could compress; no machine gets there"),
	answer("/chamber_gauge_pa", "Pa", "gauge pressure in the chamber"),
	answer("/blow_off_gauge_pa", "Pa", "gauge pressure at which air escapes under the lip"),
	answer("/static_blow_off_gauge_pa", "Pa", "the same without flow"),
	answer("/lowest_delivery_gauge_pa", "Pa", "gauge pressure below which the chamber floods"),
	answer("/receiver_gauge_pa", "Pa", "gauge pressure in the receiver"),
	answer("/mouth_gauge_pa", "Pa", "gauge pressure at the mouths of the air tubes"),
	answer("/mixed_gauge_pa", "Pa", "gauge pressure at the top of the full bore"),
	answer("/downcomer_outlet_gauge_pa", "Pa", "gauge pressure at the downcomer's mouth"),
	answer("/fill_factor", "", "share of the bore that the air tubes take"),
	answer("/throat_velocity_ms", "m/s", "water between the air tubes"),
	answer("/air_tube_velocity_ms", "m/s", "air in the air tubes"),
	answer("/j_top_ms", "m/s", "mixture at the top of the full bore"),
	answer("/j_min_ms", "m/s", "mixture where it is slowest"),
	answer("/void_top", "", "share of air by volume at the top of the full bore"),
	answer("/void_max", "", "greatest share of air by volume"),
	answer("/alpha_sat", "", "share of air by volume beyond which the pipe runs part full"),
	answer("/bubble_d32_m", "m", "mean diameter of the bubbles, by volume over surface"),
	answer("/separation_efficiency", "", "share of the air that parts from the water in the chamber"),
	answer("/riser_velocity_ms", "m/s", "water in the riser"),
	answer("/plunge_level_m", "m", "level at which the pipe begins to run full"),
	answer("/part_full_length_m", "m", "length that runs part full"),
	answer("/full_bore_length_m", "m", "length that runs full"),
	answer("/plunge_velocity_ms", "m/s", "water as it meets the full bore"),
	answer("/surplus_fall_m", "m", "fall that is wasted"),
	answer("/surplus_pressure_pa", "Pa", "pressure to spare if the pipe ran full"),
	answer("/deeper_at_least_m", "m", "how much deeper the separator would have to be, at least, to use that fall"),
	answer("/water_power_w", "W", "power of the falling water"),
	answer("/isothermal_air_power_w", "W", "power that the air could give back"),
	answer("/efficiency", "", "air power over water power"),
	list("/budget_w", "where the power goes, term by term, in W"),
	list("/budget_head_m", "where the fall goes, term by term, in m"),
	answer("/budget_closure", "", "how far the terms miss the whole"),
	answer("/oxygen_fraction_dry", "", "oxygen in the dry air delivered, by mole"),
	answer("/vapour_mole_ratio", "", "water vapour over dry air, by mole"),
	answer("/vapour_g_per_kg_dry", "g/kg", "water vapour over dry air, by mass"),
	answer("/dew_point_at_atmosphere_c", "°C", "dew point of the air once it is let out"),
	list("/profile", "the mixture at eleven levels: z_m, p_gauge_pa, void, j_ms, u_gas_ms, u_liquid_ms, c0"),
	list("/delivery_curve", "the delivery window: chamber_level_m, gauge_pa, water_flow_m3s, free_air_m3s"),
}
