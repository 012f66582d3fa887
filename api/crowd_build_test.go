package api

import (
	"fmt"
	"net/url"
	"slices"
)

// What people do about builds, and in the log.

func (s *step) startsBuild() { s.startsBuildOf(s.one("designs")) }

func (s *step) startsBuildOf(design *known) {
	p := s.who(s.crewOf(design.project))
	a, ok := s.reading(p, design.path)
	if !ok {
		return
	}
	letter := "A"
	for _, r := range listOf(a, "revisions") {
		if state := textIn(r, "state"); state == "cleared" || s.wrong && state != "draft" {
			letter = textIn(r, "letter")
		}
	}
	path := design.project.path + "/builds"
	body := map[string]any{"title": "Machine", "design": design.id, "letter": letter, "place": "below the mill", "client_key": s.key("build")}
	made, w, yes := s.sends(p, "POST", path, "", body)
	if !yes {
		return
	}
	s.crewDid(design.project, p, w, "a build was started")
	s.believes(!s.was("withdrawn/"+design.path+"/revisions/"+letter, w), "a build was started from %s of %s, which was withdrawn", letter, design.path)
	s.keptOnce(p, path, body, made, "builds")
	at := made.Header().Get("Location")
	s.holds(fact{builtKey(at, p.no()), true})
	s.onlyOnce(fmt.Sprintf("tag %d", made.number("tag")), at)
	s.notes("builds", &known{path: at, id: made.number("id"), project: design.project, tests: map[string]window{}, heard: map[int64]bool{}})
	s.did("build started")
}

// changesBuild takes a build one step further, or tries a step that is none.
func (s *step) changesBuild() {
	build := s.one("builds")
	if build == nil {
		return
	}
	a, ok := s.reading(s.who(nil), build.path)
	if !ok {
		return
	}
	state := textOf(a, "state")
	do := pick(s, map[string][]string{
		"being_built": {"built", "built", "built", "builder", "differs", "moves"}, "built": {"in_service", "in_service", "in_service", "builder", "differs", "renews", "nothing"},
		"in_service": {"laid_up", "differs", "renews", "moves", "builder", "rebuilds"}, "laid_up": {"in_service", "in_service", "builder", "rebuilds"}, "scrapped": {"nothing"},
	}[state]...)
	if s.wrong && s.chance(60) {
		do = pick(s, "built", "in_service", "in_service", "laid_up", "scrapped", "differs", "renews", "moves", "builder", "barred", "rebuilds")
	}
	if do == "scrapped" && !s.chance(15) {
		do = "in_service"
	}
	switch do {
	case "nothing":
	case "builder":
		s.addsBuilder(build)
	case "differs", "renews", "moves", "barred", "rebuilds":
		s.changesMachine(build, a, do)
	default:
		s.brings(build, a, do)
	}
}

func (s *step) addsBuilder(build *known) {
	p, other := s.who(s.crewOf(build.project)), s.who(nil)
	body := map[string]any{"member": other.id}
	var means []fact
	if s.chance(30) {
		body = map[string]any{"name": "Old Jory " + s.key("n")}
	} else {
		means = []fact{{builtKey(build.path, other.no()), true}}
	}
	if _, w, yes := s.sends(p, "POST", build.path+"/builders", "", body, means...); yes {
		s.crewDid(build.project, p, w, "a builder was added")
		s.did("builder added")
	}
}

// revisionOf is the path of the revision that a build is made from.
func revisionOf(build *known, a *reply) string {
	return fmt.Sprintf("%s/designs/%d/revisions/%s", build.project.path, a.number("design"), textOf(a, "letter"))
}

func (s *step) changesMachine(build *known, before *reply, do string) {
	p := s.who(s.crewOf(build.project))
	body := map[string]any{"note": "seen while it was looked at"}
	switch do {
	case "differs":
		body["differences"] = map[string]any{"/trompe/intake/n_tubes": 5 + s.rng.IntN(3)}
	case "barred":
		body["differences"] = pick(s, map[string]any{"/parts/0/rating_pa": 1}, map[string]any{"/trompe/intake/mouth_m": 4})
	case "renews":
		body["renewed"] = []string{"/parts/0"}
	case "moves":
		body["place"] = "at the weir " + s.key("place")
	case "rebuilds":
		body["rebuild"] = map[string]any{"design": before.number("design"), "letter": pick(s, "A", "B", "C", textOf(before, "letter"))}
	}
	etag := before.etag()
	a, w, yes := s.sends(p, "POST", build.path+"/versions", s.matchOf(etag), body, fact{builtKey(build.path, p.no()), true})
	if !yes {
		return
	}
	s.makes("build_versions")
	s.crewDid(build.project, p, w, "a build was changed")
	s.believes(do != "barred", "a build was changed in what needs a new cleared revision")
	s.believes(do == "moves" || !s.was("withdrawn/"+revisionOf(build, a), w), "%s was worked on, though its revision was withdrawn", build.path)
	s.happens(build.path, happening{from: versionIn(etag), to: versionIn(a.etag()), act: do, who: p.no()})
	build.lapsesBy(lapse{window: w, why: do, hash: textOf(a, "now", "pressure_hash"), moved: do == "moves"})
	s.did("build " + do)
}

func (t *known) lapsesBy(l lapse) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.lapses = append(t.lapses, l)
}

func (t *known) papersAndLapses() ([]paper, []lapse) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return slices.Clone(t.papers), slices.Clone(t.lapses)
}

// brings brings a build to another state.
func (s *step) brings(build *known, before *reply, state string) {
	p := s.who(s.crewOf(build.project))
	etag := before.etag()
	a, w, yes := s.sends(p, "POST", build.path+"/state", s.matchOf(etag), map[string]any{"state": state, "reason": "so we said"})
	if !yes {
		return
	}
	s.crewDid(build.project, p, w, "a build changed its state")
	s.happens(build.path, happening{from: versionIn(etag), to: versionIn(a.etag()), act: "state", state: textOf(a, "state"), who: p.no()})
	if state == "in_service" {
		papers, lapses := build.papersAndLapses()
		s.believes(s.onItsWay(build, w) || s.mayHold(w, papers, lapses), "%s is in service without a certificate that holds: %+v, %+v", build.path, papers, lapses)
		s.believes(!s.was("withdrawn/"+revisionOf(build, a), w), "%s is in service, though its revision was withdrawn", build.path)
	}
	s.did("build " + state)
}

// logs writes into the log, marks incidents, and lays them to rest.
func (s *step) logs() {
	if s.chance(12) {
		s.hidesPicture()
		return
	}
	project := s.one("projects")
	build := s.one("builds")
	if build != nil && s.chance(60) {
		project = build.project
	}
	path := project.path + "/log"
	entry := s.one("entries")
	if entry != nil && s.chance(40) {
		if entry.build != nil && s.chance(60) {
			s.laysIncident(entry)
			return
		}
		p := s.who(nil)
		if _, w, yes := s.sends(p, "POST", fmt.Sprintf("%s/%d/incident", entry.path, entry.id), "", nil); yes {
			s.incident(entry, w)
		}
		return
	}
	p := s.who(nil)
	body := map[string]any{"build": nil, "text": "Chamber set on its slab", "incident": false, "strikes": nil, "happened_at": nil, "files": []int64{}, "client_key": s.key("log")}
	if build != nil && build.project == project && s.chance(60) {
		body["build"], body["incident"] = build.id, s.chance(20)
	} else {
		build = nil
	}
	if entry != nil && entry.path == path && s.chance(25) {
		body["strikes"] = entry.id
	}
	if s.chance(25) {
		body["files"] = []int64{s.photoOf(p, project)}
	}
	a, w, yes := s.sends(p, "POST", path, "", body)
	if !yes {
		return
	}
	if body["strikes"] != nil {
		s.onlyOnce(fmt.Sprintf("%s/%d struck", path, body["strikes"]), fmt.Sprint(a.number("id")))
	}
	s.keptOnce(p, path, body, a, "log_entries")
	said := s.notes("entries", &known{path: path, id: a.number("id"), project: project, build: build})
	if body["incident"] == true {
		s.incident(said, w)
	}
	s.did("log written")
}

// hidesPicture keeps a picture that must go, and has two people hide it, or one
// of them twice.
func (s *step) hidesPicture() {
	project, p := s.one("projects"), s.who(s.role("keeper"))
	query := url.Values{"name": {"face.jpg"}, "client_key": {s.key("face")}}
	a, _, yes := s.sends(p, "POST", project.path+"/files?"+query.Encode(), "", jpegFile(photo(s, 32, 24)))
	if !yes {
		return
	}
	path := fmt.Sprintf("%s/files/%d", project.path, a.number("id"))
	body := func() map[string]any {
		return map[string]any{"reason": "A child’s face", "password": s.passwordOf()}
	}
	first, w, yes := s.sends(p, "POST", path+"/hide", "", body())
	if !yes {
		return
	}
	s.believes(s.could(roleKey("keeper", p.no()), true, w) || s.could(roleKey("steward", p.no()), true, w), "%s asked to hide %s", p.name, path)
	s.believes(first.at("hidden") == false, "%s was hidden by %s alone", path, p.name)
	other := s.who(s.role("steward"))
	second, w, yes := s.sends(other, "POST", path+"/hide", "", body())
	if !yes || second.at("hidden") != true {
		return
	}
	roles := func(keeper, steward *mate) bool {
		return s.could(roleKey("keeper", keeper.no()), true, window{0, w.end}) && s.could(roleKey("steward", steward.no()), true, window{0, w.end})
	}
	s.believes(p != other && (roles(p, other) || roles(other, p)), "%s was hidden by %s and %s", path, p.name, other.name)
	s.did("picture hidden")
}

func (s *step) incident(entry *known, w window) {
	if entry.build != nil {
		entry.build.lapsesBy(lapse{window: w, why: "incident", entry: fmt.Sprint(entry.id)})
	}
	s.did("incident")
}

func (s *step) laysIncident(entry *known) {
	p := s.who(func(p *mate) bool {
		return s.is(roleKey("steward", p.no())) && !s.is(builtKey(entry.build.path, p.no()))
	})
	body := map[string]any{"reason": "A drip at the tap, nothing under pressure", "password": s.passwordOf()}
	_, w, yes := s.sends(p, "POST", fmt.Sprintf("%s/%d/rest", entry.path, entry.id), "", body, fact{fmt.Sprintf("harmless/%d", entry.id), true})
	if yes {
		s.believes(s.could(roleKey("steward", p.no()), true, w) && !s.was(builtKey(entry.build.path, p.no()), w), "%s called the incident %d harmless", p.name, entry.id)
		s.did("incident laid to rest")
	}
}
