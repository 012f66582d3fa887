package api

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/golang-jwt/jwt/v5"
	"github.com/stretchr/testify/require"
)

// goodClaims are claims that a test then spoils.
func goodClaims() jwt.MapClaims {
	now := time.Now()
	return jwt.MapClaims{
		"iss": publicURL, "aud": audience, "sub": "7", "sid": "9",
		"iat": now.Unix(), "exp": now.Add(tokenLife).Unix(),
	}
}

func signed(t testing.TB, method jwt.SigningMethod, key any, header map[string]any, claims jwt.MapClaims) string {
	t.Helper()
	token := jwt.NewWithClaims(method, claims)
	for k, v := range header {
		if v == nil {
			delete(token.Header, k)
			continue
		}
		token.Header[k] = v
	}
	text, err := token.SignedString(key)
	require.NoError(t, err)
	return text
}

// refusals are tokens that must not open anything: the attacks of RFC 8725 and
// the rules of RFC 9068 for access tokens, and what each must be answered with.
func refusals(t testing.TB, keys *Keys) map[string][2]string {
	t.Helper()
	ours := map[string]any{"typ": tokenType, "kid": keys.kid}
	with := func(k string, v any) map[string]any {
		h := map[string]any{"typ": tokenType, "kid": keys.kid}
		h[k] = v
		return h
	}
	spoilt := func(k string, v any) jwt.MapClaims {
		c := goodClaims()
		if v == nil {
			delete(c, k)
		} else {
			c[k] = v
		}
		return c
	}
	_, strange, err := ed25519.GenerateKey(rand.Reader)
	require.NoError(t, err)
	eddsa := jwt.SigningMethodEdDSA
	good := signed(t, eddsa, keys.signing, ours, goodClaims())
	dot := strings.LastIndexByte(good, '.')
	past := goodClaims()
	past["iat"], past["exp"] = time.Now().Add(-time.Hour).Unix(), time.Now().Add(-31*time.Second).Unix()
	sign := func(c jwt.MapClaims) string { return signed(t, eddsa, keys.signing, ours, c) }
	invalid := func(text string) [2]string { return [2]string{text, "token-invalid"} }
	return map[string][2]string{
		"expired":                     {sign(past), "token-expired"},
		"alg none":                    invalid(signed(t, jwt.SigningMethodNone, jwt.UnsafeAllowNoneSignatureType, ours, goodClaims())),
		"HS256 with the public key":   invalid(signed(t, jwt.SigningMethodHS256, []byte(keys.public[keys.kid]), ours, goodClaims())),
		"unknown kid":                 invalid(signed(t, eddsa, strange, with("kid", "0000000000000000"), goodClaims())),
		"our kid, strange key":        invalid(signed(t, eddsa, strange, ours, goodClaims())),
		"no kid":                      invalid(signed(t, eddsa, keys.signing, with("kid", nil), goodClaims())),
		"kid as number":               invalid(signed(t, eddsa, keys.signing, with("kid", 1), goodClaims())),
		"key in the header":           invalid(signed(t, eddsa, strange, with("jwk", map[string]string{"kty": "OKP"}), goodClaims())),
		"typ JWT":                     invalid(signed(t, eddsa, keys.signing, with("typ", "JWT"), goodClaims())),
		"no exp":                      invalid(sign(spoilt("exp", nil))),
		"no aud":                      invalid(sign(spoilt("aud", nil))),
		"other aud":                   invalid(sign(spoilt("aud", "other"))),
		"no iss":                      invalid(sign(spoilt("iss", nil))),
		"other iss":                   invalid(sign(spoilt("iss", "https://other.example"))),
		"no sub":                      invalid(sign(spoilt("sub", nil))),
		"sub that is no account":      invalid(sign(spoilt("sub", "-1"))),
		"no sid":                      invalid(sign(spoilt("sid", nil))),
		"no iat":                      invalid(sign(spoilt("iat", nil))),
		"made in the future":          invalid(sign(spoilt("iat", time.Now().Add(time.Hour).Unix()))),
		"no signature":                invalid(good[:dot+1]),
		"signature of another":        invalid(good[:dot+1] + strings.Repeat("A", 86)),
		"stray bits in the signature": invalid(good[:len(good)-1] + strayBits(good[len(good)-1])),
		"padding":                     invalid(good + "=="),
		"not a token":                 invalid("ruby"),
		"two tokens":                  invalid(good + " " + good),
	}
}

// strayBits changes the last character of 86 in a way that the 64 bytes of
// the signature don't see: its lowest four bits are of no byte.
func strayBits(last byte) string {
	const alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
	return string(alphabet[strings.IndexByte(alphabet, last)^1])
}

func TestTokensThatAreRefused(t *testing.T) {
	s := bare(t)
	h := s.handler(nil)
	for name, c := range refusals(t, s.tokens.keys) {
		rec := send(h, "GET", "/api/v1/me", "", "Authorization", "Bearer "+c[0])
		require.Equal(t, 401, rec.Code, name)
		require.Equal(t, c[1], problemIn(t, rec).Code, name)
		require.Contains(t, rec.Header().Get("WWW-Authenticate"), "Bearer", name)
	}
}

func TestTokenOfOursIsRead(t *testing.T) {
	s := bare(t)
	text, err := s.tokens.sign(7, 9, time.Now())
	require.NoError(t, err)
	account, session, err := s.tokens.read(text)
	require.NoError(t, err)
	require.EqualValues(t, 7, account)
	require.EqualValues(t, 9, session)
	_, _, err = s.tokens.read(signed(t, jwt.SigningMethodEdDSA, s.tokens.keys.signing, map[string]any{"typ": tokenType, "kid": s.tokens.keys.kid}, goodClaims()))
	require.NoError(t, err, "the claims that the refusals spoil must be good")
}

func TestAuthorizationHeaderThatCannotBeRead(t *testing.T) {
	h := bare(t).handler(nil)
	require.Equal(t, "sign-in-required", problemIn(t, send(h, "GET", "/api/v1/me", "")).Code)
	for _, header := range []string{"", "Bearer", "Bearer ", "Basic dTpw", "token"} {
		require.Equal(t, "token-invalid", problemIn(t, send(h, "GET", "/api/v1/me", "", "Authorization", header)).Code, header)
	}
	rec := send(h, "GET", "/api/v1/me", "", "Authorization", "Bearer a", "Authorization", "Bearer b")
	require.Equal(t, "token-invalid", problemIn(t, rec).Code)
}

func TestKeyFileIsMadeOnceForTheOwnerAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "keys.pem")
	one, err := LoadKeys(path)
	require.NoError(t, err)
	two, err := LoadKeys(path)
	require.NoError(t, err)
	require.Equal(t, one.kid, two.kid)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.EqualValues(t, 0o600, info.Mode().Perm())
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, left, 1)
}

func TestKeysAreChangedWithoutSigningAnyoneOut(t *testing.T) {
	dir := t.TempDir()
	first, second := filepath.Join(dir, "first"), filepath.Join(dir, "second")
	old, err := LoadKeys(first)
	require.NoError(t, err)
	_, err = LoadKeys(second)
	require.NoError(t, err)
	oldText, err := os.ReadFile(first)
	require.NoError(t, err)
	newText, err := os.ReadFile(second)
	require.NoError(t, err)

	token, err := newTokens(old, publicURL).sign(7, 9, time.Now())
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(first, append(newText, oldText...), 0o600))
	both, err := LoadKeys(first)
	require.NoError(t, err)
	require.NotEqual(t, old.kid, both.kid)
	_, _, err = newTokens(both, publicURL).read(token)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(first, newText, 0o600))
	alone, err := LoadKeys(first)
	require.NoError(t, err)
	_, _, err = newTokens(alone, publicURL).read(token)
	require.Error(t, err)
}

func TestKeyFilesThatAreNone(t *testing.T) {
	rsaLike := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: []byte("none")})
	public, _, err := ed25519.GenerateKey(rand.Reader)
	require.NoError(t, err)
	der, err := x509.MarshalPKIXPublicKey(public)
	require.NoError(t, err)
	for name, text := range map[string]string{
		"empty": "", "words": "my secret", "no key": string(rsaLike),
		"public half": string(pem.EncodeToMemory(&pem.Block{Type: "PUBLIC KEY", Bytes: der})),
	} {
		path := filepath.Join(t.TempDir(), "keys")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		_, err := LoadKeys(path)
		require.ErrorContains(t, err, path, name)
	}
	_, err = LoadKeys(filepath.Join(t.TempDir(), "no", "such", "folder"))
	require.Error(t, err)
}
