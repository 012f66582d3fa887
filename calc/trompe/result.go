package trompe

import "leat/calc"

// Status says whether and how the machine works.
type Status string

// The statuses. With the first four there are numbers; OutOfRange has them
// when only the packing limit of the bubbles is exceeded.
const (
	OK               Status = "ok"
	NoInduction      Status = "no_induction"
	Surplus          Status = "surplus"
	OutOfRange       Status = "out_of_range"
	NoHead           Status = "no_head"
	NoOperatingPoint Status = "no_operating_point"
	Blocked          Status = "blocked"
	NotCarried       Status = "not_carried"
	Choked           Status = "choked"
	Cavitation       Status = "cavitation"
	Starved          Status = "starved"
)

// Result is the answer for one machine. Where the status has no numbers,
// Numbers is nil and its fields are absent from the JSON.
type Result struct {
	Status   Status         `json:"status"`
	Evidence calc.Evidence  `json:"evidence"`
	Message  string         `json:"message"`
	Warnings []calc.Warning `json:"warnings"` // never nil
	*Numbers
	Uncertainty *Uncertainty `json:"uncertainty,omitempty"` // where it was asked for and the machine has an operating point
}

// Numbers are the quantities of a machine that has an operating point. A
// pointer is nil, null in JSON, where a quantity has no meaning for the design.
type Numbers struct {
	DeliveryState string `json:"delivery_state"`
	Regime        string `json:"regime"`

	InletLevelM   float64 `json:"inlet_level_m"`
	ChamberLevelM float64 `json:"chamber_level_m"`
	HeadM         float64 `json:"head_m"`

	WaterFlowM3S      float64  `json:"water_flow_m3s"`
	FreeAirInducedM3S float64  `json:"free_air_induced_m3s"`
	FreeAirM3S        float64  `json:"free_air_delivered_m3s"`
	FreeAirBlowOffM3S float64  `json:"free_air_blow_off_m3s"`
	FreeAirCarriedM3S float64  `json:"free_air_carry_over_m3s"`
	FreeAirDissolved  float64  `json:"free_air_dissolved_m3s"`
	AirISO1217M3S     float64  `json:"air_delivered_iso1217_m3s"`
	AirISO2533M3S     float64  `json:"air_delivered_iso2533_m3s"`
	AirWaterRatio     float64  `json:"air_water_ratio"`
	IdealFreeAirM3S   *float64 `json:"ideal_free_air_m3s"`
	ChamberGaugePa    float64  `json:"chamber_gauge_pa"`
	BlowOffGaugePa    float64  `json:"blow_off_gauge_pa"`
	StaticBlowOffPa   float64  `json:"static_blow_off_gauge_pa"`
	LowestDeliveryPa  float64  `json:"lowest_delivery_gauge_pa"`
	ReceiverGaugePa   *float64 `json:"receiver_gauge_pa"`
	MouthGaugePa      float64  `json:"mouth_gauge_pa"`
	MixedGaugePa      float64  `json:"mixed_gauge_pa"`
	OutletGaugePa     float64  `json:"downcomer_outlet_gauge_pa"`
	FillFactor        float64  `json:"fill_factor"`
	ThroatVelocityMS  float64  `json:"throat_velocity_ms"`
	AirTubeVelocityMS float64  `json:"air_tube_velocity_ms"`
	JTopMS            float64  `json:"j_top_ms"` // mixture velocity at the top of the full bore
	JMinMS            float64  `json:"j_min_ms"`
	VoidTop           float64  `json:"void_top"`
	VoidMax           float64  `json:"void_max"`
	AlphaSat          float64  `json:"alpha_sat"`
	BubbleD32M        float64  `json:"bubble_d32_m"`
	SeparationEff     float64  `json:"separation_efficiency"`
	RiserVelocityMS   float64  `json:"riser_velocity_ms"`
	PlungeLevelM      float64  `json:"plunge_level_m"`
	PartFullLengthM   float64  `json:"part_full_length_m"`
	FullBoreLengthM   float64  `json:"full_bore_length_m"`
	PlungeVelocityMS  float64  `json:"plunge_velocity_ms"`
	SurplusFallM      float64  `json:"surplus_fall_m"`
	SurplusPressurePa float64  `json:"surplus_pressure_pa"`
	DeeperAtLeastM    float64  `json:"deeper_at_least_m"`
	WaterPowerW       float64  `json:"water_power_w"`
	AirPowerW         float64  `json:"isothermal_air_power_w"`
	Efficiency        float64  `json:"efficiency"`
	BudgetW           Budget   `json:"budget_w"`
	BudgetHeadM       Budget   `json:"budget_head_m"`
	BudgetClosure     float64  `json:"budget_closure"`
	OxygenFractionDry *float64 `json:"oxygen_fraction_dry"`
	VapourMoleRatio   *float64 `json:"vapour_mole_ratio"`
	VapourGPerKgDry   *float64 `json:"vapour_g_per_kg_dry"`
	DewPointC         *float64 `json:"dew_point_at_atmosphere_c"`

	Profile       []Station  `json:"profile"`
	DeliveryCurve []Delivery `json:"delivery_curve"`
}

// Budget is where the power of the falling water goes, term by term: in watts,
// or in metres of fall. The terms add up to what is available.
type Budget struct {
	SupplyLine         float64 `json:"supply_line"`
	IntakeContraction  float64 `json:"intake_contraction"`
	SurplusFall        float64 `json:"surplus_fall"`
	Mixing             float64 `json:"mixing"`
	AirIntake          float64 `json:"air_intake"`
	Slip               float64 `json:"slip"`
	DowncomerFriction  float64 `json:"downcomer_friction"`
	Acceleration       float64 `json:"acceleration"`
	DowncomerExit      float64 `json:"downcomer_exit"`
	FallInChamber      float64 `json:"fall_in_chamber"`
	BubbleRise         float64 `json:"bubble_rise_in_chamber"`
	DissolvedAir       float64 `json:"dissolved_air"`
	CarryOver          float64 `json:"carry_over"`
	BlowOff            float64 `json:"blow_off"`
	Riser              float64 `json:"riser"`
	AirWeight          float64 `json:"air_weight"`
	CompressionDeliver float64 `json:"compression_delivered"`
}

// Station is the state of the mixture at one level of the full-bore part.
type Station struct {
	ZM      float64 `json:"z_m"`
	GaugePa float64 `json:"p_gauge_pa"`
	Void    float64 `json:"void"`
	JMS     float64 `json:"j_ms"`
	GasMS   float64 `json:"u_gas_ms"`
	WaterMS float64 `json:"u_liquid_ms"`
	C0      float64 `json:"c0"`
}

// Delivery is one point of the delivery window.
type Delivery struct {
	ChamberLevelM float64 `json:"chamber_level_m"`
	GaugePa       float64 `json:"gauge_pa"`
	WaterFlowM3S  float64 `json:"water_flow_m3s"`
	FreeAirM3S    float64 `json:"free_air_m3s"`
}
