package receiver

import (
	"math"

	"leat/calc"
)

// MoistureIn is air that is compressed into a receiver.
type MoistureIn struct {
	VFree  float64  `json:"V_free"`    // m³
	RH     float64  `json:"RH"`        // 0 to 1
	TAmb   float64  `json:"t_amb_C"`   // °C
	P      float64  `json:"p"`         // Pa, absolute
	TRecv  float64  `json:"t_recv_C"`  // °C
	PAtm   float64  `json:"p_atm"`     // Pa
	TWater *float64 `json:"t_water_C"` // °C, nil: as the receiver
}

// MoistureOut is the water that comes with the air.
type MoistureOut struct {
	MVapourIn        float64 `json:"m_vapour_in"`  // kg
	MCondensate      float64 `json:"m_condensate"` // kg
	RHAfterExpansion float64 `json:"RH_after_expansion"`
}

const (
	vapourR    = 461.5   // J/(kg K), gas constant of water vapour, from memory
	massRatios = 0.62198 // molar mass of water over that of dry air, from memory
)

// SaturationPressure returns the pressure of saturated water vapour in Pa at a
// temperature t in °C:
//
//	610.94·exp(17.625·t/(t + 243.04))
//
// Valid from −40 to 100 °C over water; 0.3 % off IAPWS-IF97 at 20 °C.
//
// Source: Alduchov and Eskridge 1996, constants from memory.
func SaturationPressure(t float64) float64 { return 610.94 * math.Exp(17.625*t/(t+243.04)) }

// MixingRatio returns the mass of water vapour per mass of dry air:
//
//	w = 0.62198·e/(p − e)
//
// e is the pressure of the vapour and p that of the moist air, both in Pa.
//
// Valid for e below p.
//
// Source: ideal gases.
func MixingRatio(e, p float64) float64 { return massRatios * e / (p - e) }

// Moisture answers how much water comes out of the air in a receiver.
func Moisture(in MoistureIn) (MoistureOut, []calc.Warning, *calc.Fault) {
	water := in.TRecv
	if in.TWater != nil {
		water = *in.TWater
	}
	e := in.RH * SaturationPressure(in.TAmb)
	if fault := in.fault(e, water); fault != nil {
		return MoistureOut{}, nil, fault
	}
	t := in.TAmb + calc.Kelvin
	dry := (in.PAtm - e) * in.VFree / (calc.AirR * t)
	falls := MixingRatio(e, in.PAtm) - MixingRatio(SaturationPressure(in.TRecv), in.P)
	w := MixingRatio(SaturationPressure(water), in.P)
	return MoistureOut{
		MVapourIn:        e * in.VFree / (vapourR * t),
		MCondensate:      dry * math.Max(0, falls),
		RHAfterExpansion: in.PAtm * w / (massRatios + w) / SaturationPressure(in.TAmb),
	}, nil, nil
}

func (in MoistureIn) fault(e, water float64) *calc.Fault {
	const boils = "At this temperature water boils under this pressure, so the air would be all vapour. Look for a slipped unit: temperatures are in degrees Celsius, pressures in pascals from vacuum."
	switch {
	case in.P <= in.PAtm:
		return &calc.Fault{Code: calc.Range, At: "/p",
			Message: "The pressure in the receiver must be above that of the air around. It counts from vacuum: add 101325 Pa to what the gauge shows."}
	case e >= in.PAtm:
		return &calc.Fault{Code: calc.Range, At: "/t_amb_C", Message: boils}
	case SaturationPressure(in.TRecv) >= in.P:
		return &calc.Fault{Code: calc.Range, At: "/t_recv_C", Message: boils}
	case SaturationPressure(water) >= in.P:
		return &calc.Fault{Code: calc.Range, At: "/t_water_C", Message: boils}
	}
	return nil
}

const (
	magnus   = "Alduchov and Eskridge 1996, constants from memory"
	moistAir = "ideal gases, R = 287.05 and 461.5 J/(kg K)"
)

var condensate = calc.New(calc.Description{
	Name: "system/condensate", Answers: "water that falls out of the air in a receiver, and how dry the air is after it", Evidence: calc.OftenMeasured,
	Words: []string{"condensate", "moisture", "drain", "receiver", "humidity", "dry"},
	Inputs: []calc.Field{
		calc.Positive("/V_free", "m³", "free air that goes in").Need(),
		calc.Between("/RH", "", 0, 1, "relative humidity of the air around, 0 to 1").Need(),
		celsius("/t_amb_C", "temperature of the air around").Need(),
		calc.Positive("/p", "Pa", "pressure in the receiver, absolute").Need(),
		celsius("/t_recv_C", "temperature of the receiver").Need(),
		atmosphere,
		celsius("/t_water_C", "temperature of the water that compressed the air").Preset("as the receiver"),
	},
	Outputs: []calc.Field{
		calc.Gives("/m_vapour_in", "kg", "water that goes in with the air", "e·V/(461.5·T), e = RH·610.94·exp(17.625·t/(t + 243.04))", magnus, "/RH", "/t_amb_C", "/V_free"),
		calc.Gives("/m_condensate", "kg", "water to drain", "(p_a − e)·V/(R·T)·max(0, w_in − w_sat), w = 0.62198·e/(p − e)", moistAir, "/V_free", "/RH", "/t_amb_C", "/p", "/t_recv_C", "/p_atm"),
		calc.Gives("/RH_after_expansion", "", "relative humidity of the air once let out into the room, 0 to 1", "p_a·w/(0.62198 + w)/p_sat(t_amb), w saturated at p and the water", moistAir, "/p_atm", "/p", "/t_water_C", "/t_recv_C", "/t_amb_C"),
	},
	Equation: "m = m_dry·max(0, w_in − w_sat), w = 0.62198·e/(p − e)",
	Validity: "−40 to 100 °C. Air of a trompe leaves saturated at the temperature of its water, under pressure; let out it is dry. A receiver needs its drain all the same.",
	Sources:  []string{magnus, moistAir},
	Example:  []byte(`{"V_free": 1, "RH": 0.7, "t_amb_C": 20, "p": 801325, "t_recv_C": 15, "t_water_C": 12}`),
}, MoistureIn{PAtm: calc.Atmosphere}, Moisture)

func celsius(at, about string) calc.Field { return calc.Between(at, "°C", -40, 100, about) }
