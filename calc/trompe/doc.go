// Package trompe calculates what one trompe (hydraulic air compressor) will do:
// water falls past small air tubes, carries bubbles down a pipe, the air parts
// from the water in a chamber, the water leaves by a riser. Start with [Solve].
package trompe
