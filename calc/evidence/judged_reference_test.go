package evidence_test

import (
	"testing"

	"leat/calc/calctest"
	"leat/calc/evidence"
)

// Results that another program worked out: Python with 40 digits, written from
// the specification of evidence alone and by other ways where there are some (t by
// integrating its density, scores by integrating squares, shares by summing the
// binomial distribution, S by plain inversion, evenness by Steck's determinant).
func TestJudgedAgainstAnotherProgram(t *testing.T) {
	calctest.ReferenceIn(t, evidence.Calculations(), "testdata/judged.json")
}
