package reckon_test

import (
	"testing"

	"leat/calc/reckon"
)

// BenchmarkExamples answers the example of each calculation but the whole
// machine: what a batch does, less reading and writing its lines.
func BenchmarkExamples(b *testing.B) {
	for _, c := range reckon.List() {
		if c.In == nil {
			continue
		}
		b.Run(c.Name, func(b *testing.B) {
			for b.Loop() {
				if _, err := c.Run(c.Example); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
