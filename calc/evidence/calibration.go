package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"leat/calc"
)

// CalibrationIn is where the measured values of one quantity lay within their
// predictions, build by build.
type CalibrationIn struct {
	Records []Placed `json:"records"`
}

// Placed is where a measured value lay: its probability within the prediction
// blurred by the measurement.
type Placed struct {
	Build string        `json:"build"`
	PIT   *calc.Reading `json:"pit"`
}

// CalibrationOut is whether predictions are as uncertain as they say.
type CalibrationOut struct {
	N          int        `json:"n"`
	Duplicates int        `json:"duplicates"`
	Coverage   *Coverages `json:"coverage"`
	ZMean      *float64   `json:"z_mean"` // bias, in standard deviations of the prediction
	ZMeanCI    []float64  `json:"z_mean_ci"`
	ZSD        *float64   `json:"z_sd"` // above 1: intervals too narrow; below: too wide
	ZSDCI      []float64  `json:"z_sd_ci"`
	KS         *float64   `json:"ks"`
	KSP        *float64   `json:"ks_p"`
	Status     string     `json:"status"`
}

// Coverages is how often intervals of three levels held the measured value.
type Coverages struct {
	At50 Coverage `json:"0.5"`
	At80 Coverage `json:"0.8"`
	At95 Coverage `json:"0.95"`
}

// Coverage is how often intervals of one level held the measured value.
type Coverage struct {
	K          int     `json:"k"`
	N          int     `json:"n"`
	Fraction   float64 `json:"fraction"`
	Lower      float64 `json:"lower"` // by Wilson, 95 %
	Upper      float64 `json:"upper"`
	Consistent bool    `json:"consistent"` // the level is from Lower to Upper
}

const (
	fewest     = 3    // builds, below which nothing is said
	testable   = 10   // builds, below which evenness is not tested
	edgeOfRank = 1e-6 // a PIT is held so far from 0 and 1, where its z is infinite
)

// Calibration says whether predictions are as uncertain as they say. One build
// counts once.
func Calibration(in CalibrationIn) (CalibrationOut, []calc.Warning, *calc.Fault) {
	pit, duplicates := firstOfEach(in.Records)
	out := CalibrationOut{N: len(pit), Duplicates: duplicates, Status: "too_few_builds"}
	if out.N >= fewest {
		out.Status = "ok"
		out.Coverage = &Coverages{covered(pit, 0.5), covered(pit, 0.8), covered(pit, 0.95)}
		out.shape(pit)
	}
	if out.N >= testable {
		d := KolmogorovDistance(pit)
		out.KS, out.KSP = &d, new(KolmogorovP(out.N, d))
	}
	return out, fewBuilds(out.N), nil
}

func firstOfEach(records []Placed) (pit []float64, duplicates int) {
	seen := map[string]bool{}
	for _, r := range records {
		switch {
		case r.PIT == nil || math.IsNaN(float64(*r.PIT)):
		case seen[r.Build]:
			duplicates++
		default:
			seen[r.Build] = true
			pit = append(pit, min(max(float64(*r.PIT), edgeOfRank), 1-edgeOfRank))
		}
	}
	return pit, duplicates
}

func covered(pit []float64, level float64) Coverage {
	c := Coverage{N: len(pit)}
	for _, p := range pit {
		if math.Abs(2*p-1) <= level {
			c.K++
		}
	}
	c.Fraction = float64(c.K) / float64(c.N)
	c.Lower, c.Upper = WilsonInterval(c.K, c.N, Level)
	c.Consistent = c.Lower <= level && level <= c.Upper
	return c
}

// shape adds bias and width: the mean of z = Φ⁻¹(PIT) with its t interval, and
// the standard deviation with its χ² interval.
func (out *CalibrationOut) shape(pit []float64) {
	z := make([]float64, len(pit))
	for i, p := range pit {
		z[i] = PhiInverse(p)
	}
	mean, s := meanAndDeviation(z)
	free := float64(len(z) - 1)
	half := StudentQuantile(0.975, free) * s / math.Sqrt(free+1)
	chi := distuv.ChiSquared{K: free}
	out.ZMean, out.ZMeanCI = &mean, []float64{mean - half, mean + half}
	out.ZSD, out.ZSDCI = &s, []float64{s * math.Sqrt(free/chi.Quantile(0.975)), s * math.Sqrt(free/chi.Quantile(0.025))}
}

func fewBuilds(n int) []calc.Warning {
	if n >= testable {
		return nil
	}
	return []calc.Warning{{Code: "W_FEW_BUILDS", At: "/records", Message: FewBuilds,
		Value: new(float64(n)), Limit: new(float64(testable))}}
}
