package api

import (
	"fmt"
	"math"
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type inviteRequest struct {
	Name  string    `json:"name"`
	Roles rolesBody `json:"roles"`
}

type invitationAnswer struct {
	ID     domain.InvitationID `json:"id"`
	Name   string              `json:"name"`
	Roles  []domain.Role       `json:"roles"`
	By     personAnswer        `json:"by"`
	At     string              `json:"at"`
	EndsAt string              `json:"ends_at"`
}

// newInvitationAnswer tells the code too, this once.
type newInvitationAnswer struct {
	invitationAnswer
	Code string `json:"code"`
}

type acceptInvitationRequest struct {
	Code     string `json:"code"`
	Name     string `json:"name"`
	Address  string `json:"address"`
	Password string `json:"password"`
}

type resetPasswordRequest struct {
	Code     string `json:"code"`
	Password string `json:"password"`
}

type resetCodeAnswer struct {
	Code   string `json:"code"`
	EndsAt string `json:"ends_at"`
}

func newInvitation(i domain.Invitation) invitationAnswer {
	return invitationAnswer{i.ID, i.Name, listed(i.Roles), newPerson(i.By), instant(i.At), instant(i.EndsAt)}
}

func (s *server) invitations(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.Invitations(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newInvitation, func(i domain.Invitation) int64 { return int64(i.ID) }))
}

func (s *server) invite(c echo.Context, who domain.Actor) error {
	req, err := decode[inviteRequest](c)
	if err != nil {
		return err
	}
	i, err := s.notebook.Invite(c.Request().Context(), who, domain.InvitePerson{Name: req.Name, Roles: req.Roles.roles()})
	if err != nil {
		return err
	}
	return made(c, true, fmt.Sprintf("/api/v1/invitations/%d", i.ID), newInvitationAnswer{newInvitation(i.Invitation), i.Code})
}

func (s *server) withdrawInvitation(c echo.Context, who domain.Actor) error {
	id, err := pathID(c, "invitation", "invitation")
	if err != nil {
		return err
	}
	if err := s.notebook.WithdrawInvitation(c.Request().Context(), who, domain.InvitationID(id)); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

func (s *server) acceptInvitation(c echo.Context, _ domain.Actor) error {
	req, err := decode[acceptInvitationRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.AcceptInvitation{Code: req.Code, Name: req.Name, Address: req.Address, Password: req.Password, From: networkOf(c), Browser: browserOf(c.Request().UserAgent())}
	in, err := s.notebook.AcceptInvitation(c.Request().Context(), cmd)
	if err != nil {
		return err
	}
	return s.answerSession(c, http.StatusCreated, in)
}

func (s *server) giveResetCode(c echo.Context, who domain.Actor) error {
	id, err := pathID(c, "member", "member")
	if err != nil {
		return err
	}
	code, err := s.notebook.GiveResetCode(c.Request().Context(), who, domain.AccountID(id))
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, resetCodeAnswer{code.Code, instant(code.EndsAt)})
}

func (s *server) resetPassword(c echo.Context, _ domain.Actor) error {
	req, err := decode[resetPasswordRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.ResetPassword{Code: req.Code, Password: req.Password, From: networkOf(c), Browser: browserOf(c.Request().UserAgent())}
	in, err := s.notebook.ResetPassword(c.Request().Context(), cmd)
	if err != nil {
		return err
	}
	return s.answerSession(c, http.StatusCreated, in)
}
