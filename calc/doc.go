// Package calc holds what every calculation of leat keeps to. Start with
// [Answer]: it is what a calculation gives back, on the command line, over HTTP
// and inside the program. The formulas themselves live in the packages below
// this one, one package a subject; calc/reckon lists them all by name.
//
// All quantities are in SI units: metre, kilogram, second, pascal, watt, and
// degree Celsius where a name ends in C. Pressures are absolute unless the name
// says gauge. Elevations z are in metres, upward, over any one datum.
//
// A calculation is a pure function: no clock, no files, no randomness without a
// given seed, no logging, and no goroutines but for the draws of an interval. The same input and the same [Version]
// give the same answer.
package calc

// Version names the state of all formulas and coefficients. It changes whenever
// any number that leat calculates may change.
const Version = "2"
