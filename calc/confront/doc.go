// Package confront holds what was measured on a machine against what was
// predicted for it, as built and at the conditions of that hour. Start with
// [Judge]: a [Case] in, a [Verdict] out.
//
// The same case gives the same bytes again: a verdict can be worked out anew by
// anybody, years later.
package confront
