package evidence

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A series longer than manySamples that is still correlated after fewLags gets
// its lags by Fourier transform, first as many, then all: one by one they would
// take n² steps.
const (
	manySamples = 1 << 12
	fewLags     = 32
)

// lags holds the deviations of a series from its mean, and their products at a
// distance as far as they have been asked for.
type lags struct {
	deviations []float64
	squares    float64
	all        []float64 // sums of products by lag, once transformed
	room       int       // lags from which on they are not yet in all
}

func lagsOf(series []float64, mean float64) *lags {
	l := &lags{deviations: make([]float64, len(series))}
	for i, x := range series {
		l.deviations[i] = x - mean
		l.squares += l.deviations[i] * l.deviations[i]
	}
	return l
}

// correlation is that of the series with itself so many samples later:
// ρ_k = Σ(x_i − x̄)(x_{i+k} − x̄)/Σ(x_i − x̄)².
func (l *lags) correlation(lag int) float64 {
	n := len(l.deviations)
	if lag >= fewLags && n > manySamples {
		return l.transformed(lag) / l.squares
	}
	var sum float64
	for i, d := range l.deviations[:n-lag] {
		sum += d * l.deviations[i+lag]
	}
	return sum / l.squares
}

func (l *lags) transformed(lag int) float64 {
	if l.room == 0 {
		l.transform(manySamples)
	}
	if lag >= l.room {
		l.transform(len(l.deviations))
	}
	return l.all[lag]
}

// transform takes the series block by block, each against itself and what follows it
// within so many lags. It pads with zeros, so that the end does not meet the start.
func (l *lags) transform(room int) {
	size := 1
	for size < 2*room {
		size *= 2
	}
	fft := fourier.NewFFT(size)
	block, after := make([]float64, size), make([]float64, size)
	var one, other []complex128
	sum := make([]complex128, size/2+1)
	for from, n := 0, len(l.deviations); from < n; from += size - room {
		to := min(n, from+size-room)
		clear(block[copy(block, l.deviations[from:to]):])
		clear(after[copy(after, l.deviations[from:min(n, to+room)]):])
		one, other = fft.Coefficients(one, block), fft.Coefficients(other, after)
		for i, c := range one {
			sum[i] += complex(real(c), -imag(c)) * other[i]
		}
	}
	l.all, l.room = fft.Sequence(block, sum), room
	for i := range l.all {
		l.all[i] /= float64(size)
	}
}

// AutocorrelationTime returns how many samples of a series bring as much as one
// independent sample, without unit:
//
//	τ = max(1, −1 + 2·ΣΓ_m), Γ_m = ρ_{2m} + ρ_{2m+1}
//
// where the sum ends before the first pair that is not positive, and no pair
// counts more than the one before it.
//
// Valid for two samples or more that are not all equal and belong to a steady
// process; else NaN. An alternating series has τ = 1: it is not taken for more
// than it is.
//
// Source: C. J. Geyer, Statistical Science 7, 473 (1992), 3.3 (initial monotone
// sequence), from memory.
func AutocorrelationTime(series []float64) float64 {
	if len(series) < 2 || allEqual(series) {
		return math.NaN()
	}
	mean, _ := meanAndDeviation(series)
	return lagsOf(series, mean).time()
}

func (l *lags) time() float64 {
	var sum float64
	for m, last := 0, math.Inf(1); 2*m+1 < len(l.deviations); m++ {
		pair := l.correlation(2*m) + l.correlation(2*m+1)
		if !(pair > 0) {
			break
		}
		last = min(last, pair)
		sum += last
	}
	return max(1, 2*sum-1)
}
