// Package build answers whether a designed machine may be built: for each part
// the pressure that it must be good for and why, what is left of its rating, and
// the decision with its reasons and conditions. Start with [Judge].
//
// Its words are allowed, conditional and not_allowed; none of them is a permit.
// What is not known is not allowed.
package build
