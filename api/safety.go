package api

import (
	"encoding/json"
	"math"
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// safetySettingsBody is what is sent; the answer is the settings themselves.
type safetySettingsBody struct {
	PLowPa               float64 `json:"p_low_pa"`
	PBrittleMaxPa        float64 `json:"p_brittle_max_pa"`
	ELowJ                float64 `json:"e_low_j"`
	EBrittleMaxJ         float64 `json:"e_brittle_max_j"`
	ECompetentJ          float64 `json:"e_competent_j"`
	PVHomeJ              float64 `json:"pv_home_j"`
	HydroFactor          float64 `json:"hydro_factor"`
	GasFloorM            float64 `json:"gas_floor_m"`
	GasFloorAlways       bool    `json:"gas_floor_always"`
	WaterFloorM          float64 `json:"water_floor_m"`
	CollapseFactor       float64 `json:"collapse_factor"`
	RamFactor            float64 `json:"ram_factor"`
	HoldPlasticMin       float64 `json:"hold_plastic_minutes"`
	HoldMetalMin         float64 `json:"hold_metal_minutes"`
	GaugeAgeDays         float64 `json:"gauge_age_days"`
	CureFloorH           float64 `json:"cure_floor_hours"`
	CertificateMonths    int32   `json:"certificate_months"`
	CertificateGasMonths int32   `json:"certificate_gas_months"`
	CheckersPlain        int32   `json:"checkers_plain"`
	CheckersRaised       int32   `json:"checkers_raised"`
}

// settings are the same by the same names.
func (b safetySettingsBody) settings() (s domain.SafetySettings, err error) {
	text, err := json.Marshal(b)
	if err == nil {
		err = json.Unmarshal(text, &s)
	}
	return s, err
}

type approvalAnswer struct {
	Role domain.ApprovalRole `json:"role"`
	By   personAnswer        `json:"by"`
	At   string              `json:"at"`
}

func newApprovals(list domain.Approvals) []approvalAnswer {
	answers := make([]approvalAnswer, 0, len(list))
	for _, a := range list {
		answers = append(answers, approvalAnswer{a.Role, newPerson(a.By), instant(a.At)})
	}
	return answers
}

type safetyProposalAnswer struct {
	ID         domain.SafetyID       `json:"id"`
	Follows    domain.SafetyID       `json:"follows"`
	Settings   domain.SafetySettings `json:"settings"`
	Before     domain.SafetySettings `json:"before"`
	Tightens   []string              `json:"tightens"`
	Loosens    []string              `json:"loosens"`
	Why        string                `json:"why"`
	By         personAnswer          `json:"by"`
	At         string                `json:"at"`
	Signatures []approvalAnswer      `json:"signatures"`
	State      domain.ApprovalState  `json:"state"`
	Lacks      string                `json:"lacks"`
	Allowed    []domain.Action       `json:"allowed_actions"`
}

func newSafetyProposal(p domain.SafetyProposal) safetyProposalAnswer {
	return safetyProposalAnswer{
		ID: p.ID, Follows: p.Follows, Settings: p.Settings, Before: p.Before,
		Tightens: listed(domain.Tightens(p.Before, p.Settings)), Loosens: listed(domain.Loosens(p.Before, p.Settings)),
		Why: p.Why, By: newPerson(p.By), At: instant(p.At), Signatures: newApprovals(p.Approvals), State: p.State, Lacks: p.Lacks, Allowed: listed(p.Allowed),
	}
}

type safetyBound struct {
	Name     string  `json:"name"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	Words    string  `json:"words"`
	Stricter string  `json:"stricter"` // higher or lower
}

type safetyAnswer struct {
	ID       domain.SafetyID        `json:"id"`
	Settings domain.SafetySettings  `json:"settings"`
	Usual    domain.SafetySettings  `json:"usual"`
	Bounds   []safetyBound          `json:"bounds"`
	InForce  *safetyProposalAnswer  `json:"in_force"`
	Waiting  []safetyProposalAnswer `json:"waiting"`
	Allowed  []domain.Action        `json:"allowed_actions"`
}

func newSafety(s domain.Safety) safetyAnswer {
	a := safetyAnswer{ID: s.ID, Settings: s.Settings, Usual: domain.DefaultSafetySettings(), Waiting: []safetyProposalAnswer{}, Allowed: listed(s.Allowed)}
	for _, b := range domain.SafetyBounds() {
		stricter := "lower"
		if b.Stricter == domain.Higher {
			stricter = "higher"
		}
		a.Bounds = append(a.Bounds, safetyBound{b.Name, b.Low, b.High, b.Words, stricter})
	}
	if s.InForce != nil {
		p := newSafetyProposal(*s.InForce)
		a.InForce = &p
	}
	for _, p := range s.Waiting {
		a.Waiting = append(a.Waiting, newSafetyProposal(p))
	}
	return a
}

type proposeSafetyRequest struct {
	Follows  int64              `json:"follows"`
	Settings safetySettingsBody `json:"settings"`
	Why      string             `json:"why"`
	Key      string             `json:"client_key"`
}

// approveRequest signs a change of the rules.
type approveRequest struct {
	Password string `json:"password"`
}

const safetyPath = "/api/v1/group/safety"

func (s *server) safety(c echo.Context, who domain.Actor) error {
	found, err := s.notebook.Safety(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return ok(c, newSafety(found))
}

func (s *server) safetyProposals(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.SafetyProposals(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newSafetyProposal, func(p domain.SafetyProposal) int64 { return int64(p.ID) }))
}

func (s *server) proposeSafety(c echo.Context, who domain.Actor) error {
	req, err := decode[proposeSafetyRequest](c)
	if err != nil {
		return err
	}
	wished, err := req.Settings.settings()
	if err != nil {
		return err
	}
	cmd := domain.ProposeSafety{Follows: domain.SafetyID(req.Follows), Settings: wished, Why: req.Why, Key: req.Key}
	p, now, err := s.notebook.ProposeSafety(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, safetyPath, newSafetyProposal(p))
}

func (s *server) approveSafety(c echo.Context, who domain.Actor) error {
	id, err := pathID(c, "setting", "proposal")
	if err != nil {
		return err
	}
	req, err := decode[approveRequest](c)
	if err != nil {
		return err
	}
	p, err := s.notebook.ApproveSafety(c.Request().Context(), who, domain.SafetyID(id), req.Password)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, newSafetyProposal(p))
}
