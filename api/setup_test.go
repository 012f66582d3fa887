package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/interval"
	"leat/domain"
	"leat/domain/notebook"
)

const password = "three quiet herons"

// cheapKiB is the memory of a password hash in these tests, which sign in
// hundreds of people; domain/notebook tests what it costs in earnest.
const cheapKiB = 64

// bundle is a whole server on a database of its own, with people in it.
type bundle struct {
	testing.TB
	*server
	h   http.Handler
	db  database
	log *logBook

	keeper, crew, member *person // crew has started the project
	closed, demo         *person // signed in while they still could
	nobody               *person

	project domain.ProjectID
	design  domain.DesignID

	paths map[string]string // paths of what is made once for each key
}

// once returns what was made under a name, or makes it.
func (b *bundle) once(name string, do func() string) string {
	b.Helper()
	if _, there := b.paths[name]; !there {
		b.paths[name] = do()
	}
	return b.paths[name]
}

// person is somebody with a browser.
type person struct {
	name, address  string
	id             domain.AccountID
	token, refresh string
}

// setup starts a server with a keeper, a crew of one, a member who is not on it,
// an account that was closed, one of a demo, and one project with one design.
func setup(t testing.TB) *bundle {
	t.Helper()
	b := &bundle{TB: t, log: &logBook{}, nobody: &person{name: "Nobody"}, paths: map[string]string{}}
	b.db = openDatabase(t)
	o := bareOptions(t)
	o.Notebook = notebook.New(b.db.DB.DB, notebook.Options{Draws: interval.Least, HashKiB: cheapKiB})
	o.Log = b.log.logger()
	b.server = newServer(o)
	b.h = b.server.handler(nil)
	b.people()
	started := b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "Mill race", "purpose": "", "client_key": "project-0001"})
	require.Equal(t, 201, started.Code, started.Body.String())
	b.project = domain.ProjectID(started.number("id"))
	design := b.as(b.crew).post(projectPath(b.project)+"/designs", map[string]any{"title": "Trompe", "client_key": "design-0001"})
	require.Equal(t, 201, design.Code, design.Body.String())
	b.design = domain.DesignID(design.number("id"))
	return b
}

// copied is another server, on a copy of the database, with the same people signed in.
// Nothing may use the first one any more.
func (b *bundle) copied(t testing.TB) *bundle {
	t.Helper()
	again := *b
	again.TB, again.log, again.paths = t, &logBook{}, maps.Clone(b.paths)
	again.db = database{b.db.Copy(t), t}
	return again.restarted()
}

func (b *bundle) people() {
	code, err := b.notebook.NewKeeperCode(context.Background())
	require.NoError(b, err)
	b.keeper = &person{name: "Ines", address: "ines@thornwick.example"}
	b.keeper.takes(b.as(b.nobody).post("/api/v1/setup/keeper", map[string]any{
		"code": code, "name": b.keeper.name, "address": b.keeper.address, "password": password,
	}))
	add := func(name string) *person {
		p := &person{name: name, address: strings.ToLower(name) + "@thornwick.example"}
		b.db.exec(`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
			SELECT $1, $2, password_hash, false, false, false, false, now() FROM accounts WHERE keeper`, p.name, p.address)
		b.signsIn(p)
		return p
	}
	b.crew, b.member, b.closed, b.demo = add("Petra"), add("Tomasz"), add("Olwen"), add("Bram")
	b.db.exec(`UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1`, b.closed.id)
	b.db.exec(`UPDATE accounts SET demo = true WHERE id = $1`, b.demo.id)
}

// signsIn gives the person a new session.
func (b *bundle) signsIn(p *person) {
	b.Helper()
	p.takes(b.as(b.nobody).post("/api/v1/session", map[string]any{"address": p.address, "password": password}))
}

// takes keeps what a session answer gives.
func (p *person) takes(a *reply) {
	a.b.Helper()
	require.Less(a.b, a.Code, 300, a.Body.String())
	var s sessionAnswer
	a.read(&s)
	p.id, p.token = s.Member.ID, s.AccessToken
	p.refresh = a.cookie().Value
}

// browser sends requests as somebody.
type browser struct {
	b      *bundle
	who    *person
	header []string
}

func (b *bundle) as(who *person) browser { return browser{b: b, who: who} }

// with adds a header.
func (w browser) with(header ...string) browser {
	w.header = append(append([]string{}, w.header...), header...)
	return w
}

// ifMatch names the version that was read.
func (w browser) ifMatch(etag string) browser { return w.with("If-Match", etag) }

func (w browser) get(path string) *reply            { return w.send("GET", path, "", "") }
func (w browser) post(path string, body any) *reply { return w.json("POST", path, plainJSON, body) }
func (w browser) put(path string, body any) *reply  { return w.json("PUT", path, plainJSON, body) }
func (w browser) patch(path string, body any) *reply {
	return w.json("PATCH", path, mergePatch, body)
}

func (w browser) json(method, path, kind string, body any) *reply {
	text, isText := body.(string)
	if !isText {
		data, err := json.Marshal(body)
		require.NoError(w.b, err)
		text = string(data)
	}
	return w.send(method, path, kind, text)
}

// send gives one request to the server and holds the answer against the contract.
func (w browser) send(method, path, kind, body string) *reply {
	w.b.Helper()
	req := httptest.NewRequest(method, path, strings.NewReader(body))
	if kind != "" {
		req.Header.Set("Content-Type", kind)
	}
	if w.who.token != "" {
		req.Header.Set("Authorization", "Bearer "+w.who.token)
	}
	for i := 0; i+1 < len(w.header); i += 2 {
		req.Header.Add(w.header[i], w.header[i+1])
	}
	rec := httptest.NewRecorder()
	w.b.h.ServeHTTP(rec, req)
	if rec.Code >= 400 {
		p := problemIn(w.b, rec)
		require.Equal(w.b, statusOf(w.b, p.Code), strconv.Itoa(rec.Code), "status of the code %q", p.Code)
	}
	if r, found := matching(method, req.URL.Path); found && looksAgain(r, rec.Code) {
		followsContract(w.b, r, req, rec)
	}
	return &reply{rec, w.b}
}

// looked counts how often answers of a route with one status were held against the
// contract.
var looked sync.Map

// looksAgain tells whether one more answer is to be held against the contract: the
// first dozen of a route and status are. To compile its schema takes longer than the
// answer, and setting up for tests asks the same things hundreds of times.
func looksAgain(r route, status int) bool {
	n, _ := looked.LoadOrStore(fmt.Sprint(r.method, r.path, status), new(atomic.Int32))
	return n.(*atomic.Int32).Add(1) <= 12
}

// refreshes sends the refresh cookie as the page does.
func (w browser) refreshes() *reply {
	return w.with("Cookie", refreshCookie+"="+w.who.refresh, "Sec-Fetch-Site", "same-origin").send("POST", "/api/v1/session/refresh", "", "")
}

// reply is an answer, already held against the contract.
type reply struct {
	*httptest.ResponseRecorder
	b *bundle
}

func (a *reply) read(into any) {
	a.b.Helper()
	dec := json.NewDecoder(bytes.NewReader(a.Body.Bytes()))
	dec.DisallowUnknownFields()
	require.NoError(a.b, dec.Decode(into), a.Body.String())
}

// at finds a value by the names on the way to it.
func (a *reply) at(names ...string) any {
	a.b.Helper()
	var v any
	require.NoError(a.b, json.Unmarshal(a.Body.Bytes(), &v), a.Body.String())
	for _, name := range names {
		object, ok := v.(map[string]any)
		require.True(a.b, ok, "no object above %s in %s", name, a.Body)
		v, ok = object[name]
		require.True(a.b, ok, "no %s in %s", name, a.Body)
	}
	return v
}

func (a *reply) number(names ...string) int64 {
	a.b.Helper()
	n, ok := a.at(names...).(float64)
	require.True(a.b, ok, a.Body.String())
	return int64(n)
}

func (a *reply) etag() string { return a.Header().Get("ETag") }

func (a *reply) code() string { return problemIn(a.b, a.ResponseRecorder).Code }

func (a *reply) cookie() *http.Cookie {
	a.b.Helper()
	cookies := a.Result().Cookies()
	require.Len(a.b, cookies, 1)
	return cookies[0]
}

// paths of the project and the design that every bundle has.
func (b *bundle) projectURL() string { return projectPath(b.project) }
func (b *bundle) designURL() string  { return designPath(b.project, b.design) }
func (b *bundle) sheetsURL() string  { return b.designURL() + "/revisions/A/sheets" }

// askURL is the path of an ask to somebody, asked by now.
func (b *bundle) askURL(member *person) string {
	b.Helper()
	var p projectAnswer
	b.as(b.crew).post(b.projectURL()+"/crew/asks", map[string]any{"member": member.id}).read(&p)
	i := slices.IndexFunc(p.Asks, func(a askAnswer) bool { return a.Member.ID == member.id })
	require.GreaterOrEqual(b, i, 0)
	return fmt.Sprintf("%s/crew/asks/%d", b.projectURL(), p.Asks[i].ID)
}

// version reads the ETag of a thing.
func (b *bundle) version(path string) string {
	b.Helper()
	a := b.as(b.crew).get(path)
	require.Equal(b, 200, a.Code, a.Body.String())
	return a.etag()
}

// benchCase is a machine with numbers from an independent implementation.
type benchCase struct {
	Input    map[string]any `json:"input"`
	Result   map[string]any `json:"result"`
	Warnings []string       `json:"warnings"`
}

func bench(t testing.TB) benchCase {
	t.Helper()
	text, err := os.ReadFile("testdata/bench.json")
	require.NoError(t, err)
	var c benchCase
	require.NoError(t, json.Unmarshal(text, &c))
	return c
}

func machine(t testing.TB) map[string]any {
	return map[string]any{"input": map[string]any{"trompe": bench(t).Input}}
}

var noFacts = map[string]any{
	"name": "", "source": nil, "fall_m": nil, "flow_m3s": nil, "gauged": "", "static_pa": nil,
	"t_water_c": nil, "t_air_c": nil, "altitude_m": nil, "note": "",
}
