package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/stretchr/testify/require"
)

// What every step of the crowd is made of: who, what, and how it is answered.

// notes puts something on the board.
func (c *crowd) notes(kind string, t *known) *known {
	c.board.Lock()
	defer c.board.Unlock()
	for _, known := range c.things[kind] {
		if known.path == t.path && known.id == t.id {
			return known
		}
	}
	c.things[kind] = append(c.things[kind], t)
	return t
}

func (c *crowd) all(kind string) []*known {
	c.board.Lock()
	defer c.board.Unlock()
	return slices.Clone(c.things[kind])
}

// one draws something of a kind, the first few more often; nil where there is
// none.
func (s *step) one(kind string) *known {
	list := s.all(kind)
	if len(list) == 0 {
		return nil
	}
	if s.chance(50) {
		return list[s.rng.IntN(min(4, len(list)))]
	}
	return list[s.rng.IntN(len(list))]
}

func (s *step) chance(percent int) bool { return s.rng.IntN(100) < percent }

func (s *step) key(name string) string { return fmt.Sprintf("crowd-%s-%06d", name, s.number) }

func pick[T any](s *step, from ...T) T { return from[s.rng.IntN(len(from))] }

func (c *crowd) everybody() []*mate {
	c.board.Lock()
	defer c.board.Unlock()
	return slices.Clone(c.people)
}

// who draws somebody of whom something is so; whoever it is, when the step is to
// be wrong or nobody is.
func (s *step) who(fits func(*mate) bool) *mate {
	all := s.everybody()
	right := slices.DeleteFunc(slices.Clone(all), func(p *mate) bool { return s.is(goneKey(p.no())) || !s.wrong && fits != nil && !fits(p) })
	if len(right) == 0 {
		right = all
	}
	return right[s.rng.IntN(len(right))]
}

func (c *crowd) byID(id int64) *mate {
	for _, p := range c.everybody() {
		if p.no() == id {
			return p
		}
	}
	return nil
}

func (s *step) crewOf(project *known) func(*mate) bool {
	return func(p *mate) bool { return s.is(crewKey(project.id, p.no())) }
}

func (s *step) role(role string) func(*mate) bool {
	return func(p *mate) bool { return s.is(roleKey(role, p.no())) }
}

// matchOf is the version to send: mostly the one that was read; when the step is
// wrong, at times an older one, or none.
func (s *step) matchOf(etag string) string {
	if !s.wrong || !s.chance(25) {
		return etag
	}
	s.lies = "it was sent with no version, or a wrong one"
	if n := versionIn(etag); n > 1 && s.chance(70) {
		return fmt.Sprintf(`"%d"`, n-1)
	}
	return ""
}

func versionIn(etag string) int64 {
	n, _ := strconv.ParseInt(strings.Trim(etag, `"`), 10, 64)
	return n
}

// passwordOf is somebody's password, and seldom a wrong one.
func (s *step) passwordOf() string {
	if s.wrong && s.chance(3) {
		s.lies = "the password was wrong"
		return "three loud herons"
	}
	return password
}

// sends sends a request, and returns the answer when it says yes. means is what
// that makes so.
func (s *step) sends(p *mate, method, path, etag string, body any, means ...fact) (*reply, window, bool) {
	s.Helper()
	begin, turns := s.begins(means)
	a := s.raw(p, method, path, etag, body)
	yes := a.Code < 300
	lies := s.lies
	s.lies = ""
	w := s.ends(begin, means, turns, yes)
	s.wrote(p, method, path, body, a)
	if a.Code >= 500 {
		s.fault("step %d: %s %s answered %d: %s", s.number, method, path, a.Code, a.Body)
	}
	if yes && lies != "" {
		s.fault("step %d: %s %s said yes, though %s", s.number, method, path, lies)
	}
	if yes && s.was(goneKey(p.no()), w) {
		s.fault("step %d: %s %s said yes to %s, whose account is closed", s.number, method, path, p.name)
	}
	return a, w, yes
}

// raw sends a request; whose token has run out, or who was signed out, signs in
// again.
func (s *step) raw(p *mate, method, path, etag string, body any) *reply {
	try := func() *reply {
		p.sign.Lock()
		token := p.token
		p.sign.Unlock()
		return s.exchange(token, method, path, etag, body)
	}
	a := try()
	if a.Code == 401 && !s.is(goneKey(p.no())) {
		p.sign.Lock()
		in := s.b.as(s.b.nobody).post("/api/v1/session", map[string]any{"address": p.address, "password": password})
		if in.Code < 300 {
			p.takes(in)
		}
		p.sign.Unlock()
		a = try()
	}
	return a
}

type jpegFile string

// exchange gives one request to the server. Every answer must have a status that
// the contract names; every fourth is held against all of it, which takes longer
// than to answer.
func (s *step) exchange(token, method, path, etag string, body any) *reply {
	kind, text := plainJSON, ""
	switch data := body.(type) {
	case nil:
		kind = ""
	case jpegFile:
		kind, text = "image/jpeg", string(data)
	default:
		if method == http.MethodPatch {
			kind = mergePatch
		}
		raw, err := json.Marshal(data)
		require.NoError(s, err)
		text = string(raw)
	}
	req := httptest.NewRequest(method, path, strings.NewReader(text))
	for name, value := range map[string]string{"Content-Type": kind, "If-Match": etag, "Authorization": "Bearer " + token} {
		if value != "" {
			req.Header.Set(name, value)
		}
	}
	rec := httptest.NewRecorder()
	s.b.h.ServeHTTP(rec, req)
	r, found := matching(method, req.URL.Path)
	require.True(s, found, "no route %s %s", method, path)
	op := contractOf(s).Paths.Value(contractPath(r.path)).GetOperation(method)
	require.NotNil(s, op.Responses.Status(rec.Code), "%s %s may not answer %d: %s", method, path, rec.Code, rec.Body)
	if rec.Code >= 400 {
		code := problemIn(s, rec).Code
		require.Equal(s, statusOf(s, code), strconv.Itoa(rec.Code), "status of the code %q", code)
	}
	if s.number%4 == 0 {
		followsContract(s, r, req, rec)
	}
	return &reply{rec, s.b}
}

// wrote keeps the last requests, to be told when a rule is broken.
func (s *step) wrote(p *mate, method, path string, body any, a *reply) {
	code, text := "", ""
	if a.Code >= 400 {
		code = problemIn(s.b, a.ResponseRecorder).Code
	}
	if data, err := json.Marshal(body); err == nil {
		text = string(data[:min(len(data), 160)])
	}
	s.board.Lock()
	defer s.board.Unlock()
	s.answers[strconv.Itoa(a.Code)]++
	if method == "GET" && a.Code == 200 {
		return
	}
	s.trace = append(s.trace, fmt.Sprintf("%d %s(%d) %s %s %s: %d %s", s.number, p.name, p.id, method, path, text, a.Code, code))
	s.trace = s.trace[max(0, len(s.trace)-traceMost):]
}

// reading gets something that is there.
func (s *step) reading(p *mate, path string) (*reply, bool) {
	a, w, yes := s.sends(p, "GET", path, "", nil)
	if !yes && !s.could(goneKey(p.no()), true, w) {
		s.fault("step %d: %s could not read %s: %d %s", s.number, p.name, path, a.Code, a.Body)
	}
	return a, yes
}

// believes refuses to believe an answer.
func (s *step) believes(is bool, format string, args ...any) {
	if !is {
		s.fault("step %d: not to be believed: %s", s.number, fmt.Sprintf(format, args...))
	}
}

// did counts what was answered with yes.
func (s *step) did(what string) {
	s.board.Lock()
	defer s.board.Unlock()
	s.done[what]++
}

// keptOnce notes the row of an answer that says that something was made, and sends
// the same once more at times: nothing is made twice.
func (s *step) keptOnce(p *mate, path string, body any, a *reply, table string) {
	if a.Code == 201 {
		s.makes(table)
	}
	if s.chance(15) {
		again, _, yes := s.sends(p, "POST", path, "", body)
		s.believes(!yes || again.Code == 200, "a retry of %s made a second one: %d", path, again.Code)
	}
}

func (s *step) crewDid(project *known, p *mate, w window, what string) {
	s.believes(s.could(crewKey(project.id, p.no()), true, w), "%s by %s, who was not on the crew of %d", what, p.name, project.id)
	s.believes(s.could(shutKey(project.id), false, w), "%s in project %d, which is closed", what, project.id)
}

func listOf(a *reply, names ...string) []map[string]any {
	var out []map[string]any
	list, _ := a.at(names...).([]any)
	for _, one := range list {
		if v, ok := one.(map[string]any); ok {
			out = append(out, v)
		}
	}
	return out
}

func numberIn(v any) int64 {
	n, _ := v.(float64)
	return int64(n)
}

func idIn(v map[string]any, names ...string) int64 {
	for _, name := range names[:max(0, len(names)-1)] {
		v, _ = v[name].(map[string]any)
	}
	if len(names) == 0 {
		return numberIn(v["id"])
	}
	return numberIn(v[names[len(names)-1]])
}

func textIn(v map[string]any, name string) string {
	text, _ := v[name].(string)
	return text
}

// photoOf is a picture of a project, sent once.
func (s *step) photoOf(p *mate, project *known) int64 {
	project.mu.Lock()
	defer project.mu.Unlock()
	if project.photo == 0 {
		query := url.Values{"name": {"flange.jpg"}, "client_key": {fmt.Sprintf("photo-%06d", project.id)}}
		a, _, yes := s.sends(p, "POST", project.path+"/files?"+query.Encode(), "", jpegFile(photo(s, 64, 48)))
		if yes {
			project.photo = a.number("id")
		}
	}
	return project.photo
}
