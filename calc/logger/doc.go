// Package logger reads the files that data loggers write: a line a time, a
// column a channel. Start with [Read]: it gives a [Series] in SI units and a
// [Report] of everything odd about the file. What comes after: [Series.Pieces]
// parts it at long gaps, [Series.Blocks] averages uneven steps, [Series.On] puts
// two files on one clock, [Series.Common] looks for the window in which all
// channels are steady, [Series.Reduced] makes few points for a chart.
//
// A unit, a time zone or what a pressure counts from is read or asked for, never
// guessed. Raw files are kept by others; the report has the digest of what was
// read.
package logger
