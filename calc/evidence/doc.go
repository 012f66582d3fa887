// Package evidence holds the statistics that leat lives by: how a prediction
// gets its interval, and which unknown makes most of it. Start with [Draw]: it
// makes the numbers between 0 and 1 that a calculation is run with; [Summarise]
// and [Ranking] say what came out.
//
// Nothing is random without a [Seed] that is stored: the same seed gives the
// same bytes in every run and on every machine.
package evidence
