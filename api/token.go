package api

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/golang-jwt/jwt/v5"
	"github.com/labstack/echo/v4"

	"leat/domain"
)

const (
	tokenLife = 10 * time.Minute
	tokenType = "at+jwt" // RFC 9068
	audience  = "leat-api"
)

// claims say which account and which session a token is for, and no more: what
// the person may do is read from the database for each request.
type claims struct {
	jwt.RegisteredClaims
	Session string `json:"sid"`
}

// Validate demands what the library takes for optional.
func (c claims) Validate() error {
	if _, _, err := c.ids(); err != nil {
		return err
	}
	if c.IssuedAt == nil {
		return errors.New("no iat")
	}
	return nil
}

func (c claims) ids() (domain.AccountID, domain.SessionID, error) {
	account, err := strconv.ParseInt(c.Subject, 10, 64)
	if err != nil || account < 1 {
		return 0, 0, errors.New("no sub")
	}
	session, err := strconv.ParseInt(c.Session, 10, 64)
	if err != nil || session < 1 {
		return 0, 0, errors.New("no sid")
	}
	return domain.AccountID(account), domain.SessionID(session), nil
}

// tokens makes and reads access tokens.
type tokens struct {
	keys   *Keys
	issuer string
	parser *jwt.Parser
}

func newTokens(keys *Keys, issuer string) *tokens {
	return &tokens{keys: keys, issuer: issuer, parser: jwt.NewParser(
		jwt.WithValidMethods([]string{jwt.SigningMethodEdDSA.Alg()}),
		jwt.WithIssuer(issuer),
		jwt.WithAudience(audience),
		jwt.WithExpirationRequired(),
		jwt.WithIssuedAt(),
		jwt.WithLeeway(30*time.Second),
		jwt.WithStrictDecoding(),
	)}
}

// sign makes the token of one session.
func (t *tokens) sign(account domain.AccountID, session domain.SessionID, now time.Time) (string, error) {
	token := jwt.NewWithClaims(jwt.SigningMethodEdDSA, claims{
		RegisteredClaims: jwt.RegisteredClaims{
			Issuer: t.issuer, Audience: jwt.ClaimStrings{audience}, Subject: strconv.FormatInt(int64(account), 10),
			IssuedAt: jwt.NewNumericDate(now), ExpiresAt: jwt.NewNumericDate(now.Add(tokenLife)),
		},
		Session: strconv.FormatInt(int64(session), 10),
	})
	token.Header["typ"] = tokenType
	token.Header["kid"] = t.keys.kid
	text, err := token.SignedString(t.keys.signing)
	if err != nil {
		return "", fmt.Errorf("api: sign a token: %w", err)
	}
	return text, nil
}

// read returns whom a token is for.
func (t *tokens) read(text string) (domain.AccountID, domain.SessionID, error) {
	var c claims
	if _, err := t.parser.ParseWithClaims(text, &c, t.key); err != nil {
		return 0, 0, err
	}
	return c.ids()
}

// key finds the key by its id among ours; what else the header says about
// keys counts for nothing.
func (t *tokens) key(token *jwt.Token) (any, error) {
	if typ, _ := token.Header["typ"].(string); typ != tokenType {
		return nil, errors.New("not an access token")
	}
	kid, _ := token.Header["kid"].(string)
	key, known := t.keys.public[kid]
	if !known {
		return nil, errors.New("unknown key")
	}
	return key, nil
}

// signedIn finds out who calls. Session and account are read each time, so that
// signing out and closing an account count at once.
func (s *server) signedIn(c echo.Context) (domain.Actor, error) {
	text, err := bearer(c.Request())
	if err != nil {
		return domain.Actor{}, err
	}
	account, session, err := s.tokens.read(text)
	if errors.Is(err, jwt.ErrTokenExpired) {
		return domain.Actor{}, refused("token-expired", "This sign-in is older than ten minutes and must be renewed. Refresh the session and try again.", err)
	}
	if err != nil {
		return domain.Actor{}, refused("token-invalid", "This sign-in isn't one of this server. Sign in again.", err)
	}
	who, err := s.notebook.Actor(c.Request().Context(), account, session)
	if err != nil {
		return domain.Actor{}, err
	}
	c.Set(actorKey, who.Account)
	return who, nil
}

func bearer(r *http.Request) (string, error) {
	lines := r.Header.Values("Authorization")
	if len(lines) == 0 {
		return "", refused("sign-in-required", "Sign in first.", nil)
	}
	scheme, text, _ := strings.Cut(lines[0], " ")
	if len(lines) > 1 || !strings.EqualFold(scheme, "Bearer") || text == "" {
		return "", refused("token-invalid", "This sign-in can't be read. Sign in again.", nil)
	}
	return text, nil
}

func refused(code, message string, cause error) error {
	return &domain.Error{Kind: domain.Unauthenticated, Code: code, Message: message, Err: cause}
}
