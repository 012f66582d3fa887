package api

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"strings"

	"github.com/stretchr/testify/require"
)

// What people do about projects, crews, designs, checks and remarks.

// settles gives the crowd three projects with crews, so that there is something
// to do from the first step.
func (c *crowd) settles() {
	s := &step{TB: c.TB, crowd: c, rng: rand.New(rand.NewPCG(c.seed, 0)), b: c.bundle} //nolint:gosec // replayable
	for i := 2; i < 4; i++ {
		p := c.people[i]
		a, _, yes := s.sends(p, "POST", "/api/v1/projects", "", map[string]any{"title": "Of " + p.name, "purpose": "", "client_key": fmt.Sprintf("settle-%04d", i)})
		if yes {
			id := a.number("id")
			c.holds(fact{crewKey(id, p.no()), true})
			project := c.notes("projects", &known{path: a.Header().Get("Location"), id: id})
			d, _, _ := s.sends(p, "POST", project.path+"/designs", "", map[string]any{"title": "Drop", "client_key": fmt.Sprintf("settle-%04d", i)})
			c.notes("designs", &known{path: d.Header().Get("Location"), id: d.number("id"), project: project})
		}
	}
	for i, project := range c.things["projects"] {
		founder := c.people[i+1]
		for _, k := range []int{4 + i, 8 + i, 16 + i} {
			p := c.people[k]
			a, _, _ := s.sends(founder, "POST", project.path+"/crew/asks", "", map[string]any{"member": p.id})
			for _, ask := range listOf(a, "asks") {
				if idIn(ask, "member", "id") == p.no() {
					s.sends(p, "POST", fmt.Sprintf("%s/crew/asks/%d/answer", project.path, idIn(ask)), "", map[string]any{"yes": true}, fact{crewKey(project.id, p.no()), true})
				}
			}
		}
	}
	for i, design := range c.things["designs"] {
		s.clearsAndBuilds(design, []string{"plain", "raised", "plain"}[i])
	}
	require.Equal(c, 3, c.done["test begun"], "the crowd finds three machines to test: %v\n%s", c.faults, strings.Join(c.trace, "\n"))
	c.base = c.rows()
	c.made = map[string]int{}
}

// clearsAndBuilds takes a design to a machine whose test is begun.
func (s *step) clearsAndBuilds(design *known, kind string) {
	etag := func() string { return s.b.version(design.path) }
	s.savesSheet(design, "A", etag(), kind)
	s.issues(design, "A", etag(), 1)
	for range 2 {
		s.checks(design, "A", etag(), "clear")
	}
	s.startsBuildOf(design)
	builds := s.all("builds")
	build := builds[len(builds)-1]
	a, _ := s.reading(s.who(nil), build.path)
	s.brings(build, a, "built")
	s.startsTest(build)
}

func (s *step) startsProject() {
	p := s.who(nil)
	body := map[string]any{"title": "Trompe " + s.key("p"), "purpose": "", "client_key": s.key("project")}
	a, _, yes := s.sends(p, "POST", "/api/v1/projects", "", body)
	if !yes {
		return
	}
	s.keptOnce(p, "/api/v1/projects", body, a, "projects")
	id := a.number("id")
	s.holds(fact{crewKey(id, p.no()), true})
	s.notes("projects", &known{path: a.Header().Get("Location"), id: id})
	s.did("project started")
}

// closesProject closes or reopens one.
func (s *step) closesProject() {
	project := s.one("projects")
	p := s.who(s.crewOf(project))
	a, ok := s.reading(p, project.path)
	if !ok {
		return
	}
	shut := a.at("closed_at") == nil && s.chance(25)
	_, w, yes := s.sends(p, "PATCH", project.path, s.matchOf(a.etag()), map[string]any{"closed": shut}, fact{shutKey(project.id), shut})
	if yes {
		s.believes(s.could(crewKey(project.id, p.no()), true, w), "project %d closed or reopened by %s, who is not on its crew", project.id, p.name)
		s.did("project closed or reopened")
	}
}

// changesCrew asks, answers, leaves, or revives a crew that died out.
func (s *step) changesCrew() {
	project := s.one("projects")
	path := project.path + "/crew"
	switch n := s.rng.IntN(10); {
	case n < 3:
		p, other := s.who(s.crewOf(project)), s.who(func(p *mate) bool { return !s.is(crewKey(project.id, p.no())) })
		if _, w, yes := s.sends(p, "POST", path+"/asks", "", map[string]any{"member": other.id}); yes {
			s.believes(s.could(crewKey(project.id, p.no()), true, w), "an ask of project %d by %s", project.id, p.name)
		}
	case n < 7:
		s.answersAsk()
	case n < 9:
		p := s.who(s.crewOf(project))
		if _, w, yes := s.sends(p, http.MethodDelete, path+"/me", "", nil, fact{crewKey(project.id, p.no()), false}); yes {
			s.believes(s.could(crewKey(project.id, p.no()), true, w), "%s left the crew of %d without being on it", p.name, project.id)
			s.did("crew left")
		}
	default:
		p, other := s.who(s.role("keeper")), s.who(nil)
		if _, w, yes := s.sends(p, "POST", path, "", map[string]any{"member": other.id}, fact{crewKey(project.id, other.no()), true}); yes {
			s.believes(s.could(roleKey("keeper", p.no()), true, w), "%s added to a crew without being keeper", p.name)
			s.did("crew revived")
		}
	}
}

func (s *step) answersAsk() {
	p := s.who(nil)
	a, ok := s.reading(p, "/api/v1/asks")
	if !ok {
		return
	}
	asks := listOf(a, "items")
	if len(asks) == 0 {
		return
	}
	ask := asks[s.rng.IntN(len(asks))]
	project, says, by := idIn(ask, "project"), s.chance(80), p
	if s.wrong && s.chance(30) {
		by = s.who(nil)
	}
	if by != p {
		s.lies = "somebody else was asked"
	}
	path := fmt.Sprintf("/api/v1/projects/%d/crew/asks/%d/answer", project, idIn(ask))
	var means []fact
	if says {
		means = []fact{{crewKey(project, by.no()), true}}
	}
	if _, _, yes := s.sends(by, "POST", path, "", map[string]any{"yes": says}, means...); yes {
		s.did("ask answered")
	}
}

func (s *step) startsDesign() {
	project := s.one("projects")
	p := s.who(s.crewOf(project))
	body := map[string]any{"title": "Design " + s.key("d"), "client_key": s.key("design")}
	a, w, yes := s.sends(p, "POST", project.path+"/designs", "", body)
	if !yes {
		return
	}
	s.crewDid(project, p, w, "a design was started")
	s.keptOnce(p, project.path+"/designs", body, a, "designs")
	s.notes("designs", &known{path: a.Header().Get("Location"), id: a.number("id"), project: project})
	s.did("design started")
}

// develops takes a design one step further, or tries a step that is none.
func (s *step) develops() {
	design := s.one("designs")
	reader := s.who(s.crewOf(design.project))
	a, ok := s.reading(reader, design.path)
	if !ok {
		return
	}
	revisions := listOf(a, "revisions")
	last := revisions[0]
	for _, r := range revisions {
		if len(textIn(r, "letter")) > len(textIn(last, "letter")) || len(textIn(r, "letter")) == len(textIn(last, "letter")) && textIn(r, "letter") > textIn(last, "letter") {
			last = r
		}
	}
	letter, etag := textIn(last, "letter"), a.etag()
	sheets := numberIn(last["sheet_count"])
	steps := map[string][]string{
		"draft": {"issue", "issue", "issue", "save"}, "in_check": {"outcome", "outcome", "outcome", "outcome", "outcome", "take-back"},
		"returned": {"next"}, "cleared": {"next", "nothing", "nothing", "nothing", "withdraw"}, "superseded": {"next"}, "withdrawn": {"next"},
	}[textIn(last, "state")]
	if textIn(last, "state") == "draft" && (sheets == 0 || s.is("unfit/"+design.path)) {
		steps = []string{"save"}
	}
	do := pick(s, steps...)
	if textIn(last, "state") == "draft" && s.chance(10) {
		do = "next"
	}
	if s.wrong && s.chance(50) {
		do = pick(s, "save", "issue", "outcome", "take-back", "next", "withdraw")
	}
	if do == "withdraw" && !s.chance(30) {
		do = "outcome"
	}
	if (s.wrong || do == "withdraw") && s.chance(50) {
		letter = textIn(revisions[s.rng.IntN(len(revisions))], "letter")
	}
	revision := design.path + "/revisions/" + letter
	switch do {
	case "save":
		s.savesSheet(design, letter, etag, pick(s, "plain", "plain", "plain", "raised", "raised", "barred", "idle"))
	case "issue":
		s.issues(design, letter, etag, sheets)
	case "outcome":
		s.checks(design, letter, etag, pick(s, "clear", "clear", "clear", "clear", "return"))
	case "take-back":
		p := s.who(s.crewOf(design.project))
		if a, w, yes := s.sends(p, "POST", revision+"/take-back", s.matchOf(etag), map[string]any{}); yes {
			s.crewDid(design.project, p, w, "a revision was taken back")
			s.tookStep(design, etag, a, happening{act: "take-back", letter: letter, who: p.no(), state: textOf(a, "state")})
		}
	case "next":
		s.startsLetter(design, etag, textIn(last, "state"))
	case "withdraw":
		p := s.who(func(p *mate) bool {
			return s.is(crewKey(design.project.id, p.no())) || s.is(roleKey("steward", p.no()))
		})
		a, w, yes := s.sends(p, "POST", revision+"/withdraw", s.matchOf(etag), map[string]any{"reason": "the pipe was recalled"}, fact{"withdrawn/" + revision, true})
		if yes {
			s.believes(s.could(crewKey(design.project.id, p.no()), true, w) || s.could(roleKey("steward", p.no()), true, w), "%s withdrew %s", p.name, revision)
			s.tookStep(design, etag, a, happening{act: "withdraw", letter: letter, who: p.no(), state: textOf(a, "state")})
		}
	}
}

// startsLetter starts the next letter, or tries to behind one that is a draft at
// the version that is sent.
func (s *step) startsLetter(design *known, etag, state string) {
	p := s.who(s.crewOf(design.project))
	match := s.matchOf(etag)
	if state == "draft" {
		s.lies = "the newest letter was a draft"
	}
	a, w, yes := s.sends(p, "POST", design.path+"/revisions", match, map[string]any{})
	if !yes && textOf(a, "code") == "letter-is-draft" {
		s.did("next refused behind a draft")
	}
	if yes {
		s.crewDid(design.project, p, w, "a revision was started")
		s.tookStep(design, etag, a, happening{act: "next", letter: textOf(a, "revision", "letter"), who: p.no()})
	}
}

func textOf(a *reply, names ...string) string {
	text, _ := a.at(names...).(string)
	return text
}

// tookStep notes that a design went from the version that was sent to that of
// the answer.
func (s *step) tookStep(design *known, sent string, a *reply, h happening) {
	h.from, h.to = versionIn(sent), versionIn(a.etag())
	s.believes(h.to > h.from, "%s: %s left version %d after %d", design.path, h.act, h.to, h.from)
	s.happens(design.path, h)
	s.did(h.act)
}

func (s *step) savesSheet(design *known, letter, etag, kind string) {
	p := s.who(s.crewOf(design.project))
	body := map[string]any{"input": drawnInputs()[kind], "note": kind}
	path := design.path + "/revisions/" + letter
	a, w, yes := s.sends(p, "POST", path+"/sheets", s.matchOf(etag), body, fact{authorKey(design.path, p.no()), true}, fact{"unfit/" + design.path, kind == "barred" || kind == "idle"})
	if !yes {
		return
	}
	s.makes("sheets")
	s.crewDid(design.project, p, w, "a sheet was saved")
	s.tookStep(design, etag, a, happening{act: "save", letter: letter, who: p.no()})
	s.onlyOnce(fmt.Sprintf("%s/sheets/%d", path, a.number("number")), fmt.Sprintf("step %d saved it", s.number))
}

func (s *step) issues(design *known, letter, etag string, sheets int64) {
	p := s.who(s.crewOf(design.project))
	ask := []int64{}
	if s.chance(30) {
		ask = append(ask, s.who(func(p *mate) bool { return s.mayCheck(design, p) }).no())
	}
	path := design.path + "/revisions/" + letter
	a, w, yes := s.sends(p, "POST", path+"/issue", s.matchOf(etag), map[string]any{"sheet": sheets, "note": "", "ask": ask})
	if !yes {
		return
	}
	s.crewDid(design.project, p, w, "a revision was issued")
	class, checkers := textOf(a, "issue", "class"), a.number("issue", "checkers")
	s.believes(checkers >= 1 && (class == "plain" || checkers >= 2), "%s, %s, is to be cleared by %d", path, class, checkers)
	s.onlyOnce(path+" issued", p.name)
	s.makes("revision_issues")
	s.tookStep(design, etag, a, happening{act: "issue", letter: letter, who: p.no(), checkers: int(checkers), state: textOf(a, "state")})
	sheet, ok := s.reading(p, fmt.Sprintf("%s/sheets/%d", path, a.number("issue", "sheet")))
	if ok {
		note, _ := sheet.at("note").(string)
		s.believes(note != "barred" && note != "idle", "a sheet that is %s was issued", note)
	}
}

// mayCheck tells whether somebody seems to be a checker who never had to do with
// a design.
func (s *step) mayCheck(design *known, p *mate) bool {
	now := window{onItsWay, onItsWay}
	return s.is(roleKey("checker", p.no())) && !s.was(crewKey(design.project.id, p.no()), now) && !s.was(authorKey(design.path, p.no()), now) &&
		!s.saidBefore(design, p)
}

func (s *step) saidBefore(design *known, p *mate) bool {
	return s.is(fmt.Sprintf("said/%s/%s/%d", design.path, design.lastSaid(), p.no()))
}

func (s *step) checks(design *known, letter, etag, said string) {
	design.saysOf(letter)
	p := s.who(func(p *mate) bool { return s.mayCheck(design, p) })
	note := map[string]string{"return": "Say how the riser is held."}[said]
	path := design.path + "/revisions/" + letter
	body := map[string]any{"outcome": said, "note": note, "password": s.passwordOf()}
	a, w, yes := s.sends(p, "POST", path+"/outcomes", s.matchOf(etag), body, fact{fmt.Sprintf("said/%s/%s/%d", design.path, letter, p.no()), true})
	if !yes {
		return
	}
	s.believes(s.could(roleKey("checker", p.no()), true, w), "%s checked %s without being checker", p.name, path)
	s.believes(!s.was(crewKey(design.project.id, p.no()), w), "%s checked %s, and is or was on its crew", p.name, path)
	s.believes(!s.was(authorKey(design.path, p.no()), w), "%s checked %s, and drew it", p.name, path)
	s.believes(s.could(shutKey(design.project.id), false, w), "%s was checked in a closed project", path)
	s.onlyOnce(fmt.Sprintf("%s: outcome of %d", path, p.no()), said)
	s.makes("check_outcomes")
	s.tookStep(design, etag, a, happening{act: said, letter: letter, who: p.no(), state: textOf(a, "state")})
}

// saysOfDesigns raises, answers and lays remarks to rest.
func (s *step) saysOfDesigns() {
	design := s.one("designs")
	path := design.path + "/remarks"
	reader := s.who(nil)
	a, ok := s.reading(reader, path+"?open=1")
	if !ok {
		return
	}
	open := listOf(a, "items")
	if len(open) == 0 || s.chance(20) {
		s.remarksOn(design, path, reader)
		return
	}
	remark := open[s.rng.IntN(len(open))]
	raiser := idIn(remark, "who", "id")
	one := fmt.Sprintf("%s/%d", path, idIn(remark))
	if s.chance(30) {
		p := s.who(func(p *mate) bool { return p.no() == raiser || s.is(crewKey(design.project.id, p.no())) })
		body := map[string]any{"text": "By two clips.", "client_key": s.key("answer")}
		a, w, yes := s.sends(p, "POST", one+"/answers", "", body)
		if yes {
			s.believes(p.no() == raiser || s.could(crewKey(design.project.id, p.no()), true, w), "%s answered %s", p.name, one)
			s.keptOnce(p, one+"/answers", body, a, "remark_answers")
			s.did("remark answered")
		}
		return
	}
	p := s.who(func(p *mate) bool {
		return p.no() == raiser || s.is(goneKey(raiser)) && s.is(roleKey("steward", p.no()))
	})
	_, w, yes := s.sends(p, "POST", one+"/rest", "", map[string]any{"reason": "It is held by two clips now."})
	if yes {
		steward := s.could(goneKey(raiser), true, w) && s.could(roleKey("steward", p.no()), true, w)
		s.believes(p.no() == raiser || steward, "%s laid %s to rest, which %d raised", p.name, one, raiser)
		s.believes(s.could(shutKey(design.project.id), false, w), "%s was laid to rest in a closed project", one)
		s.did("remark laid to rest")
	}
}

func (s *step) remarksOn(design *known, path string, p *mate) {
	body := map[string]any{
		"letter": pick(s, "A", "A", "B"), "pin": map[string]any{"kind": "part", "at": "riser"},
		"weight": pick(s, "note", "query", "stopper"), "text": "How is it held?", "client_key": s.key("remark"),
	}
	a, w, yes := s.sends(p, "POST", path, "", body)
	if !yes {
		return
	}
	s.believes(s.could(shutKey(design.project.id), false, w), "a remark in the closed project %d", design.project.id)
	s.keptOnce(p, path, body, a, "remarks")
	s.did("remark raised")
}

// lastSaid is the letter that somebody said something of last, as far as known.
func (t *known) lastSaid() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.letter
}

func (t *known) saysOf(letter string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.letter = letter
}

// reads looks at lists and pages, which anybody may.
func (s *step) reads() {
	p := s.who(nil)
	project := s.one("projects")
	paths := []string{"/api/v1/projects", "/api/v1/group", "/api/v1/record", "/api/v1/group/acts", "/api/v1/instruments", "/api/v1/templates", project.path, project.path + "/log", project.path + "/builds"}
	if design := s.one("designs"); design != nil {
		paths = append(paths, design.path+"/revisions/A", design.path+"/remarks")
	}
	for range 2 {
		s.reading(p, paths[s.rng.IntN(len(paths))])
	}
	s.did("read")
}
