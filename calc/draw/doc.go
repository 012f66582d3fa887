// Package draw makes the elevation of a machine from its numbers: shapes in
// metres, each with the part it belongs to, and labels, level marks, dimensions
// and warnings with the points they speak of. Start with [Sheet].
//
// Heights are always true. Sideways, sizes are true too, but where a part
// stands is chosen here, since no input says it. The browser scales the drawing,
// writes the labels as large as the text beside them, and widens the spans
// named in Columns where they would be thinner than can be seen.
//
// The package knows no colours, fonts, pixels or languages of the browser.
package draw
