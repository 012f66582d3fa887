// Package procedure holds the pressure test as a list of items that people do
// and sign: what applies to a build, which limits hold, who may sign what and
// when. Start with [First], the procedure that leat brings, or [Read] for a
// newer one; [BasisOf] works out what a build's own sheet gives it, and [Sheet]
// is one attempt with what has been recorded and signed.
//
// All of it are pure functions over values. What cannot be worked out is absent,
// and what rests on it is not met. A passed test is no permit: local law, makers'
// instructions and licensed practice come first where they are stricter.
package procedure
