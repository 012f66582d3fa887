package evidence

import (
	"fmt"
	"math"

	"leat/calc"
)

const massBalance = "mass balance of an ideal gas; JCGM 100:2008, 5.1"

type decayIn struct {
	T           calc.Readings   `json:"t"`        // s
	P           calc.Readings   `json:"p"`        // Pa
	Volume      float64         `json:"volume"`   // m³
	TempC       calc.Readings   `json:"temp_c"`   // °C
	UVolume     float64         `json:"u_volume"` // m³
	PB          *calc.OneOrList `json:"p_b"`      // Pa
	Gauge       bool            `json:"gauge"`
	PRef        float64         `json:"p_ref"`         // Pa
	TRef        float64         `json:"t_ref"`         // °C
	UTempChange *float64        `json:"u_temp_change"` // K
}

type decayOut struct {
	Slope     *float64 `json:"slope"`
	USlope    *float64 `json:"u_slope"`
	Leak      *float64 `json:"leak"`
	U         *float64 `json:"u"`
	Nu        *float64 `json:"nu"`
	Upper95   *float64 `json:"upper95"`
	Fall      *float64 `json:"fall"`
	LinearOK  *bool    `json:"linear_ok"`
	Corrected *bool    `json:"temperature_corrected"`
	Missing   int      `json:"missing"`
	Status    string   `json:"status"`
}

var pressureDecay = calc.New(calc.Description{
	Name: "evidence/pressure_decay", Answers: "what a closed vessel leaks, by the fall of its pressure in time, and how well that is known",
	Words: []string{"leak", "pressure decay", "tight", "logger", "receiver", "temperature"},
	Inputs: []calc.Field{
		calc.ListOf(calc.Signed("/t", "s", "times of the samples, increasing")).Gappy().Need(),
		calc.ListOf(calc.Signed("/p", "Pa", "pressure at those times, by the gauge or absolute")).Gappy().Need(),
		calc.Positive("/volume", "m³", "volume that is shut in").Need(),
		calc.ListOf(calc.Between("/temp_c", "C", -40, 100, "temperature of the gas at those times; one for all, or none, corrects nothing")).Gappy(),
		calc.AtLeast("/u_volume", "m³", 0, "standard uncertainty of the volume").Preset("0"),
		calc.Signed("/p_b", "Pa", "pressure of the air around, one for all or at those times; a gauge shows what is above it").As(calc.OneOrMany).Gappy().ReadIf("/gauge", "true", "true"),
		calc.YesNo("/gauge", "the pressure is what a gauge shows: above the air around").Preset("true"),
		calc.Positive("/p_ref", "Pa", "pressure at which the leak is told, absolute").Preset("100000"),
		calc.Between("/t_ref", "C", -40, 100, "temperature at which the leak is told").Preset("20"),
		calc.AtLeast("/u_temp_change", "K", 0, "standard uncertainty of the change of the gas temperature; otherwise 0.5, or 1.15 where it was not read"),
	},
	Outputs: []calc.Field{
		calc.Gives("/slope", "Pa/s", "change of the pressure at the first temperature", "slope of p_c = p·T₀/T by least squares; beyond 10 % that of ln p_c times p_c at the first time", leastSq, "/t", "/p", "/temp_c", "/p_b", "/gauge"),
		calc.Gives("/u_slope", "Pa/s", "standard uncertainty of that change", "u² = u_fit² + (p̄_c·u(ΔT)/(T₀·span))²", massBalance, "/t", "/p", "/temp_c", "/u_temp_change"),
		calc.Gives("/leak", "m³/s", "leak, at p_ref and t_ref", "Q = −slope·V/p_ref·T_ref/T₀", massBalance, "/slope", "/volume", "/p_ref", "/t_ref", "/temp_c"),
		calc.Gives("/u", "m³/s", "standard uncertainty of the leak", "u² = (u_slope·V/p_ref·T_ref/T₀)² + (Q·u_V/V)²", massBalance, "/u_slope", "/leak", "/volume", "/u_volume", "/p_ref", "/t_ref"),
		calc.Gives("/nu", "", "degrees of freedom", "ν = max(1, max(3, n·(1 − φ)/(1 + φ)) − 2)", "derived here from residuals that follow one another", "/t", "/p"),
		calc.Gives("/upper95", "m³/s", "the leak is below this with 95 %", "Q + 1.645·u", "quantile of the normal distribution", "/leak", "/u"),
		calc.Gives("/fall", "", "share of the first pressure that is gone at the end", "(first − last)/first of p_c", massBalance, "/t", "/p", "/temp_c"),
		calc.Gives("/linear_ok", "", "the change is within 10 %, so that a line was fitted and not the logarithm", "|fall| ≤ 0.1", practice, "/fall").As(calc.Flag),
		calc.Gives("/temperature_corrected", "", "the temperature of the gas was read at each time", "temp_c as long as t", practice, "/temp_c", "/t").As(calc.Flag),
		calc.Gives("/missing", "", "samples of which something is missing; left out", "count", practice, "/t", "/p", "/temp_c", "/p_b").As(calc.Count),
		calc.Gives("/status", "", "missing_condition, too_short, leak or none_found", "leak where Q > 2u", practice, "/leak", "/u").As(calc.Text),
	},
	Equation: "Q = −slope(p·T₀/T)·V/p_ref·T_ref/T₀",
	Validity: "Shut in, settled, and left alone; 1 K is a third of a percent of the absolute pressure, so on a short test temperature is the whole uncertainty. The logarithm holds above about 1.9 times the pressure of the air around. It shows tightness only, below the pressure that was proven, and is no safety test: prove strength with water, never with air.",
	Sources:  []string{massBalance, leastSq},
	Example: []byte(`{"t": [0, 600, 1200, 1800, 2400, 3000], "p": [700000, 699100, 698500, 697600, 697000, 696100],
		"temp_c": [18, 18, 18.1, 18.1, 18.2, 18.2], "p_b": 98000, "volume": 0.1, "u_volume": 0.002}`),
}, decayIn{Gauge: true, PRef: 100_000, TRef: 20}, answerDecay,
	calc.Relation[decayIn]{At: "/t", Of: []string{"/t"}, Find: decayIn.backwards},
	calc.Relation[decayIn]{At: "/p", Of: []string{"/t", "/p"}, Broken: func(in decayIn) string {
		return in.sized(len(in.P), "pressures")
	}},
	calc.Relation[decayIn]{At: "/temp_c", Of: []string{"/t", "/temp_c"}, Broken: func(in decayIn) string {
		if len(in.TempC) <= 1 {
			return ""
		}
		return in.sized(len(in.TempC), "temperatures")
	}},
	calc.Relation[decayIn]{At: "/p_b", Of: []string{"/t", "/p_b"}, Broken: func(in decayIn) string {
		if in.PB == nil || in.PB.List == nil {
			return ""
		}
		return in.sized(len(in.PB.List), "pressures of the air")
	}},
)

// backwards finds the first time that is not after the one before.
func (in decayIn) backwards() *calc.Fault {
	last := math.Inf(-1)
	for i, t := range in.T {
		if t <= last {
			return &calc.Fault{Code: calc.Range, At: fmt.Sprintf("/t/%d", i), Message: "The times must increase: this one is not after the one before. Sort the samples, and leave out those of one time."}
		}
		if !math.IsNaN(t) {
			last = t
		}
	}
	return nil
}

func (in decayIn) sized(n int, what string) string {
	if n == len(in.T) {
		return ""
	}
	return fmt.Sprintf("There are %d %s and %d times. Give one for each time.", n, what, len(in.T))
}

// around is the pressure of the air around at each time, NaN where it is
// missing; 0 for pressures that are absolute. ok is false where nobody read it.
func (in decayIn) around(i int) float64 {
	switch {
	case !in.Gauge:
		return 0
	case in.PB.List != nil:
		return in.PB.List[i]
	}
	return float64(in.PB.One)
}

// watch puts together the samples of which nothing is missing.
func (in decayIn) watch() LeakWatch {
	w := LeakWatch{Corrected: len(in.TempC) > 1, V: in.Volume, UV: in.UVolume, PRef: in.PRef, TRef: in.TRef + kelvin, UChange: math.NaN()}
	if in.UTempChange != nil {
		w.UChange = *in.UTempChange
	}
	one := in.TRef
	if len(in.TempC) == 1 && !math.IsNaN(in.TempC[0]) {
		one = in.TempC[0]
	}
	for i, t := range in.T {
		temp := one
		if w.Corrected {
			temp = in.TempC[i]
		}
		p := in.P[i] + in.around(i)
		if !math.IsNaN(t + p + temp) {
			w.T, w.P, w.Temp = append(w.T, t), append(w.P, p), append(w.Temp, temp+kelvin)
		}
	}
	return w
}

func answerDecay(in decayIn) (decayOut, []calc.Warning, *calc.Fault) {
	if in.Gauge && (in.PB == nil || in.PB.List == nil && math.IsNaN(float64(in.PB.One))) {
		return decayOut{Status: "missing_condition"}, nil, nil
	}
	w := in.watch()
	f := PressureDecay(w)
	out := decayOut{Missing: len(in.T) - len(w.T), Status: f.Status}
	if f.Status == tooShort {
		return out, nil, nil
	}
	out.Slope, out.USlope, out.Leak, out.U, out.Nu, out.Upper95, out.Fall = &f.Slope, &f.USlope, &f.Leak, &f.U, &f.Nu, &f.Upper95, &f.Fall
	out.LinearOK, out.Corrected = &f.Linear, &w.Corrected
	if w.Corrected {
		return out, nil, nil
	}
	return out, []calc.Warning{{Code: "W_TEMPERATURE", At: "/temp_c",
		Message: "Not temperature corrected: the gas may have cooled or warmed by 2 K, which counts for most of the uncertainty. Read the temperature at the wall of the vessel along with the pressure."}}, nil
}
