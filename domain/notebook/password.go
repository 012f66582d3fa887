package notebook

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"strings"
	"sync"

	"golang.org/x/crypto/argon2"
)

// The cost of a password hash (argon2id): OWASP's password storage cheat
// sheet, read by the authors of our rules, asks for 19 MiB, 2 passes, 1 lane.
const (
	hashKiB    = 19 * 1024
	hashPasses = 2
	hashLanes  = 1
	hashBytes  = 32
	saltBytes  = 16
)

// hasher hashes passwords, a few at once: each takes 19 MiB.
type hasher struct {
	cost   cost
	turns  turns
	decoy  func() string                                                                    // a hash that no password fits, for addresses that nobody has
	derive func(password, salt []byte, passes, kib uint32, lanes uint8, size uint32) []byte // tests count the calls
}

// newHasher returns a hasher of the cost above, but with other memory unless
// kib is 0.
func newHasher(kib uint32) *hasher {
	if kib == 0 {
		kib = hashKiB
	}
	c := cost{kib, hashPasses, hashLanes}
	return &hasher{
		cost: c, turns: make(turns, 2), derive: argon2.IDKey,
		decoy: sync.OnceValue(func() string { return encode(c, random(saltBytes), random(hashBytes)) }),
	}
}

// remembering returns a hasher that derives each hash once. It keeps passwords in
// memory, so it is for those of invented people only.
func (h *hasher) remembering() *hasher {
	type asked struct{ password, salt string }
	known, once := map[asked][]byte{}, *h
	once.derive = func(password, salt []byte, passes, kib uint32, lanes uint8, size uint32) []byte {
		key := asked{string(password), string(salt)}
		if known[key] == nil {
			known[key] = h.derive(password, salt, passes, kib, lanes, size)
		}
		return known[key]
	}
	return &once
}

// cost is what one hash takes.
type cost struct {
	kib    uint32
	passes uint32
	lanes  uint8
}

// hash returns the PHC string of a password.
func (h *hasher) hash(ctx context.Context, password string) (string, error) {
	if err := h.turns.take(ctx); err != nil {
		return "", err
	}
	defer h.turns.end()
	c, salt := h.cost, random(saltBytes)
	return encode(c, salt, h.derive([]byte(password), salt, c.passes, c.kib, c.lanes, hashBytes)), nil
}

// fits tells whether a password is the one that was hashed, and whether the
// hash was made at another cost than is used now.
func (h *hasher) fits(ctx context.Context, password, phc string) (fits, dated bool, err error) {
	if err := h.turns.take(ctx); err != nil {
		return false, false, err
	}
	defer h.turns.end()
	c, salt, sum, err := parse(phc)
	if err != nil {
		return false, false, err
	}
	got := h.derive([]byte(password), salt, c.passes, c.kib, c.lanes, uint32(len(sum))) //nolint:gosec // parse bounds it
	return subtle.ConstantTimeCompare(got, sum) == 1, c != h.cost, nil
}

func encode(c cost, salt, sum []byte) string {
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s",
		argon2.Version, c.kib, c.passes, c.lanes, b64.EncodeToString(salt), b64.EncodeToString(sum))
}

func parse(phc string) (c cost, salt, sum []byte, err error) {
	parts := strings.Split(phc, "$")
	if len(parts) != 6 || parts[1] != "argon2id" || parts[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return c, nil, nil, fmt.Errorf("notebook: a password hash of an unknown kind")
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &c.kib, &c.passes, &c.lanes); err != nil {
		return c, nil, nil, fmt.Errorf("notebook: the cost of a password hash: %w", err)
	}
	if salt, err = base64.RawStdEncoding.DecodeString(parts[4]); err != nil {
		return c, nil, nil, fmt.Errorf("notebook: the salt of a password hash: %w", err)
	}
	if sum, err = base64.RawStdEncoding.DecodeString(parts[5]); err != nil {
		return c, nil, nil, fmt.Errorf("notebook: the sum of a password hash: %w", err)
	}
	if c.passes < 1 || c.lanes < 1 || len(sum) < 16 || len(sum) > 64 {
		return c, nil, nil, fmt.Errorf("notebook: a password hash out of bounds")
	}
	return c, salt, sum, nil
}

// random returns n random bytes.
func random(n int) []byte {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails: it ends the program instead
	return b
}
