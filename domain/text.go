package domain

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// line trims a single line of text in place and returns what is wrong with it.
func line(pointer string, text *string, least, most int) []Field {
	*text = strings.TrimSpace(*text)
	if strings.ContainsFunc(*text, unicode.IsControl) {
		return []Field{{pointer, "text", "Use plain text on one line, without control characters."}}
	}
	return length(pointer, *text, least, most)
}

// prose trims text of several lines in place and returns what is wrong with it.
func prose(pointer string, text *string, most int) []Field {
	*text = strings.TrimSpace(strings.ReplaceAll(*text, "\r\n", "\n"))
	odd := func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }
	if strings.ContainsFunc(*text, odd) {
		return []Field{{pointer, "text", "Use plain text, without control characters."}}
	}
	return length(pointer, *text, 0, most)
}

func length(pointer, text string, least, most int) []Field {
	n := utf8.RuneCountInString(text)
	switch {
	case !utf8.ValidString(text):
		return []Field{{pointer, "text", "This text isn't valid UTF-8. Type it again."}}
	case n == 0 && least > 0:
		return []Field{{pointer, "missing", "Fill this in."}}
	case n < least:
		return []Field{{pointer, "too_short", fmt.Sprintf("Use at least %d characters.", least)}}
	case n > most:
		return []Field{{pointer, "too_long", fmt.Sprintf("This has %d characters; at most %d fit.", n, most)}}
	}
	return nil
}

// clientKey returns what is wrong with the key by which a retry is known.
func clientKey(pointer, key string) []Field {
	odd := func(r rune) bool { return r < '!' || r > '~' }
	if len(key) < 8 || len(key) > 80 || strings.ContainsFunc(key, odd) {
		return []Field{{pointer, "range", "Send a key of 8 to 80 letters, digits or signs, a new one for each new thing."}}
	}
	return nil
}
