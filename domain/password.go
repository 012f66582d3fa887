package domain

import (
	_ "embed"
	"strings"
	"unicode/utf8"
)

const (
	passwordLeast = 12
	passwordMost  = 128
)

// passwords.txt lists passwords that many people would think of, all of 12
// characters or more, lower case, one a line.
//
//go:embed passwords.txt
var commonPasswords string

// password returns what is wrong with a new password. There are no rules of
// composition: length counts, and not being the first thing others would try.
func password(pointer, pass, name, address string) []Field {
	if faults := length(pointer, pass, passwordLeast, passwordMost); faults != nil {
		return faults
	}
	if guessable(strings.ToLower(pass), strings.ToLower(name), strings.ToLower(address)) {
		return []Field{{pointer, "common", "This password is one of the first that others would try. Three or four unrelated words are a good one."}}
	}
	return nil
}

func guessable(pass, name, address string) bool {
	for common := range strings.Lines(commonPasswords) {
		if strings.TrimSpace(common) == pass {
			return true
		}
	}
	own := strings.ReplaceAll(name, " ", "")
	return pass == address || pass == name || own == strings.ReplaceAll(pass, " ", "") || repeats(pass) || runs(pass)
}

// repeats tells whether a text is one to four characters over and over.
func repeats(text string) bool {
	for n := 1; n <= 4 && n < len(text); n++ {
		if strings.HasPrefix(strings.Repeat(text[:n], len(text)/n+1), text) {
			return true
		}
	}
	return false
}

// runs tells whether a text only counts up or down, as abcdefghijkl does.
func runs(text string) bool {
	if utf8.RuneCountInString(text) != len(text) {
		return false
	}
	up, down := true, true
	for i := 1; i < len(text); i++ {
		up = up && follows(text[i-1], text[i])
		down = down && follows(text[i], text[i-1])
	}
	return up || down
}

func follows(a, b byte) bool { return b == a+1 || a == '9' && b == '0' }
