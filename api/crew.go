package api

import (
	"github.com/labstack/echo/v4"

	"leat/domain"
)

type crewMemberRequest struct {
	Member int64 `json:"member"`
}

type answerAskRequest struct {
	Yes bool `json:"yes"`
}

// askAnswer is an ask that waits.
type askAnswer struct {
	ID      domain.AskID     `json:"id"`
	Project domain.ProjectID `json:"project"`
	Title   string           `json:"title"`
	Member  personAnswer     `json:"member"`
	By      personAnswer     `json:"asked_by"`
	At      string           `json:"asked_at"`
}

func newAsk(a domain.Ask) askAnswer {
	return askAnswer{a.ID, a.Project, a.Title, newPerson(a.Member), newPerson(a.By), instant(a.At)}
}

func newAsks(asks []domain.Ask) []askAnswer {
	list := make([]askAnswer, 0, len(asks))
	for _, a := range asks {
		list = append(list, newAsk(a))
	}
	return list
}

type askList struct {
	Items []askAnswer `json:"items"`
}

type personList struct {
	Items []personAnswer `json:"items"`
}

func (s *server) asks(c echo.Context, who domain.Actor) error {
	asks, err := s.notebook.Asks(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return ok(c, askList{newAsks(asks)})
}

func (s *server) othersThanCrew(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	people, err := s.notebook.OthersThanCrew(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return ok(c, personList{newPeople(people)})
}

func (s *server) askMember(c echo.Context, who domain.Actor) error {
	cmd, err := crewMember(c)
	if err != nil {
		return err
	}
	p, err := s.notebook.AskMember(c.Request().Context(), who, cmd)
	return answerProject(c, p, err)
}

func (s *server) addToCrew(c echo.Context, who domain.Actor) error {
	cmd, err := crewMember(c)
	if err != nil {
		return err
	}
	p, err := s.notebook.AddToCrew(c.Request().Context(), who, cmd)
	return answerProject(c, p, err)
}

func (s *server) withdrawAsk(c echo.Context, who domain.Actor) error {
	project, ask, err := pathAsk(c)
	if err != nil {
		return err
	}
	p, err := s.notebook.WithdrawAsk(c.Request().Context(), who, project, ask)
	return answerProject(c, p, err)
}

func (s *server) answerAsk(c echo.Context, who domain.Actor) error {
	project, ask, err := pathAsk(c)
	if err != nil {
		return err
	}
	req, err := decode[answerAskRequest](c)
	if err != nil {
		return err
	}
	p, err := s.notebook.AnswerAsk(c.Request().Context(), who, domain.AnswerAsk{Project: project, Ask: ask, Yes: req.Yes})
	return answerProject(c, p, err)
}

func (s *server) leaveCrew(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	p, err := s.notebook.LeaveCrew(c.Request().Context(), who, id)
	return answerProject(c, p, err)
}

// crewMember reads who is to come onto a crew.
func crewMember(c echo.Context) (domain.CrewMember, error) {
	id, err := pathProject(c)
	if err != nil {
		return domain.CrewMember{}, err
	}
	req, err := decode[crewMemberRequest](c)
	return domain.CrewMember{Project: id, Member: domain.AccountID(req.Member)}, err
}

// pathAsk reads the two ids of an ask.
func pathAsk(c echo.Context) (domain.ProjectID, domain.AskID, error) {
	project, err := pathProject(c)
	if err != nil {
		return 0, 0, err
	}
	ask, err := pathID(c, "ask", "ask")
	return project, domain.AskID(ask), err
}

func answerProject(c echo.Context, p domain.Project, err error) error {
	if err != nil {
		return err
	}
	setETag(c, p.Version)
	return ok(c, newProject(p))
}
