package source

import (
	"math"

	"leat/calc"
)

// DownpipeIn is a vertical rainwater pipe.
type DownpipeIn struct {
	DMm  float64 `json:"d_mm"`
	Fill float64 `json:"fill"`
	KbMm float64 `json:"kb_mm"`
}

// DownpipeOut is what a downpipe carries.
type DownpipeOut struct {
	QLs float64 `json:"Q_Ls"`
}

// WylyEaton returns what runs down the wall of a vertical pipe, in L/s:
//
//	Q = 2.5e-4·k_b^(−1/6)·d^(8/3)·f^(5/3)
//
// roughness kb and bore d are in mm, fill f is the share of the section that is water.
//
// Valid for f from 0.20 to 0.33.
//
// Source: Wyly and Eaton, as EN 12056-3 has it, read as reproduced.
func WylyEaton(kb, d, f float64) float64 {
	return 2.5e-4 * math.Pow(kb, -1.0/6) * math.Pow(d, 8.0/3) * math.Pow(f, 5.0/3)
}

// Downpipe answers what a vertical rainwater pipe carries.
func Downpipe(in DownpipeIn) (DownpipeOut, []calc.Warning, *calc.Fault) {
	out := DownpipeOut{WylyEaton(in.KbMm, in.DMm, in.Fill)}
	if in.Fill < 0.20 || in.Fill > 0.33 {
		return out, []calc.Warning{{Code: "W_FILLING", At: "/fill",
			Message: "The rule holds for pipes one fifth to one third full. Fuller ones begin to swallow air and to pulse: a full downpipe is a trompe."}}, nil
	}
	return out, nil, nil
}

const wyly = "Wyly and Eaton, as EN 12056-3 has it, read as reproduced"

var downpipe = calc.New(calc.Description{
	Name: "system/downpipe", Answers: "flow that a vertical rainwater pipe carries", Evidence: calc.OftenMeasured,
	Words: []string{"downpipe", "rainwater pipe", "stack", "roof"},
	Inputs: []calc.Field{
		calc.Positive("/d_mm", "mm", "bore of the pipe").Need(),
		fill,
		calc.Positive("/kb_mm", "mm", "roughness of the wall").Preset("0.25"),
	},
	Outputs: []calc.Field{
		calc.Gives("/Q_Ls", "L/s", "flow", "Q = 2.5e-4·k_b^(−1/6)·d^(8/3)·f^(5/3)", wyly, "/kb_mm", "/d_mm", "/fill"),
	},
	Equation: "Q = 2.5e-4·k_b^(−1/6)·d^(8/3)·f^(5/3)",
	Validity: "Vertical pipe, 0.20 to 0.33 full. Such pipes are kept one third full so that they do not become a trompe.",
	Sources:  []string{wyly},
	Example:  []byte(`{"d_mm": 75}`),
}, DownpipeIn{Fill: 0.33, KbMm: 0.25}, Downpipe)

var fill = func() calc.Field {
	f := calc.Between("/fill", "", 0, 0.5, "share of the section that is water").Preset("0.33")
	f.AboveLow = true
	return f
}()
