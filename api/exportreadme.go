package api

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"leat/calc"
	"leat/domain/archive"
)

// readme says in plain words what is in an export, for somebody who has no leat.
func (p *parcel) readme() string {
	var text strings.Builder
	say := func(format string, args ...any) { text.WriteString(folded(fmt.Sprintf(format, args...), 0) + "\n") }
	group := p.group
	if group == "" {
		group = "a group that has not named itself"
	}
	say("This is %s.", p.title)
	say("Written on %s (UTC) from the notebook of %s by leat, calculation %s.", p.at.Format("2 January 2006, 15:04:05"), group, calc.Version)
	say("")
	say("Nothing in here is a permit, or says that anything is safe. What the group tested and signed holds, if at all, for the machine as it stood, and for the group itself. Gas in plastic pipe, stored pressure, shafts, roofs and water kill people: local law and licensed practice come first.")
	say("")
	say("HOW IT IS WRITTEN")
	say("All figures are in SI units; pressures are gauge pressures, unless a name says abs. A table names the unit at the end of the column, or in a column called unit for figures of many kinds.")
	say("Uncertainties are symmetric, with 95 %% coverage: value ± U, where U = k·u, u is the standard uncertainty and k the coverage factor (JCGM 100, the “GUM”). Intervals of predictions come from many draws of what nobody knows for sure.")
	say("Free air is air as it is drawn in: at the pressure, the warmth and the moisture of the site on that day. A name with iso1217 is at 1 bar, 20 °C, dry; with iso2533 at 101 325 Pa, 15 °C, dry.")
	say("Times are in UTC. An empty cell means that there is no value. The sign between whole and part of a number is a point.")
	say("A text in a table that begins with = + - or @ has an apostrophe before it, so that no spreadsheet takes it for a formula.")
	say("")
	say("WHETHER IT IS WHOLE")
	say("%s has a line for every other file: its SHA-256 (FIPS 180-4), two spaces, its name. `sha256sum -c %s` compares them. Digests of designs and of what was signed are SHA-256 over the one way in which RFC 8785 writes a thing as JSON; that of a verdict is over its file, letter for letter.", archive.Digests, archive.Digests)
	say("")
	say("FILES")
	for _, f := range p.about {
		say("%s", entryOf(f[0], f[1]))
	}
	for _, t := range p.tables.all() {
		if t.Rows() == 0 {
			continue
		}
		say("%s", entryOf(t.Name, t.About))
		for _, c := range t.Columns {
			text.WriteString(folded("    "+entryOf(c.Name, c.About), 8) + "\n")
		}
	}
	return text.String()
}

func entryOf(name, about string) string {
	if about == "" {
		return name
	}
	return name + ": " + about
}

// folded breaks a text into lines that fit a narrow window.
func folded(text string, hanging int) string {
	const most = 88
	var out strings.Builder
	at := 0
	lead := text[:len(text)-len(strings.TrimLeft(text, " "))]
	out.WriteString(lead)
	at = len(lead)
	for i, word := range strings.Fields(text) {
		switch size := utf8.RuneCountInString(word); {
		case i > 0 && at+1+size > most:
			out.WriteString("\n" + strings.Repeat(" ", hanging))
			at = hanging
		case i > 0:
			out.WriteString(" ")
			at++
		}
		out.WriteString(word)
		at += utf8.RuneCountInString(word)
	}
	return out.String()
}
