package evidence

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// FewBuilds is said beside a group of fewer than ten.
const FewBuilds = "Too few builds to tell whether the predictions are as uncertain as they say."

// Words says how often the intervals of one level held.
func (c Coverage) Words(level float64) string {
	switch {
	case c.N == 0:
		return "No build was measured yet."
	case c.K == c.N && c.Consistent:
		return fmt.Sprintf("With n = %d and all inside, %s coverage is known only to be ≥ %s.", c.N, percent(level), percent(c.Lower))
	case c.Consistent:
		return fmt.Sprintf("Of n = %d, %d were inside: %s coverage is known only to be %s to %s.", c.N, c.K, percent(level), points(c.Lower), percent(c.Upper))
	case c.Upper < level:
		return fmt.Sprintf("Of n = %d, only %d were inside: coverage is %s to %s, not the %s that was said. The intervals are too narrow, or lie to one side of what is measured.", c.N, c.K, points(c.Lower), percent(c.Upper), percent(level))
	}
	return fmt.Sprintf("Of n = %d, %d were inside: coverage is %s to %s, more than the %s that was said. The intervals are wider than they need be, or these builds err alike.", c.N, c.K, points(c.Lower), percent(c.Upper), percent(level))
}

// Words says what a group of builds tells of its predictions. aside is how many
// runs were set aside: throwing away misses must be visible.
func (out CalibrationOut) Words(aside int) []string {
	kept := fmt.Sprintf("%d kept, %d set aside.", out.N, aside)
	if out.Coverage == nil {
		return []string{kept, FewBuilds}
	}
	all := []string{kept, out.Coverage.At95.Words(0.95), out.bias(), out.width()}
	if out.KSP == nil {
		return append(all, "Too few builds to tell whether the measured values lie evenly within their predictions.")
	}
	if *out.KSP < 0.05 {
		return append(all, fmt.Sprintf("The measured values do not lie evenly within their predictions (p = %.2g).", *out.KSP))
	}
	return append(all, "The measured values lie within their predictions as evenly as chance would have it.")
}

// bias is told by the mean of z.
func (out CalibrationOut) bias() string {
	low, high := out.ZMeanCI[0], out.ZMeanCI[1]
	if low <= 0 && 0 <= high {
		return "No bias can be told."
	}
	side := "above"
	mean := *out.ZMean
	if mean < 0 {
		side, mean, low, high = "below", -mean, -high, -low
	}
	return fmt.Sprintf("Measured values lie %.1f (%.1f to %.1f) standard uncertainties of the prediction %s it.", mean, low, high, side)
}

// width is told by the standard deviation of z.
func (out CalibrationOut) width() string {
	low, high := out.ZSDCI[0], out.ZSDCI[1]
	switch {
	case low > 1:
		return fmt.Sprintf("The intervals are too narrow: measured values scatter %.1f times as far as was said (%.1f to %.1f).", *out.ZSD, low, high)
	case high < 1:
		return fmt.Sprintf("From build to build measured values scatter %.1f times as far as the intervals allow (%.1f to %.1f): these are wider than they need be, or these builds err alike, as those with the same coefficients do.", *out.ZSD, low, high)
	}
	return "The width of the intervals agrees with how measured values scatter."
}

// Words says how a quantity, as "pressures", comes out, where the values were
// ln(measured/predicted).
func (out RandomEffectsOut) Words(quantity string) string {
	if out.K < fewest {
		return capital(quantity) + ": too few builds to tell bias from scatter."
	}
	low, high := math.Expm1(out.Interval[0]), math.Expm1(out.Interval[1])
	come := fmt.Sprintf("%s come out %s prediction", capital(quantity), offBy(math.Expm1(out.Mean)))
	within := fmt.Sprintf(" (%s to %s %%)", finely(low), finely(high))
	if out.Mean < 0 && high < 0 {
		within = fmt.Sprintf(" (%s to %s %%)", finely(-high), finely(-low))
	}
	if low <= 0 && 0 <= high {
		come = capital(quantity) + " come out as predicted, as far as can be told"
	}
	scatter := "; from build to build no scatter can be told beyond that of the measurement."
	if out.Tau2 > 0 {
		scatter = fmt.Sprintf("; from build to build they scatter by %s.", scatterOf(out.Tau))
	}
	return come + within + scatter
}

// scatterOf writes a standard deviation of ln(measured/predicted): as a share
// where up and down are alike, else as a factor.
func scatterOf(tau float64) string {
	const alike = 0.2 // e^0.2 is 22 % up, and 18 % down
	if tau > alike {
		return fmt.Sprintf("a factor of %.2g", math.Exp(tau))
	}
	return finely(tau) + " %"
}

// finely is the number of percent: whole ones, and below one to a digit, so that
// little is not nothing.
func finely(share float64) string {
	if p := 100 * math.Abs(share); p > 0 && p < 0.95 {
		return strings.Replace(strconv.FormatFloat(100*share, 'g', 1, 64), "-", "−", 1)
	}
	return points(share)
}

// offBy is "4 % above".
func offBy(share float64) string {
	if share < 0 {
		return finely(-share) + " % below"
	}
	return finely(share) + " % above"
}
