package source

import "leat/calc"

// RunoffIn is a roof and how hard it rains.
type RunoffIn struct {
	AEff       *float64 `json:"A_eff"`       // m²
	Length     float64  `json:"length"`      // m
	PlanWidth  float64  `json:"plan_width"`  // m
	RoofHeight float64  `json:"roof_height"` // m
	IMmH       *float64 `json:"i_mm_h"`      // mm/h
	ILsM2      float64  `json:"i_Ls_m2"`     // L/(s m²)
	C          float64  `json:"C"`
}

// RunoffOut is what runs off a roof while it rains.
type RunoffOut struct {
	AEffM2 float64 `json:"A_eff_m2"`
	ILsM2  float64 `json:"i_Ls_m2"`
	IMmH   float64 `json:"i_mm_h"`
	QLs    float64 `json:"Q_Ls"`
	QM3s   float64 `json:"Q_m3s"`
}

// EffectiveArea returns the area in m² that catches wind-driven rain:
//
//	A = L·(W + H/2)
//
// length along the eaves, width in plan and height of the roof are in m.
//
// Valid for one plane of a roof; the plan area alone counts over a year.
//
// Source: EN 12056-3, as a maker of gutters gives it, read.
func EffectiveArea(length, width, height float64) float64 { return length * (width + height/2) }

// Runoff answers what runs off a roof in a downpour.
func Runoff(in RunoffIn) (RunoffOut, []calc.Warning, *calc.Fault) {
	area := EffectiveArea(in.Length, in.PlanWidth, in.RoofHeight)
	if in.AEff != nil {
		area = *in.AEff
	}
	intensity, at := in.ILsM2, "/i_Ls_m2"
	if in.IMmH != nil {
		intensity, at = *in.IMmH/3600, "/i_mm_h"
	}
	q := in.C * intensity * area
	var warnings []calc.Warning
	if intensity > 0.15 {
		warnings = []calc.Warning{{Code: "W_INTENSITY", At: at,
			Message: "More than 0.15 L/s on a square metre (540 mm/h) is hardly ever seen. Look for a slipped unit: gutters are laid out for 0.02 to 0.05."}}
	}
	return RunoffOut{AEffM2: area, ILsM2: intensity, IMmH: intensity * 3600, QLs: q, QM3s: q / 1000}, warnings, nil
}

const (
	en12056 = "EN 12056-3, as makers of gutters and roofs give it, read"
	perHour = "3600 mm/h make 1 L/(s m²)"
)

var runoff = calc.New(calc.Description{
	Name: "system/rain_runoff", Answers: "flow from a roof in a downpour", Evidence: calc.OftenMeasured,
	Words: []string{"rain", "roof", "storm", "downpour", "runoff", "drain"},
	Inputs: []calc.Field{
		calc.Positive("/A_eff", "m²", "area that catches the rain").NeedUnless("/length", "/plan_width"),
		calc.Positive("/length", "m", "length of the roof along the eaves").NeedUnless("/A_eff").NeedWith("/plan_width"),
		calc.Positive("/plan_width", "m", "width of the roof in plan, from eaves to ridge").NeedUnless("/A_eff").NeedWith("/length"),
		calc.AtLeast("/roof_height", "m", 0, "height from eaves to ridge, for rain driven by wind").Preset("0"),
		calc.AtLeast("/i_mm_h", "mm/h", 0, "how hard it rains; a local figure first, else 75 mm/h is usual for eaves in Britain and 180 mm/h in Italy").NeedUnless("/i_Ls_m2"),
		calc.AtLeast("/i_Ls_m2", "L/(s m²)", 0, "how hard it rains; a local figure first, else 0.021 is usual for eaves in Britain and 0.05 in Italy").NeedUnless("/i_mm_h"),
		calc.Share("/C", "share that runs off at the peak: 1 for any roof that sheds water").Preset("1"),
	},
	Outputs: []calc.Field{
		calc.Gives("/A_eff_m2", "m²", "area that catches the rain", "A = L·(W + H/2)", en12056, "/A_eff", "/length", "/plan_width", "/roof_height"),
		calc.Gives("/i_Ls_m2", "L/(s m²)", "how hard it rains", "i/3600", perHour, "/i_mm_h"),
		calc.Gives("/i_mm_h", "mm/h", "how hard it rains", "3600·i", perHour, "/i_Ls_m2"),
		calc.Gives("/Q_Ls", "L/s", "flow", "Q = C·i·A", en12056, "/C", "/i_Ls_m2", "/A_eff_m2"),
		calc.Gives("/Q_m3s", "m³/s", "flow", "Q/1000", "unit", "/Q_Ls"),
	},
	Equation: "Q = C·i·A, A = L·(W + H/2)",
	Validity: "A roof that is wet all over, at the height of the storm.",
	Sources:  []string{en12056},
	Example:  []byte(`{"length": 10, "plan_width": 5, "roof_height": 3, "i_mm_h": 75}`),
}, RunoffIn{C: 1}, Runoff)
