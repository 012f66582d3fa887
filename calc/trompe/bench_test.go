package trompe_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/trompe"
)

// BenchmarkSolve solves each worked case with its profile and delivery window,
// from the decoded input.
func BenchmarkSolve(b *testing.B) {
	for _, c := range workedCases(b) {
		in, faults := trompe.Decode(c.Input)
		require.Empty(b, faults)
		b.Run(c.Case, func(b *testing.B) {
			for b.Loop() {
				if _, err := trompe.Solve(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkDecode reads the bench rig's JSON.
func BenchmarkDecode(b *testing.B) {
	raw := workedCases(b)[0].Input
	for b.Loop() {
		if _, faults := trompe.Decode(raw); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}

// BenchmarkTrial solves each worked case as the draws of its interval are.
func BenchmarkTrial(b *testing.B) {
	for _, c := range workedCases(b) {
		in, faults := trompe.Decode(c.Input)
		require.Empty(b, faults)
		b.Run(c.Case, func(b *testing.B) {
			for b.Loop() {
				if trompe.Trial(in) == nil {
					b.Fatal("no operating point")
				}
			}
		})
	}
}
