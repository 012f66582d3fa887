package api

import (
	"math"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

// remarkPin says where a remark sits, the same in request and answer.
type remarkPin struct {
	Kind domain.PinKind `json:"kind"`
	At   string         `json:"at"`
}

type remarkAnswer struct {
	ID      domain.RemarkID     `json:"id"`
	Design  domain.DesignID     `json:"design"`
	Letter  string              `json:"letter"`
	Pin     remarkPin           `json:"pin"`
	Weight  domain.Weight       `json:"weight"`
	Text    string              `json:"text"`
	Who     personAnswer        `json:"who"`
	Left    bool                `json:"who_left"`
	At      string              `json:"at"`
	Answers []answerUnderRemark `json:"answers"`
	Laid    *laidAnswer         `json:"laid_to_rest"`
	Allowed []domain.Action     `json:"allowed_actions"`
}

type answerUnderRemark struct {
	ID   int64        `json:"id"`
	Text string       `json:"text"`
	Who  personAnswer `json:"who"`
	At   string       `json:"at"`
}

type laidAnswer struct {
	By     personAnswer `json:"by"`
	At     string       `json:"at"`
	Reason string       `json:"reason"`
}

func newRemark(r domain.Remark) remarkAnswer {
	a := remarkAnswer{
		ID: r.ID, Design: r.Design, Letter: r.Letter, Pin: remarkPin(r.Pin), Weight: r.Weight, Text: r.Text,
		Who: newPerson(r.Who), Left: r.Left, At: instant(r.At), Answers: []answerUnderRemark{}, Allowed: listed(r.Allowed),
	}
	for _, x := range r.Answers {
		a.Answers = append(a.Answers, answerUnderRemark{x.ID, x.Text, newPerson(x.Who), instant(x.At)})
	}
	if r.Laid != nil {
		a.Laid = &laidAnswer{newPerson(r.Laid.By), instant(r.Laid.At), r.Laid.Reason}
	}
	return a
}

func remarksPath(project domain.ProjectID, design domain.DesignID) string {
	return designPath(project, design) + "/remarks"
}

func (s *server) remarks(c echo.Context, who domain.Actor) error {
	project, design, err := pathDesign(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	open, err := queryNumber(c, "open", 1)
	if err != nil {
		return err
	}
	list, err := s.notebook.Remarks(c.Request().Context(), who, project, design, open == 1, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newRemark, func(r domain.Remark) int64 { return int64(r.ID) }))
}

type raiseRemarkRequest struct {
	Letter string        `json:"letter"`
	Pin    remarkPin     `json:"pin"`
	Weight domain.Weight `json:"weight"`
	Text   string        `json:"text"`
	Key    string        `json:"client_key"`
}

func (s *server) raiseRemark(c echo.Context, who domain.Actor) error {
	project, design, err := pathDesign(c)
	if err != nil {
		return err
	}
	req, err := decode[raiseRemarkRequest](c)
	if err != nil {
		return err
	}
	r, now, err := s.notebook.RaiseRemark(c.Request().Context(), who, domain.RaiseRemark{
		Project: project, Design: design, Letter: req.Letter, Pin: domain.Pin(req.Pin), Weight: req.Weight, Text: req.Text, Key: req.Key,
	})
	if err != nil {
		return err
	}
	return made(c, now, remarksPath(project, design), newRemark(r))
}

// pathRemark reads the three ids of a remark.
func pathRemark(c echo.Context) (domain.ProjectID, domain.DesignID, domain.RemarkID, error) {
	project, design, err := pathDesign(c)
	if err != nil {
		return 0, 0, 0, err
	}
	id, err := pathID(c, "remark", "remark")
	return project, design, domain.RemarkID(id), err
}

type answerRemarkRequest struct {
	Text string `json:"text"`
	Key  string `json:"client_key"`
}

func (s *server) answerRemark(c echo.Context, who domain.Actor) error {
	project, design, id, err := pathRemark(c)
	if err != nil {
		return err
	}
	req, err := decode[answerRemarkRequest](c)
	if err != nil {
		return err
	}
	r, now, err := s.notebook.AnswerRemark(c.Request().Context(), who, domain.AnswerRemark{
		Project: project, Design: design, Remark: id, Text: req.Text, Key: req.Key,
	})
	if err != nil {
		return err
	}
	return made(c, now, remarksPath(project, design), newRemark(r))
}

type layRemarkRequest struct {
	Reason string `json:"reason"`
}

func (s *server) layRemark(c echo.Context, who domain.Actor) error {
	project, design, id, err := pathRemark(c)
	if err != nil {
		return err
	}
	req, err := decode[layRemarkRequest](c)
	if err != nil {
		return err
	}
	r, err := s.notebook.LayRemark(c.Request().Context(), who, domain.LayRemark{Project: project, Design: design, Remark: id, Reason: req.Reason})
	if err != nil {
		return err
	}
	return ok(c, newRemark(r))
}
