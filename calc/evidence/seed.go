package evidence

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
)

// Seed is what all draws of one prediction follow from.
type Seed [sha256.Size]byte

// Sampler names the way of drawing and its version. It is part of every seed
// that follows from an input: a changed way gives other draws.
const Sampler = "hypercube/1"

// SeedOf returns the seed that follows from what is calculated: the parts, in
// order, and the [Sampler].
func SeedOf(parts ...string) Seed {
	return sha256.Sum256([]byte(strings.Join(append(parts, Sampler), "\x00")))
}

// ParseSeed reads a seed as [Seed.String] writes it.
func ParseSeed(text string) (Seed, error) {
	var s Seed
	raw, err := hex.DecodeString(text)
	if err != nil || len(raw) != len(s) {
		return s, fmt.Errorf("a seed is %d hexadecimal digits", 2*len(s))
	}
	return Seed(raw), nil
}

// String writes the seed in hexadecimal digits.
func (s Seed) String() string { return hex.EncodeToString(s[:]) }

// stream returns the source of one column of one batch. A column draws by its
// name, so that two designs with one seed share the draws of all they share.
func (s Seed) stream(batch int, column string) *rand.Rand {
	sub := sha256.Sum256([]byte(strings.Join([]string{s.String(), strconv.Itoa(batch), column}, "\x00")))
	return rand.New(rand.NewChaCha8(sub)) //nolint:gosec // draws that must come out the same again are no secret
}
