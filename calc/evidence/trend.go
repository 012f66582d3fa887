package evidence

import (
	"fmt"
	"math"
)

// fewestOfTrend are the builds below which no trend is looked for. Common
// practice, no source.
const fewestOfTrend = 8

// Trend is how values of builds change with something, as ln(size).
type Trend struct{ Slope, Half float64 } // Half is that of the 95 % interval

// TrendOf returns the slope of values e with standard uncertainties u and the
// variance tau2 between builds over x: the line of least squares with weights
// 1/(u² + τ²). Its standard error is the larger of the one by the weights and the
// one by the scatter about the line; t with k − 2 degrees of freedom.
//
// ok is false for fewer than eight builds, or where x is the same in all.
//
// Source: any text on regression; the larger of two after J. Hartung, G. Knapp,
// Stat. Med. 20, 3875 (2001); from memory.
func TrendOf(x, e, u []float64, tau2 float64) (t Trend, ok bool) {
	if len(x) < fewestOfTrend {
		return t, false
	}
	root := math.Sqrt(tau2)
	total := make([]float64, len(u))
	for i, v := range u {
		total[i] = math.Hypot(v, root)
	}
	centre, _, _ := weighted(x, total, 0)
	middle, _, _ := weighted(e, total, 0)
	var across, along float64
	for i, s := range total {
		across += (x[i] - centre) / s * (x[i] - centre) / s
		along += (x[i] - centre) / s * (e[i] - middle) / s
	}
	if across == 0 {
		return t, false
	}
	t.Slope = along / across
	rest, free := 0.0, float64(len(x)-2)
	for i, s := range total {
		r := (e[i] - middle - t.Slope*(x[i]-centre)) / s
		rest += r * r
	}
	t.Half = StudentQuantile(0.975, free) * math.Sqrt(max(1, rest/free)/across)
	return t, true
}

// Words asks about a trend of ln(measured/predicted) over ln(size), as one
// doubling of the size shows it. It is a question, not a finding.
func (t Trend) Words(quantity, size string) string {
	if math.Abs(t.Slope) <= t.Half {
		return fmt.Sprintf("No trend of %s with %s can be told.", quantity, size)
	}
	change := func(slope float64) string { return points(math.Expm1(slope * math.Ln2)) }
	return fmt.Sprintf("Do %s depend on %s? From one to twice the %s, measured over predicted changes by %s %% (%s to %s %%).",
		quantity, size, size, change(t.Slope), change(t.Slope-t.Half), change(t.Slope+t.Half))
}
