package api

import (
	"encoding/hex"
	"encoding/json"
	"math"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// certificateHead is a certificate in a list, with what is to be said of it now.
type certificateHead struct {
	ID           domain.CertificateID  `json:"id"`
	Build        domain.BuildID        `json:"build"`
	Test         int                   `json:"test"`
	BuildVersion int                   `json:"build_version"`
	PressureHash string                `json:"pressure_hash"`
	Site         string                `json:"site"`
	IssuedBy     personAnswer          `json:"issued_by"`
	IssuedAt     string                `json:"issued_at"`
	ExpiresOn    string                `json:"expires_on"`
	ExpiresAt    string                `json:"expires_at"`
	Link         int64                 `json:"link"`
	ChainHead    chainHead             `json:"chain_head"`
	End          *certificateEndAnswer `json:"end"`
	Valid        bool                  `json:"valid"`
	Reasons      []said                `json:"reasons"`
}

// chainHead is where the record of signed acts ended before the certificate.
type chainHead struct {
	Number int64  `json:"number"`
	Digest string `json:"digest"`
}

type certificateEndAnswer struct {
	Kind   domain.CertificateEndKind `json:"kind"`
	Reason string                    `json:"reason"`
	By     personAnswer              `json:"by"`
	At     string                    `json:"at"`
}

type certificateAnswer struct {
	certificateHead
	Body json.RawMessage `json:"body"`
}

type readyTestAnswer struct {
	Test   int    `json:"test"`
	Latest string `json:"latest"`
}

type certificatesAnswer struct {
	Certificate *certificateAnswer `json:"certificate"`
	Ready       *readyTestAnswer   `json:"ready"`
	Lacking     string             `json:"lacking"`
	listAnswer[certificateHead]
	Allowed []domain.Action `json:"allowed_actions"`
}

func newCertificateHead(c domain.Certificate, now time.Time) certificateHead {
	state := c.At(now)
	a := certificateHead{
		ID: c.ID, Build: c.Build, Test: c.Test, BuildVersion: c.BuildVersion, PressureHash: hex.EncodeToString(c.Pressure[:]), Site: c.Site,
		IssuedBy: newPerson(c.IssuedBy), IssuedAt: instant(c.IssuedAt), ExpiresOn: c.ExpiresOn.Format(time.DateOnly), ExpiresAt: instant(c.ExpiresAt),
		Link: c.Link, ChainHead: chainHead{c.Head.Number, c.Head.Sum.String()}, Valid: state.Valid, Reasons: []said{},
	}
	if e := c.End; e != nil {
		a.End = &certificateEndAnswer{e.Kind, e.Reason, newPerson(e.By), instant(e.At)}
	}
	for _, r := range state.Reasons {
		a.Reasons = append(a.Reasons, said(r))
	}
	return a
}

func newCertificates(c domain.Certificates, p domain.Page) certificatesAnswer {
	head := func(one domain.Certificate) certificateHead { return newCertificateHead(one, c.Now) }
	a := certificatesAnswer{
		Lacking: c.Lacking, Allowed: listed(c.Allowed),
		listAnswer: newList(c.All, p, head, func(one domain.Certificate) int64 { return int64(one.ID) }),
	}
	if c.Newest != nil {
		a.Certificate = &certificateAnswer{head(*c.Newest), c.Newest.Body}
	}
	if c.Ready != nil {
		a.Ready = &readyTestAnswer{c.Ready.Test.Number, c.Ready.Latest.Format(time.DateOnly)}
	}
	return a
}

func (s *server) certificates(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, err := s.notebook.Certificates(c.Request().Context(), who, project, build, p)
	if err != nil {
		return err
	}
	return ok(c, newCertificates(list, p))
}

type issueCertificateRequest struct {
	Test      int64   `json:"test"`
	ExpiresOn *string `json:"expires_on,omitempty"`
	Password  string  `json:"password"`
}

func (s *server) issueCertificate(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	req, err := decode[issueCertificateRequest](c)
	if err != nil {
		return err
	}
	if req.Test < 1 || req.Test > math.MaxInt32 {
		return domain.Missing("test sheet")
	}
	cmd := domain.IssueCertificate{Test: domain.TestRef{Project: project, Build: build, Number: int(req.Test)}, Proof: domain.Proof{Password: req.Password}}
	if req.ExpiresOn != nil {
		day, err := time.Parse(time.DateOnly, *req.ExpiresOn)
		if err != nil {
			return domain.Faulty([]domain.Field{{Pointer: "/expires_on", Code: "wrong_type", Message: "A day is wanted here, such as 2027-11-25."}})
		}
		cmd.ExpiresOn = &day
	}
	list, now, err := s.notebook.IssueCertificate(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, buildPath(project, build)+"/certificate", newCertificates(list, domain.Page{}))
}

type revokeCertificateRequest struct {
	Kind     domain.CertificateEndKind `json:"kind"`
	Reason   string                    `json:"reason"`
	Password string                    `json:"password"`
}

func (s *server) revokeCertificate(c echo.Context, who domain.Actor) error {
	project, build, err := pathBuild(c)
	if err != nil {
		return err
	}
	req, err := decode[revokeCertificateRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.RevokeCertificate{Project: project, Build: build, Kind: req.Kind, Reason: req.Reason, Proof: domain.Proof{Password: req.Password}}
	list, err := s.notebook.RevokeCertificate(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return ok(c, newCertificates(list, domain.Page{}))
}
