package api

import (
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

var (
	toIssue   = map[string]any{"sheet": 1, "note": "please look at the riser", "ask": []any{}}
	saysClear = map[string]any{"outcome": "clear", "note": "", "password": password}
)

func remarkOf(key string) map[string]any {
	return map[string]any{"letter": "A", "pin": map[string]any{"kind": "part", "at": "riser"}, "weight": "query", "text": "How is it held?", "client_key": key}
}

// buildable returns the path of a new design whose sheet may be issued; two must
// clear it.
func (b *bundle) buildable(key string) string {
	b.Helper()
	made := b.as(b.crew).post(b.projectURL()+"/designs", map[string]any{"title": "Bench", "client_key": key})
	require.Less(b, made.Code, 300, made.Body.String())
	design := made.Header().Get("Location")
	raw, err := os.ReadFile("../domain/notebook/demo/bench-pe.json")
	require.NoError(b, err)
	saved := b.as(b.crew).ifMatch(b.version(design)).post(design+"/revisions/A/sheets", map[string]any{"input": json.RawMessage(raw)})
	require.Equal(b, 201, saved.Code, saved.Body.String())
	return design
}

func (b *bundle) inCheck(key string) string {
	b.Helper()
	design := b.buildable(key)
	issued := b.as(b.crew).ifMatch(b.version(design)).post(design+"/revisions/A/issue", toIssue)
	require.Equal(b, 200, issued.Code, issued.Body.String())
	return design
}

func (b *bundle) clears(design string, who *person) *reply {
	b.Helper()
	a := b.as(who).ifMatch(b.version(design)).post(design+"/revisions/A/outcomes", saysClear)
	require.Equal(b, 200, a.Code, a.Body.String())
	return a
}

func (b *bundle) cleared(key string) string {
	b.Helper()
	design := b.inCheck(key)
	b.clears(design, b.other())
	require.Equal(b, "cleared", b.clears(design, b.other()).at("state"))
	return design
}

// other adds a checker who has nothing to do with anything.
func (b *bundle) other() *person {
	b.Helper()
	p := &person{name: "Wen"}
	require.NoError(b, b.db.SQL.QueryRow(`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
		SELECT 'Wen', 'wen.' || (SELECT count(*) FROM accounts) || '@thornwick.example', password_hash, true, false, false, false, now()
			FROM accounts WHERE id = $1 RETURNING id, address`, b.crew.id).Scan(&p.id, &p.address))
	b.signsIn(p)
	return p
}

// remarkBy returns the path of a new remark.
func (b *bundle) remarkBy(who *person, key string) string {
	b.Helper()
	a := b.as(who).post(b.designURL()+"/remarks", remarkOf(key))
	require.Equal(b, 201, a.Code, a.Body.String())
	return fmt.Sprintf("%s/%d", a.Header().Get("Location"), a.number("id"))
}

func TestDesignGoesFromDraftToClearedAndIsWithdrawn(t *testing.T) {
	t.Parallel()
	b := setup(t)
	design := b.buildable("check-0001")
	revision := design + "/revisions/A"
	draft := b.as(b.crew).get(revision)
	require.Contains(t, draft.at("allowed_actions"), "issue_revision")
	require.Nil(t, draft.at("issue"))
	wen, olwen := b.other(), b.other()
	issued := b.as(b.crew).ifMatch(draft.etag()).post(revision+"/issue", map[string]any{"sheet": 1, "note": "", "ask": []domain.AccountID{wen.id}})
	require.Equal(t, "in_check", issued.at("state"), issued.Body.String())
	require.EqualValues(t, 2, issued.number("issue", "checkers"))
	require.Len(t, issued.at("issue", "asked"), 1)
	require.Len(t, issued.at("may_check"), 2)
	require.NotEqual(t, draft.etag(), issued.etag())
	require.Equal(t, issued.etag(), b.version(design))
	require.Equal(t, "design-stale", b.as(wen).ifMatch(draft.etag()).post(revision+"/outcomes", saysClear).code())
	require.Equal(t, 422, b.as(wen).ifMatch(issued.etag()).post(revision+"/outcomes", map[string]any{"outcome": "clear", "note": "", "password": "not this one"}).Code)
	b.clears(design, wen)
	last := b.clears(design, olwen)
	require.Equal(t, "cleared", last.at("state"))
	require.Equal(t, []any{}, last.at("lacks"))
	require.NotContains(t, b.as(b.crew).get(design).at("allowed_actions"), "edit_design")
	gone := b.as(b.crew).ifMatch(last.etag()).post(revision+"/withdraw", map[string]any{"reason": "the pipe was recalled"})
	require.Equal(t, "withdrawn", gone.at("state"))
	require.Equal(t, "the pipe was recalled", gone.at("end", "reason"))
}

func TestRemarkIsSentOnceAnsweredAndLaidToRest(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.designURL() + "/remarks"
	first := b.as(b.member).post(path, remarkOf("remark-0001"))
	again := b.as(b.member).post(path, remarkOf("remark-0001"))
	require.Equal(t, 201, first.Code)
	require.Equal(t, 200, again.Code)
	require.JSONEq(t, first.Body.String(), again.Body.String())
	require.ElementsMatch(t, []any{"answer_remark", "lay_remark_to_rest"}, first.at("allowed_actions"))
	remark := fmt.Sprintf("%s/%d", path, first.number("id"))
	answer := map[string]any{"text": "By two clips.", "client_key": "answer-0001"}
	require.Equal(t, 201, b.as(b.crew).post(remark+"/answers", answer).Code)
	require.Equal(t, 200, b.as(b.crew).post(remark+"/answers", answer).Code)
	require.EqualValues(t, 1, b.as(b.crew).get(b.designURL()+"/revisions/A").number("open_remarks", "queries"))
	laid := b.as(b.member).post(remark+"/rest", map[string]any{"reason": ""})
	require.Equal(t, "Tomasz", laid.at("laid_to_rest", "by", "name"))
	require.Len(t, laid.at("answers"), 1)
	require.Equal(t, []any{}, b.as(b.crew).get(path+"?open=1").at("items"))
	require.Len(t, b.as(b.crew).get(path).at("items"), 1)
	require.Equal(t, 400, b.as(b.crew).get(path+"?open=yes").Code)
	require.Equal(t, 404, b.as(b.crew).post(path+"/999/rest", map[string]any{"reason": ""}).Code)
	require.Equal(t, "/ask", b.badAsk(t))
}

// badAsk sends something else than a list.
func (b *bundle) badAsk(t *testing.T) string {
	a := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions/A/issue", map[string]any{"sheet": 1, "note": "", "ask": "Wen"})
	require.Equal(t, 422, a.Code)
	return problemIn(t, a.ResponseRecorder).Fields[0].Pointer
}
