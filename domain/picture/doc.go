// Package picture makes of what somebody sends the picture that is kept: turned
// upright, made smaller, and without anything else that the file held, such as
// the place where it was taken. Start with [Read].
//
// It is a pure function of the bytes. What a picture claims to be is looked at
// before any of its pixels are made, so that a small file that unfolds into a
// large one is refused and takes no memory.
package picture
