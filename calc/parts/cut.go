package parts

import (
	"fmt"

	"leat/calc"
)

// CutIn is what the cut lengths of runs of pipe follow from.
type CutIn struct {
	Runs []Run `json:"runs"`
}

// Run is a pipe between two fittings, measured between their centres or
// between their faces.
type Run struct {
	C2C  *float64 `json:"c2c_m"` // m, between centres
	Z1   float64  `json:"z1_m"`  // m, from centre to socket bottom
	Z2   float64  `json:"z2_m"`
	Face float64  `json:"face_m"` // m, between faces; read without C2C
	Ins1 float64  `json:"ins1_m"` // m, how far the pipe goes in
	Ins2 float64  `json:"ins2_m"`
	Qty  calc.Int `json:"qty"` // 0: not given, 1
}

// CutOut holds one cut length per run, and all of them together.
type CutOut struct {
	CutM   []float64 `json:"cut_m"`
	TotalM float64   `json:"total_m"`
}

// CutBetweenCentres returns the length in m of a pipe between two fittings
// whose centres are c2c apart: c2c − z1 − z2, z from centre to socket bottom, in m.
//
// Valid where the result is above zero.
//
// Source: geometry.
func CutBetweenCentres(c2c, z1, z2 float64) float64 { return c2c - z1 - z2 }

// CutBetweenFaces returns the length in m of a pipe between two fittings whose
// faces are face apart: face + insertion at each end, in m.
//
// Valid where the result is above zero.
//
// Source: geometry.
func CutBetweenFaces(face, ins1, ins2 float64) float64 { return face + ins1 + ins2 }

func (r Run) cut() float64 {
	if r.C2C != nil {
		return CutBetweenCentres(*r.C2C, r.Z1, r.Z2)
	}
	return CutBetweenFaces(r.Face, r.Ins1, r.Ins2)
}

// Cut answers how long the pipes of runs are to be cut.
func Cut(in CutIn) (out CutOut, _ []calc.Warning, _ *calc.Fault) {
	for _, run := range in.Runs {
		cut := run.cut()
		out.CutM = append(out.CutM, cut)
		out.TotalM += cut * float64(max(1, run.Qty))
	}
	return out, nil, nil
}

// leavesPipe blames a run whose fittings leave no length for a pipe.
func leavesPipe(_ map[string]any, list []any, i int) []calc.Fault {
	at, sum := "/c2c_m", 0.0
	signs := map[string]float64{"c2c_m": 1, "z1_m": -1, "z2_m": -1}
	if _, centres := calc.NumberIn(list[i], "c2c_m"); !centres {
		at, signs = "/face_m", map[string]float64{"face_m": 1, "ins1_m": 1, "ins2_m": 1}
	}
	for name, sign := range signs {
		x, ok := calc.NumberIn(list[i], name)
		if !ok {
			return nil
		}
		sum += sign * x
	}
	if sum > 0 {
		return nil
	}
	return []calc.Fault{{Code: calc.Inconsistent, At: at, Message: fmt.Sprintf(
		"The fittings leave %.1f mm of pipe. Measure again, or use fittings that take less, or join them directly.", 1000*sum)}}
}

var cut = calc.New(calc.Description{
	Name: "safety/cut", Answers: "how long to cut the pipes between fittings",
	Words: []string{"cut", "pipe", "length", "fitting", "socket", "elbow", "saw"},
	Inputs: []calc.Field{
		calc.RecordsOf("/runs", "the runs of pipe, each between two fittings",
			calc.Positive("/c2c_m", "m", "between the centres of the two fittings; or give the distance between their faces").NeedUnless("/face_m"),
			calc.AtLeast("/face_m", "m", 0, "between the faces of the two fittings, read where no distance of centres is given").Unread("/c2c_m"),
			calc.AtLeast("/z1_m", "m", 0, "from centre (or stop) to socket bottom, first fitting").NeedWith("/c2c_m").Unread("/face_m"),
			calc.AtLeast("/z2_m", "m", 0, "from centre (or stop) to socket bottom, second fitting").NeedWith("/c2c_m").Unread("/face_m"),
			calc.AtLeast("/ins1_m", "m", 0, "how far the pipe goes into the first fitting").NeedWith("/face_m").Unread("/c2c_m"),
			calc.AtLeast("/ins2_m", "m", 0, "how far the pipe goes into the second fitting").NeedWith("/face_m").Unread("/c2c_m"),
			calc.AtLeast("/qty", "", 1, "how many of these").As(calc.Count).Preset("1"),
		).Need().Judged(leavesPipe),
	},
	Outputs: []calc.Field{
		calc.Gives("/cut_m", "m", "cut length of each run", "c2c − z1 − z2, or face + ins1 + ins2", "geometry", "/runs").As(calc.List),
		calc.Gives("/total_m", "m", "all cut lengths together", "Σ qty·cut", "geometry", "/runs", "/cut_m"),
	},
	Equation: "cut = c2c − z1 − z2, or cut = face + ins1 + ins2",
	Validity: "Straight runs. Measure z and insertion on the fittings at hand: makers differ. The width of the saw cut is not in it.",
	Sources:  []string{"geometry"},
	Example:  []byte(`{"runs": [{"c2c_m": 1.2, "z1_m": 0.035, "z2_m": 0.035}, {"face_m": 0.6, "ins1_m": 0.0375, "ins2_m": 0.0375, "qty": 2}]}`),
}, CutIn{}, Cut)
