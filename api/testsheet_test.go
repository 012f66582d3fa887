package api

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// finished returns the path of a build that is said to be built.
func (b *bundle) finished(key string) string {
	b.Helper()
	return b.once("finished "+key, func() string {
		build := b.built(key)
		a := b.puts(build, "built")
		require.Equal(b, 200, a.Code, a.Body.String())
		return build
	})
}

// tested returns the path of a test sheet that runs, made once for each key.
func (b *bundle) tested(key string) string {
	b.Helper()
	a := b.as(b.crew).post(b.finished(key)+"/tests", map[string]any{"client_key": key})
	require.Less(b, a.Code, 300, a.Body.String())
	return a.Header().Get("Location")
}

// recorded is an item with its values, signed with the password.
func recorded(item string, who *person, role, key string, values map[string]any) map[string]any {
	return map[string]any{"item": item, "values": values, "sign": signs(who, role), "client_key": key}
}

func signs(who *person, role string) map[string]any {
	return map[string]any{"member": who.id, "role": role, "password": password}
}

// lawful is what B03 asks, which anybody may sign early who did not build.
var lawful = map[string]any{"legal_note": "the boiler rules were read", "law_checked": true}

// begun records the first item as the crew, who built it, and returns its entry.
func (b *bundle) begun(test string) int64 {
	b.Helper()
	sheet := b.as(b.crew).get(test)
	names, _ := sheet.at("names").(map[string]any)
	a := b.as(b.crew).post(test+"/entries", recorded("B01", b.crew, "builder", "begun-00001", map[string]any{"review_closed": true, "revision_hash": names["revision_hash"]}))
	require.Less(b, a.Code, 300, a.Body.String())
	return int64(a.item("B01").number("entry", "id"))
}

// thing is a part of an answer.
type thing struct {
	b *bundle
	v map[string]any
}

func (t thing) number(path ...string) float64 {
	v := any(t.v)
	for _, name := range path {
		object, _ := v.(map[string]any)
		v = object[name]
	}
	n, ok := v.(float64)
	require.True(t.b, ok, "%v of %v", path, t.v)
	return n
}

// item is an item of a test sheet that was answered.
func (a *reply) item(id string) thing {
	items, _ := a.at("items").([]any)
	for _, one := range items {
		if v, _ := one.(map[string]any); v["id"] == id {
			return thing{a.b, v}
		}
	}
	require.Fail(a.b, "no item "+id)
	return thing{}
}

// failed returns the path of a test sheet that was stopped.
func (b *bundle) failed(key string) string {
	b.Helper()
	test := b.tested(key)
	stopped := recorded("P05", b.crew, "builder", key, map[string]any{})
	stopped["stop"] = "a joint came apart while it was looked at"
	a := b.as(b.crew).post(test+"/entries", stopped)
	require.Less(b, a.Code, 300, a.Body.String())
	return test
}

// passed returns the path of a build whose test was passed, by hand.
func (b *bundle) passed(key string) string {
	b.Helper()
	b.tested(key)
	b.db.exec(`ALTER TABLE test_sheets DISABLE TRIGGER ALL`)
	b.db.exec(`UPDATE test_sheets SET ended = 'passed', ended_at = now() WHERE ended IS NULL`)
	b.db.exec(`ALTER TABLE test_sheets ENABLE ALWAYS TRIGGER test_sheets_kept`)
	return b.built(key)
}

// certified returns the path of a build with a certificate, made by hand.
func (b *bundle) certified(key string) string {
	b.Helper()
	build := b.passed(key)
	b.db.exec(`ALTER TABLE certificates DISABLE TRIGGER ALL`)
	b.db.exec(`INSERT INTO certificates (build_id, sheet_id, build_version, pressure_hash, site, body, builders, issued_by, issued_at, expires_on, expires_at, link)
		SELECT build_id, id, build_version, pressure_hash, 'below the mill (0)', (SELECT jsonb_object_agg(k, '') FROM unnest(string_to_array($1, ', ')) k), builders, started_by, now(), current_date + 1, (current_date + 2)::timestamp AT TIME ZONE 'UTC', link FROM test_sheets ORDER BY id DESC LIMIT 1`,
		strings.Join(contractOf(b).Components.Schemas["Certificate"].Value.Properties["body"].Value.Required, ", "))
	return build
}

func TestTestSheetOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	build := b.finished("test-00001")
	list := b.as(b.crew).get(build + "/tests")
	require.Equal(t, []any{"start_test"}, list.at("allowed_actions"))
	require.Empty(t, list.at("refused"))
	require.Empty(t, b.as(b.member).get(build+"/tests").at("allowed_actions"))
	test := b.tested("test-00001")
	require.Equal(t, 200, b.as(b.crew).post(build+"/tests", map[string]any{"client_key": "test-00001"}).Code)
	require.Contains(t, b.as(b.crew).get(build+"/tests").at("refused"), "Test sheet 1")

	shown := b.as(b.member).get(test)
	require.Equal(t, "open", shown.item("B03").v["state"])
	tag := shown.etag()
	same := b.as(b.member).with("If-None-Match", tag).get(test)
	require.Equal(t, 304, same.Code)
	require.Empty(t, same.Body.String())
	require.Equal(t, 200, b.as(b.crew).with("If-None-Match", tag).get(test).Code, "another reader")

	req := recorded("B03", b.member, "second", "item-00001", lawful)
	signed := b.as(b.crew).post(test+"/entries", req)
	require.Equal(t, 201, signed.Code, signed.Body.String())
	require.Equal(t, "met", signed.item("B03").v["state"])
	again := b.as(b.crew).post(test+"/entries", req)
	require.Equal(t, 200, again.Code)
	require.Equal(t, 200, b.as(b.member).with("If-None-Match", tag).get(test).Code, "it was signed meanwhile")

	entry := b.begun(test)
	require.Equal(t, "signing", b.as(b.crew).get(test).item("B01").v["state"])
	second := b.as(b.crew).post(test+"/signatures", map[string]any{"entry": entry, "sign": signs(b.keeper, "second"), "client_key": "item-00002"})
	require.Equal(t, 201, second.Code, second.Body.String())
	require.Equal(t, "met", second.item("B01").v["state"])

	wrong := recorded("B02", b.keeper, "second", "item-00003", map[string]any{"gas_decision": "conditional", "conditions_met": true})
	wrong["sign"] = map[string]any{"member": b.keeper.id, "role": "second", "password": "not this one"}
	require.Equal(t, 422, b.as(b.crew).post(test+"/entries", wrong).Code)
	require.Empty(t, b.as(b.crew).get(test).item("B02").v["refused"], "who did not prove who they are leaves nothing")
	bad := recorded("B02", b.keeper, "second", "item-00004", map[string]any{})
	bad["device_at"] = "noon"
	require.Equal(t, 422, b.as(b.crew).post(test+"/entries", bad).Code)
	require.Equal(t, 404, b.as(b.crew).get(build+"/tests/2").Code)
	require.Equal(t, 404, b.as(b.crew).get(b.projectURL()+"/builds/999/tests/1").Code)

	none := b.as(b.crew).get(build + "/certificate")
	require.Nil(t, none.at("certificate"))
	require.Empty(t, none.at("items"))
}
