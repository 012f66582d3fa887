package pressuretest

import (
	"math"

	"leat/calc"
	"leat/calc/use"
)

// ReliefIn is a relief device and what it must keep up with.
type ReliefIn struct {
	Fluid      string  `json:"fluid"`
	SetPa      float64 `json:"set_pa"`
	DesignPa   float64 `json:"p_design_pa"`
	OrificeM2  float64 `json:"orifice_m2"`
	Kd         float64 `json:"kd"`
	TempC      float64 `json:"temp_c"`
	SourceKgS  float64 `json:"source_kg_s"`
	Isolatable bool    `json:"isolatable"`
	PAtmPa     float64 `json:"p_atm_pa"`
	RhoKgM3    float64 `json:"rho_kg_m3"`
}

// ReliefOut says whether it does.
type ReliefOut struct {
	RelievingPa float64 `json:"relieving_pa"`
	CapacityKgS float64 `json:"capacity_kg_s"`
	Choked      bool    `json:"choked"`
	RequiredM2  float64 `json:"required_orifice_m2"`
	OK          bool    `json:"ok"`
	Reasons     reasons `json:"reasons"`
}

// Air and water, as fluids of a relief device.
const (
	Air   = "air"
	Water = "water"
)

// WaterDischarge returns the water in kg/s that an opening lets go:
//
//	w = K_d·A·√(2·ρ·p)
//
// kd is a pure number, area in m², rho in kg/m³, p in Pa gauge.
//
// Valid for turbulent flow into the open.
//
// Source: Torricelli with a discharge coefficient.
func WaterDischarge(kd, area, rho, p float64) float64 { return kd * area * math.Sqrt(2*rho*p) }

// Relief answers whether a relief device keeps up with its source.
func Relief(in ReliefIn) (ReliefOut, []calc.Warning, *calc.Fault) {
	out := ReliefOut{RelievingPa: 1.1 * in.SetPa, Reasons: reasons{}}
	if in.Fluid == Air {
		before := out.RelievingPa + in.PAtmPa
		out.CapacityKgS = use.NozzleFlow(in.Kd, in.OrificeM2, before, in.PAtmPa, in.TempC+calc.Kelvin)
		out.Choked = in.PAtmPa/before <= use.CriticalRatio
	} else {
		out.CapacityKgS = WaterDischarge(in.Kd, in.OrificeM2, in.RhoKgM3, out.RelievingPa)
	}
	out.RequiredM2 = in.OrificeM2 * in.SourceKgS / out.CapacityKgS
	out.Reasons.add("set_over_design", in.SetPa > in.DesignPa)
	out.Reasons.add("capacity_below_source", out.CapacityKgS < in.SourceKgS)
	out.Reasons.add("isolatable", in.Isolatable)
	out.OK = len(out.Reasons) == 0
	return out, nil, nil
}

const reliefSource = "29 CFR 1917.155, 30 CFR 57.13011 and Cal. Code Regs. tit. 8 s.465, read; isentropic nozzle, form of ISO 4126-7"

var relief = calc.New(calc.Description{
	Name: "safety/relief", Answers: "whether a relief valve keeps up with its source",
	Words: []string{"relief valve", "safety valve", "orifice", "blow off"},
	Inputs: []calc.Field{
		calc.OneOf("/fluid", "what it lets go", Air, Water).Need(),
		calc.Positive("/set_pa", "Pa", "set pressure, gauge").Need(),
		calc.Positive("/p_design_pa", "Pa", "design pressure that it guards, gauge").Need(),
		calc.Positive("/orifice_m2", "m²", "area of its orifice").Need(),
		calc.Share("/kd", "discharge coefficient, from its maker; else 0.6").Need(),
		calc.Between("/temp_c", "°C", -40, 120, "temperature of what comes out").Need(),
		calc.AtLeast("/source_kg_s", "kg/s", 0, "most that the source can give").Need(),
		calc.YesNo("/isolatable", "a valve could shut it off").Preset("").Need(),
		barometer("/p_atm_pa"),
		density(),
	},
	Outputs: []calc.Field{
		calc.Gives("/relieving_pa", "Pa", "pressure while it blows, gauge", "1.1·set", reliefSource, "/set_pa"),
		calc.Gives("/capacity_kg_s", "kg/s", "what it lets go then", "isentropic nozzle; water: K_d·A·√(2·ρ·p)", reliefSource, "/kd", "/orifice_m2", "/relieving_pa", "/temp_c", "/p_atm_pa", "/rho_kg_m3"),
		calc.Gives("/choked", "", "the air leaves at the speed of sound", "p_a/P ≤ 0.528", reliefSource, "/relieving_pa", "/p_atm_pa").As(calc.Flag),
		calc.Gives("/required_orifice_m2", "m²", "orifice that would just do", "A·source/capacity", "proportion", "/orifice_m2", "/source_kg_s", "/capacity_kg_s"),
		calc.Gives("/ok", "", "it keeps up", "no reasons", reliefSource, "/reasons").As(calc.Flag),
		calc.Gives("/reasons", "", "why not", "set above design; capacity below source; a valve between", reliefSource, "/set_pa", "/p_design_pa", "/capacity_kg_s", "/source_kg_s").As(calc.List),
	},
	Equation: "capacity at 1.1·set ≥ source, set ≤ design pressure",
	Validity: "A device made for this, tried once a year, with nothing between it and the part. Where the source is not known, there is no answer.",
	Sources:  []string{reliefSource},
	Example:  []byte(`{"fluid": "air", "set_pa": 100000, "p_design_pa": 110000, "orifice_m2": 0.00005, "kd": 0.6, "temp_c": 15, "source_kg_s": 0.002, "isolatable": false}`),
}, ReliefIn{PAtmPa: calc.Atmosphere, RhoKgM3: calc.WaterDensity}, Relief)

// TrompeLimitIn are the levels of a trompe that decide what its chamber sees.
type TrompeLimitIn struct {
	HeadM         float64 `json:"z_head_m"`
	TailM         float64 `json:"z_tail_m"`
	BlowM         float64 `json:"z_blow_m"`
	RatingPa      float64 `json:"rating_pa"`
	RiserCanBlock bool    `json:"riser_can_block"`
	RhoKgM3       float64 `json:"rho_kg_m3"`
}

// TrompeLimitOut is the least that its chamber must be good for.
type TrompeLimitOut struct {
	BlowPa       float64 `json:"p_blow_pa"`
	BlockedPa    float64 `json:"p_blocked_pa"`
	DesignMinPa  float64 `json:"p_design_min_pa"`
	ReliefNeeded bool    `json:"relief_needed"`
}

// TrompeLimit answers what a trompe's chamber must be good for.
func TrompeLimit(in TrompeLimitIn) (TrompeLimitOut, []calc.Warning, *calc.Fault) {
	column := in.RhoKgM3 * calc.Gravity
	out := TrompeLimitOut{BlowPa: column * (in.TailM - in.BlowM), BlockedPa: column * (in.HeadM - in.BlowM)}
	out.DesignMinPa = out.BlowPa
	if in.RiserCanBlock {
		out.DesignMinPa = out.BlockedPa
	}
	out.ReliefNeeded = out.DesignMinPa > in.RatingPa
	return out, nil, nil
}

var trompeLimit = calc.New(calc.Description{
	Name: "safety/trompe_limit", Answers: "what a trompe's chamber must be good for, running and with the way out blocked",
	Words: []string{"trompe", "blow off", "chamber", "blocked riser", "design pressure"},
	Inputs: []calc.Field{
		calc.Signed("/z_head_m", "m", "level of the water above, to the brim").Need(),
		calc.Signed("/z_tail_m", "m", "level at which the water leaves").Need(),
		calc.Signed("/z_blow_m", "m", "level of the lip under which air escapes").Need(),
		calc.Positive("/rating_pa", "Pa", "what the chamber may hold, gauge").Need(),
		calc.YesNo("/riser_can_block", "the way out may be stopped: by ice, debris or a valve").Preset("true"),
		density(),
	},
	Outputs: []calc.Field{
		calc.Gives("/p_blow_pa", "Pa", "pressure at which air escapes under the lip", "ρ·g·(z_tail − z_blow)", "hydrostatics", "/rho_kg_m3", "/z_tail_m", "/z_blow_m"),
		calc.Gives("/p_blocked_pa", "Pa", "pressure with the way out blocked", "ρ·g·(z_head − z_blow)", "hydrostatics", "/rho_kg_m3", "/z_head_m", "/z_blow_m"),
		calc.Gives("/p_design_min_pa", "Pa", "least that it must be good for", "the blocked one, unless the way out cannot be blocked", "common practice, no source", "/p_blow_pa", "/p_blocked_pa", "/riser_can_block"),
		calc.Gives("/relief_needed", "", "it needs a relief valve", "p_design above the rating", "common practice, no source", "/p_design_min_pa", "/rating_pa").As(calc.Flag),
	},
	Equation: "p_blocked = ρ·g·(z_head − z_blow), p_blow = ρ·g·(z_tail − z_blow)",
	Validity: "Standing water. Only a way out without valve, screened and free of frost, photographed and signed, counts as one that cannot be blocked.",
	Sources:  []string{"Hydrostatics; the rule on blocking is common practice, no source"},
	Example:  []byte(`{"z_head_m": 3, "z_tail_m": 0, "z_blow_m": -8, "rating_pa": 160000}`),
}, TrompeLimitIn{RiserCanBlock: true, RhoKgM3: calc.WaterDensity}, TrompeLimit,
	calc.Relation[TrompeLimitIn]{At: "/z_tail_m", Of: []string{"/z_head_m", "/z_tail_m"}, Broken: func(in TrompeLimitIn) string {
		if in.TailM < in.HeadM {
			return ""
		}
		return "The water must leave below the level that it comes from. Look whether the two are swapped."
	}},
	calc.Relation[TrompeLimitIn]{At: "/z_blow_m", Of: []string{"/z_tail_m", "/z_blow_m"}, Broken: func(in TrompeLimitIn) string {
		if in.BlowM < in.TailM {
			return ""
		}
		return "The lip must lie below the level at which the water leaves: the height between them makes the pressure."
	}},
)
