package api

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// kinds of person, each with the column of the matrix that says what they may:
// roles add up, and what that adds to a route stands in apart. The
// demo account stands on a server that does not show the demo.
var kinds = map[string]int{
	"nobody": 0, "closed": 1, "demo": 2, "member": 3, "crew": 4, "keeper": 5,
	"former crew": 3, "checker": 3, "steward": 3, "steward and checker": 3, "crew and checker": 4, "keeper and steward": 5,
	"former crew and checker": 3, "former crew and steward": 3, "keeper and checker": 5,
	"crew and steward": 4,
}

// apart says where roles add something to a route, or where what somebody did
// takes it away again: by route and kind, the status instead of the column's.
var apart = map[string]map[string]int{
	// The crew has built the machine, which its steward therefore does not judge.
	"POST /api/v1/projects/:project/log/:entry/rest": {"steward": 200, "steward and checker": 200, "keeper and steward": 200, "former crew and steward": 200},
	"POST " + filesRoute + "/:file/hide":             {"steward": 200, "steward and checker": 200, "crew and steward": 200, "former crew and steward": 200},
	// Stewards who did not build it come as far as the state of the test lets them;
	// any steward may revoke what there is.
	"POST " + testsRoute + "/:test/close":  {"steward": 409, "steward and checker": 409, "keeper and steward": 409, "former crew and steward": 409},
	"POST " + certificateRoute:             {"steward": 409, "steward and checker": 409, "keeper and steward": 409, "former crew and steward": 409},
	"POST " + certificateRoute + "/revoke": {"steward": 404, "steward and checker": 404, "keeper and steward": 404, "former crew and steward": 404, "crew and steward": 404},
	// Stewards who took no part; the crew has opened the run, and may set it aside.
	"POST " + runsRoute + "/:run/confirm":   {"steward": 200, "steward and checker": 200, "keeper and steward": 200, "former crew and steward": 200},
	"POST " + runsRoute + "/:run/set-aside": {"steward": 200, "steward and checker": 200, "keeper and steward": 200, "former crew and steward": 200},
	// Stewards who did not propose it.
	"POST " + setsRoute + "/:proposal/adopt": {"steward": 200, "steward and checker": 200, "keeper and steward": 200, "former crew and steward": 200, "crew and steward": 200},
	"POST " + revisionRoute + "/outcomes":    {"checker": 200, "steward and checker": 200, "keeper and checker": 200},
	"POST " + revisionRoute + "/withdraw":    {"steward": 200, "steward and checker": 200, "keeper and steward": 200, "former crew and steward": 200},
}

const (
	testsRoute       = "/api/v1/projects/:project/builds/:build/tests"
	runsRoute        = "/api/v1/projects/:project/builds/:build/runs"
	certificateRoute = "/api/v1/projects/:project/builds/:build/certificate"

	revisionRoute = "/api/v1/projects/:project/designs/:design/revisions/:letter"
	remarksRoute  = "/api/v1/projects/:project/designs/:design/remarks"
)

// kind returns somebody of a kind. A kind of two words or of a role is one of
// the others, given that role.
func (b *bundle) kind(name string) *person {
	base, role, double := strings.Cut(name, " and ")
	if !double {
		role = base
	}
	if base == "former crew" {
		b.as(b.member).post(b.askURL(b.member)+"/answer", map[string]any{"yes": true})
		require.Equal(b, 200, b.as(b.member).send("DELETE", b.projectURL()+"/crew/me", "", "").Code)
		base = "member"
	}
	who := map[string]*person{
		"nobody": b.nobody, "closed": b.closed, "demo": b.demo, "member": b.member, "crew": b.crew, "keeper": b.keeper,
		"checker": b.member, "steward": b.member,
	}[base]
	for _, r := range []string{base, role} {
		if r == "checker" || r == "steward" {
			b.db.exec(`UPDATE accounts SET `+r+` = true WHERE id = $1`, who.id)
		}
	}
	return who
}

// somebody adds an account that nothing else is about, and returns its path.
func (b *bundle) somebody() string {
	b.db.exec(`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
		SELECT 'Wen', 'wen' || count(*) || '@thornwick.example', max(password_hash), false, false, false, false, now() FROM accounts`)
	members, ok := b.as(b.crew).get("/api/v1/group").at("members").([]any)
	require.True(b, ok)
	newest := 0.0
	for _, m := range members {
		member, ok := m.(map[string]any)
		require.True(b, ok)
		id, ok := member["id"].(float64)
		require.True(b, ok)
		newest = max(newest, id)
	}
	return fmt.Sprintf("/api/v1/members/%.0f", newest)
}

// invited makes an invitation, and returns its path and its code.
func (b *bundle) invited() (path, code string) {
	a := b.as(b.keeper).post("/api/v1/invitations", map[string]any{"name": "Olwen", "roles": noRoles})
	require.Equal(b, 201, a.Code, a.Body.String())
	code, ok := a.at("code").(string)
	require.True(b, ok)
	return a.Header().Get("Location"), code
}

var noRoles = map[string]any{"checker": false, "steward": false, "keeper": false}

// saved returns the path of a sheet that is there.
func (b *bundle) saved() string {
	if a := b.as(b.crew).get(b.sheetsURL() + "/1"); a.Code == 404 {
		b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(b))
	}
	return b.sheetsURL() + "/1"
}

// row says what a route answers to each kind of person, and how to call it.
type row struct {
	want [6]int
	call func(b *bundle, who browser) *reply
}

var (
	open      = [6]int{200, 200, 200, 200, 200, 200}
	readers   = [6]int{401, 401, 401, 200, 200, 200}
	makers    = [6]int{401, 401, 401, 201, 201, 201}
	crewOnly  = [6]int{401, 401, 401, 403, 200, 403}
	crewMakes = [6]int{401, 401, 401, 403, 201, 403}
	keepers   = [6]int{401, 401, 401, 403, 403, 200}
)

// What a keeper does to somebody leaves nothing to answer.
var (
	keepersEnd  = [6]int{401, 401, 401, 403, 403, 204}
	keepersMake = [6]int{401, 401, 401, 403, 403, 201}
	done        = [6]int{401, 401, 401, 204, 204, 204}
)

// drizzle is a site that answers at once.
const drizzle = `{"flow_m3s": 0.00001, "fall_m": 2, "wish": "most_air"}`

// search is the id of the search that was started, if it was.
func (a *reply) search() string {
	if a.Code != http.StatusCreated {
		return "none"
	}
	id, ok := a.at("id").(string)
	require.True(a.b, ok)
	return id
}

func reads(path string) func(*bundle, browser) *reply {
	return func(_ *bundle, who browser) *reply { return who.get(path) }
}

func deletes(path string) func(*bundle, browser) *reply {
	return func(_ *bundle, who browser) *reply { return who.send("DELETE", path, "", "") }
}

// matrix has a row for every route. The rights are those of the table of roles
// of the group: every member reads, the crew changes, a keeper is no crew.
var matrix = map[string]row{
	"GET /healthz":             {open, reads("/healthz")},
	"GET /readyz":              {open, reads("/readyz")},
	"GET /api/v1/openapi.yaml": {open, reads("/api/v1/openapi.yaml")},
	"GET /api/v1/setup":        {open, reads("/api/v1/setup")},
	"POST /api/v1/setup/keeper": {[6]int{409, 409, 409, 409, 409, 409}, func(_ *bundle, who browser) *reply {
		return who.post("/api/v1/setup/keeper", map[string]any{"code": "AAAA-BBBB-CCCC", "name": "Eve", "address": "eve@thornwick.example", "password": password})
	}},
	"POST /api/v1/session": {[6]int{401, 401, 401, 201, 201, 201}, func(_ *bundle, who browser) *reply {
		address := who.who.address
		if address == "" {
			address = "nobody@thornwick.example"
		}
		return who.post("/api/v1/session", map[string]any{"address": address, "password": password})
	}},
	"POST /api/v1/session/refresh": {readers, func(_ *bundle, who browser) *reply { return who.refreshes() }},
	"DELETE /api/v1/session": {[6]int{401, 401, 401, 204, 204, 204}, func(b *bundle, who browser) *reply {
		if who.who != b.nobody && who.who != b.closed && who.who != b.demo {
			again := *who.who
			b.signsIn(&again)
			who.who = &again
		}
		return who.send("DELETE", "/api/v1/session", "", "")
	}},
	"GET /api/v1/waiting": {readers, reads("/api/v1/waiting")},
	"GET /api/v1/group":   {readers, reads("/api/v1/group")},
	"PUT /api/v1/group/settings": {keepers, func(b *bundle, who browser) *reply {
		return who.ifMatch(b.version("/api/v1/group")).put("/api/v1/group/settings", map[string]any{"name": "Thornwick", "units": "us", "time_zone": "Europe/Oslo"})
	}},
	"GET /api/v1/group/acts": {readers, reads("/api/v1/group/acts")},
	"PUT /api/v1/members/:member/roles": {keepers, func(b *bundle, who browser) *reply {
		return who.ifMatch(b.version("/api/v1/group")).put(b.somebody()+"/roles", map[string]any{"checker": true, "steward": false, "keeper": false})
	}},
	"POST /api/v1/members/:member/reset-code": {keepersMake, func(b *bundle, who browser) *reply {
		return who.send("POST", b.somebody()+"/reset-code", "", "")
	}},
	"POST /api/v1/members/:member/close": {keepersEnd, func(b *bundle, who browser) *reply {
		return who.send("POST", b.somebody()+"/close", "", "")
	}},
	"GET /api/v1/invitations": {readers, reads("/api/v1/invitations")},
	"POST /api/v1/invitations": {keepersMake, func(_ *bundle, who browser) *reply {
		return who.post("/api/v1/invitations", map[string]any{"name": "", "roles": noRoles})
	}},
	"DELETE /api/v1/invitations/:invitation": {keepersEnd, func(b *bundle, who browser) *reply {
		path, _ := b.invited()
		return who.send("DELETE", path, "", "")
	}},
	"POST /api/v1/invitations/accept": {[6]int{201, 201, 201, 201, 201, 201}, func(b *bundle, who browser) *reply {
		_, code := b.invited()
		return who.post("/api/v1/invitations/accept", map[string]any{"code": code, "name": "Olwen", "address": "olwen@thornwick.example", "password": password})
	}},
	"POST /api/v1/password-reset": {[6]int{201, 201, 201, 201, 201, 201}, func(b *bundle, who browser) *reply {
		code, _ := b.as(b.keeper).send("POST", b.somebody()+"/reset-code", "", "").at("code").(string)
		return who.post("/api/v1/password-reset", map[string]any{"code": code, "password": "four quiet herons"})
	}},
	"GET /api/v1/me": {readers, reads("/api/v1/me")},
	"PATCH /api/v1/me": {readers, func(_ *bundle, who browser) *reply {
		return who.patch("/api/v1/me", map[string]any{"own_units": "us"})
	}},
	"PUT /api/v1/me/password": {[6]int{401, 401, 401, 422, 422, 422}, func(_ *bundle, who browser) *reply {
		return who.put("/api/v1/me/password", map[string]any{"present": "not this one", "new": "four brown dippers"})
	}},
	"PUT /api/v1/me/signing-code": {done, func(_ *bundle, who browser) *reply {
		return who.put("/api/v1/me/signing-code", map[string]any{"password": password, "code": "482913"})
	}},
	"GET /api/v1/me/sessions":             {readers, reads("/api/v1/me/sessions")},
	"DELETE /api/v1/me/sessions":          {done, deletes("/api/v1/me/sessions")},
	"DELETE /api/v1/me/sessions/:session": {[6]int{401, 401, 401, 404, 404, 404}, deletes("/api/v1/me/sessions/999999")},
	"GET /api/v1/asks":                    {readers, reads("/api/v1/asks")},

	"GET /api/v1/group/safety":           {readers, reads(safetyPath)},
	"GET /api/v1/group/safety/proposals": {readers, reads(safetyPath + "/proposals")},
	"POST /api/v1/group/safety": {keepersMake, func(b *bundle, who browser) *reply {
		return who.post(safetyPath, b.wish(b.as(b.crew).get(safetyPath).number("id"), "matrix-0006", map[string]any{"gas_floor_m": 31}))
	}},
	"POST /api/v1/group/safety/:setting/signatures": {makers, func(b *bundle, who browser) *reply {
		return who.post(b.proposed("matrix-0007", map[string]any{"hydro_factor": stricter}), withPassword)
	}},
	"GET /api/v1/templates":          {readers, reads("/api/v1/templates")},
	"GET /api/v1/templates/:version": {readers, reads("/api/v1/templates/1")},
	"POST /api/v1/templates": {keepersMake, func(b *bundle, who browser) *reply {
		var list templateList
		b.as(b.crew).get("/api/v1/templates").read(&list)
		next := int(list.Items[0].Version) + 1
		return who.post("/api/v1/templates", map[string]any{"follows": b.inForce(list), "body": version(next), "why": "So.", "client_key": "matrix-0008"})
	}},
	"POST /api/v1/templates/:version/signatures": {makers, func(b *bundle, who browser) *reply {
		return who.post(b.proposedVersion("matrix-0009")+"/signatures", withPassword)
	}},
	"GET /api/v1/instruments": {readers, reads(instrumentsPath)},
	"POST /api/v1/instruments": {keepersMake, func(_ *bundle, who browser) *reply {
		return who.post(instrumentsPath, map[string]any{"facts": dial, "calibrated_on": nil, "calibration": "", "client_key": "matrix-0010"})
	}},
	"GET /api/v1/instruments/:instrument":      {readers, func(b *bundle, who browser) *reply { return who.get(b.instrumented("matrix-0011")) }},
	"GET /api/v1/instruments/:instrument/acts": {readers, func(b *bundle, who browser) *reply { return who.get(b.instrumented("matrix-0011") + "/acts") }},
	"PUT /api/v1/instruments/:instrument": {keepers, func(b *bundle, who browser) *reply {
		path := b.instrumented("matrix-0011")
		return who.ifMatch(b.version(path)).put(path, dial)
	}},
	"POST /api/v1/instruments/:instrument/calibrations": {keepersMake, func(b *bundle, who browser) *reply {
		return who.post(b.instrumented("matrix-0011")+"/calibrations", map[string]any{"calibrated_on": "2026-04-01", "text": "Deadweight tester", "client_key": "matrix-0012"})
	}},
	"POST /api/v1/instruments/:instrument/found-wrong": {keepersMake, func(b *bundle, who browser) *reply {
		return who.post(b.instrumented("matrix-0011")+"/found-wrong", map[string]any{"since": "2026-04-01", "text": "Reads high", "client_key": "matrix-0013"})
	}},
	"POST /api/v1/instruments/:instrument/retire": {keepersMake, func(b *bundle, who browser) *reply {
		return who.post(b.instrumented("matrix-0014")+"/retire", map[string]any{"on": "2026-04-01", "text": "Bent", "client_key": "matrix-0015"})
	}},
	"GET /api/v1/record": {readers, reads("/api/v1/record")},

	"GET /api/v1/stock":  {readers, reads(stockPath)},
	"POST /api/v1/stock": {makers, func(_ *bundle, who browser) *reply { return who.post(stockPath, shelved("matrix-0005")) }},
	"PUT /api/v1/stock/:item": {readers, func(b *bundle, who browser) *reply {
		return who.ifMatch(`"1"`).put(b.stocked(), facts(2))
	}},
	"DELETE /api/v1/stock/:item": {done, func(b *bundle, who browser) *reply {
		return who.ifMatch(`"1"`).send("DELETE", b.stocked(), "", "")
	}},

	"GET /api/v1/projects": {readers, reads("/api/v1/projects")},
	"POST /api/v1/projects": {makers, func(_ *bundle, who browser) *reply {
		return who.post("/api/v1/projects", map[string]any{"title": "Another", "purpose": "To see", "client_key": "matrix-0001"})
	}},
	"GET /api/v1/projects/:project": {readers, func(b *bundle, who browser) *reply { return who.get(b.projectURL()) }},
	"PATCH /api/v1/projects/:project": {crewOnly, func(b *bundle, who browser) *reply {
		return who.ifMatch(b.version(b.projectURL())).patch(b.projectURL(), map[string]any{"title": "Changed"})
	}},
	"GET /api/v1/projects/:project/site": {readers, func(b *bundle, who browser) *reply { return who.get(b.projectURL() + "/site") }},
	"PUT /api/v1/projects/:project/site": {crewOnly, func(b *bundle, who browser) *reply {
		return who.ifMatch(b.version(b.projectURL()+"/site")).put(b.projectURL()+"/site", noFacts)
	}},
	"GET /api/v1/projects/:project/site/gaugings": {readers, func(b *bundle, who browser) *reply { return who.get(gaugingsPath(b.project)) }},
	"POST /api/v1/projects/:project/site/gaugings": {crewMakes, func(b *bundle, who browser) *reply {
		return who.post(gaugingsPath(b.project), gauging(0.0034, "matrix-0003"))
	}},
	"GET /api/v1/projects/:project/log": {readers, func(b *bundle, who browser) *reply { return who.get(logPath(b.project)) }},
	"POST /api/v1/projects/:project/log": {makers, func(b *bundle, who browser) *reply {
		return who.post(logPath(b.project), noted("matrix-log-1", nil))
	}},
	"POST /api/v1/projects/:project/log/:entry/incident": {readers, func(b *bundle, who browser) *reply {
		return who.send("POST", b.written("matrix-log-2", nil)+"/incident", "", "")
	}},
	"POST /api/v1/projects/:project/log/:entry/rest": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		return who.post(b.leaked("matrix-log-3")+"/rest", harmless)
	}},
	"POST " + filesRoute: {makers, func(b *bundle, who browser) *reply {
		return who.uploads("flange.jpg", "matrix-file-1", "image/jpeg", photo(b, 64, 48))
	}},
	"GET " + filesRoute + "/:file": {readers, func(b *bundle, who browser) *reply { return who.get(b.shown("matrix-file-2")) }},
	"POST " + filesRoute + "/:file/hide": {keepers, func(b *bundle, who browser) *reply {
		return who.post(b.shown("matrix-file-3")+"/hide", harmless)
	}},
	"GET /api/v1/projects/:project/crew/others": {readers, func(b *bundle, who browser) *reply {
		return who.get(b.projectURL() + "/crew/others")
	}},
	"POST /api/v1/projects/:project/crew/asks": {crewOnly, func(b *bundle, who browser) *reply {
		return who.post(b.projectURL()+"/crew/asks", map[string]any{"member": b.keeper.id})
	}},
	"DELETE /api/v1/projects/:project/crew/asks/:ask": {crewOnly, func(b *bundle, who browser) *reply {
		return who.send("DELETE", b.askURL(b.keeper), "", "")
	}},
	"POST /api/v1/projects/:project/crew/asks/:ask/answer": {[6]int{401, 401, 401, 403, 403, 200}, func(b *bundle, who browser) *reply {
		return who.post(b.askURL(b.keeper)+"/answer", map[string]any{"yes": false})
	}},
	"POST /api/v1/projects/:project/crew": {[6]int{401, 401, 401, 403, 403, 409}, func(b *bundle, who browser) *reply {
		return who.post(b.projectURL()+"/crew", map[string]any{"member": b.member.id})
	}},
	"DELETE /api/v1/projects/:project/crew/me": {crewOnly, func(b *bundle, who browser) *reply {
		if who.who != b.crew { // on a project of its own, so that the crew stays for other rows
			return who.send("DELETE", b.projectURL()+"/crew/me", "", "")
		}
		own := b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "To be left", "purpose": "", "client_key": "matrix-0003"})
		return who.send("DELETE", own.Header().Get("Location")+"/crew/me", "", "")
	}},
	"POST /api/v1/projects/:project/designs": {crewMakes, func(b *bundle, who browser) *reply {
		return who.post(b.projectURL()+"/designs", map[string]any{"title": "Second", "client_key": "matrix-0002"})
	}},
	"GET /api/v1/projects/:project/designs/:design":           {readers, func(b *bundle, who browser) *reply { return who.get(b.designURL()) }},
	"GET /api/v1/projects/:project/designs/:design/revisions": {readers, func(b *bundle, who browser) *reply { return who.get(b.designURL() + "/revisions") }},
	"POST /api/v1/projects/:project/designs/:design/revisions": {crewMakes, func(b *bundle, who browser) *reply {
		design := b.as(b.crew).post(b.projectURL()+"/designs", map[string]any{"title": "Third", "client_key": "matrix-0004"}).Header().Get("Location")
		b.as(b.crew).ifMatch(b.version(design)).post(design+"/revisions/A/sheets", machine(b))
		b.db.Put(b, domain.Returned, "design_id = (SELECT max(id) FROM designs)")
		return who.ifMatch(b.version(design)).post(design+"/revisions", map[string]any{})
	}},
	"GET /api/v1/projects/:project/designs/:design/revisions/:letter/sheets": {readers, func(b *bundle, who browser) *reply {
		return who.get(b.sheetsURL())
	}},
	"POST /api/v1/projects/:project/designs/:design/revisions/:letter/sheets": {crewMakes, func(b *bundle, who browser) *reply {
		return who.ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(b))
	}},
	"GET /api/v1/projects/:project/designs/:design/revisions/:letter/sheets/:number": {readers, func(b *bundle, who browser) *reply {
		return who.get(b.saved())
	}},
	"GET /api/v1/projects/:project/designs/:design/revisions/:letter/sheets/:number/cuts": {readers, func(b *bundle, who browser) *reply {
		return who.get(b.saved() + "/cuts")
	}},
	"GET /api/v1/projects/:project/builds": {readers, func(b *bundle, who browser) *reply { return who.get(b.projectURL() + "/builds") }},
	"POST /api/v1/projects/:project/builds": {crewMakes, func(b *bundle, who browser) *reply {
		return who.post(b.projectURL()+"/builds", b.newBuildOf(b.clearedRevision(), "matrix-0006"))
	}},
	"GET /api/v1/projects/:project/builds/:build": {readers, func(b *bundle, who browser) *reply { return who.get(b.built("matrix-0030")) }},
	"POST /api/v1/projects/:project/builds/:build/versions": {crewMakes, func(b *bundle, who browser) *reply {
		build := b.built("matrix-0008")
		return who.ifMatch(b.version(build)).post(build+"/versions", map[string]any{"renewed": []string{"/parts/0"}})
	}},
	"POST /api/v1/projects/:project/builds/:build/state": {crewOnly, func(b *bundle, who browser) *reply {
		build := b.built("matrix-0009")
		return who.ifMatch(b.version(build)).post(build+"/state", map[string]any{"state": "built"})
	}},
	"POST /api/v1/projects/:project/builds/:build/builders": {crewOnly, func(b *bundle, who browser) *reply {
		return who.post(b.built("matrix-0030")+"/builders", map[string]any{"name": "Jo of the forge"})
	}},
	"GET " + testsRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.finished("matrix-0030") + "/tests") }},
	"POST " + testsRoute: {crewMakes, func(b *bundle, who browser) *reply {
		return who.post(b.finished("matrix-0021")+"/tests", map[string]any{"client_key": "matrix-0021"})
	}},
	"GET " + testsRoute + "/:test": {readers, func(b *bundle, who browser) *reply { return who.get(b.tested("matrix-0024")) }},
	// Any member signs as second, but not who built the machine.
	"POST " + testsRoute + "/:test/entries": {[6]int{401, 401, 401, 201, 409, 201}, func(b *bundle, who browser) *reply {
		return who.post(b.tested("matrix-0023")+"/entries", recorded("B03", who.who, "second", "matrix-0023", lawful))
	}},
	"POST " + testsRoute + "/:test/signatures": {[6]int{401, 401, 401, 201, 409, 201}, func(b *bundle, who browser) *reply {
		test := b.tested("matrix-0024")
		return who.post(test+"/signatures", map[string]any{"entry": b.begun(test), "sign": signs(who.who, "second"), "client_key": "matrix-0024"})
	}},
	"POST " + testsRoute + "/:test/close": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		return who.post(b.failed("matrix-0025")+"/close", map[string]any{"text": "cut out and replaced", "password": password})
	}},
	"GET " + certificateRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.built("matrix-0030") + "/certificate") }},
	"POST " + certificateRoute: {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		b.tested("matrix-0027")
		return who.post(b.built("matrix-0027")+"/certificate", map[string]any{"test": 1, "password": password})
	}},
	"POST " + certificateRoute + "/revoke": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		return who.post(b.built("matrix-0030")+"/certificate/revoke", map[string]any{"kind": "revoked", "reason": "doubt", "password": password})
	}},
	"GET " + runsRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.finished("matrix-0030") + "/runs") }},
	"POST " + runsRoute: {makers, func(b *bundle, who browser) *reply {
		return who.post(b.finished("matrix-0030")+"/runs", toOpen("matrix-0030"))
	}},
	"GET " + runsRoute + "/:run": {readers, func(b *bundle, who browser) *reply { return who.get(b.opened("matrix-0031")) }},
	"POST " + runsRoute + "/:run/points": {makers, func(b *bundle, who browser) *reply {
		return who.post(b.opened("matrix-0031")+"/points", toPoint("matrix-0032"))
	}},
	"POST " + runsRoute + "/:run/points/:point/readings": {makers, func(b *bundle, who browser) *reply {
		return who.post(b.opened("matrix-0031")+"/points/1/readings", bucketRead("matrix-0033", 25, 25.2))
	}},
	"POST " + runsRoute + "/:run/readings/:reading/strikes": {makers, func(b *bundle, who browser) *reply {
		return who.post(b.read("matrix-0034")+"/strikes", toStrike("matrix-0034"))
	}},
	"POST " + runsRoute + "/:run/submit": {readers, func(b *bundle, who browser) *reply {
		return who.send("POST", b.opened("matrix-0035")+"/submit", "", "")
	}},
	"POST " + runsRoute + "/:run/confirm": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		return who.post(b.judged("matrix-0036")+"/confirm", withPassword)
	}},
	"POST " + runsRoute + "/:run/set-aside": {crewOnly, func(b *bundle, who browser) *reply {
		return who.post(b.opened("matrix-0037")+"/set-aside", map[string]any{"reason": "the valve leaked", "password": password})
	}},
	"GET " + runsRoute + "/:run/verdict": {readers, func(b *bundle, who browser) *reply { return who.get(b.judged("matrix-0038") + "/verdict") }},
	"GET " + runsRoute + "/:run/plan":    {readers, func(b *bundle, who browser) *reply { return who.get(b.opened("matrix-0031") + "/plan") }},
	"POST " + importRoute: {[6]int{401, 401, 401, 403, 403, 201}, func(b *bundle, who browser) *reply {
		return b.brings(who, b.archive(), "matrix-0041", true)
	}},
	"GET /api/v1/projects/:project/export": {readers, func(b *bundle, who browser) *reply { return who.get(b.projectURL() + "/export") }},
	"GET /api/v1/projects/:project/builds/:build/export": {readers, func(b *bundle, who browser) *reply {
		return who.get(b.built("matrix-0011") + "/export")
	}},
	"GET " + runsRoute + "/:run/export": {readers, func(b *bundle, who browser) *reply { return who.get(b.opened("matrix-0031") + "/export") }},
	"GET /api/v1/evidence":              {readers, reads("/api/v1/evidence")},
	"GET " + setsRoute:                  {readers, reads(setsRoute)},
	"POST " + setsRoute: {makers, func(b *bundle, who browser) *reply {
		b.confirmed(true)
		return who.post(setsRoute, toPropose("matrix-0040"))
	}},
	"GET " + setsRoute + "/:proposal": {readers, func(b *bundle, who browser) *reply { return who.get(b.proposedByOther("matrix-0041")) }},
	"POST " + setsRoute + "/:proposal/adopt": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		return who.post(b.proposedByOther("matrix-0042")+"/adopt", withPassword)
	}},
	"GET /api/v1/builds/tags/:tag": {readers, func(b *bundle, who browser) *reply {
		return who.get(fmt.Sprintf("/api/v1/builds/tags/%d", b.as(b.crew).get(b.built("matrix-0011")).number("tag")))
	}},
	"GET " + revisionRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.designURL() + "/revisions/A") }},
	"POST " + revisionRoute + "/issue": {crewOnly, func(b *bundle, who browser) *reply {
		design := b.buildable("matrix-0011")
		return who.ifMatch(b.version(design)).post(design+"/revisions/A/issue", toIssue)
	}},
	"POST " + revisionRoute + "/take-back": {crewOnly, func(b *bundle, who browser) *reply {
		design := b.inCheck("matrix-0012")
		return who.ifMatch(b.version(design)).send("POST", design+"/revisions/A/take-back", "", "")
	}},
	"POST " + revisionRoute + "/outcomes": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		design := b.inCheck("matrix-0013")
		return who.ifMatch(b.version(design)).post(design+"/revisions/A/outcomes", saysClear)
	}},
	"POST " + revisionRoute + "/withdraw": {crewOnly, func(b *bundle, who browser) *reply {
		design := b.cleared("matrix-0014")
		return who.ifMatch(b.version(design)).post(design+"/revisions/A/withdraw", map[string]any{"reason": "the pipe was recalled"})
	}},
	"GET " + remarksRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.designURL() + "/remarks?open=1") }},
	"POST " + remarksRoute: {makers, func(b *bundle, who browser) *reply {
		return who.post(b.designURL()+"/remarks", remarkOf("matrix-0015"))
	}},
	"POST " + remarksRoute + "/:remark/answers": {crewMakes, func(b *bundle, who browser) *reply {
		return who.post(b.remarkBy(b.other(), "matrix-0016")+"/answers", map[string]any{"text": "By two clips.", "client_key": "matrix-0016"})
	}},
	"POST " + remarksRoute + "/:remark/rest": {[6]int{401, 401, 401, 403, 403, 403}, func(b *bundle, who browser) *reply {
		return who.post(b.remarkBy(b.other(), "matrix-0017")+"/rest", map[string]any{"reason": "It is fine."})
	}},
	"GET " + runRoute + "/files": {readers, func(b *bundle, who browser) *reply { return who.get(b.measured("matrix-0050") + "/files") }},
	"POST " + runRoute + "/files": {makers, func(b *bundle, who browser) *reply {
		return who.post(b.measured("matrix-0050")+"/files", announced(recording(), "matrix-0050"))
	}},
	"GET " + runRoute + "/files/:file": {readers, func(b *bundle, who browser) *reply { return who.get(b.announcedFile("matrix-0051")) }},
	"PUT " + partRoute: {readers, func(b *bundle, who browser) *reply {
		return who.send("PUT", b.announcedFile("matrix-0051")+"/parts/1", anyBytes, recording()+"\nmatrix-0051")
	}},
	"POST " + completeRoute: {readers, func(b *bundle, who browser) *reply {
		file, _ := b.readFile("matrix-0052")
		return who.post(file+"/done", map[string]any{})
	}},
	"GET " + runRoute + "/files/:file/chart": {readers, func(b *bundle, who browser) *reply {
		file, _ := b.readFile("matrix-0052")
		return who.get(file + "/chart?channel=tank")
	}},
	"GET " + windowsRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.measured("matrix-0050") + "/windows") }},
	"POST " + windowsRoute: {makers, func(b *bundle, who browser) *reply {
		file, run := b.readFile("matrix-0052")
		return who.post(run+"/windows", b.window(file, "matrix-0053"))
	}},
	"POST " + windowsRoute + "/:window/decisions": {readers, func(b *bundle, who browser) *reply {
		return who.post(b.windowed("matrix-0054")+"/decisions", strikes("matrix-0054"))
	}},
	"GET " + runRoute + "/loggers": {readers, func(b *bundle, who browser) *reply { return who.get(b.measured("matrix-0050") + "/loggers") }},
	"GET " + runRoute + "/loggers/:logger/chart": {readers, func(b *bundle, who browser) *reply {
		run := b.measured("matrix-0055")
		path, logger := b.sender("matrix-0055")
		b.as(logger).post(samplesRoute, samples("matrix-0055"))
		return who.get(run + path[strings.LastIndex(path, "/loggers"):] + "/chart?channel=tank")
	}},
	"GET " + loggersRoute: {readers, func(b *bundle, who browser) *reply { return who.get(b.finished("matrix-0030") + "/loggers") }},
	"POST " + loggersRoute: {makers, func(b *bundle, who browser) *reply {
		return who.post(b.finished("matrix-0030")+"/loggers", map[string]any{"name": "Float", "client_key": "matrix-0057"})
	}},
	"POST " + loggersRoute + "/:logger/revoke": {[6]int{401, 401, 401, 403, 200, 200}, func(b *bundle, who browser) *reply {
		path, _ := b.sender("matrix-0058")
		return who.send("POST", path+"/revoke", "", "")
	}},
	// Whoever is signed in: the logger shows its own token.
	"POST " + samplesRoute: {[6]int{201, 201, 201, 201, 201, 201}, func(b *bundle, _ browser) *reply {
		_, logger := b.sender("matrix-0059")
		return b.as(logger).post(samplesRoute, samples("matrix-0059"))
	}},
	"GET /api/v1/preview":   {readers, func(b *bundle, who browser) *reply { return who.get("/api/v1/preview") }},
	"POST /api/v1/preview":  {readers, func(b *bundle, who browser) *reply { return who.post("/api/v1/preview", machine(b)) }},
	"GET /api/v1/catalogue": {readers, reads("/api/v1/catalogue")},
	"GET /api/v1/searches":  {readers, reads("/api/v1/searches")},
	"POST /api/v1/searches": {makers, func(_ *bundle, who browser) *reply { return who.post("/api/v1/searches", drizzle) }},
	"GET /api/v1/searches/:search": {readers, func(_ *bundle, who browser) *reply {
		return who.get("/api/v1/searches/" + who.post("/api/v1/searches", drizzle).search())
	}},
	"DELETE /api/v1/searches/:search": {done, func(_ *bundle, who browser) *reply {
		return who.send("DELETE", "/api/v1/searches/"+who.post("/api/v1/searches", drizzle).search(), "", "")
	}},
	"GET /api/v1/calc":               {readers, reads("/api/v1/calc")},
	"GET /api/v1/calc/:family":       {readers, reads("/api/v1/calc/trompe")},
	"POST /api/v1/calc/:family":      {readers, func(b *bundle, who browser) *reply { return who.post("/api/v1/calc/trompe", bench(b).Input) }},
	"GET /api/v1/calc/:family/:name": {[6]int{401, 401, 401, 404, 404, 404}, reads("/api/v1/calc/nothing/such")},
	"POST /api/v1/calc/:family/:name": {[6]int{401, 401, 401, 404, 404, 404}, func(_ *bundle, who browser) *reply {
		return who.post("/api/v1/calc/nothing/such", "{}")
	}},
}

func TestEveryRouteHasARowInTheMatrix(t *testing.T) {
	var table, rows []string
	for _, r := range routes {
		table = append(table, r.method+" "+r.path)
	}
	for name := range matrix {
		rows = append(rows, name)
	}
	require.ElementsMatch(t, table, rows)
}

// prepared makes what takes the longest in many rows, which find it by its key.
func (b *bundle) prepared() *bundle {
	for _, key := range []string{"matrix-0008", "matrix-0009", "matrix-0011"} {
		b.built(key)
	}
	for _, key := range []string{"0021", "0023", "0024", "0025", "0027", "0030", "0050", "0051", "0052", "0054", "0055", "0058", "0059"} {
		b.finished("matrix-" + key)
	}
	b.judged("matrix-0036")
	b.judged("matrix-0038")
	b.confirmed(true)
	b.archive()
	return b
}

// archive is the project as it was when it was asked for first.
func (b *bundle) archive() []byte {
	return []byte(b.once("archive", func() string { return string(b.carried()) }))
}

func TestMatrix(t *testing.T) {
	world := setup(t).prepared()
	for kind, column := range kinds {
		b := world.copied(t)
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			b.TB, b.db.t = t, t
			who := b.kind(kind)
			for _, r := range routes {
				name := r.method + " " + r.path
				a := matrix[name].call(b, b.as(who))
				want := matrix[name].want[column]
				if status, other := apart[name][kind]; other {
					want = status
				}
				require.Equal(t, want, a.Code, "%s for %s: %s", name, kind, a.Body)
			}
		})
	}
}

func TestForbiddenNamesWhoHasTheRight(t *testing.T) {
	t.Parallel()
	b := setup(t)
	a := b.as(b.member).ifMatch(`"1"`).patch(b.projectURL(), map[string]any{"title": "Mine now"})
	require.Equal(t, "not-on-crew", a.code())
	require.Contains(t, a.Body.String(), b.crew.name)
	require.Equal(t, "Mill race", b.as(b.crew).get(b.projectURL()).at("title"))
}

// A role taken away or a session ended counts at the next request.
func TestTokensGiveNoRightsOfTheirOwn(t *testing.T) {
	t.Parallel()
	b := setup(t)
	require.Equal(t, 200, b.as(b.member).get("/api/v1/me").Code)
	b.db.exec(`UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1`, b.member.id)
	require.Equal(t, "signed-out", b.as(b.member).get("/api/v1/me").code())
	_, err := b.notebook.NewKeeperCode(context.Background())
	require.Error(t, err, "a keeper exists")
}
