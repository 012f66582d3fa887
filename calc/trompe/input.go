package trompe

// Input describes one machine and its site. It is read with [Decode]; a sheet
// keeps the text that the builder gave, not this. Optional fields are pointers where
// their default depends on other fields; [Decode] fills in all other defaults.
type Input struct {
	NParallel Whole              `json:"n_parallel"` // identical intake and downcomer units
	Site      Site               `json:"site"`
	Supply    Supply             `json:"supply"`
	Intake    Intake             `json:"intake"`
	Downcomer Downcomer          `json:"downcomer"`
	Chamber   Chamber            `json:"chamber"`
	Riser     Riser              `json:"riser"`
	Takeoff   Takeoff            `json:"takeoff"`
	Wanted    Wanted             `json:"wanted"`
	Params    map[string]float64 `json:"params,omitempty"` // coefficients named by the builder

	// Tolerances are half-widths of the possible error of a field, by its JSON
	// Pointer, in its unit.
	Tolerances map[string]float64 `json:"tolerances,omitempty"`

	set *Set // set 0 where nil
}

// Site is the place: air, water and gravity.
type Site struct {
	AltitudeM       float64  `json:"altitude_m"`
	AmbientPa       *float64 `json:"p_amb_pa,omitempty"` // in place of the altitude
	AirC            float64  `json:"t_air_c"`
	WaterC          float64  `json:"t_water_c"`
	Humidity        float64  `json:"rh"`                 // relative, 0 to 1
	Gravity         float64  `json:"g"`                  // m/s²
	WaterSaturation float64  `json:"water_saturation"`   // dissolved air over equilibrium
	GroundM         *float64 `json:"ground_m,omitempty"` // level; for drawing and digging, no formula reads it
}

// The kinds of supply.
const (
	Forebay    = "forebay"     // open water at a level
	HoseOpen   = "hose_open"   // a hose that fills an open header
	HoseClosed = "hose_closed" // a hose or main coupled to a closed head
)

// Supply is where the water comes from.
type Supply struct {
	Type      string   `json:"type"`
	LevelM    float64  `json:"level_m,omitempty"`      // Forebay
	FlowMaxM3 *float64 `json:"flow_max_m3s,omitempty"` // Forebay
	KPaS2M6   float64  `json:"k_pa_s2_m6,omitempty"`   // loss over flow squared, Pa·s²/m⁶
	StaticPa  float64  `json:"static_pa,omitempty"`    // hoses, gauge, no flow
	ZM        float64  `json:"z_m,omitempty"`          // hoses, level of the gauge
	LevelMaxM float64  `json:"level_max_m,omitempty"`  // HoseOpen
	OutletM   *float64 `json:"outlet_m,omitempty"`     // HoseOpen; default: LevelMaxM
}

// Intake is the head of one unit: air tubes over the mouth of the downcomer.
type Intake struct {
	MouthM         float64  `json:"mouth_m"` // where air meets water, top of the downcomer
	NTubes         Whole    `json:"n_tubes"`
	TubeBoreM      float64  `json:"tube_id_m"`
	TubeOutsideM   float64  `json:"tube_od_m"`
	TubeLengthM    float64  `json:"tube_length_m"`
	TubeRoughnessM float64  `json:"tube_roughness_m"`
	PortCdAM2      *float64 `json:"port_cda_m2,omitempty"`
	ThroatAreaM2   *float64 `json:"throat_area_m2,omitempty"`
	BundleLengthM  float64  `json:"bundle_length_m"`
	KIn            *float64 `json:"k_in,omitempty"`
}

// Downcomer is the pipe in which the mixture falls.
type Downcomer struct {
	BoreM       float64  `json:"bore_m"`
	OutletM     float64  `json:"outlet_m"`           // elevation of its mouth
	LengthM     *float64 `json:"length_m,omitempty"` // default: plumb
	RoughnessM  float64  `json:"roughness_m"`
	KMinor      float64  `json:"k_minor"`
	OutletBoreM *float64 `json:"outlet_bore_m,omitempty"` // flared end
}

// The kinds of chamber.
const (
	Horizontal = "horizontal"
	Vertical   = "vertical"
	Plan       = "plan"
)

// Chamber is where air and water part.
type Chamber struct {
	Kind       string  `json:"kind"`
	BoreM      float64 `json:"bore_m,omitempty"`       // Horizontal, Vertical
	LengthM    float64 `json:"length_m,omitempty"`     // Horizontal
	FloorM     float64 `json:"floor_m,omitempty"`      // Horizontal
	InnerODM   float64 `json:"inner_od_m,omitempty"`   // Vertical, around a pipe
	PlanAreaM2 float64 `json:"plan_area_m2,omitempty"` // Plan
	LipM       float64 `json:"lip_m"`                  // air escapes into the riser below this level
	HighM      float64 `json:"high_m"`                 // highest water level allowed
}

// The kinds of riser.
const (
	Pipe    = "pipe"
	Annulus = "annulus"
)

// Riser carries the water away.
type Riser struct {
	Kind       string   `json:"kind"`
	BoreM      float64  `json:"bore_m,omitempty"`       // Pipe
	Count      Whole    `json:"count,omitempty"`        // Pipe
	OuterBoreM float64  `json:"outer_bore_m,omitempty"` // Annulus
	InnerODM   float64  `json:"inner_od_m,omitempty"`   // Annulus
	OutletM    float64  `json:"outlet_m"`
	LengthM    *float64 `json:"length_m,omitempty"` // default: outlet less lip
	RoughnessM float64  `json:"roughness_m"`
	KMinor     float64  `json:"k_minor"`
}

// The ways in which air is taken off.
const (
	BlowOffLevel = "blowoff_level" // all separated air is taken, level at the lip
	ToReceiver   = "receiver"
	ToOpenAir    = "open"
	ValveShut    = "closed"
)

// The ways of the air while the valve is shut.
const (
	RouteRiser = "riser"
	RoutePipe  = "pipe"
)

// Takeoff is the air line.
type Takeoff struct {
	Mode            string   `json:"mode"`
	ReceiverGaugePa float64  `json:"receiver_gauge_pa,omitempty"` // ToReceiver
	BlowOffRoute    string   `json:"blowoff_route,omitempty"`     // ValveShut: riser or pipe
	BoreM           *float64 `json:"bore_m,omitempty"`
	LengthM         float64  `json:"length_m"`
	RoughnessM      float64  `json:"roughness_m"`
	K               float64  `json:"k"`
	ValveCdAM2      *float64 `json:"valve_cda_m2,omitempty"`
}

// Wanted is what the builder needs; warnings say where the machine falls short.
type Wanted struct {
	GaugePa    *float64 `json:"gauge_pa,omitempty"`
	FreeAirM3S *float64 `json:"free_air_m3s,omitempty"`
}
