package api

import (
	"fmt"
	"math/bits"
	"testing"

	"github.com/stretchr/testify/require"
)

// The label is read back by another way than it was made: by the layout of
// ISO/IEC 18004 (finder and timing patterns, format information with its BCH
// code, masks, order of the bits), from memory, without correcting errors. A
// misplaced square or a wrong mask gives other text.
func TestLabelLeadsToTheBuild(t *testing.T) {
	s := bare(t)
	for _, tag := range []int{1, 7, 42, 1234567} {
		l, err := s.labelOf(tag)
		require.NoError(t, err)
		require.Equal(t, fmt.Sprintf("%s/builds/%d", s.origin, tag), l.URL)
		require.Equal(t, l.URL, readLabel(t, l.Rows))
	}
}

type squares struct {
	rows []string
	n    int
}

func (q squares) dark(x, y int) bool { return q.rows[y][x] == '1' }

// readLabel decodes a code of level Q, version 2 to 4, in bytes.
func readLabel(t *testing.T, rows []string) string {
	t.Helper()
	q := squares{rows, len(rows)}
	version := (q.n - 17) / 4
	require.Equal(t, 17+4*version, q.n)
	blocks := map[int][2]int{2: {1, 22}, 3: {2, 17}, 4: {2, 24}}[version] // how many, and data bytes in each
	require.NotZero(t, blocks[0], "version %d", version)
	q.finders(t)
	words := q.words(q.format(t))
	data := make([]byte, blocks[0]*blocks[1])
	for i := range data { // the blocks take turns
		data[i%blocks[0]*blocks[1]+i/blocks[0]] = words[i]
	}
	require.Equal(t, byte(0b0100), data[0]>>4, "mode: bytes")
	length := int(data[0]&15)<<4 | int(data[1]>>4)
	text := make([]byte, length)
	for i := range text {
		text[i] = data[i+1]<<4 | data[i+2]>>4
	}
	return string(text)
}

// finders looks at the three corners and the timing lines.
func (q squares) finders(t *testing.T) {
	for _, corner := range [][2]int{{0, 0}, {q.n - 7, 0}, {0, q.n - 7}} {
		for y := range 7 {
			for x := range 7 {
				ring := max(abs(x-3), abs(y-3))
				require.Equal(t, ring != 2, q.dark(corner[0]+x, corner[1]+y), "finder at %v: %d, %d", corner, x, y)
			}
		}
	}
	for i := 8; i < q.n-8; i++ {
		require.Equal(t, i%2 == 0, q.dark(i, 6))
		require.Equal(t, i%2 == 0, q.dark(6, i))
	}
}

func abs(x int) int { return max(x, -x) }

// format reads the fifteen bits beside the first finder, and returns the mask.
func (q squares) format(t *testing.T) int {
	at := [][2]int{{0, 8}, {1, 8}, {2, 8}, {3, 8}, {4, 8}, {5, 8}, {7, 8}, {8, 8}, {8, 7}, {8, 5}, {8, 4}, {8, 3}, {8, 2}, {8, 1}, {8, 0}}
	word := 0
	for _, p := range at {
		word <<= 1
		if q.dark(p[0], p[1]) {
			word |= 1
		}
	}
	word ^= 0b101010000010010
	rest := word
	for bits.Len(uint(rest)) > 10 { //nolint:gosec // never below zero
		rest ^= 0b10100110111 << (bits.Len(uint(rest)) - 11) //nolint:gosec // never below zero
	}
	require.Zero(t, rest, "the format information is no code word")
	require.Equal(t, 0b11, word>>13, "level Q")
	return word >> 10 & 7
}

var masks = []func(x, y int) bool{
	func(x, y int) bool { return (x+y)%2 == 0 }, func(_, y int) bool { return y%2 == 0 }, func(x, _ int) bool { return x%3 == 0 }, func(x, y int) bool { return (x+y)%3 == 0 },
	func(x, y int) bool { return (y/2+x/3)%2 == 0 }, func(x, y int) bool { return x*y%2+x*y%3 == 0 }, func(x, y int) bool { return (x*y%2+x*y%3)%2 == 0 }, func(x, y int) bool { return ((x+y)%2+x*y%3)%2 == 0 },
}

// words reads the bytes, up and down in columns of two from the right.
func (q squares) words(mask int) (words []byte) {
	count, word := 0, byte(0)
	up := true
	for right := q.n - 1; right > 0; right -= 2 {
		if right == 6 {
			right--
		}
		for i := range q.n {
			y := i
			if up {
				y = q.n - 1 - i
			}
			for x := right; x >= right-1; x-- {
				if q.fixed(x, y) {
					continue
				}
				word <<= 1
				if q.dark(x, y) != masks[mask](x, y) {
					word |= 1
				}
				if count++; count%8 == 0 {
					words = append(words, word)
				}
			}
		}
		up = !up
	}
	return words
}

// fixed tells whether a square belongs to a pattern: finders with format, timing,
// and the one alignment pattern of these versions.
func (q squares) fixed(x, y int) bool {
	return x == 6 || y == 6 || x < 9 && y < 9 || x >= q.n-8 && y < 9 || x < 9 && y >= q.n-8 || abs(x-(q.n-7)) <= 2 && abs(y-(q.n-7)) <= 2
}
