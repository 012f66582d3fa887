package pressuretest

import (
	"math"

	"leat/calc"
	"leat/calc/water"
)

// HydroHoldIn is a hold under water.
type HydroHoldIn struct {
	StartPa     float64 `json:"p_start_pa"`
	EndPa       float64 `json:"p_end_pa"`
	MPEPa       float64 `json:"mpe_pa"`
	DTC         float64 `json:"dt_c"`
	VisibleLeak bool    `json:"visible_leak"`
	DurS        float64 `json:"dur_s"`
	MinDurS     float64 `json:"min_dur_s"`
}

// HydroHoldOut is its verdict.
type HydroHoldOut struct {
	DropPa  float64 `json:"drop_pa"`
	AllowPa float64 `json:"allow_pa"`
	Verdict string  `json:"verdict"`
}

// HydroHold answers whether a hold under water was passed.
func HydroHold(in HydroHoldIn) (HydroHoldOut, []calc.Warning, *calc.Fault) {
	out := HydroHoldOut{DropPa: in.StartPa - in.EndPa, AllowPa: min(20e3, 0.05*in.StartPa), Verdict: Pass}
	switch {
	case in.VisibleLeak:
		out.Verdict = Fail
	case in.DurS < in.MinDurS, math.Sqrt2*in.MPEPa > out.AllowPa, math.Abs(in.DTC) > 2:
		out.Verdict = Inconclusive
	case out.DropPa > out.AllowPa:
		out.Verdict = Fail
	case -out.DropPa > out.AllowPa:
		out.Verdict = Inconclusive
	}
	return out, nil, nil
}

const holdSource = "EN 805, from memory, for 0.2 bar; 5 % and the limits on time and temperature: common practice, no source"

var hydroHold = calc.New(calc.Description{
	Name: "safety/hydro_hold", Answers: "whether a hold under water pressure was passed",
	Words: []string{"hold", "pressure test", "drop", "leak"},
	Inputs: []calc.Field{
		calc.Positive("/p_start_pa", "Pa", "gauge as the hold begins").Need(),
		calc.AtLeast("/p_end_pa", "Pa", 0, "gauge as it ends").Need(),
		largestError(),
		calc.Signed("/dt_c", "K", "by how much the wall got warmer").Need(),
		calc.YesNo("/visible_leak", "water was seen to come out somewhere").Preset("").Need(),
		calc.AtLeast("/dur_s", "s", 0, "how long it was held").Need(),
		calc.Positive("/min_dur_s", "s", "how long it had to be held").Need(),
	},
	Outputs: []calc.Field{
		calc.Gives("/drop_pa", "Pa", "drop of pressure", "p_start − p_end", "arithmetic", "/p_start_pa", "/p_end_pa"),
		calc.Gives("/allow_pa", "Pa", "drop that is allowed", "min(0.2 bar; 5 % of p_start)", holdSource, "/p_start_pa"),
		calc.Gives("/verdict", "", "verdict", "leak: fail; too short, √2·mpe above the allowed drop, or more than 2 K: inconclusive; drop above the allowed: fail; rise above it: inconclusive", holdSource, "/drop_pa", "/allow_pa", "/mpe_pa", "/dt_c").As(calc.Text),
	},
	Equation: "drop = p_start − p_end ≤ min(0.2 bar; 0.05·p_start)",
	Validity: "After half an hour of settling; plastics an hour, metal half an hour, never below ten minutes. Inconclusive is not a pass.",
	Sources:  []string{holdSource},
	Example:  []byte(`{"p_start_pa": 300000, "p_end_pa": 296000, "mpe_pa": 6000, "dt_c": 0.5, "visible_leak": false, "dur_s": 3600, "min_dur_s": 3600}`),
}, HydroHoldIn{}, HydroHold)

// DecayIn is a tightness test with trapped air. Pressures are gauge.
type DecayIn struct {
	P1Pa      float64  `json:"p1_pa"`
	T1C       float64  `json:"t1_c"`
	P2Pa      float64  `json:"p2_pa"`
	T2C       float64  `json:"t2_c"`
	PAtm1Pa   float64  `json:"p_atm1_pa"`
	PAtm2Pa   *float64 `json:"p_atm2_pa"`
	Wet       bool     `json:"wet"`
	VM3       float64  `json:"v_m3"`
	DurS      float64  `json:"dur_s"`
	MPEPa     float64  `json:"mpe_pa"`
	AllowFrac float64  `json:"allow_frac"`
}

// DecayOut is its verdict.
type DecayOut struct {
	P2CorrAbsPa float64 `json:"p2_corr_abs_pa"`
	DropPa      float64 `json:"drop_pa"`
	AllowPa     float64 `json:"allow_pa"`
	UPa         float64 `json:"u_pa"`
	Verdict     string  `json:"verdict"`
	LeakPaM3S   float64 `json:"leak_pa_m3_s"`
}

// Decay answers whether trapped air stayed in, with heat and barometer taken
// out of the readings.
func Decay(in DecayIn) (DecayOut, []calc.Warning, *calc.Fault) {
	open2 := in.PAtm1Pa
	if in.PAtm2Pa != nil {
		open2 = *in.PAtm2Pa
	}
	first, last := in.P1Pa+in.PAtm1Pa, in.P2Pa+open2
	if in.Wet {
		first, last = first-water.Magnus(in.T1C), last-water.Magnus(in.T2C)
	}
	if first <= 0 || last <= 0 { // two nonsensical readings may agree, and would pass
		return DecayOut{}, nil, &calc.Fault{Code: calc.Inconsistent, At: "/wet",
			Message: "At this temperature the vapour of the water alone has more pressure than was read. Read gauge, thermometer and barometer again, or say that the air is dry."}
	}
	corrected := last * (in.T1C + calc.Kelvin) / (in.T2C + calc.Kelvin)
	out := DecayOut{P2CorrAbsPa: corrected, DropPa: first - corrected, AllowPa: in.AllowFrac * in.P1Pa, UPa: math.Sqrt2 * in.MPEPa, Verdict: Pass}
	out.LeakPaM3S = out.DropPa * in.VM3 / in.DurS
	switch {
	case out.UPa > out.AllowPa:
		out.Verdict = Inconclusive
	case out.DropPa > out.AllowPa:
		out.Verdict = Fail
	case out.DropPa < -out.AllowPa:
		out.Verdict = Inconclusive
	}
	return out, nil, nil
}

const decaySource = "ideal gas; vapour by WMO-No. 8; the limit of 1 % is common practice, no source"

var decay = calc.New(calc.Description{
	Name: "safety/decay", Answers: "whether air shut in stayed in, with temperature and barometer taken out",
	Words: []string{"pressure decay", "tightness", "leak test", "drop"},
	Inputs: []calc.Field{
		calc.Positive("/p1_pa", "Pa", "gauge as it begins").Need(),
		calc.Between("/t1_c", "°C", -40, 80, "temperature of the air inside as it begins").Need(),
		calc.AtLeast("/p2_pa", "Pa", 0, "gauge as it ends").Need(),
		calc.Between("/t2_c", "°C", -40, 80, "temperature of the air inside as it ends").Need(),
		barometer("/p_atm1_pa"),
		calc.Positive("/p_atm2_pa", "Pa", "pressure of the open air as it ends, absolute").Preset("as it began"),
		calc.YesNo("/wet", "there is water in it, so that the air is full of vapour"),
		calc.Positive("/v_m3", "m³", "volume of the air").Need(),
		calc.Positive("/dur_s", "s", "time between the readings").Need(),
		largestError(),
		calc.Above("/allow_frac", "", 0, "drop that is allowed, of the gauge as it begins").Most(0.2).Preset("0.01"),
	},
	Outputs: []calc.Field{
		calc.Gives("/p2_corr_abs_pa", "Pa", "last reading as it would be at the first temperature, absolute", "p₂·T₁/T₂, absolute, less the vapour where it is wet", decaySource, "/p2_pa", "/t1_c", "/t2_c", "/p_atm2_pa"),
		calc.Gives("/drop_pa", "Pa", "drop", "p₁ − p₂,corr, absolute", decaySource, "/p1_pa", "/p_atm1_pa", "/p2_corr_abs_pa"),
		calc.Gives("/allow_pa", "Pa", "drop that is allowed", "share·p₁, gauge", decaySource, "/allow_frac", "/p1_pa"),
		calc.Gives("/u_pa", "Pa", "what the gauge cannot tell", "√2·mpe", "two readings of one gauge", "/mpe_pa"),
		calc.Gives("/verdict", "", "verdict", "u above the allowed drop, or a rise above it: inconclusive; a drop above it: fail", decaySource, "/drop_pa", "/allow_pa", "/u_pa").As(calc.Text),
		calc.Gives("/leak_pa_m3_s", "Pa·m³/s", "leak", "drop·V/time", "ideal gas", "/drop_pa", "/v_m3", "/dur_s"),
	},
	Equation: "drop = p₁ − p₂·T₁/T₂",
	Validity: "For tightness only, below the pressure that a test with water has proved. One kelvin at 3 bar is as much as a drop of 14 mbar: let it settle, and shade it.",
	Sources:  []string{decaySource},
	Example:  []byte(`{"p1_pa": 50000, "t1_c": 15, "p2_pa": 49700, "t2_c": 15.2, "v_m3": 0.03, "dur_s": 1800, "mpe_pa": 250}`),
}, DecayIn{PAtm1Pa: calc.Atmosphere, AllowFrac: 0.01}, Decay)
