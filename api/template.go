package api

import (
	"fmt"
	"math"
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// templateHead is a version of the test procedure without its text.
type templateHead struct {
	Version    domain.TemplateVersion `json:"version"`
	Follows    domain.TemplateVersion `json:"follows"`
	Title      string                 `json:"title"`
	ItemCount  int                    `json:"item_count"`
	Why        string                 `json:"why"`
	By         *personAnswer          `json:"by"`
	At         *string                `json:"at"`
	Signatures []approvalAnswer       `json:"signatures"`
	State      domain.ApprovalState   `json:"state"`
	Lacks      string                 `json:"lacks"`
	Allowed    []domain.Action        `json:"allowed_actions"`
}

func newTemplateHead(t domain.Template) templateHead {
	a := templateHead{
		Version: t.Version, Follows: t.Follows, Title: t.Title, ItemCount: t.ItemCount, Why: t.Why, At: instantOrNull(t.At),
		Signatures: newApprovals(t.Approvals), State: t.State, Lacks: t.Lacks, Allowed: listed(t.Allowed),
	}
	if t.By != nil {
		by := newPerson(*t.By)
		a.By = &by
	}
	return a
}

type templateAnswer struct {
	templateHead
	Body string `json:"body"`
}

func newTemplate(t domain.Template) templateAnswer { return templateAnswer{newTemplateHead(t), t.Body} }

type templateList struct {
	listAnswer[templateHead]
	Allowed []domain.Action `json:"allowed_actions"`
}

type proposeTemplateRequest struct {
	Follows int32  `json:"follows"`
	Body    string `json:"body"`
	Why     string `json:"why"`
	Key     string `json:"client_key"`
}

func (s *server) templates(c echo.Context, who domain.Actor) error {
	p, err := page(c, math.MaxInt32)
	if err != nil {
		return err
	}
	list, allowed, err := s.notebook.Templates(c.Request().Context(), who, p)
	if err != nil {
		return err
	}
	return ok(c, templateList{newList(list, p, newTemplateHead, func(t domain.Template) int64 { return int64(t.Version) }), listed(allowed)})
}

func (s *server) template(c echo.Context, who domain.Actor) error {
	version, err := pathTemplate(c)
	if err != nil {
		return err
	}
	t, err := s.notebook.Template(c.Request().Context(), who, version)
	if err != nil {
		return err
	}
	return ok(c, newTemplate(t))
}

func (s *server) proposeTemplate(c echo.Context, who domain.Actor) error {
	req, err := decode[proposeTemplateRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.ProposeTemplate{Follows: domain.TemplateVersion(req.Follows), Body: req.Body, Why: req.Why, Key: req.Key}
	t, now, err := s.notebook.ProposeTemplate(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, fmt.Sprintf("/api/v1/templates/%d", t.Version), newTemplateHead(t))
}

func (s *server) approveTemplate(c echo.Context, who domain.Actor) error {
	version, err := pathTemplate(c)
	if err != nil {
		return err
	}
	req, err := decode[approveRequest](c)
	if err != nil {
		return err
	}
	t, err := s.notebook.ApproveTemplate(c.Request().Context(), who, version, req.Password)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, newTemplateHead(t))
}

func pathTemplate(c echo.Context) (domain.TemplateVersion, error) {
	id, err := pathNumber(c, "version", "version of the procedure")
	return domain.TemplateVersion(id), err
}
