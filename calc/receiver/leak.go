package receiver

import (
	"math"

	"leat/calc"
)

// LeakIn is a closed receiver read twice. Pressures are absolute.
type LeakIn struct {
	V    float64  `json:"V"`     // m³
	P1   float64  `json:"p1"`    // Pa
	P2   float64  `json:"p2"`    // Pa
	Time float64  `json:"t"`     // s
	PMin *float64 `json:"p_min"` // Pa
	PAtm float64  `json:"p_atm"` // Pa
	T1   float64  `json:"T1"`    // K
	T2   float64  `json:"T2"`    // K
	TRef float64  `json:"T_ref"` // K
	UP   float64  `json:"u_p"`   // Pa
	UT   float64  `json:"u_T"`   // K
}

// LeakOut is what leaks, in free air. Tau and what rests on it are null where
// nothing leaks; TToPMinS is not there at all where no least pressure is asked about.
type LeakOut struct {
	P2Corrected float64   `json:"p2_corrected"`
	LeakM3S     float64   `json:"leak_free_m3s"`
	LeakLMin    float64   `json:"leak_free_Lmin"`
	U95LMin     float64   `json:"U95_Lmin"`
	TauS        *float64  `json:"tau_s"`
	DpPerK      float64   `json:"dp_per_K"`
	TToPMinS    **float64 `json:"t_to_p_min_s,omitempty"`
}

// Leak answers what a closed receiver leaks.
func Leak(in LeakIn) (LeakOut, []calc.Warning, *calc.Fault) {
	if fault := in.fault(); fault != nil {
		return LeakOut{}, nil, fault
	}
	perKelvin := in.V * in.TRef / (in.PAtm * in.Time) // m³/s of free air for each Pa/K
	u := perKelvin * math.Hypot(math.Sqrt2*in.UP/in.T1, math.Sqrt2*in.P1*in.UT/(in.T1*in.T1))
	out := LeakOut{P2Corrected: in.P2 * in.T1 / in.T2, U95LMin: 2 * u * 60_000, DpPerK: in.P1 / in.T1}
	var left *float64
	if lost := in.P1 - out.P2Corrected; lost > 0 {
		out.LeakM3S = perKelvin * lost / in.T1
		out.LeakLMin = 60_000 * out.LeakM3S
		out.TauS = new(in.Time / math.Log1p(lost/out.P2Corrected))
	}
	if in.PMin != nil {
		if out.TauS != nil {
			left = new(*out.TauS * math.Log(in.P1 / *in.PMin))
		}
		out.TToPMinS = &left
	}
	return out, in.warnings(out), nil
}

func (in LeakIn) fault() *calc.Fault {
	const low = "The pressure is not above that of the air around, so nothing would leak. It counts from vacuum: add 101325 Pa to what the gauge shows."
	switch {
	case in.P1 <= in.PAtm:
		return &calc.Fault{Code: calc.Range, At: "/p1", Message: low}
	case in.P2 <= in.PAtm:
		return &calc.Fault{Code: calc.Range, At: "/p2", Message: low}
	case in.PMin != nil && (*in.PMin <= in.PAtm || *in.PMin >= in.P1):
		return &calc.Fault{Code: calc.Range, At: "/p_min",
			Message: "The least pressure must lie between that of the air around and the first reading; all count from vacuum."}
	}
	return nil
}

func (in LeakIn) warnings(out LeakOut) (warnings []calc.Warning) {
	if out.TauS == nil {
		return []calc.Warning{{Code: "W_NO_LEAK", At: "/p2",
			Message: "At one temperature the pressure did not fall at all. Either it is tight, or a temperature or a reading is off: wait longer, and read the temperature at the wall of the receiver."}}
	}
	if out.U95LMin > out.LeakLMin {
		warnings = append(warnings, calc.Warning{Code: "W_LEAK_SMALL",
			Message: "The leak is smaller than what gauge and thermometer can tell. Wait longer, or take a finer gauge, before calling it tight or leaking."})
	}
	if in.PMin != nil && *in.PMin < 1.9*in.PAtm {
		warnings = append(warnings, calc.Warning{Code: "W_NOT_CHOKED", At: "/p_min",
			Message: "Below 1.9 times the pressure of the air around a leak slows down, so the true time is longer than this."})
	}
	return warnings
}
