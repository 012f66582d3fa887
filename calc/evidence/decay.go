package evidence

import "math"

const (
	leastDecay    = 5   // samples from which a leak can be told
	linearFall    = 0.1 // share of the pressure up to which its fall is a line
	usualChange   = 0.5 // K, standard uncertainty of the change of gas temperature; common practice, no source
	unknownChange = 2.0 // K, limit of that change where temperature was not read
	kelvin        = 273.15
)

// LeakWatch is a closed vessel watched in time. All lists have one entry a
// sample, without NaN, at increasing times.
type LeakWatch struct {
	T, P       []float64 // s, and absolute pressure in Pa
	Temp       []float64 // temperature of the gas in K, of each sample
	Corrected  bool      // Temp was read; else it is one assumed temperature
	V, UV      float64   // m³
	PRef, TRef float64   // Pa and K, the state in which the leak is told
	UChange    float64   // K, standard uncertainty of the change of gas temperature; NaN: 0.5, or 2/√3 where it was not read
}

// LeakFound is what such a vessel loses. Leak is m³/s in the reference state;
// Upper95 is a limit that it is below with 95 %.
type LeakFound struct {
	Slope, USlope float64 // Pa/s, of the pressure at the first temperature
	Leak, U       float64
	Nu, Upper95   float64
	Fall          float64 // share of the first pressure that is gone at the end
	Linear        bool    // a straight line was fitted; else the logarithm, as for a choked leak
	Status        string  // too_short, leak or none_found
}

// PressureDecay returns the leak of a closed vessel by the slope of its pressure
// at one temperature:
//
//	p_c = p·T₀/T, Q = −slope·V/p_ref·T_ref/T₀
//	u(slope)² = u_fit² + (p̄_c·u(ΔT)/(T₀·span))²
//	u² = (u(slope)·V/p_ref·T_ref/T₀)² + (Q·u_V/V)²
//
// with the slope and u_fit of [SlopeOf]. Where the pressure changes by more than
// a tenth the line is fitted to ln p_c, and its slope taken at the first time.
// It is a leak where Q > 2u.
//
// Valid for an ideal gas that has settled; the logarithm for p above about 1.9
// times the pressure outside. It shows tightness only and is no safety test.
//
// Source: mass balance of an ideal gas; JCGM 100:2008, 5.1 for u. The degrees of
// freedom count residuals that follow one another for less; derived here.
func PressureDecay(w LeakWatch) LeakFound {
	if len(w.T) < leastDecay {
		return LeakFound{Status: tooShort}
	}
	f := LeakFound{Status: "none_found"}
	corrected := make([]float64, len(w.P))
	for i, p := range w.P {
		corrected[i] = p * w.Temp[0] / w.Temp[i]
	}
	f.Fall = (corrected[0] - corrected[len(corrected)-1]) / corrected[0]
	f.Linear = math.Abs(f.Fall) <= linearFall
	fit := f.fit(w.T, corrected)
	n := float64(len(w.T))
	f.Nu = max(1, max(3, n*(1-fit.Phi)/(1+fit.Phi))-2)
	mean, _ := meanAndDeviation(corrected)
	f.USlope = math.Hypot(f.USlope, mean*w.change()/(w.Temp[0]*fit.Span))
	perSlope := w.V / w.PRef * w.TRef / w.Temp[0]
	f.Leak = -f.Slope * perSlope
	f.U = math.Hypot(f.USlope*perSlope, f.Leak*w.UV/w.V)
	f.Upper95 = f.Leak + PhiInverse(Level)*f.U
	if f.Leak > 2*f.U {
		f.Status = "leak"
	}
	return f
}

// fit sets the slope and what the fit alone leaves uncertain of it.
func (f *LeakFound) fit(t, p []float64) Slope {
	if f.Linear {
		line := SlopeOf(t, p)
		f.Slope, f.USlope = line.Slope, line.U
		return line
	}
	logs := make([]float64, len(p))
	for i, x := range p {
		logs[i] = math.Log(x)
	}
	line := SlopeOf(t, logs)
	first := math.Exp(line.at(t[0]))
	f.Slope, f.USlope = line.Slope*first, line.U*first
	return line
}

func (w LeakWatch) change() float64 {
	switch {
	case !math.IsNaN(w.UChange):
		return w.UChange
	case w.Corrected:
		return usualChange
	}
	return unknownChange / math.Sqrt(3)
}
