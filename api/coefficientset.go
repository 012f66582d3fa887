package api

import (
	"encoding/json"
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// taughtRunAnswer is a run that coefficients are learned from.
type taughtRunAnswer struct {
	Project domain.ProjectID `json:"project"`
	Build   domain.BuildID   `json:"build"`
	Number  int              `json:"number"`
	Machine string           `json:"machine"`
	Title   string           `json:"title"`
	Digest  string           `json:"digest"`
	Aside   bool             `json:"aside"`
}

type adoptionAnswer struct {
	Set  string       `json:"set"`
	By   personAnswer `json:"by"`
	At   string       `json:"at"`
	Link int64        `json:"link"`
}

// setProposalHead is a proposal without what its runs say.
type setProposalHead struct {
	Number    domain.SetProposalID `json:"number"`
	Why       string               `json:"why"`
	Current   string               `json:"current"`
	By        personAnswer         `json:"by"`
	At        string               `json:"at"`
	Link      int64                `json:"link"`
	State     domain.ProposalOf    `json:"state"`
	InForce   bool                 `json:"in_force"`
	Changed   bool                 `json:"evidence_changed"`
	Runs      []taughtRunAnswer    `json:"runs"`
	Adoptable *bool                `json:"adoptable"`
	Digest    *string              `json:"digest"`
	LearnedAt *string              `json:"learned_at"`
	Adoption  *adoptionAnswer      `json:"adoption"`
	Failure   string               `json:"failure"`
	Lacks     string               `json:"lacks"`
	Allowed   []domain.Action      `json:"allowed_actions"`
}

type setProposalAnswer struct {
	setProposalHead
	Lesson json.RawMessage `json:"lesson"`
	Set    json.RawMessage `json:"set"`
}

type setProposalList struct {
	listAnswer[setProposalHead]
	InForce string          `json:"coefficient_set"`
	Allowed []domain.Action `json:"allowed_actions"`
}

func newSetProposalHead(p domain.SetProposal) setProposalHead {
	a := setProposalHead{
		Number: p.ID, Why: p.Why, Current: p.Current, By: newPerson(p.By), At: instant(p.At), Link: p.Link, State: p.State, InForce: p.InForce,
		Changed: len(p.Aside()) > 0, Runs: []taughtRunAnswer{}, Failure: p.Failure, Lacks: p.Lacking, Allowed: listed(p.Allowed),
	}
	for _, r := range p.Runs {
		a.Runs = append(a.Runs, taughtRunAnswer{r.Run.Project, r.Run.Build, r.Run.Number, r.Machine, r.Title, r.Verdict.String(), r.Aside})
	}
	if l := p.Lesson; l != nil {
		a.Adoptable, a.Digest, a.LearnedAt = &l.Adoptable, new(l.Digest.String()), instantOrNull(&l.At)
	}
	if d := p.Adoption; d != nil {
		a.Adoption = &adoptionAnswer{d.Set, newPerson(d.By), instant(d.At), d.Link}
	}
	return a
}

func newSetProposal(p domain.SetProposal) setProposalAnswer {
	a := setProposalAnswer{setProposalHead: newSetProposalHead(p)}
	if p.Lesson != nil {
		a.Lesson = p.Lesson.Body
	}
	if p.Adoption != nil {
		a.Set = p.Adoption.Body
	}
	return a
}

func (s *server) setProposals(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, inForce, allowed, err := s.notebook.SetProposals(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, setProposalList{newList(list, p, newSetProposalHead, func(p domain.SetProposal) int64 { return int64(p.ID) }), inForce, listed(allowed)})
}

func (s *server) setProposal(c echo.Context, who domain.Actor) error {
	id, err := pathProposal(c)
	if err != nil {
		return err
	}
	p, err := s.notebook.SetProposal(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return stamped(c, newSetProposal(p))
}

type proposeSetRequest struct {
	Why string `json:"why"`
	Key string `json:"client_key"`
}

func (s *server) proposeSet(c echo.Context, who domain.Actor) error {
	req, err := decode[proposeSetRequest](c)
	if err != nil {
		return err
	}
	p, now, err := s.notebook.ProposeSet(c.Request().Context(), who, domain.ProposeCoefficients{Why: req.Why, Key: req.Key})
	if err != nil {
		return err
	}
	return made(c, now, fmt.Sprintf("/api/v1/coefficient-sets/%d", p.ID), newSetProposal(p))
}

func (s *server) adoptSet(c echo.Context, who domain.Actor) error {
	id, err := pathProposal(c)
	if err != nil {
		return err
	}
	req, err := decode[approveRequest](c)
	if err != nil {
		return err
	}
	p, err := s.notebook.AdoptSet(c.Request().Context(), who, domain.AdoptCoefficients{Proposal: id, Proof: domain.Proof{Password: req.Password}})
	if err != nil {
		return err
	}
	return ok(c, newSetProposal(p))
}

func pathProposal(c echo.Context) (domain.SetProposalID, error) {
	id, err := pathID(c, "proposal", "proposal")
	return domain.SetProposalID(id), err
}
