// Package lessons is what the machines of a group teach together: how its
// predictions came out, [Sum], and which coefficients its runs speak for,
// [Learn]. The same runs give the same bytes again.
package lessons
