package strength

import (
	"slices"

	"leat/calc"
)

// HoopIn is a pipe under pressure from inside.
type HoopIn struct {
	PPa   float64 `json:"p_pa"`
	ODM   float64 `json:"od_m"`
	WallM float64 `json:"wall_m"`
}

// HoopOut is the stress around its wall.
type HoopOut struct {
	HoopPa       float64 `json:"hoop_pa"`
	BarlowThinPa float64 `json:"barlow_thin_pa"`
	SDR          float64 `json:"sdr"`
}

// HoopStress returns the stress around the wall of a pipe in Pa, with gauge
// pressure in Pa, outside diameter and wall in m:
//
//	σ = p·(D − t)/(2·t)
//
// Valid for round pipe without dents; the mean over the wall.
//
// Source: mean-diameter form of ISO 161-1 and of ASTM D1785's P = 2·S·t/(D − t), read in reprints.
func HoopStress(p, od, wall float64) float64 { return p * (od - wall) / (2 * wall) }

// BarlowStress returns the same by the outside diameter, which is a little more:
//
//	σ = p·D/(2·t)
//
// Valid as a comparison only.
//
// Source: Barlow's formula.
func BarlowStress(p, od, wall float64) float64 { return p * od / (2 * wall) }

// Hoop answers what stress a pressure sets up around a pipe.
func Hoop(in HoopIn) (HoopOut, []calc.Warning, *calc.Fault) {
	return HoopOut{
		HoopPa:       HoopStress(in.PPa, in.ODM, in.WallM),
		BarlowThinPa: BarlowStress(in.PPa, in.ODM, in.WallM),
		SDR:          SDR(in.ODM, in.WallM),
	}, nil, nil
}

const hoopSource = "ISO 161-1 and ASTM D1785 (mean-diameter form), read in reprints"

var hoop = calc.New(calc.Description{
	Name: "safety/hoop", Answers: "stress around the wall of a pipe under pressure",
	Words:  []string{"hoop stress", "wall", "burst", "Barlow", "pipe"},
	Inputs: slices.Concat([]calc.Field{calc.AtLeast("/p_pa", "Pa", 0, "pressure inside, gauge").Need()}, ring()),
	Outputs: []calc.Field{
		calc.Gives("/hoop_pa", "Pa", "stress around the wall", "σ = p·(D − t)/(2·t)", hoopSource, "/p_pa", "/od_m", "/wall_m"),
		calc.Gives("/barlow_thin_pa", "Pa", "the same by the outside diameter, for comparison", "σ = p·D/(2·t)", "Barlow's formula", "/p_pa", "/od_m", "/wall_m"),
		calc.Gives("/sdr", "", "outside diameter over wall (SDR)", "D/t", "ISO 161-1", "/od_m", "/wall_m"),
	},
	Equation: "σ = p·(D − t)/(2·t)",
	Validity: "Round pipe, no dents, no bends, no threads. Only a check whether a marking is plausible: the rating is what is printed on the weakest part.",
	Sources:  []string{hoopSource},
	Example:  []byte(`{"p_pa": 300000, "od_m": 0.05, "wall_m": 0.0024}`),
}, HoopIn{}, Hoop, hollow(func(in HoopIn) (float64, float64) { return in.ODM, in.WallM }))
