package evidence

import "math"

// sobolBatches is how many parts the error of an index is judged by.
const sobolBatches = 8

// Sobol holds the shares of the variance of an output that its independent
// inputs make, one of each an input.
type Sobol struct {
	First      []float64 // alone
	Total      []float64 // alone and together with others
	FirstError []float64 // standard errors, from batches
	TotalError []float64
	Variance   float64 // of the output, in the square of its unit
	Failed     int     // rows with an answer missing, left out
}

// SobolIndices asks a model at n·(d + 2) points, each a row of numbers between 0
// and 1, one a column, and returns the shares of the variance:
//
//	S  = mean[(f_B − μ)·(f_ABi − f_A)]/V
//	S_T = mean[(f_A − f_ABi)²]/2V
//
// A and B are two independent sets of n draws, A with column i of B is ABi. What
// is smaller than its error is not told from nothing. ok is false where nothing
// varies, or a part has no row left.
//
// Valid for independent inputs and n ≥ 16, from 1024 on with errors of a few
// hundredths. NaN marks a missing answer.
//
// Source: A. Saltelli et al., Comput. Phys. Commun. 181, 259 (2010), first order;
// M. J. W. Jansen, Comput. Phys. Commun. 117, 35 (1999), total; from memory.
func SobolIndices(seed Seed, n int, columns []string, model func(u []float64) float64) (s Sobol, ok bool) {
	d := len(columns)
	both := make([]string, 0, 2*d)
	for _, set := range []string{"A", "B"} {
		for _, name := range columns {
			both = append(both, set+"/"+name)
		}
	}
	var rows []sobolRow
	for _, u := range Draw(seed, n, sobolBatches, both) {
		row := askSobol(u[:d:d], u[d:], model)
		rows = append(rows, row)
		if row.failed() {
			s.Failed++
		}
	}
	var mean float64
	if mean, s.Variance = spreadOf(rows); !(s.Variance > 0) {
		return s, false
	}
	parts := make([][]sobolRow, sobolBatches)
	for b := range parts {
		parts[b] = rows[BatchStart(n, sobolBatches, b):BatchStart(n, sobolBatches, b+1)]
	}
	for i := range columns {
		first := func(r sobolRow) float64 { return (r.b - mean) * (r.mixed[i] - r.a) / s.Variance }
		total := func(r sobolRow) float64 { return (r.a - r.mixed[i]) * (r.a - r.mixed[i]) / (2 * s.Variance) }
		index, err := meanOfRows(rows, parts, first)
		s.First, s.FirstError = append(s.First, index), append(s.FirstError, err)
		index, err = meanOfRows(rows, parts, total)
		s.Total, s.TotalError = append(s.Total, index), append(s.TotalError, err)
	}
	return s, !anyNaN(s.FirstError)
}

// sobolRow is what the model answers at one row of A, of B and of each mixture.
type sobolRow struct {
	a, b  float64
	mixed []float64
}

func askSobol(a, b []float64, model func(u []float64) float64) sobolRow {
	row := sobolRow{model(a), model(b), make([]float64, len(a))}
	for i := range a {
		own := a[i]
		a[i] = b[i]
		row.mixed[i] = model(a)
		a[i] = own
	}
	return row
}

func (r sobolRow) failed() bool { return math.IsNaN(r.a) || math.IsNaN(r.b) || anyNaN(r.mixed) }

// spreadOf returns mean and variance of the answers to A and B.
func spreadOf(rows []sobolRow) (mean, variance float64) {
	var all []float64
	for _, r := range rows {
		if !r.failed() {
			all = append(all, r.a, r.b)
		}
	}
	mean, deviation := meanAndDeviation(all)
	if deviation <= 1e-12*math.Abs(mean) {
		return mean, 0
	}
	return mean, deviation * deviation
}

// meanOfRows returns the mean of what each row says, and its standard error from
// the means of the parts.
func meanOfRows(rows []sobolRow, parts [][]sobolRow, of func(sobolRow) float64) (mean, err float64) {
	average := func(some []sobolRow) float64 {
		var sum, n float64
		for _, r := range some {
			if !r.failed() {
				sum, n = sum+of(r), n+1
			}
		}
		return sum / n
	}
	means := make([]float64, len(parts))
	for i, part := range parts {
		means[i] = average(part)
	}
	_, deviation := meanAndDeviation(means)
	return average(rows), deviation / math.Sqrt(float64(len(parts)))
}
