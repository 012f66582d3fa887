package use

import (
	"fmt"
	"math"

	"leat/calc"
)

// AerationIn is a diffuser under water.
type AerationIn struct {
	Depth      float64  `json:"depth"`            // m
	QFree      float64  `json:"Q_free_m3s"`       // m³/s
	PAvail     *float64 `json:"p_avail_gauge"`    // Pa
	DiffuserPa float64  `json:"diffuser_loss_Pa"` // Pa
	Rho        float64  `json:"rho"`              // kg/m³
	SOTEPerM   float64  `json:"SOTE_per_m"`       // 1/m
	TC         float64  `json:"t_C"`              // °C
	DO         float64  `json:"DO"`               // mg/L
	Alpha      float64  `json:"alpha"`
	Beta       float64  `json:"beta"`
}

// AerationOut is the oxygen that a diffuser brings into the water.
type AerationOut struct {
	PNeeded float64 `json:"p_needed_gauge"`
	SOTE    float64 `json:"SOTE"`
	SOTRGph float64 `json:"SOTR_gph"`
	OTRGph  float64 `json:"OTR_gph"`
	Cs      float64 `json:"Cs"`
}

// OxygenInAir is the oxygen in a cubic metre of free air, in kg: 1.204 kg of
// air, 23.15 % of it oxygen.
const OxygenInAir = 1.204 * 0.2315

// OxygenSaturation returns the oxygen in mg/L that fresh water holds at a
// temperature in °C under moist air of one atmosphere; a straight line between
// the points of the table.
//
// Valid from 0 to 30 °C, constant outside; salt water holds less.
//
// Source: table of the trade, from memory; within 1.5 % of Boyd's lecture table 1-1.
func OxygenSaturation(tC float64) float64 {
	return calc.Interpolate(tC, []float64{0, 5, 10, 15, 20, 25, 30}, []float64{14.62, 12.80, 11.33, 10.08, 9.09, 8.26, 7.56})
}

// FieldTransfer returns the oxygen that goes into real water, in the unit of the
// standard rate for clean water of 20 °C without oxygen:
//
//	OTR = α·SOTR·(β·C_s − DO)/9.09·1.024^(T − 20)
//
// alpha and beta say how far the water is from clean, saturated C_s and present
// DO are in mg/L, the temperature in °C. Below zero, bubbles take oxygen out.
//
// Valid for diffusers in fresh water.
//
// Source: usual correction of aeration practice, from memory.
func FieldTransfer(standard, alpha, beta, saturated, present, tC float64) float64 {
	return alpha * standard * (beta*saturated - present) / 9.09 * math.Pow(1.024, tC-20)
}

// Aeration answers what pressure a diffuser needs and what oxygen it brings.
func Aeration(in AerationIn) (AerationOut, []calc.Warning, *calc.Fault) {
	needed := in.Rho*calc.Gravity*in.Depth + in.DiffuserPa
	if in.PAvail != nil && *in.PAvail <= needed {
		return AerationOut{}, nil, &calc.Fault{Code: calc.Infeasible, At: "/p_avail_gauge", Message: fmt.Sprintf(
			"No air comes out: depth and diffuser need %.6g Pa on the gauge, and there are %.6g Pa. Hang the diffuser higher, take a coarser one, or more pressure.", needed, *in.PAvail)}
	}
	sote := math.Min(1, in.SOTEPerM*in.Depth)
	sotr := sote * in.QFree * OxygenInAir * 3.6e6
	saturated := OxygenSaturation(in.TC)
	out := AerationOut{PNeeded: needed, SOTE: sote, SOTRGph: sotr, Cs: saturated,
		OTRGph: FieldTransfer(sotr, in.Alpha, in.Beta, saturated, in.DO, in.TC)}
	if out.OTRGph < 0 {
		return out, []calc.Warning{{Code: "W_STRIPS", At: "/DO",
			Message: "The water holds more oxygen already than air can give it at this temperature: the bubbles take some out."}}, nil
	}
	return out, nil, nil
}

const (
	transfer   = "Usual practice of fine and coarse diffusers, from memory"
	saturation = "Table of the trade, from memory; within 1.5 % of Boyd, lecture table 1-1, read"
)

var aeration = calc.New(calc.Description{
	Name: "system/aeration", Answers: "pressure that a diffuser needs and oxygen that it brings", Evidence: calc.BuiltMeasured,
	Words:    []string{"diffuser", "bubbler", "pond", "oxygen", "fish", "aeration", "air stone"},
	Inputs:   aerationInputs(),
	Outputs:  aerationOutputs,
	Equation: "p = ρ·g·depth + Δp of the diffuser; OTR = α·SOTE·Q·1.204·0.2315·(β·C_s − DO)/9.09·1.024^(T − 20)",
	Validity: "Fresh water near sea level. Pressure is hydrostatics; oxygen depends on bubbles and water, and may be off by half. " +
		"Deep or pressed aeration loads water with nitrogen, which can kill fish: never lead a trompe's tail water straight into a fish tank, let it splash first.",
	Sources: []string{transfer, saturation, "Warning on nitrogen: Production of gas supersaturation by aeration, abstract read"},
	Example: []byte(`{"depth": 1, "Q_free_m3s": 0.0002, "DO": 5}`),
}, AerationIn{DiffuserPa: 3000, Rho: calc.WaterDensity, SOTEPerM: 0.05, TC: 20, Alpha: 0.8, Beta: 1}, Aeration)

func aerationInputs() []calc.Field {
	transfer := calc.Between("/SOTE_per_m", "1/m", 0, 0.15, "share of the oxygen that goes into clean water on each metre: fine pores 0.05 to 0.07, coarse 0.02 to 0.025").Preset("0.05")
	transfer.AboveLow = true
	return []calc.Field{
		calc.Positive("/depth", "m", "depth of the diffuser under the surface").Need(),
		calc.Positive("/Q_free_m3s", "m³/s", "flow of free air").Need(),
		calc.Signed("/p_avail_gauge", "Pa", "pressure at the diffuser, gauge, to see whether it is enough"),
		calc.AtLeast("/diffuser_loss_Pa", "Pa", 0, "pressure that the diffuser itself takes: fine 3000, coarse 500 to 1000").Preset("3000"),
		water(), transfer,
		calc.Between("/t_C", "°C", -40, 100, "temperature of the water").Preset("20"),
		calc.AtLeast("/DO", "mg/L", 0, "oxygen that the water holds already").Preset("0"),
		calc.Share("/alpha", "transfer in this water over that in clean water: dirty 0.4, clean 0.9").Preset("0.8"),
		calc.Share("/beta", "saturation of this water over that of clean water").Preset("1"),
	}
}

var aerationOutputs = []calc.Field{
	calc.Gives("/p_needed_gauge", "Pa", "pressure that is needed at the diffuser, gauge", "ρ·g·depth + Δp of the diffuser", "hydrostatics", "/rho", "/depth", "/diffuser_loss_Pa"),
	calc.Gives("/SOTE", "", "share of the oxygen that goes into clean water", "SOTE = share a metre · depth, at most 1", transfer, "/SOTE_per_m", "/depth"),
	calc.Gives("/SOTR_gph", "g/h", "oxygen into clean water of 20 °C that holds none", "SOTE·Q·1.204·0.2315", transfer, "/SOTE", "/Q_free_m3s"),
	calc.Gives("/OTR_gph", "g/h", "oxygen into this water", "α·SOTR·(β·C_s − DO)/9.09·1.024^(T − 20)", transfer, "/SOTR_gph", "/alpha", "/beta", "/Cs", "/DO", "/t_C"),
	calc.Gives("/Cs", "mg/L", "oxygen that clean water holds at most", "C_s = table over T", saturation, "/t_C"),
}
