package evidence

import (
	"fmt"
	"math"

	"leat/calc"
	"leat/calc/water"
)

const dryAir = "balance of dry air; vapour by the Magnus form of WMO-No. 8, from memory"

type freeAirIn struct {
	Q     calc.Reading `json:"q"`
	P     calc.Reading `json:"p"`
	T     calc.Reading `json:"t"`
	RH    calc.Reading `json:"rh"`
	PRef  float64      `json:"p_ref"`
	TRef  float64      `json:"t_ref"`
	RHRef float64      `json:"rh_ref"`
	UQ    float64      `json:"u_q"`
	UP    float64      `json:"u_p"`
	UT    float64      `json:"u_t"`
	URH   float64      `json:"u_rh"`
}

type freeAirOut struct {
	QRef    *float64 `json:"q_ref"`
	Factor  *float64 `json:"factor"`
	U       *float64 `json:"u"`
	Missing []string `json:"missing"`
	Status  string   `json:"status"`
}

func freeAir(in freeAirIn) (freeAirOut, []calc.Warning, *calc.Fault) {
	at, ref := AirState{float64(in.P), float64(in.T), float64(in.RH)}, AirState{in.PRef, in.TRef, in.RHRef}
	if ref.dry() <= 0 {
		return freeAirOut{}, nil, noDryAir("/p_ref", ref)
	}
	f := ToFreeAir(float64(in.Q), in.UQ, at, AirState{in.UP, in.UT, in.URH}, ref)
	if f.Status == HumidityAssumed || math.IsNaN(at.RH) {
		at.RH = 0.5
	}
	if at.dry() <= 0 {
		return freeAirOut{}, nil, noDryAir("/p", at)
	}
	var warnings []calc.Warning
	if f.Status == HumidityAssumed {
		warnings = []calc.Warning{{Code: "W_HUMIDITY", At: "/rh",
			Message: "Without a humidity the air counts as half saturated, and all that is possible is in the uncertainty: 2 % of the flow at 30 °C. Air that was bubbled through water is saturated: give 1."}}
	}
	there := f.Status != MissingCondition
	return freeAirOut{number(there, f.Flow), number(there, f.Factor), number(there, f.U), f.Missing, f.Status}, warnings, nil
}

func noDryAir(at string, s AirState) *calc.Fault {
	return &calc.Fault{Code: calc.Range, At: at, Message: fmt.Sprintf(
		"At %.4g °C the water vapour alone has %.4g Pa: no air would be left. The pressure is absolute, in Pa; give more than that.", s.T, s.RH*water.Magnus(s.T))}
}

var freeAirFlow = calc.New(calc.Description{
	Name: "evidence/free_air", Answers: "what a measured flow of air is as free air, and how well that is known",
	Words: []string{"free air", "air flow", "reference state", "normal", "humidity", "delivery"},
	Inputs: []calc.Field{
		calc.Signed("/q", "m³/s", "flow of air where it is measured").Gappy(),
		calc.Positive("/p", "Pa", "pressure there, absolute").Gappy(),
		calc.Between("/t", "°C", -40, 100, "temperature there").Gappy(),
		calc.Between("/rh", "", 0, 1, "relative humidity there, 0 to 1: 1 for air that was bubbled through water").Gappy(),
		calc.Positive("/p_ref", "Pa", "pressure of the free air, absolute").Preset("100000"),
		calc.Between("/t_ref", "°C", -40, 100, "temperature of the free air").Preset("20"),
		calc.Between("/rh_ref", "", 0, 1, "relative humidity of the free air, 0 to 1").Preset("0"),
		calc.AtLeast("/u_q", "m³/s", 0, "standard uncertainty of the flow of air").Preset("0"),
		calc.AtLeast("/u_p", "Pa", 0, "standard uncertainty of the pressure").Preset("0"),
		calc.AtLeast("/u_t", "K", 0, "standard uncertainty of the temperature").Preset("0"),
		calc.AtLeast("/u_rh", "", 0, "standard uncertainty of the humidity").Preset("0"),
	},
	Outputs: []calc.Field{
		calc.Gives("/q_ref", "m³/s", "flow of free air; none where flow, pressure or temperature lacks", "q·factor", dryAir, "/q", "/factor"),
		calc.Gives("/factor", "", "free air for each volume where it is measured", "(p − φ·p_s(T))/(p_ref − φ_ref·p_s(T_ref))·T_ref/T, p_s = 611.2·exp(17.62·t/(243.12 + t))", dryAir, "/p", "/t", "/rh", "/p_ref", "/t_ref", "/rh_ref"),
		calc.Gives("/u", "m³/s", "standard uncertainty of the flow of free air", "√Σ((f(x + u) − f(x − u))/2)²", gum5, "/q", "/u_q", "/u_p", "/u_t", "/u_rh"),
		calc.Gives("/missing", "", "what lacks", "names", dryAir, "/q", "/p", "/t", "/rh").As(calc.List),
		calc.Gives("/status", "", "state: ok, missing_condition or humidity_assumed", "by what lacks", dryAir, "/missing").As(calc.Text),
	},
	Equation: "q_ref = q·(p − φ·p_s(T))/(p_ref − φ_ref·p_s(T_ref))·T_ref/T",
	Validity: "The same dry air at both states. Name the state whenever a flow of air is told: the air that the machine draws, and 100 kPa, 20 °C, dry, differ by some per cent.",
	Sources:  []string{dryAir, "reference state: ISO 1217, from memory", gum5},
	Example:  []byte(`{"q": 0.01, "p": 101825, "t": 15, "rh": 1, "u_q": 0.0001}`),
}, freeAirIn{PRef: ISO1217.P, TRef: ISO1217.T}, freeAir)
