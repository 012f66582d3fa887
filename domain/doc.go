// Package domain holds the words and the rules of leat: what things are, who
// may do what, and what is wrong when something can't be done. Start with
// [Authorize], the one place that decides, and [Error], the one kind of answer
// to something that can't be done. It knows no SQL and no HTTP.
//
//	account   a person who may sign in; every account is a member
//	group     everybody in one installation, and what they have in common
//	act       what somebody did about people or the group, on record for all
//	project   a title, a purpose and a crew; one machine
//	crew      who started a project, and whom the crew asked and who said yes
//	ask       the question to a member whether to join a crew
//	site      where the water comes from; each project has exactly one
//	design    a sequence of revisions of one machine, lettered A, B, C ...
//	revision  what is issued and checked; while draft, the crew saves sheets under it
//	sheet     one save: all inputs with all answers, numbered, never changed; the newest counts
//	build     one physical machine, made from a cleared revision; its newest version is the machine as it stands
//	builder   who made or changed a part of a build, with or without an account
//	tag       the number on the label of a build, counted across the group
//	run       one measuring session on a build as it stood when it was opened
//	reading   one reading set at an operating point of a run; never changed, struck through where it is wrong
//	verdict   what a submitted run says about the prediction; worked out once, and frozen
//	issue     what the crew gives to be checked: one sheet, which freezes the revision
//	outcome   what a checker says about an issued revision: clear or return
//	remark    what a member says about a revision; it stands until it is laid to rest
//	session   one signed-in device
//	permit    the proof, inside one transaction, that somebody may do one thing
//	version   the number that two people who edit one thing compare
package domain
