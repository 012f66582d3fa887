package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
	"leat/domain"
)

// settings are the usual ones, with some replaced.
func settings(t testing.TB, change map[string]any) map[string]any {
	t.Helper()
	text, err := json.Marshal(domain.DefaultSafetySettings())
	require.NoError(t, err)
	var all map[string]any
	require.NoError(t, json.Unmarshal(text, &all))
	maps.Copy(all, change)
	return all
}

func (b *bundle) wish(follows int64, key string, change map[string]any) map[string]any {
	return map[string]any{"follows": follows, "settings": settings(b, change), "why": "Old pipe everywhere.", "client_key": key}
}

// proposed proposes settings as the keeper, and returns the path of its
// signatures.
func (b *bundle) proposed(key string, change map[string]any) string {
	b.Helper()
	a := b.as(b.keeper).post(safetyPath, b.wish(b.as(b.crew).get(safetyPath).number("id"), key, change))
	require.Less(b, a.Code, 300, a.Body.String())
	return fmt.Sprintf("%s/%d/signatures", safetyPath, a.number("id"))
}

// inForceNow has settings proposed and signed by two, one of them a steward.
func (b *bundle) inForceNow(key string, change map[string]any) {
	b.Helper()
	b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.crew.id)
	path := b.proposed(key, change)
	for _, who := range []*person{b.crew, b.member} {
		require.Equal(b, http.StatusCreated, b.as(who).post(path, withPassword).Code)
	}
}

var withPassword = map[string]any{"password": password}

const stricter = 1.75

// A change of the safety settings from the proposal to the sheet that is
// calculated with it.
func TestSafetySettingsFromProposalToSheet(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.crew.id)
	path := b.proposed("safety-0001", map[string]any{"hydro_factor": stricter})
	require.EqualValues(t, 0, b.as(b.member).get(safetyPath).number("id"), "a proposal alone changes nothing")

	wrong := b.as(b.member).post(path, map[string]any{"password": "not this one"})
	require.Equal(t, "invalid", wrong.code())
	require.Equal(t, "/password", problemIn(t, wrong.ResponseRecorder).Fields[0].Pointer)
	require.Equal(t, http.StatusCreated, b.as(b.member).post(path, withPassword).Code)
	require.Equal(t, "approved-before", b.as(b.member).post(path, withPassword).code(), "one person for both")
	require.Equal(t, "not-steward", b.as(b.keeper).post(path, withPassword).code(), "two members, no steward")
	require.EqualValues(t, 0, b.as(b.member).get(safetyPath).number("id"))
	last := b.as(b.crew).post(path, withPassword)
	require.Equal(t, http.StatusCreated, last.Code, last.Body.String())
	require.Equal(t, "in_force", last.at("state"))

	var now safetyAnswer
	b.as(b.member).get(safetyPath).read(&now)
	require.Equal(t, stricter, now.Settings.HydroFactor)
	require.Equal(t, 1.5, now.Usual.HydroFactor)
	require.Equal(t, []string{"hydro_factor"}, now.InForce.Tightens)
	require.Empty(t, now.Waiting)

	parts := map[string]any{"trompe": bench(t).Input, "facts": map[string]any{"t_hot_c": 20, "t_cold_c": 6},
		"parts": []any{map[string]any{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d50-pn12.5", "joint": "solvent"}}}
	preview := b.as(b.member).post("/api/v1/preview", map[string]any{"input": parts})
	require.Equal(t, stricter, preview.at("report", "build", "limits", "hydro_factor"), preview.Body.String())
	saved := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), map[string]any{"input": parts})
	require.Equal(t, http.StatusCreated, saved.Code, saved.Body.String())
	require.Equal(t, stricter, saved.at("report", "build", "limits", "hydro_factor"))
	record := b.as(b.member).get("/api/v1/record")
	require.Contains(t, record.Body.String(), `"safety_signed"`)
}

func TestProposalsAreBoundedAndSentOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	over := b.as(b.keeper).post(safetyPath, b.wish(0, "safety-0002", map[string]any{"p_brittle_max_pa": 50_001, "hydro_factor": 1.4}))
	require.Equal(t, "invalid", over.code())
	fields := problemIn(t, over.ResponseRecorder).Fields
	require.Len(t, fields, 2)
	require.Equal(t, "/settings/p_brittle_max_pa", fields[0].Pointer)
	require.Contains(t, fields[0].Message, "0.5 bar", "the bound is said in words")
	one := b.as(b.keeper).post(safetyPath, b.wish(0, "safety-0003", map[string]any{"hydro_factor": stricter}))
	again := b.as(b.keeper).post(safetyPath, b.wish(0, "safety-0003", map[string]any{"hydro_factor": stricter}))
	require.Equal(t, []int{201, 200}, []int{one.Code, again.Code})
	require.Equal(t, one.number("id"), again.number("id"))
	require.Len(t, b.as(b.member).get(safetyPath+"/proposals").at("items"), 1)
	var s safetyAnswer
	b.as(b.member).get(safetyPath).read(&s)
	require.Contains(t, s.Waiting[0].Lacks, "steward", "nobody in the group is one")
	require.Equal(t, []domain.Action{domain.ApproveSafety}, s.Waiting[0].Allowed)
}

// version is the first procedure with another number.
func version(n int) string {
	return strings.Replace(procedure.FirstText(), `"version": 1`, fmt.Sprintf(`"version": %d`, n), 1)
}

// proposedVersion proposes the next version of the procedure as the keeper, and
// returns its path.
func (b *bundle) proposedVersion(key string) string {
	b.Helper()
	var list templateList
	b.as(b.keeper).get("/api/v1/templates").read(&list)
	next := int(list.Items[0].Version) + 1
	a := b.as(b.keeper).post("/api/v1/templates", map[string]any{"follows": b.inForce(list), "body": version(next), "why": "We measure the noise too.", "client_key": key})
	require.Less(b, a.Code, 300, a.Body.String())
	return a.Header().Get("Location")
}

func (b *bundle) inForce(list templateList) domain.TemplateVersion {
	for _, t := range list.Items {
		if t.State == domain.ApprovalInForce {
			return t.Version
		}
	}
	require.Fail(b, "no version is in force")
	return 0
}

func TestAVersionOfTheProcedureFromProposalToForce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.crew.id)
	path := b.proposedVersion("template-0001")
	require.Equal(t, version(2), b.as(b.member).get(path).at("body"))
	require.Equal(t, "waiting", b.as(b.member).get(path).at("state"))
	require.Equal(t, http.StatusCreated, b.as(b.crew).post(path+"/signatures", withPassword).Code)
	require.Equal(t, "approved-before", b.as(b.crew).post(path+"/signatures", withPassword).code())
	require.Equal(t, http.StatusCreated, b.as(b.keeper).post(path+"/signatures", withPassword).Code)
	require.Equal(t, "in_force", b.as(b.member).get(path).at("state"))
	require.Equal(t, "past", b.as(b.member).get("/api/v1/templates/1").at("state"))

	try := func(body string) problem {
		a := b.as(b.keeper).post("/api/v1/templates", map[string]any{"follows": 2, "body": body, "why": "So.", "client_key": "template-0002"})
		return problemIn(t, a.ResponseRecorder)
	}
	require.Equal(t, "/body", try("{").Fields[0].Pointer)
	require.Equal(t, "version", try(version(2)).Fields[0].Code)
	require.Equal(t, "/body", try(strings.Replace(version(3), `"point": "hold"`, `"point": "held"`, 1)).Fields[0].Pointer)
}

var dial = map[string]any{
	"name": "Test gauge", "kind": "pressure_gauge", "serial": "G-17", "unit": "Pa", "range_low": 0, "range_high": 600000, "resolution": 10000,
	"class_pct": 1.6, "accuracy": nil, "interval_days": 365, "note": "",
}

// instrumented returns the path of an instrument in the register.
func (b *bundle) instrumented(key string) string {
	b.Helper()
	a := b.as(b.keeper).post(instrumentsPath, map[string]any{"facts": dial, "calibrated_on": "2026-03-01", "calibration": "Deadweight tester", "client_key": key})
	require.Less(b, a.Code, 300, a.Body.String())
	return a.Header().Get("Location")
}

func TestAnInstrumentFromTheShelfToItsEnd(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.instrumented("instrument-0001")
	require.Equal(t, path, b.instrumented("instrument-0001"), "sent twice, made once")
	today := time.Now().UTC().Format(time.DateOnly)
	calibrated := b.as(b.keeper).post(path+"/calibrations", map[string]any{"calibrated_on": today, "text": "Deadweight tester", "client_key": "act-00000001"})
	require.Equal(t, http.StatusCreated, calibrated.Code, calibrated.Body.String())
	require.Equal(t, false, calibrated.at("overdue"))
	require.Equal(t, "", calibrated.at("unfit"))
	wrong := map[string]any{"since": "2026-04-01", "text": "0.2 bar high against the manometer", "client_key": "act-00000002"}
	require.Equal(t, "found_wrong", b.as(b.keeper).post(path+"/found-wrong", wrong).at("found_wrong", "kind"))
	require.Equal(t, http.StatusOK, b.as(b.keeper).post(path+"/found-wrong", wrong).Code)
	require.Contains(t, b.as(b.member).get(path).at("unfit"), "found wrong")
	require.Len(t, b.as(b.member).get(path+"/acts").at("items"), 3)

	retire := map[string]any{"on": today, "text": "Bourdon tube bent", "client_key": "act-00000003"}
	require.Equal(t, http.StatusCreated, b.as(b.keeper).post(path+"/retire", retire).Code)
	require.Equal(t, http.StatusOK, b.as(b.keeper).post(path+"/retire", retire).Code, "a retry")
	require.Equal(t, "instrument-retired", b.as(b.keeper).ifMatch(`"1"`).put(path, dial).code())
	late := map[string]any{"since": "2026-02-01", "text": "Already then", "client_key": "act-00000004"}
	require.Equal(t, http.StatusCreated, b.as(b.keeper).post(path+"/found-wrong", late).Code, "that it was wrong may come out later")
	tomorrow := map[string]any{"calibrated_on": time.Now().AddDate(0, 0, 3).Format(time.DateOnly), "text": "x", "client_key": "act-00000005"}
	require.Equal(t, "/calibrated_on", problemIn(t, b.as(b.keeper).post(b.instrumented("instrument-0002")+"/calibrations", tomorrow).ResponseRecorder).Fields[0].Pointer)
}

func TestASigningCodeTakesThePassword(t *testing.T) {
	t.Parallel()
	b := setup(t)
	set := func(pass, code string) *reply {
		return b.as(b.member).put("/api/v1/me/signing-code", map[string]any{"password": pass, "code": code})
	}
	require.Equal(t, false, b.as(b.member).get("/api/v1/me").at("signing_code_set"))
	require.Equal(t, "/code", problemIn(t, set(password, "123456").ResponseRecorder).Fields[0].Pointer)
	require.Equal(t, "/password", problemIn(t, set("not this one", "482913").ResponseRecorder).Fields[0].Pointer)
	require.Equal(t, http.StatusNoContent, set(password, "482913").Code)
	a := b.as(b.member).get("/api/v1/me")
	require.Equal(t, true, a.at("signing_code_set"))
	require.NotContains(t, a.Body.String(), "482913")
}
