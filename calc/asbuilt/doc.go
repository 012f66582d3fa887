// Package asbuilt holds the rules about a machine that was not built quite as
// its sheet says: what may differ without a new revision ([Apply]), what was
// renewed like for like ([Renew]), whether an answer of safety got worse
// ([Worse]), and what a pressure test is good for ([Pressure]).
//
// Sizes, levels and counts may differ. Whatever else a sheet says was cleared by
// somebody who did not design it, and stays until it is cleared again.
package asbuilt
