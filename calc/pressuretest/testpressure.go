package pressuretest

import (
	"leat/calc"
	"leat/calc/strength"
)

// TestPressureIn is a section that is tested as one.
type TestPressureIn struct {
	Method       string  `json:"method"`
	DesignTopPa  float64 `json:"p_design_top_pa"`
	DesignLowPa  float64 `json:"p_design_low_pa"`
	RatingPa     float64 `json:"rating_pa"`
	FTDesign     float64 `json:"f_t_design"`
	FTTest       float64 `json:"f_t_test"`
	DZM          float64 `json:"dz_m"`
	GaugeHeightM float64 `json:"gauge_height_m"`
	RhoKgM3      float64 `json:"rho_kg_m3"`
	GasClass     string  `json:"gas_class"`
	Factor       float64 `json:"factor"`
}

// TestPressureOut is how far to go, and in which stages.
type TestPressureOut struct {
	Factor      float64   `json:"factor"`
	LowPa       float64   `json:"p_low_pa"`
	TopPa       float64   `json:"p_top_pa"`
	GaugePa     float64   `json:"gauge_pa"`
	CapPa       float64   `json:"cap_pa"`
	OK          bool      `json:"ok"`
	Reasons     reasons   `json:"reasons"`
	StagesPa    []float64 `json:"stages_pa"`
	ReliefMaxPa *float64  `json:"relief_set_max_pa,omitempty"` // pneumatic
}

// The ways to test.
const (
	Hydrostatic = "hydrostatic"
	Pneumatic   = "pneumatic"
)

// HydrostaticFactor returns by how much a test with water goes above the design
// pressure, a pure number:
//
//	k = factor·max(1, f_T,test/f_T,design)
//
// Valid for factors of 1.5 to 2 and temperature factors above 0.
//
// Source: ASME B31.3 345.4.2 and A345.4.2, from memory.
func HydrostaticFactor(factor, atTest, atDesign float64) float64 {
	return factor * max(1, atTest/atDesign)
}

// TestPressure answers how far to raise the pressure in a test, and whether the
// parts take it.
func TestPressure(in TestPressureIn) (TestPressureOut, []calc.Warning, *calc.Fault) {
	if in.Method == Pneumatic {
		return pneumatic(in), nil, nil
	}
	k := HydrostaticFactor(in.Factor, in.FTTest, in.FTDesign)
	column := in.RhoKgM3 * calc.Gravity
	low := max(k*in.DesignLowPa, k*in.DesignTopPa+column*in.DZM)
	out := TestPressureOut{
		Factor: k, LowPa: low, TopPa: low - column*in.DZM, GaugePa: low - column*in.GaugeHeightM, CapPa: 1.5 * in.RatingPa * in.FTTest, Reasons: reasons{},
	}
	out.Reasons.add("nonpressure_part", in.GasClass == strength.NonPressure)
	out.judge(in)
	for _, share := range []float64{0.25, 0.5, 0.75, 1} {
		out.StagesPa = append(out.StagesPa, share*out.GaugePa)
	}
	return out, nil, nil
}

// The steps of a test with air.
const (
	airFactor     = 1.1
	firstAirMost  = 170e3 // Pa
	reliefAbove   = 345e3 // Pa
	airStageShare = 0.1
)

func pneumatic(in TestPressureIn) TestPressureOut {
	p := airFactor * in.DesignLowPa
	relief := p + min(reliefAbove, p/10)
	out := TestPressureOut{
		Factor: airFactor, LowPa: p, TopPa: p, GaugePa: p, CapPa: min(1.33*in.DesignLowPa, in.RatingPa*in.FTTest), Reasons: reasons{}, ReliefMaxPa: &relief,
	}
	out.Reasons.add("pneumatic_forbidden", in.GasClass == strength.Brittle || in.GasClass == strength.NonPressure)
	out.judge(in)
	first := min(p/2, firstAirMost)
	for i := 0; first+float64(i)*airStageShare*p < p*(1-1e-6); i++ {
		out.StagesPa = append(out.StagesPa, first+float64(i)*airStageShare*p)
	}
	out.StagesPa = append(out.StagesPa, p)
	return out
}

func (out *TestPressureOut) judge(in TestPressureIn) {
	out.Reasons.add("over_cap", out.LowPa > out.CapPa)
	out.Reasons.add("design_over_rating", in.DesignLowPa > in.RatingPa*in.FTDesign)
	out.OK = len(out.Reasons) == 0
}

const (
	testSource = "ASME B31.3 345.4.2, 345.5.4 and A345.4.2, from memory; stages of water: common practice, no source"
	airSource  = "ASME B31.3-2016 345.5.2 and 345.5.5, read; size of the steps: ASME VIII-1 UG-100, from memory"
)

var testPressure = calc.New(calc.Description{
	Name: "safety/test_pressure", Answers: "how far to raise the pressure in a test, in which stages, and whether the parts take it",
	Words: []string{"pressure test", "hydrostatic test", "stages", "proof"},
	Inputs: []calc.Field{
		calc.OneOf("/method", "with water, or with air where water cannot be used", Hydrostatic, Pneumatic).Need(),
		calc.AtLeast("/p_design_top_pa", "Pa", 0, "design pressure at the highest point").Need(),
		calc.Positive("/p_design_low_pa", "Pa", "design pressure at the lowest point").Need(),
		calc.Positive("/rating_pa", "Pa", "rating of the weakest part, for water").Need(),
		calc.Share("/f_t_design", "factor for the hottest wall in use").Need(),
		calc.Share("/f_t_test", "factor for the wall during the test").Need(),
		calc.AtLeast("/dz_m", "m", 0, "height from the lowest to the highest point").Need(),
		calc.AtLeast("/gauge_height_m", "m", 0, "height of the gauge above the lowest point").Need(),
		density(),
		calc.OneOf("/gas_class", "how the weakest part breaks", strength.Brittle, strength.NonPressure, strength.Ductile, strength.Metal, strength.Flexible).Need(),
		calc.Between("/factor", "", 1.5, 2, "test over design pressure, for water").Preset("1.5"),
	},
	Outputs: []calc.Field{
		calc.Gives("/factor", "", "test over design pressure", "water: factor·max(1, f_T,test/f_T,design); air: 1.1", testSource, "/f_t_test", "/f_t_design"),
		calc.Gives("/p_low_pa", "Pa", "pressure at the lowest point", "max(k·p_D,low; k·p_D,top + ρ·g·Δz)", testSource, "/factor", "/p_design_low_pa", "/p_design_top_pa", "/rho_kg_m3", "/dz_m"),
		calc.Gives("/p_top_pa", "Pa", "pressure at the highest point", "p_low − ρ·g·Δz", "hydrostatics", "/p_low_pa", "/rho_kg_m3", "/dz_m"),
		calc.Gives("/gauge_pa", "Pa", "what the gauge shows", "p_low − ρ·g·h", "hydrostatics", "/p_low_pa", "/rho_kg_m3", "/gauge_height_m"),
		calc.Gives("/cap_pa", "Pa", "most that the weakest part may see", "water: 1.5·rating·f_T,test; air: min(1.33·p_D; rating·f_T,test)", testSource, "/rating_pa", "/f_t_test", "/p_design_low_pa"),
		calc.Gives("/ok", "", "nothing speaks against it", "no reasons", testSource, "/reasons").As(calc.Flag),
		calc.Gives("/reasons", "", "what speaks against it", "in a fixed order", testSource, "/p_low_pa", "/cap_pa", "/gas_class").As(calc.List),
		calc.Gives("/stages_pa", "Pa", "readings of the gauge to stop at", "water: a quarter, half, three quarters, all; air: min(p/2; 170 kPa), then steps of p/10", airSource, "/gauge_pa").As(calc.List),
		calc.Gives("/relief_set_max_pa", "Pa", "most that the relief valve may be set to, with air", "p + min(345 kPa; p/10)", airSource, "/p_low_pa"),
	},
	Equation: "p_low = max(k·p_D,low; k·p_D,top + ρ·g·Δz), k = factor·max(1, f_T,test/f_T,design); with air p = 1.1·p_D",
	Validity: "Every pressure build is tested with water. Air only where water cannot be used, never in plastic that splinters, never where anyone must stay near. Local codes come first.",
	Sources:  []string{testSource, airSource},
	Example:  []byte(`{"method": "hydrostatic", "p_design_top_pa": 80000, "p_design_low_pa": 110000, "rating_pa": 1000000, "f_t_design": 0.75, "f_t_test": 1, "dz_m": 3, "gauge_height_m": 1, "gas_class": "ductile"}`),
}, TestPressureIn{RhoKgM3: calc.WaterDensity, Factor: 1.5}, TestPressure,
	calc.Relation[TestPressureIn]{At: "/p_design_low_pa", Of: []string{"/p_design_top_pa", "/p_design_low_pa"}, Broken: func(in TestPressureIn) string {
		if in.DesignLowPa >= in.DesignTopPa {
			return ""
		}
		return "The lowest point has at least the pressure of the highest. Look whether the two are swapped."
	}},
	calc.Relation[TestPressureIn]{At: "/gauge_height_m", Of: []string{"/dz_m", "/gauge_height_m"}, Broken: func(in TestPressureIn) string {
		if in.GaugeHeightM <= in.DZM {
			return ""
		}
		return "The gauge cannot sit above the highest point. Measure its height from the lowest point."
	}},
)
