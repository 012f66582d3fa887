// Package gauge makes values of readings: what somebody read on the instruments
// of a shed at one operating point becomes quantities, each with its uncertainty
// line by line. Start with [Evaluate]; [Methods] says how each quantity may be
// read, and what else has to be said.
package gauge
