package build

import (
	"leat/calc"
	"leat/calc/parts"
	"leat/calc/strength"
)

// Part is one part of a machine, as the builder gave it. What is nil is taken
// from the catalogue line, or from the machine.
type Part struct {
	Role         string   `json:"role"`
	Name         string   `json:"name"`
	Line         string   `json:"line"` // key of the catalogue; empty: described by hand
	ODM          *float64 `json:"od_m"`
	WallM        *float64 `json:"wall_m"`
	GasClass     string   `json:"gas_class"`
	Table        string   `json:"table"`
	RatingPa     *float64 `json:"rating_pa"`
	Marking      string   `json:"marking"` // that the rating is read from
	Picture      string   `json:"picture"`
	LengthM      *float64 `json:"length_m"`
	Count        calc.Int `json:"count"`
	Joint        string   `json:"joint"`
	Thread       string   `json:"thread"`
	Into         string   `json:"into"`
	Location     string   `json:"location"`
	GasStatement bool     `json:"gas_statement"`
	Certified    bool     `json:"certified"`
	HoldsGas     *bool    `json:"holds_gas"`
	DesignPa     *float64 `json:"p_design_pa"`
}

// The roles of a part.
const (
	SupplyPipe   = "supply_pipe"
	Downcomer    = "downcomer"
	Chamber      = "chamber"
	Riser        = "riser"
	AirLine      = "air_line"
	Receiver     = "receiver"
	DrivePipe    = "drive_pipe"
	AirVessel    = "air_vessel"
	DeliveryPipe = "delivery_pipe"
	Other        = "other"
)

var roles = []string{SupplyPipe, Downcomer, Chamber, Riser, AirLine, Receiver, DrivePipe, AirVessel, DeliveryPipe, Other}

// gasRoles are those that hold air in normal running.
var gasRoles = map[string]bool{Chamber: true, AirLine: true, Receiver: true, AirVessel: true}

var joints = []string{"solvent", "fusion", "electrofusion", "threaded", "compression", "push_ring", "welded", "brazed", "push_in"}

// Facts are what the place and the people add.
type Facts struct {
	HotC         *float64 `json:"t_hot_c"`
	ColdC        *float64 `json:"t_cold_c"`
	RiserBlocks  *bool    `json:"riser_can_block"`
	GasM3        *float64 `json:"gas_volume_m3"`
	Barrier      bool     `json:"barrier"`
	ReliefSetPa  *float64 `json:"relief_set_pa"`
	ReliefM2     *float64 `json:"relief_orifice_m2"`
	ReliefKd     float64  `json:"relief_kd"`
	Isolatable   *bool    `json:"relief_isolatable"`
	GaugeFullPa  *float64 `json:"gauge_full_pa"`
	GaugeClass   *float64 `json:"gauge_class_pct"`
	GaugeAgeDays *float64 `json:"gauge_age_days"`
	Humidity     float64  `json:"rh_pct"`
	Site         Site     `json:"site"`
}

// Site are the facts that the test procedure asks for. What is not answered
// counts as yes.
type Site struct {
	Stream         *bool    `json:"stream"`
	Pond           *bool    `json:"pond"`
	Public         *bool    `json:"public"`
	ThirdPartyLand *bool    `json:"third_party_land"`
	Digging        *bool    `json:"digging"`
	DepthM         *float64 `json:"depth_m"`
	Shaft          *bool    `json:"shaft"`
	Roof           *bool    `json:"roof"`
	Gutter         *bool    `json:"gutter"`
	HeadM          *float64 `json:"head_m"`
	TankDepthM     *float64 `json:"tank_depth_m"`
	Electric       *bool    `json:"electric"`
	Frost          *bool    `json:"frost"`
}

// PartFields declares the fields of one part.
func PartFields() []calc.Field {
	return []calc.Field{
		calc.OneOf("/role", "what it is in the machine", roles...).Need(),
		calc.Words("/name", "what you call it"),
		calc.Words("/line", "line of the pipe catalogue; leave it out to describe the part by hand"),
		calc.Positive("/od_m", "m", "outside diameter, measured"),
		calc.Positive("/wall_m", "m", "least wall, measured"),
		calc.OneOf("/gas_class", "how it breaks when gas is in it", strength.Brittle, strength.NonPressure, strength.Ductile, strength.Metal, strength.Flexible),
		calc.OneOf("/table", "derating table for heat, by material", strength.Tables()...),
		calc.Positive("/rating_pa", "Pa", "rating for water, gauge, of the weakest of pipe, fittings, valves and joints"),
		calc.Words("/marking", "the marking, or the maker's statement, that the rating is read from; without it there is no rating"),
		calc.Words("/picture", "which picture shows the marking"),
		calc.Positive("/length_m", "m", "length between its ends").Preset("as the machine has it"),
		calc.Counted("/count", 1, 1000, "how many such parts").Preset("1"),
		calc.OneOf("/joint", "how it is joined", joints...),
		calc.Words("/thread", "thread on this part, such as R 3/4"),
		calc.Words("/into", "thread that it goes into, such as Rp 3/4"),
		calc.OneOf("/location", "where it is while it is under pressure", strength.Exposed, strength.Guarded, strength.Buried, strength.Submerged).Preset(strength.Exposed),
		calc.YesNo("/gas_statement", "the maker says in writing that it may hold compressed air, or a gas standard is printed on it"),
		calc.YesNo("/certified", "a vessel with a certificate or a mark as a pressure vessel"),
		calc.YesNo("/holds_gas", "air can stand in it: running, blocked or drained").Preset("by its place in the machine"),
		calc.AtLeast("/p_design_pa", "Pa", 0, "gauge pressure that it must be good for; counts where it is above what leat works out"),
	}
}

// KnownLine is the rule that a line of the catalogue exists.
func KnownLine(_ map[string]any, list []any, i int) []calc.Fault {
	part, _ := list[i].(map[string]any)
	key, _ := part["line"].(string)
	if _, ok := parts.Lookup(key); ok || key == "" {
		return nil
	}
	return []calc.Fault{{Code: calc.UnknownValue, At: "/line", Message: "The catalogue has no such line. Choose one of it, or leave this empty and describe the part by hand."}}
}

// FactFields declares the facts, below a pointer.
func FactFields(at string) []calc.Field {
	yes := func(name, about string) calc.Field { return calc.YesNo(at+"/site/"+name, about).Preset("true") }
	return []calc.Field{
		calc.Part(at, "the place and the people: what safety asks"),
		calc.Between(at+"/t_hot_c", "°C", -40, 120, "hottest wall in use: the warmest air and 15 °C more where sun reaches it").Need(),
		calc.Between(at+"/t_cold_c", "°C", -40, 120, "coldest wall in use").Need(),
		calc.YesNo(at+"/riser_can_block", "the way out of the water may be stopped: by ice, debris or a valve").Preset("true"),
		calc.AtLeast(at+"/gas_volume_m3", "m³", 0, "all gas that could leave through one break").Preset("from the machine and the receiver"),
		calc.YesNo(at+"/barrier", "a barrier that holds fragments stands around it, and is photographed"),
		calc.Positive(at+"/relief_set_pa", "Pa", "set pressure of the relief valve, gauge"),
		calc.Positive(at+"/relief_orifice_m2", "m²", "orifice of the relief valve"),
		calc.Share(at+"/relief_kd", "discharge coefficient of the relief valve, from its maker").Preset("0.6"),
		calc.YesNo(at+"/relief_isolatable", "a valve could shut the relief off").Preset("true"),
		calc.Positive(at+"/gauge_full_pa", "Pa", "full scale of the test gauge"),
		calc.Between(at+"/gauge_class_pct", "", 0.01, 10, "accuracy class of the test gauge, % of full scale"),
		calc.AtLeast(at+"/gauge_age_days", "", 0, "days since the test gauge was calibrated"),
		calc.Between(at+"/rh_pct", "", 0, 100, "humidity while the cement cures, %").Preset("70"),
		calc.Part(at+"/site", "the site; what is not answered counts as yes"),
		yes("stream", "it stands in or at a stream"), yes("pond", "it stands in or at a pond"), yes("public", "people who are not of the group can come near"),
		yes("third_party_land", "the land is somebody else's"), yes("digging", "something is dug"),
		calc.AtLeast(at+"/site/depth_m", "m", 0, "how deep is dug"), yes("shaft", "there is a shaft or a well"), yes("roof", "somebody works on a roof"), yes("gutter", "it is fed from a gutter"),
		calc.AtLeast(at+"/site/head_m", "m", 0, "height of the water above the lowest part"), calc.AtLeast(at+"/site/tank_depth_m", "m", 0, "depth of open water in a tank"),
		yes("electric", "there is electricity near"), yes("frost", "it can freeze"),
	}
}
