package evidence

import "math"

// The weights of the newest sample in a [SteadyLight]: of the mean, of the
// variance about it, and of the variance of steps.
const (
	lightMean, lightVariance, lightSteps = 0.2, 0.1, 0.1
)

// Limits of the ratio of a [SteadyLight] for white noise: 95 % and 99 % of the
// values lie below. Found by simulation.
const (
	LightAmber = 1.45
	LightRed   = 1.74
)

// SteadyLight tells while samples come in whether they are steady. It is a light
// beside a running logger, no rule: samples have to be farther apart than the
// noise is correlated. The zero value is ready for the first sample.
type SteadyLight struct {
	started                   bool
	mean, last                float64
	varianceAbout, varianceBy float64
}

// Next takes the next sample and returns the ratio of the variance about the
// running mean to that which the steps between samples leave, without unit:
//
//	R = (2 − λ₁)·ν²/δ²
//	ν² ← λ₂·(X − X_f)² + (1 − λ₂)·ν², X_f ← λ₁·X + (1 − λ₁)·X_f
//	δ² ← λ₃·(X − X_before)² + (1 − λ₃)·δ², λ = 0.2, 0.1, 0.1
//
// It is about 1 in a steady state and grows with any change. NaN while all
// samples are equal.
//
// Valid once some 50 samples are in, for samples without NaN.
//
// Source: S. Cao and R. R. Rhinehart, J. Process Control 5, 363 (1995), from
// memory.
func (l *SteadyLight) Next(x float64) float64 {
	if !l.started {
		*l = SteadyLight{started: true, mean: x, last: x}
		return math.NaN()
	}
	l.varianceAbout += lightVariance * ((x-l.mean)*(x-l.mean) - l.varianceAbout)
	l.mean += lightMean * (x - l.mean)
	l.varianceBy += lightSteps * ((x-l.last)*(x-l.last) - l.varianceBy)
	l.last = x
	return (2 - lightMean) * l.varianceAbout / l.varianceBy
}
