package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type memberAnswer struct {
	ID      domain.AccountID `json:"id"`
	Name    string           `json:"name"`
	Address string           `json:"address"`
	Roles   []domain.Role    `json:"roles"`

	Units    domain.Units  `json:"units"`
	OwnUnits *domain.Units `json:"own_units"`
	TimeZone string        `json:"time_zone"`

	HasCode bool `json:"signing_code_set"`
}

func newMember(a domain.Account) memberAnswer {
	return memberAnswer{a.ID, a.Name, a.Address, listed(a.Roles), a.Units, a.OwnUnits, a.TimeZone, a.HasCode}
}

type changeMeRequest struct {
	Name     *string        `json:"name,omitempty"`
	OwnUnits **domain.Units `json:"own_units,omitempty"` // null: as the group has it
}

type changePasswordRequest struct {
	Present string `json:"present"`
	New     string `json:"new"`
}

type setSigningCodeRequest struct {
	Password string `json:"password"`
	Code     string `json:"code"`
}

// deviceAnswer is a session as its owner sees it.
type deviceAnswer struct {
	ID      domain.SessionID `json:"id"`
	Browser string           `json:"browser"`
	BegunAt string           `json:"begun_at"`
	UsedAt  string           `json:"used_at"`
	EndsAt  string           `json:"ends_at"`
	Here    bool             `json:"here"`
}

type deviceList struct {
	Items []deviceAnswer `json:"items"`
}

func (s *server) me(c echo.Context, who domain.Actor) error {
	account, err := s.notebook.Me(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return ok(c, newMember(account))
}

func (s *server) changeMe(c echo.Context, who domain.Actor) error {
	req, err := decodePatch[changeMeRequest](c)
	if err != nil {
		return err
	}
	account, err := s.notebook.ChangeMe(c.Request().Context(), who, domain.ChangeMe{Name: req.Name, Units: req.OwnUnits})
	if err != nil {
		return err
	}
	return ok(c, newMember(account))
}

func (s *server) changePassword(c echo.Context, who domain.Actor) error {
	req, err := decode[changePasswordRequest](c)
	if err != nil {
		return err
	}
	if err := s.notebook.ChangePassword(c.Request().Context(), who, domain.ChangePassword(req)); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

func (s *server) setSigningCode(c echo.Context, who domain.Actor) error {
	req, err := decode[setSigningCodeRequest](c)
	if err != nil {
		return err
	}
	if err := s.notebook.SetSigningCode(c.Request().Context(), who, domain.SetSigningCode(req)); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

func (s *server) sessions(c echo.Context, who domain.Actor) error {
	sessions, err := s.notebook.Sessions(c.Request().Context(), who)
	if err != nil {
		return err
	}
	list := deviceList{Items: make([]deviceAnswer, 0, len(sessions))}
	for _, d := range sessions {
		list.Items = append(list.Items, deviceAnswer{
			d.ID, d.Browser, instant(d.BegunAt), instant(d.UsedAt), instant(d.Ends()), d.ID == who.Session,
		})
	}
	return ok(c, list)
}

func (s *server) endSession(c echo.Context, who domain.Actor) error {
	id, err := pathID(c, "session", "session")
	if err != nil {
		return err
	}
	if err := s.notebook.EndSession(c.Request().Context(), who, domain.SessionID(id)); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

func (s *server) endOtherSessions(c echo.Context, who domain.Actor) error {
	if err := s.notebook.EndOtherSessions(c.Request().Context(), who); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}
