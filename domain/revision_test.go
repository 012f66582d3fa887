package domain_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// ASME Y14.35 (from memory): A to Y without I, O, Q, S, X and Z, then AA, AB and
// so on to AY, then BA.
func TestLetters(t *testing.T) {
	for position, letter := range map[int]string{
		1: "A", 8: "H", 9: "J", 13: "N", 14: "P", 15: "R", 16: "T", 19: "W", 20: "Y",
		21: "AA", 22: "AB", 40: "AY", 41: "BA", 420: "YY", 421: "AAA", 0: "", -3: "",
	} {
		require.Equal(t, letter, domain.Letter(position), position)
	}
	seen := map[string]bool{}
	for position := 1; position <= 500; position++ {
		letter := domain.Letter(position)
		require.NotRegexp(t, "[IOQSXZ]", letter)
		require.False(t, seen[letter], letter)
		seen[letter] = true
	}
}

// A day begins first on the Line Islands, at UTC+14 (IANA time zone
// Pacific/Kiritimati), so that no member of any group is ahead of it.
func TestGaugingIsOfADayThatHasBegunSomewhere(t *testing.T) {
	line := time.FixedZone("UTC+14", 14*60*60)
	day := time.Date(2026, 8, 13, 0, 0, 0, 0, time.UTC)
	begins := time.Date(2026, 8, 13, 0, 0, 0, 0, line)
	c := domain.RecordGauging{Facts: domain.GaugingFacts{FlowM3S: 0.0034, On: &day}, Key: "key-00000001"}
	require.NoError(t, c.Validate(begins))
	require.Equal(t, []string{"/gauged_on"}, pointers(t, c.Validate(begins.Add(-time.Second))))

	wide := 0.0035
	c.Facts.HalfWidthM3S = &wide
	require.Equal(t, []string{"/half_width_m3s"}, pointers(t, c.Validate(begins)), "a flow that may be less than nothing")
}
