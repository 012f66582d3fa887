package api

import (
	"fmt"
	"time"
)

// What people do about the group: instruments, rules, roles and accounts.

func (s *step) keepsInstruments() {
	p := s.who(s.role("keeper"))
	today := time.Now().UTC().AddDate(0, 0, -1).Format(time.DateOnly)
	instrument := s.one("instruments")
	if instrument == nil || s.chance(30) {
		facts := map[string]any{
			"name": "Test gauge " + s.key("g"), "kind": "pressure_gauge", "serial": "G-17", "unit": "Pa", "range_low": 0, "range_high": pick(s, 60000, 100000), "resolution": 500,
			"class_pct": 1, "accuracy": nil, "interval_days": 365, "note": "",
		}
		body := map[string]any{"facts": facts, "calibrated_on": today, "calibration": "Deadweight tester", "client_key": s.key("instrument")}
		a, w, yes := s.sends(p, "POST", instrumentsPath, "", body)
		if yes {
			s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s added an instrument without being keeper", p.name)
			s.keptOnce(p, instrumentsPath, body, a, "instruments")
			s.notes("instruments", &known{path: a.Header().Get("Location"), id: a.number("id")})
			s.did("instrument added")
		}
		return
	}
	path, body := "/calibrations", map[string]any{"calibrated_on": today, "text": "Deadweight tester", "client_key": s.key("act")}
	if s.chance(40) {
		path, body = "/found-wrong", map[string]any{"since": today, "text": "0.2 bar high", "client_key": s.key("act")}
	}
	if _, w, yes := s.sends(p, "POST", instrument.path+path, "", body); yes {
		s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s kept an instrument without being keeper", p.name)
		s.did("instrument" + path)
	}
}

// proposes proposes safety settings, and signs what waits.
func (s *step) proposes() {
	if s.chance(30) {
		s.proposesTemplate()
		return
	}
	p := s.who(nil)
	a, ok := s.reading(p, safetyPath)
	if !ok {
		return
	}
	waiting := listOf(a, "waiting")
	if len(waiting) == 0 || s.chance(25) {
		p = s.who(s.role("keeper"))
		body := s.b.wish(a.number("id"), s.key("safety"), map[string]any{"checkers_plain": 1 + s.rng.IntN(2), "certificate_months": 6 + s.rng.IntN(6)})
		made, w, yes := s.sends(p, "POST", safetyPath, "", body)
		if yes {
			s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s proposed settings without being keeper", p.name)
			s.keptOnce(p, safetyPath, body, made, "safety_settings")
			s.did("settings proposed")
		}
		return
	}
	one := waiting[s.rng.IntN(len(waiting))]
	if s.chance(60) {
		p = s.who(s.role("steward"))
	}
	path := fmt.Sprintf("%s/%d/signatures", safetyPath, idIn(one))
	signed, w, yes := s.sends(p, "POST", path, "", map[string]any{"password": s.passwordOf()})
	if !yes {
		return
	}
	s.onlyOnce(fmt.Sprintf("%s by %d", path, p.no()), p.name)
	for _, x := range listOf(signed, "signatures") {
		if idIn(x, "by", "id") == p.no() {
			role := textIn(x, "role")
			s.onlyOnce(path+" as "+role, p.name)
			s.believes(role != "steward" || s.could(roleKey("steward", p.no()), true, w), "%s signed settings as steward", p.name)
		}
	}
	s.makes("safety_setting_signatures")
	s.did("settings signed")
}

// proposesTemplate proposes a version of the test procedure, or signs one.
func (s *step) proposesTemplate() {
	const path = "/api/v1/templates"
	p := s.who(s.role("keeper"))
	a, ok := s.reading(p, path)
	if !ok {
		return
	}
	list := listOf(a, "items")
	newest, inForce := idIn(list[0], "version"), int64(1)
	for _, one := range list {
		if textIn(one, "state") == "in_force" {
			inForce = idIn(one, "version")
		}
	}
	if textIn(list[0], "state") != "waiting" {
		body := map[string]any{"follows": inForce, "body": version(int(newest) + 1), "why": "We measure the noise too.", "client_key": s.key("template")}
		made, w, yes := s.sends(p, "POST", path, "", body)
		if yes {
			s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s proposed a procedure without being keeper", p.name)
			s.keptOnce(p, path, body, made, "templates")
			s.did("procedure proposed")
		}
		return
	}
	if s.chance(50) {
		p = s.who(s.role("steward"))
	}
	one := fmt.Sprintf("%s/%d/signatures", path, newest)
	if _, _, yes := s.sends(p, "POST", one, "", map[string]any{"password": s.passwordOf()}); yes {
		s.onlyOnce(fmt.Sprintf("%s by %d", one, p.no()), p.name)
		s.makes("template_signatures")
		s.did("procedure signed")
	}
}

func (s *step) givesRoles() {
	p, other := s.who(s.role("keeper")), s.who(nil)
	if s.wrong && s.chance(30) {
		other = p
	}
	a, ok := s.reading(p, "/api/v1/group")
	if !ok {
		return
	}
	body, means := map[string]any{}, []fact{}
	for _, role := range []string{"checker", "steward", "keeper"} {
		has := s.is(roleKey(role, other.no()))
		if s.chance(25) {
			has = s.chance(map[string]int{"checker": 60, "steward": 50, "keeper": 20}[role])
		}
		body[role] = has
		means = append(means, fact{roleKey(role, other.no()), has})
	}
	path := fmt.Sprintf("/api/v1/members/%d/roles", other.id)
	_, w, yes := s.sends(p, "PUT", path, s.matchOf(a.etag()), body, means...)
	if !yes {
		return
	}
	s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s gave roles without being keeper", p.name)
	if other == p {
		for _, f := range means {
			s.believes(!f.is || s.hadBefore(f.key, w), "%s gave %s to themselves", p.name, f.key)
		}
	}
	s.did("roles set")
}

// hadBefore tells whether something can have been so before a window began.
func (s *step) hadBefore(key string, w window) bool {
	return s.could(key, true, window{w.begin - 1, w.begin - 1})
}

// comesOrGoes closes an account, or invites somebody in place of one.
func (s *step) comesOrGoes() {
	open := 0
	all := s.everybody()
	for _, p := range all {
		if !s.is(goneKey(p.no())) {
			open++
		}
	}
	if open < crowdPeople {
		s.invites(len(all))
		return
	}
	p, other := s.who(s.role("keeper")), s.who(func(p *mate) bool { return !s.is(roleKey("keeper", p.no())) })
	if s.chance(30) {
		p = other
	}
	_, w, yes := s.sends(p, "POST", fmt.Sprintf("/api/v1/members/%d/close", other.id), "", nil, fact{goneKey(other.no()), true})
	if yes {
		s.believes(p == other || s.could(roleKey("keeper", p.no()), true, w), "%s closed the account of %s", p.name, other.name)
		s.did("account closed")
	}
}

func (s *step) invites(n int) {
	p := s.who(s.role("keeper"))
	newcomer := &mate{}
	newcomer.name = fmt.Sprintf("Newcomer %d", s.number)
	newcomer.address = fmt.Sprintf("newcomer.%d@thornwick.example", s.number)
	roles := map[string]any{"checker": s.chance(50), "steward": s.chance(40), "keeper": false}
	a, w, yes := s.sends(p, "POST", "/api/v1/invitations", "", map[string]any{"name": newcomer.name, "roles": roles})
	if !yes {
		return
	}
	s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s invited without being keeper", p.name)
	in := s.b.as(s.b.nobody).post("/api/v1/invitations/accept", map[string]any{"code": textOf(a, "code"), "name": newcomer.name, "address": newcomer.address, "password": password})
	if in.Code >= 300 {
		return
	}
	newcomer.takes(in)
	for _, role := range []string{"checker", "steward"} {
		s.holds(fact{roleKey(role, newcomer.no()), roles[role] == true})
	}
	s.board.Lock()
	s.people = append(s.people, newcomer)
	s.board.Unlock()
	s.did("somebody joined")
}
