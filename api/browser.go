package api

import "strings"

// browserOf names a browser in a few words, so that a person knows one device
// from another; empty when it can't be told. Of a User-Agent no more is kept.
// The order matters: most browsers also name the ones that they descend from.
func browserOf(userAgent string) string {
	program := first(userAgent, [][2]string{
		{"Firefox/", "Firefox"}, {"FxiOS/", "Firefox"}, {"Edg", "Edge"}, {"OPR/", "Opera"}, {"SamsungBrowser/", "Samsung Internet"},
		{"CriOS/", "Chrome"}, {"Chrome/", "Chrome"}, {"Safari/", "Safari"},
	})
	system := first(userAgent, [][2]string{
		{"Android", "Android"}, {"iPhone", "iPhone"}, {"iPad", "iPad"}, {"CrOS", "ChromeOS"},
		{"Windows", "Windows"}, {"Mac OS X", "macOS"}, {"Linux", "Linux"},
	})
	switch {
	case program == "":
		return system
	case system == "":
		return program
	}
	return program + " on " + system
}

// first returns the name behind the first mark that a text holds.
func first(text string, marks [][2]string) string {
	for _, m := range marks {
		if strings.Contains(text, m[0]) {
			return m[1]
		}
	}
	return ""
}
