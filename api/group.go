package api

import (
	"math"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type groupSettingsBody struct {
	Name     string       `json:"name"`
	Units    domain.Units `json:"units"`
	TimeZone string       `json:"time_zone"`
}

type groupAnswer struct {
	groupSettingsBody
	Version int64               `json:"version"`
	Members []groupMemberAnswer `json:"members"`
	Allowed []domain.Action     `json:"allowed_actions"`
}

type groupMemberAnswer struct {
	personAnswer
	Roles    []domain.Role   `json:"roles"`
	ClosedAt *string         `json:"closed_at"`
	Allowed  []domain.Action `json:"allowed_actions"`
}

func answerGroup(c echo.Context, g domain.Group) error {
	a := groupAnswer{
		groupSettingsBody: groupSettingsBody(g.Settings), Version: g.Version, Members: []groupMemberAnswer{}, Allowed: listed(g.Allowed),
	}
	for _, m := range g.Members {
		a.Members = append(a.Members, groupMemberAnswer{
			personAnswer{m.ID, m.Name}, listed(m.Roles), instantOrNull(m.ClosedAt), listed(m.Allowed),
		})
	}
	setETag(c, g.Version)
	return ok(c, a)
}

func (s *server) group(c echo.Context, who domain.Actor) error {
	g, err := s.notebook.Group(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return answerGroup(c, g)
}

func (s *server) setGroupSettings(c echo.Context, who domain.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decode[groupSettingsBody](c)
	if err != nil {
		return err
	}
	cmd := domain.SetGroupSettings{Version: version, Settings: domain.GroupSettings(req)}
	g, err := s.notebook.SetGroupSettings(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return answerGroup(c, g)
}

type rolesBody struct {
	Checker bool `json:"checker"`
	Steward bool `json:"steward"`
	Keeper  bool `json:"keeper"`
}

func (r rolesBody) roles() []domain.Role {
	roles := []domain.Role{}
	for _, has := range []struct {
		role domain.Role
		yes  bool
	}{{domain.Checker, r.Checker}, {domain.Steward, r.Steward}, {domain.Keeper, r.Keeper}} {
		if has.yes {
			roles = append(roles, has.role)
		}
	}
	return roles
}

func (s *server) setRoles(c echo.Context, who domain.Actor) error {
	id, err := pathID(c, "member", "member")
	if err != nil {
		return err
	}
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decode[rolesBody](c)
	if err != nil {
		return err
	}
	cmd := domain.SetMemberRoles{Member: domain.AccountID(id), Version: version, Roles: req.roles()}
	g, err := s.notebook.SetRoles(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return answerGroup(c, g)
}

func (s *server) closeAccount(c echo.Context, who domain.Actor) error {
	id, err := pathID(c, "member", "member")
	if err != nil {
		return err
	}
	if err := s.notebook.CloseAccount(c.Request().Context(), who, domain.AccountID(id)); err != nil {
		return err
	}
	if domain.AccountID(id) == who.Account {
		setRefresh(c, "", time.Time{})
	}
	return c.NoContent(http.StatusNoContent)
}

type actAnswer struct {
	ID     int64           `json:"id"`
	Kind   domain.ActKind  `json:"kind"`
	At     string          `json:"at"`
	By     personAnswer    `json:"by"`
	About  *personAnswer   `json:"about"`
	Before domain.ActFacts `json:"before"`
	After  domain.ActFacts `json:"after"`
}

func newAct(a domain.Act) actAnswer {
	answer := actAnswer{ID: a.ID, Kind: a.Kind, At: instant(a.At), By: newPerson(a.By), Before: a.Before, After: a.After}
	if a.About != nil {
		about := newPerson(*a.About)
		answer.About = &about
	}
	return answer
}

func (s *server) acts(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.Acts(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newAct, func(a domain.Act) int64 { return a.ID }))
}
