package strength

import "leat/calc"

// PNIn is a plastic pipe by its material and its proportions.
type PNIn struct {
	MRSMPa float64 `json:"mrs_mpa"`
	C      float64 `json:"c"`
	SDR    float64 `json:"sdr"`
}

// PNOut is what such a pipe is made for.
type PNOut struct {
	SigmaSMPa float64 `json:"sigma_s_mpa"`
	SSeries   float64 `json:"s_series"`
	PNBar     float64 `json:"pn_bar"`
}

// NominalPressure returns PN in bar of a pipe whose design stress is in MPa:
//
//	PN = 20·σ_s/(SDR − 1)
//
// Valid for thick and thin round walls of one material, water at 20 °C, 50 years.
//
// Source: ISO 161-1, as reprints of ISO 4427-2 use it, read.
func NominalPressure(designStress, sdr float64) float64 { return 20 * designStress / (sdr - 1) }

// PN answers what nominal pressure a plastic pipe has by its proportions.
func PN(in PNIn) (PNOut, []calc.Warning, *calc.Fault) {
	stress := in.MRSMPa / in.C
	return PNOut{SigmaSMPa: stress, SSeries: (in.SDR - 1) / 2, PNBar: NominalPressure(stress, in.SDR)}, nil, nil
}

const iso161 = "ISO 161-1; coefficients by ISO 12162, read in reprints; C of PVC-U by EN ISO 1452-2 from memory"

var pn = calc.New(calc.Description{
	Name: "safety/pn", Answers: "nominal pressure of a plastic pipe from its material and proportions",
	Words: []string{"PN", "rating", "SDR", "MRS", "pressure class", "plastic pipe"},
	Inputs: []calc.Field{
		calc.Positive("/mrs_mpa", "MPa", "least strength of the material after 50 years (MRS): 10 for PE100, 25 for PVC-U").Need(),
		calc.AtLeast("/c", "", 1, "design coefficient: 1.25 for PE in water, 2 for PE in gas, 2 to 2.5 for PVC-U").Need(),
		calc.Above("/sdr", "", 2, "outside diameter over wall (SDR)").Need(),
	},
	Outputs: []calc.Field{
		calc.Gives("/sigma_s_mpa", "MPa", "design stress", "σ_s = MRS/C", iso161, "/mrs_mpa", "/c"),
		calc.Gives("/s_series", "", "pipe series S", "S = (SDR − 1)/2", iso161, "/sdr"),
		calc.Gives("/pn_bar", "bar", "nominal pressure, gauge", "PN = 20·σ_s/(SDR − 1)", iso161, "/sigma_s_mpa", "/sdr"),
	},
	Equation: "PN = 20·MRS/(C·(SDR − 1))",
	Validity: "Water at 20 °C. Only a check whether a marking is plausible: the rating is what is printed on the weakest part.",
	Sources:  []string{iso161},
	Example:  []byte(`{"mrs_mpa": 10, "c": 1.25, "sdr": 11}`),
}, PNIn{}, PN)
