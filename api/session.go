package api

import (
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
	"leat/domain/notebook"
)

// The prefix makes browsers refuse the cookie from any other host or path, and
// without https (localhost counts as https).
const refreshCookie = "__Host-leat-refresh"

type signInRequest struct {
	Address  string `json:"address"`
	Password string `json:"password"`
}

type firstKeeperRequest struct {
	Code     string `json:"code"`
	Name     string `json:"name"`
	Address  string `json:"address"`
	Password string `json:"password"`
}

type sessionAnswer struct {
	AccessToken string       `json:"access_token"`
	ExpiresInS  int          `json:"expires_in_s"`
	Member      memberAnswer `json:"member"`
}

type setupAnswer struct {
	NeedsKeeper bool        `json:"needs_keeper"`
	Demo        *demoAnswer `json:"demo"`
}

type demoAnswer struct {
	People []DemoPerson `json:"people"`
}

func (s *server) setup(c echo.Context, _ domain.Actor) error {
	needs, err := s.notebook.NeedsKeeper(c.Request().Context())
	if err != nil {
		return err
	}
	a := setupAnswer{NeedsKeeper: needs}
	if s.demo != nil {
		a.Demo = &demoAnswer{s.demo}
	}
	return ok(c, a)
}

func (s *server) firstKeeper(c echo.Context, _ domain.Actor) error {
	req, err := decode[firstKeeperRequest](c)
	if err != nil {
		return err
	}
	in, err := s.notebook.FirstKeeper(c.Request().Context(), domain.FirstKeeper{
		Code: req.Code, Name: req.Name, Address: req.Address, Password: req.Password, Browser: browserOf(c.Request().UserAgent()),
	})
	if err != nil {
		return err
	}
	return s.answerSession(c, http.StatusCreated, in)
}

func (s *server) signIn(c echo.Context, _ domain.Actor) error {
	req, err := decode[signInRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.SignIn{Address: req.Address, Password: req.Password, From: networkOf(c), Browser: browserOf(c.Request().UserAgent())}
	in, err := s.notebook.SignIn(c.Request().Context(), cmd)
	if err != nil {
		return err
	}
	return s.answerSession(c, http.StatusCreated, in)
}

func (s *server) refresh(c echo.Context, _ domain.Actor) error {
	if !s.fromOwnPage(c.Request()) {
		return &domain.Error{Kind: domain.Forbidden, Code: "cross-site", Message: "Only pages of this server may renew a sign-in. Open " + s.origin + " and sign in there."}
	}
	cookie, err := c.Request().Cookie(refreshCookie)
	if err != nil {
		return domain.SignedOut()
	}
	in, err := s.notebook.Refresh(c.Request().Context(), cookie.Value)
	if domain.KindOf(err) == domain.Unauthenticated {
		setRefresh(c, "", time.Time{})
	}
	if err != nil {
		return err
	}
	return s.answerSession(c, http.StatusOK, in)
}

// fromOwnPage tells whether a page of this server asks. Browsers set these
// headers themselves; old ones only the second.
func (s *server) fromOwnPage(r *http.Request) bool {
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" {
		return site == "same-origin"
	}
	return r.Header.Get("Origin") == s.origin
}

func (s *server) signOut(c echo.Context, who domain.Actor) error {
	if err := s.notebook.SignOut(c.Request().Context(), who); err != nil {
		return err
	}
	setRefresh(c, "", time.Time{})
	return c.NoContent(http.StatusNoContent)
}

func (s *server) answerSession(c echo.Context, status int, in notebook.SignedIn) error {
	token, err := s.tokens.sign(in.Account.ID, in.Session, time.Now())
	if err != nil {
		return err
	}
	setRefresh(c, in.Refresh, in.Ends)
	return answer(c, status, sessionAnswer{token, int(tokenLife.Seconds()), newMember(in.Account)})
}

// setRefresh gives the browser the next refresh token, or takes it away when
// there is none.
func setRefresh(c echo.Context, token string, ends time.Time) {
	age := -1
	if token != "" {
		age = max(1, int(time.Until(ends).Seconds()))
	}
	c.SetCookie(&http.Cookie{
		Name: refreshCookie, Value: token, Path: "/", MaxAge: age,
		Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}
