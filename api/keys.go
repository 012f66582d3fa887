package api

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// Keys sign access tokens. The first signs, all of them verify. To change
// keys: put a new one first in the file, restart, wait ten minutes, remove the
// old one.
type Keys struct {
	signing ed25519.PrivateKey
	kid     string
	public  map[string]ed25519.PublicKey // by kid
}

// NewKeys makes one key that lives as long as the server.
func NewKeys() (*Keys, error) {
	_, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("api: make a signing key: %w", err)
	}
	return keysOf([]ed25519.PrivateKey{key}), nil
}

// LoadKeys reads the keys from a file of PKCS #8 private keys in PEM, and makes
// the file, for the owner alone, with one new key when it isn't there.
func LoadKeys(path string) (*Keys, error) {
	text, err := os.ReadFile(path) //nolint:gosec // the path is the keeper's own setting
	if errors.Is(err, fs.ErrNotExist) {
		text, err = writeKey(path)
	}
	if err != nil {
		return nil, fmt.Errorf("api: signing keys: %w", err)
	}
	keys, err := parseKeys(text)
	if err != nil {
		return nil, fmt.Errorf("api: signing keys in %s: %w", path, err)
	}
	return keysOf(keys), nil
}

// writeKey makes a key file. Of two servers that start together, one makes
// it and the other reads it.
func writeKey(path string) ([]byte, error) {
	_, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, err
	}
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	text := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der})
	whole := fmt.Sprintf("%s.%d", path, os.Getpid())
	if err := os.WriteFile(whole, text, 0o600); err != nil {
		return nil, err
	}
	defer func() { _ = os.Remove(whole) }()
	if err := os.Link(whole, path); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, err
	}
	return os.ReadFile(path) //nolint:gosec // as above
}

func parseKeys(text []byte) ([]ed25519.PrivateKey, error) {
	var keys []ed25519.PrivateKey
	for {
		block, rest := pem.Decode(text)
		if block == nil {
			break
		}
		text = rest
		parsed, err := x509.ParsePKCS8PrivateKey(block.Bytes)
		if err != nil {
			return nil, fmt.Errorf("key %d can't be read: make one with `openssl genpkey -algorithm ed25519`", len(keys)+1)
		}
		key, ok := parsed.(ed25519.PrivateKey)
		if !ok {
			return nil, fmt.Errorf("key %d isn't an Ed25519 key: make one with `openssl genpkey -algorithm ed25519`", len(keys)+1)
		}
		keys = append(keys, key)
	}
	if len(bytes.TrimSpace(text)) > 0 || len(keys) == 0 {
		return nil, errors.New("there is no key in it, or something that isn't one: move the file away, and the next start makes a new one")
	}
	return keys, nil
}

func keysOf(keys []ed25519.PrivateKey) *Keys {
	k := &Keys{signing: keys[0], kid: keyID(keys[0]), public: map[string]ed25519.PublicKey{}}
	for _, key := range keys {
		k.public[keyID(key)] = publicOf(key)
	}
	return k
}

func publicOf(key ed25519.PrivateKey) ed25519.PublicKey {
	return ed25519.PublicKey(key[ed25519.SeedSize:])
}

// keyID names a key by its public half.
func keyID(key ed25519.PrivateKey) string {
	sum := sha256.Sum256(publicOf(key))
	return hex.EncodeToString(sum[:8])
}
