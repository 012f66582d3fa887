package strength

import (
	"math"

	"leat/calc"
)

// ExclusionIn is a part that is brought under pressure.
type ExclusionIn struct {
	EJ        float64 `json:"e_j"`
	Medium    string  `json:"medium"`
	RScaled   float64 `json:"r_scaled"`
	MinGasM   float64 `json:"min_gas_m"`
	MinWaterM float64 `json:"min_water_m"`
	Barrier   bool    `json:"barrier"`
}

// Media that a part is filled with.
const (
	MediumGas   = "gas"
	MediumWater = "water"
)

// ExclusionOut is how far people keep away.
type ExclusionOut struct {
	TNTKg   float64 `json:"tnt_kg"`
	RBlastM float64 `json:"r_blast_m"`
	RMinM   float64 `json:"r_min_m"`
	RM      float64 `json:"r_m"`
}

// Limits of ASME PCC-2, read, and of the group's own rule on short distances.
const (
	energyFor60M    = 135.5e6 // J
	energyTooMuch   = 271e6   // J
	floorFor60M     = 60.0    // m
	usualFloor      = 30.0    // m
	barrierEnough   = 1356.0  // J, common practice
	defaultMinWater = 5.0     // m, common practice
)

// BlastDistance returns in m how far the blast of an energy in J reaches, with
// the scaled distance in m/kg^(1/3):
//
//	r = R_s·(2·E/4266920)^(1/3)
//
// Valid up to 271 MJ. Fragments fly further: the floor distances are for them.
//
// Source: ASME PCC-2 Appendix 501-III, later edition with the factor 2, read.
func BlastDistance(energy, scaled float64) float64 { return scaled * math.Cbrt(2*energy/TNTEnergy) }

// Exclusion answers how far people keep away while pressure rises and is held.
func Exclusion(in ExclusionIn) (ExclusionOut, []calc.Warning, *calc.Fault) {
	if fault := exclusionFault(in); fault != nil {
		return ExclusionOut{}, nil, fault
	}
	out := ExclusionOut{TNTKg: in.EJ / TNTEnergy, RBlastM: BlastDistance(in.EJ, in.RScaled), RMinM: in.MinWaterM}
	if in.Medium == MediumGas {
		out.RMinM = in.MinGasM
		if in.EJ > energyFor60M {
			out.RMinM = max(floorFor60M, in.MinGasM)
		}
	}
	out.RM = max(out.RBlastM, out.RMinM)
	return out, nil, nil
}

func exclusionFault(in ExclusionIn) *calc.Fault {
	if in.EJ > energyTooMuch {
		return &calc.Fault{Code: calc.Range, At: "/e_j", Message: "Above 271 MJ there is no distance that this rule gives. Divide the part into smaller volumes, lower the pressure, or test with water."}
	}
	if in.MinGasM < usualFloor && (in.EJ > barrierEnough || !in.Barrier) {
		return &calc.Fault{Code: calc.Inconsistent, At: "/min_gas_m", Message: "Less than 30 m takes a barrier that stops fragments and at most 1356 J. Put one up and photograph it, hold less gas, or keep 30 m."}
	}
	return nil
}

const floorSource = "ASME PCC-2 Article 501, Appendix III, read; the floor for water, and less than 30 m behind a barrier: common practice, no source"

var exclusion = calc.New(calc.Description{
	Name: "safety/exclusion", Answers: "how far people keep away while a part is under test or pressure rises",
	Words: []string{"exclusion", "distance", "keep clear", "pressure test", "blast", "fragments"},
	Inputs: []calc.Field{
		calc.AtLeast("/e_j", "J", 0, "energy stored").Need(),
		calc.OneOf("/medium", "what the part is filled with", MediumGas, MediumWater).Need(),
		calc.Between("/r_scaled", "m/kg^(1/3)", 20, 50, "scaled distance").Preset("20"),
		calc.AtLeast("/min_gas_m", "m", 10, "least distance from gas; below 30 m only behind a barrier and up to 1356 J").Preset("30"),
		calc.AtLeast("/min_water_m", "m", 3, "least distance from water").Preset("5"),
		calc.YesNo("/barrier", "a barrier that stops fragments stands in between"),
	},
	Outputs: []calc.Field{
		calc.Gives("/tnt_kg", "kg", "as much as this mass of TNT", "E/4266920", pcc2, "/e_j"),
		calc.Gives("/r_blast_m", "m", "how far the blast reaches", "R_s·(2·TNT)^(1/3)", pcc2, "/r_scaled", "/tnt_kg"),
		calc.Gives("/r_min_m", "m", "least distance, because of fragments", "floor of the medium; gas above 135.5 MJ at least 60 m", floorSource, "/medium", "/min_gas_m", "/min_water_m", "/e_j"),
		calc.Gives("/r_m", "m", "distance to keep", "the greater of the two", floorSource, "/r_blast_m", "/r_min_m"),
	},
	Equation: "r = max(R_s·(2·E/4266920)^(1/3), floor)",
	Validity: "Up to 271 MJ, during every rise and hold of pressure. Local rules come first where they ask for more.",
	Sources:  []string{pcc2, floorSource},
	Example:  []byte(`{"e_j": 6500, "medium": "gas"}`),
}, ExclusionIn{RScaled: 20, MinGasM: usualFloor, MinWaterM: defaultMinWater}, Exclusion)
