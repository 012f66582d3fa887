package evidence

import "math"

// fewSamples is the least number of samples whose correlation is looked at.
const fewSamples = 10

// Batches is how many parts a series is cut into for the cross-check of its
// mean, where nothing else is asked for.
const Batches = 20

// CorrelatedMean is the mean of a series whose samples may depend on the ones
// before. What does not exist is NaN.
type CorrelatedMean struct {
	N              int
	Mean, S, Lag1  float64
	Tau, NEff      float64 // samples that bring as much as one independent, and how many of those there are
	U              float64 // the larger of that by the correlation and UBatch
	UNaive, UBatch float64 // s/√n, which takes every sample for news; by the means of batches
	Nu             float64
	Status         string
}

// SeriesMean returns the mean of a series and its standard uncertainty, which
// counts correlated samples for less:
//
//	n_eff = n/τ, u² = s²/n_eff·(n − 1)/(n − τ), u = s where τ ≥ n/2
//	ν = max(1, n_eff − 1)
//
// with τ of [AutocorrelationTime]. The means of so many batches, from the last
// samples, give a second u = s_batch/√batches; the larger counts. The status is
// zero_spread where all are equal, run_too_short where n_eff < 10, else ok;
// below 10 samples it is "short_" and that of plain repeats.
//
// Valid for a steady part of a series at even steps (see [Steady]) without NaN;
// batches ≥ 2.
//
// Source: N. F. Zhang, Metrologia 43, S276 (2006), from memory, with τ of Geyer
// 1992; the repeats are those of JCGM 100:2008, 4.2.
func SeriesMean(series []float64, batches int) CorrelatedMean {
	n := len(series)
	if n < fewSamples {
		return shortSeries(series)
	}
	size := float64(n)
	mean, s := meanAndDeviation(series)
	if allEqual(series) {
		return CorrelatedMean{N: n, Mean: series[0], Lag1: math.NaN(), Tau: 1, NEff: size, UBatch: math.NaN(), Nu: size - 1, Status: ZeroSpread}
	}
	l := lagsOf(series, mean)
	m := CorrelatedMean{N: n, Mean: mean, S: s, Lag1: l.correlation(1), Tau: l.time(), UNaive: s / math.Sqrt(size), Status: OK}
	m.NEff = size / m.Tau
	m.Nu = max(1, m.NEff-1)
	m.U = s
	if m.Tau < size/2 {
		m.U = s * math.Sqrt(m.Tau/size*(size-1)/(size-m.Tau))
	}
	m.UBatch = batchUncertainty(series, batches)
	if m.UBatch > m.U {
		m.U = m.UBatch
	}
	if m.NEff < fewSamples {
		m.Status = string(RunTooShort)
	}
	return m
}

func shortSeries(series []float64) CorrelatedMean {
	r, nan := TypeA(series), math.NaN()
	return CorrelatedMean{N: r.N, Mean: r.Mean, S: r.S, Lag1: r.Lag1, Tau: nan, NEff: nan, U: r.U, UNaive: nan, UBatch: nan, Nu: float64(r.Nu), Status: "short_" + r.Status}
}

// batchUncertainty is the standard uncertainty of the mean by the means of
// batches, NaN where a batch would have fewer than two samples.
func batchUncertainty(series []float64, batches int) float64 {
	b := len(series) / batches
	if b < 2 {
		return math.NaN()
	}
	_, s := meanAndDeviation(blockMeans(series[len(series)-b*batches:], b))
	return s / math.Sqrt(float64(batches))
}

// blockMeans are the means of blocks of m values from the start; what is left
// at the end belongs to none.
func blockMeans(series []float64, m int) []float64 {
	means := make([]float64, len(series)/m)
	for b := range means {
		for _, x := range series[b*m : (b+1)*m] {
			means[b] += x
		}
		means[b] /= float64(m)
	}
	return means
}
