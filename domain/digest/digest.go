// Package digest makes the digests that stand on paper and in the record of
// signed acts: anybody can work them out again with the two standards that
// [Of] names, and without leat.
package digest

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"github.com/gowebpki/jcs"
)

// Sum is a SHA-256 digest.
type Sum [sha256.Size]byte

// String returns it as 64 hexadecimal digits.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// Short returns its first eight digits, for people to compare.
func (s Sum) Short() string { return s.String()[:8] }

// Of returns the digest of a thing: SHA-256 over the one way in which RFC 8785
// writes it as JSON. A thing that is no JSON is an error.
func Of(thing any) (Sum, error) {
	text, err := Canonical(thing)
	return sha256.Sum256(text), err
}

// Canonical returns a thing as JSON in the one way of RFC 8785: members sorted,
// no space, numbers in their shortest form. So it does not matter in which
// order, or how, a database wrote it.
func Canonical(thing any) ([]byte, error) {
	text, err := json.Marshal(thing)
	if err != nil {
		return nil, fmt.Errorf("digest: encode: %w", err)
	}
	text, err = jcs.Transform(text)
	if err != nil {
		return nil, fmt.Errorf("digest: bring into the form of RFC 8785: %w", err)
	}
	return text, nil
}
