package api

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/golang-jwt/jwt/v5"
	"github.com/stretchr/testify/require"

	"leat/domain"
)

// provoked has a way to every problem code of the contract.
var provoked = map[string]func(b *bundle) *reply{
	"archive-here": func(b *bundle) *reply {
		archive := b.carried()
		b.brings(b.as(b.keeper), archive, "problem-0091", false)
		return b.brings(b.as(b.keeper), archive, "problem-0092", false)
	},
	"set-differs": func(b *bundle) *reply {
		b.cleared("problem-0093")
		other := b.repacked(b.carried(), replaced(`\"set\": \"0\",`, `\"set\": \"0\", \"mill\": 1,`))
		return b.brings(b.as(b.keeper), other, "problem-0093", false)
	},
	"cleared-elsewhere": func(b *bundle) *reply {
		b.cleared("problem-0094")
		a := b.brings(b.as(b.keeper), b.carried(), "problem-0095", false)
		path := a.Header().Get("Location")
		b.as(b.keeper).post(path+"/crew", map[string]any{"member": b.crew.id})
		var p projectAnswer
		b.as(b.crew).get(path).read(&p)
		var design int64
		for _, d := range p.Designs {
			if d.Revision.State == "cleared" {
				design = int64(d.ID)
			}
		}
		return b.as(b.crew).post(path+"/builds", map[string]any{"title": "Rig", "design": design, "letter": "A", "place": "mill", "client_key": "problem-0096"})
	},
	"archive-broken":    func(b *bundle) *reply { return b.brings(b.as(b.keeper), []byte("a letter"), "problem-0097", false) },
	"archive-too-large": func(b *bundle) *reply { return b.brings(b.as(b.keeper), b.bomb(), "problem-0098", false) },
	"archive-other-version": func(b *bundle) *reply {
		return b.brings(b.as(b.keeper), b.repacked(b.carried(), replaced(`"schema": `, `"schema": 1`)), "problem-0099", false)
	},
	"archive-unfit": func(b *bundle) *reply {
		return b.brings(b.as(b.keeper), b.repacked(b.carried(), replaced(`"Mill race"`, `""`)), "problem-0100", false)
	},
	"malformed-json":     func(b *bundle) *reply { return b.as(b.crew).post("/api/v1/preview", `{"input":`) },
	"malformed-query":    func(b *bundle) *reply { return b.as(b.crew).get("/api/v1/projects?limit=many") },
	"malformed-if-match": func(b *bundle) *reply { return b.as(b.crew).ifMatch("7").patch(b.projectURL(), `{}`) },
	"sign-in-required":   func(b *bundle) *reply { return b.as(b.nobody).get("/api/v1/me") },
	"token-invalid":      func(b *bundle) *reply { return b.as(&person{token: "none"}).get("/api/v1/me") },
	"token-expired": func(b *bundle) *reply {
		claims := goodClaims()
		claims["exp"] = time.Now().Add(-time.Minute).Unix()
		header := map[string]any{"typ": tokenType, "kid": b.tokens.keys.kid}
		return b.as(&person{token: signed(b, jwt.SigningMethodEdDSA, b.tokens.keys.signing, header, claims)}).get("/api/v1/me")
	},
	"signed-out": func(b *bundle) *reply {
		b.as(b.member).send("DELETE", "/api/v1/session", "", "")
		return b.as(b.member).get("/api/v1/me")
	},
	"sign-in-refused": func(b *bundle) *reply {
		return b.as(b.nobody).post("/api/v1/session", map[string]any{"address": b.crew.address, "password": "not this one"})
	},
	"not-on-crew": func(b *bundle) *reply {
		return b.as(b.keeper).post(b.projectURL()+"/designs", map[string]any{"title": "t", "client_key": "problem-0001"})
	},
	"not-keeper": func(b *bundle) *reply {
		return b.as(b.crew).send("POST", b.somebody()+"/reset-code", "", "")
	},
	"own-role": func(b *bundle) *reply {
		return b.as(b.keeper).ifMatch(b.version("/api/v1/group")).put(b.pathOf(b.keeper)+"/roles", map[string]any{"checker": false, "steward": true, "keeper": true})
	},
	"last-keeper": func(b *bundle) *reply {
		return b.as(b.keeper).ifMatch(b.version("/api/v1/group")).put(b.pathOf(b.keeper)+"/roles", noRoles)
	},
	"account-closed": func(b *bundle) *reply {
		return b.as(b.keeper).send("POST", b.pathOf(b.closed)+"/reset-code", "", "")
	},
	"address-taken": func(b *bundle) *reply {
		_, code := b.invited()
		return b.as(b.nobody).post("/api/v1/invitations/accept", map[string]any{"code": code, "name": "Olwen", "address": b.crew.address, "password": password})
	},
	"invitation-used": func(b *bundle) *reply {
		path, code := b.invited()
		b.as(b.nobody).post("/api/v1/invitations/accept", map[string]any{"code": code, "name": "Olwen", "address": "olwen@thornwick.example", "password": password})
		return b.as(b.keeper).send("DELETE", path, "", "")
	},
	"group-stale": func(b *bundle) *reply {
		return b.as(b.keeper).ifMatch(`"999"`).put(b.somebody()+"/roles", noRoles)
	},
	"not-asked": func(b *bundle) *reply {
		return b.as(b.crew).post(b.askURL(b.member)+"/answer", map[string]any{"yes": true})
	},
	"on-crew": func(b *bundle) *reply {
		return b.as(b.crew).post(b.projectURL()+"/crew/asks", map[string]any{"member": b.crew.id})
	},
	"crew-there": func(b *bundle) *reply {
		return b.as(b.keeper).post(b.projectURL()+"/crew", map[string]any{"member": b.member.id})
	},
	"ask-answered": func(b *bundle) *reply {
		ask := b.askURL(b.member)
		b.as(b.member).post(ask+"/answer", map[string]any{"yes": false})
		return b.as(b.crew).send("DELETE", ask, "", "")
	},
	"password-changed": func(b *bundle) *reply { // between the proof of the present one and the change
		b.db.exec(`CREATE FUNCTION passed_over() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NULL; END $$`)
		b.db.exec(`CREATE TRIGGER passed_over BEFORE UPDATE OF password_hash ON accounts FOR EACH ROW EXECUTE FUNCTION passed_over()`)
		return b.as(b.crew).put("/api/v1/me/password", map[string]any{"present": password, "new": "four brown dippers"})
	},
	"not-steward": func(b *bundle) *reply { return b.as(b.member).post(b.leaked("problem-0005")+"/rest", harmless) },
	"built-it": func(b *bundle) *reply {
		b.db.exec("UPDATE accounts SET steward = true")
		return b.as(b.crew).post(b.leaked("problem-0005")+"/rest", harmless)
	},
	"no-incident": func(b *bundle) *reply {
		b.db.exec("UPDATE accounts SET steward = true WHERE keeper")
		return b.as(b.keeper).post(b.written("problem-0005", nil)+"/rest", harmless)
	},
	"incident-rested": func(b *bundle) *reply {
		b.db.exec("UPDATE accounts SET steward = true WHERE keeper")
		b.as(b.keeper).post(b.leaked("problem-0005")+"/rest", harmless)
		return b.as(b.keeper).post(b.leaked("problem-0005")+"/rest", harmless)
	},
	"entry-struck": func(b *bundle) *reply {
		old := b.as(b.crew).post(logPath(b.project), noted("problem-0005", nil)).number("id")
		b.as(b.crew).post(logPath(b.project), noted("problem-0006", map[string]any{"strikes": old}))
		return b.as(b.member).post(logPath(b.project), noted("problem-0007", map[string]any{"strikes": old}))
	},
	"same-person": func(b *bundle) *reply {
		b.as(b.keeper).post(b.shown("problem-0005")+"/hide", harmless)
		return b.as(b.keeper).post(b.shown("problem-0005")+"/hide", harmless)
	},
	"same-role": func(b *bundle) *reply {
		b.db.exec("UPDATE accounts SET keeper = true WHERE id = $1", b.member.id)
		b.as(b.keeper).post(b.shown("problem-0005")+"/hide", harmless)
		return b.as(b.member).post(b.shown("problem-0005")+"/hide", harmless)
	},
	"file-hidden": func(b *bundle) *reply {
		b.db.exec("UPDATE accounts SET steward = true WHERE id = $1", b.member.id)
		path := b.shown("problem-0005")
		b.as(b.keeper).post(path+"/hide", harmless)
		b.as(b.member).post(path+"/hide", harmless)
		return b.as(b.crew).get(path)
	},
	"not-a-picture": func(b *bundle) *reply { return b.as(b.crew).uploads("a.jpg", "problem-0005", "image/jpeg", "<html>") },
	"picture-broken": func(b *bundle) *reply {
		return b.as(b.crew).uploads("a.jpg", "problem-0005", "image/jpeg", photo(b, 64, 48)[:300])
	},
	"picture-too-large": func(b *bundle) *reply { // a header that claims 65536 pixels by 65536
		return b.as(b.crew).uploads("a.png", "problem-0005", "image/png",
			"\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR\x00\x01\x00\x00\x00\x01\x00\x00\x08\x02\x00\x00\x00\xe3\xe6\xa7\xb4")
	},
	"cross-site": func(b *bundle) *reply {
		return b.as(b.crew).with("Sec-Fetch-Site", "cross-site").send("POST", "/api/v1/session/refresh", "", "")
	},
	"not-found":          func(b *bundle) *reply { return b.as(b.crew).get("/api/v1/projects/999999") },
	"search-gone":        func(b *bundle) *reply { return b.as(b.crew).get("/api/v1/searches/none") },
	"method-not-allowed": func(b *bundle) *reply { return b.as(b.crew).put("/api/v1/me", "{}") },
	"approved-before": func(b *bundle) *reply {
		path := b.proposed("problem-0005", map[string]any{"hydro_factor": stricter})
		b.as(b.member).post(path, withPassword)
		return b.as(b.member).post(path, withPassword)
	},
	"approval-complete": func(b *bundle) *reply {
		b.inForceNow("problem-0005", map[string]any{"hydro_factor": stricter})
		return b.as(b.keeper).post(safetyPath+"/1/signatures", withPassword)
	},
	"proposal-overtaken": func(b *bundle) *reply {
		path := b.proposed("problem-0006", map[string]any{"gas_floor_m": 31})
		b.inForceNow("problem-0005", map[string]any{"hydro_factor": stricter})
		return b.as(b.member).post(path, withPassword)
	},
	"nothing-changed": func(b *bundle) *reply { return b.as(b.keeper).post(safetyPath, b.wish(0, "problem-0005", nil)) },
	"safety-stale": func(b *bundle) *reply {
		b.inForceNow("problem-0005", map[string]any{"hydro_factor": stricter})
		return b.as(b.keeper).post(safetyPath, b.wish(0, "problem-0006", map[string]any{"gas_floor_m": 31}))
	},
	"template-stale": func(b *bundle) *reply {
		return b.as(b.keeper).post("/api/v1/templates", map[string]any{"follows": 7, "body": version(2), "why": "So.", "client_key": "problem-0005"})
	},
	"instrument-stale": func(b *bundle) *reply {
		return b.as(b.keeper).ifMatch(`"7"`).put(b.instrumented("problem-0005"), dial)
	},
	"instrument-retired": func(b *bundle) *reply {
		path := b.instrumented("problem-0005")
		b.as(b.keeper).post(path+"/retire", map[string]any{"on": "2026-04-01", "text": "Bent", "client_key": "problem-0006"})
		return b.as(b.keeper).post(path+"/calibrations", map[string]any{"calibrated_on": "2026-04-01", "text": "x", "client_key": "problem-0007"})
	},
	"instruments-full": func(b *bundle) *reply {
		b.instrumented("problem-0005")
		b.db.exec(`INSERT INTO instruments (name, kind, serial, unit, range_low, range_high, interval_days, note, added_by, added_at, changed_by, changed_at, client_key, version)
			SELECT name, kind, serial, unit, range_low, range_high, interval_days, note, added_by, added_at, changed_by, changed_at, 'key-many-' || n, 1 FROM instruments, generate_series(1, 499) n`)
		return b.as(b.keeper).post(instrumentsPath, map[string]any{"facts": dial, "calibrated_on": nil, "calibration": "", "client_key": "problem-0006"})
	},
	"too-many-signatures": func(b *bundle) *reply {
		path := b.proposed("problem-0005", map[string]any{"hydro_factor": stricter})
		for range 10 {
			b.as(b.member).post(path, map[string]any{"password": "not this one"})
		}
		return b.as(b.member).post(path, withPassword)
	},
	"offer-there": func(b *bundle) *reply {
		b.as(b.member).post(stockPath, sold(pe63, 3.0, 1250, "stock-0003"))
		return b.as(b.crew).post(stockPath, sold(pe63, 6.0, nil, "stock-0004"))
	},
	"stock-full": func(b *bundle) *reply {
		b.fillStock(1000)
		return b.as(b.member).post(stockPath, shelved("stock-0006"))
	},
	"stock-stale":     func(b *bundle) *reply { return b.as(b.crew).ifMatch(`"7"`).put(b.stocked(), facts(1)) },
	"too-many-pieces": (*bundle).tooManyPieces,
	"project-closed": func(b *bundle) *reply {
		b.as(b.crew).ifMatch(b.version(b.projectURL())).patch(b.projectURL(), map[string]any{"closed": true})
		return b.as(b.crew).post(b.projectURL()+"/designs", map[string]any{"title": "t", "client_key": "problem-0002"})
	},
	"keeper-exists": func(b *bundle) *reply {
		return b.as(b.nobody).post("/api/v1/setup/keeper", map[string]any{"code": "AAAA-BBBB-CCCC", "name": "Eve", "address": "eve@thornwick.example", "password": password})
	},
	"revision-frozen": func(b *bundle) *reply {
		b.db.Put(b, domain.InCheck, "true")
		return b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(b))
	},
	"revision-open": func(b *bundle) *reply {
		b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), machine(b))
		b.db.Put(b, domain.InCheck, "true")
		return b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions", map[string]any{})
	},
	"revision-empty": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions/A/issue", toIssue)
	},
	"letter-is-draft": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions", map[string]any{})
	},
	"not-checker": func(b *bundle) *reply {
		design := b.inCheck("problem-0011")
		return b.as(b.member).ifMatch(b.version(design)).post(design+"/revisions/A/outcomes", saysClear)
	},
	"own-design": func(b *bundle) *reply {
		design := b.inCheck("problem-0011")
		b.db.exec(`UPDATE accounts SET checker = true`)
		return b.as(b.crew).ifMatch(b.version(design)).post(design+"/revisions/A/outcomes", saysClear)
	},
	"not-issuable": func(b *bundle) *reply {
		b.saved()
		return b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions/A/issue", toIssue)
	},
	"not-in-check": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(b.version(b.designURL())).send("POST", b.designURL()+"/revisions/A/take-back", "", "")
	},
	"outcome-there": func(b *bundle) *reply {
		design := b.inCheck("problem-0011")
		b.clears(design, b.other())
		return b.as(b.crew).ifMatch(b.version(design)).send("POST", design+"/revisions/A/take-back", "", "")
	},
	"outcome-given": func(b *bundle) *reply {
		design, other := b.inCheck("problem-0011"), b.other()
		b.clears(design, other)
		return b.as(other).ifMatch(b.version(design)).post(design+"/revisions/A/outcomes", saysClear)
	},
	"not-cleared": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.designURL()+"/revisions/A/withdraw", map[string]any{"reason": "it fell"})
	},
	"not-raiser": func(b *bundle) *reply {
		return b.as(b.crew).post(b.remarkBy(b.member, "problem-0011")+"/rest", map[string]any{"reason": ""})
	},
	"remark-at-rest": func(b *bundle) *reply {
		remark := b.remarkBy(b.member, "problem-0011")
		b.as(b.member).post(remark+"/rest", map[string]any{"reason": ""})
		return b.as(b.crew).post(remark+"/answers", map[string]any{"text": "So.", "client_key": "problem-0012"})
	},
	"not-builder": func(b *bundle) *reply {
		return b.as(b.member).post(b.finished("problem-0020")+"/tests", map[string]any{"client_key": "problem-0020"})
	},
	"test-not-ready": func(b *bundle) *reply {
		return b.as(b.crew).post(b.built("problem-0020")+"/tests", map[string]any{"client_key": "problem-0020"})
	},
	"test-runs": func(b *bundle) *reply {
		b.tested("problem-0020")
		return b.as(b.crew).post(b.built("problem-0020")+"/tests", map[string]any{"client_key": "problem-0021"})
	},
	"test-refused": func(b *bundle) *reply {
		return b.as(b.crew).post(b.tested("problem-0020")+"/entries", recorded("B03", b.crew, "second", "problem-0020", lawful))
	},
	"outside-limits": func(b *bundle) *reply {
		return b.as(b.crew).post(b.tested("problem-0020")+"/entries", recorded("P05", b.crew, "builder", "problem-0020", map[string]any{"ventilated": false}))
	},
	"paper-late": func(b *bundle) *reply {
		late := recorded("P05", b.crew, "builder", "problem-0020", map[string]any{"ventilated": true})
		late["from_paper"] = map[string]any{"at": "2020-01-01T12:00:00Z", "file": 1}
		return b.as(b.crew).post(b.tested("problem-0020")+"/entries", late)
	},
	"nonconformance-open": func(b *bundle) *reply {
		b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.member.id)
		return b.as(b.member).post(b.failed("problem-0020")+"/close", map[string]any{"text": "cut out", "password": password})
	},
	"nonconformance-closed": func(b *bundle) *reply {
		b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.member.id)
		test := b.failed("problem-0020")
		b.db.exec(`ALTER TABLE nonconformance_closings DISABLE TRIGGER ALL`)
		b.db.exec(`INSERT INTO nonconformance_closings (nonconformance_id, disposition, text, who, at, link) SELECT id, 'replace', 'cut out', who, now(), link FROM nonconformances`)
		return b.as(b.member).post(test+"/close", map[string]any{"text": "cut out", "password": password})
	},
	"certificate-refused": func(b *bundle) *reply {
		b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.member.id)
		b.tested("problem-0020")
		return b.as(b.member).post(b.built("problem-0020")+"/certificate", map[string]any{"test": 1, "password": password})
	},
	"signed-as-second": func(b *bundle) *reply {
		b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.member.id)
		test := b.tested("problem-0020")
		b.as(b.crew).post(test+"/entries", recorded("B03", b.member, "second", "problem-0020", lawful))
		return b.as(b.member).post(b.passed("problem-0020")+"/certificate", map[string]any{"test": 1, "password": password})
	},
	"certificate-ended": func(b *bundle) *reply {
		b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.member.id)
		revoke := b.certified("problem-0020") + "/certificate/revoke"
		reason := map[string]any{"kind": "revoked", "reason": "doubt", "password": password}
		b.as(b.member).post(revoke, reason)
		return b.as(b.member).post(revoke, reason)
	},
	"run-refused": func(b *bundle) *reply {
		return b.as(b.crew).post(b.built("problem-0022")+"/runs", toOpen("problem-0022"))
	},
	"run-outdated": func(b *bundle) *reply {
		run := b.opened("problem-0022")
		build := b.finished("run-build-1")
		b.as(b.crew).ifMatch(b.version(build)).post(build+"/versions", renewedDrum)
		return b.as(b.crew).post(run+"/points", toPoint("problem-0023"))
	},
	"run-frozen": func(b *bundle) *reply {
		return b.as(b.crew).post(b.judged("problem-0022")+"/points", toPoint("problem-0023"))
	},
	"run-full": func(b *bundle) *reply {
		run := b.opened("problem-0022")
		for i := range domain.RunPointsMost - 1 {
			b.as(b.crew).post(run+"/points", toPoint(fmt.Sprintf("problem-01%02d", i)))
		}
		return b.as(b.crew).post(run+"/points", toPoint("problem-0023"))
	},
	"reading-struck": func(b *bundle) *reply {
		strikes := b.read("problem-0022") + "/strikes"
		b.as(b.crew).post(strikes, toStrike("problem-0022"))
		return b.as(b.crew).post(strikes, toStrike("problem-0023"))
	},
	"run-not-submitted": func(b *bundle) *reply {
		return b.as(b.kind("steward")).post(b.opened("problem-0022")+"/confirm", withPassword)
	},
	"verdict-waiting": func(b *bundle) *reply {
		run := b.opened("problem-0022")
		b.as(b.crew).send("POST", run+"/submit", "", "")
		return b.as(b.kind("steward")).post(run+"/confirm", withPassword)
	},
	"took-part": func(b *bundle) *reply {
		return b.as(b.kind("crew and steward")).post(b.judged("problem-0022")+"/confirm", withPassword)
	},
	"run-ended": func(b *bundle) *reply {
		run := b.judged("problem-0022")
		b.as(b.kind("steward")).post(run+"/confirm", withPassword)
		return b.as(b.kind("keeper and steward")).post(run+"/confirm", withPassword)
	},
	"own-proposal": func(b *bundle) *reply {
		steward := b.kind("steward")
		return b.as(steward).post(b.proposedSet(steward, "problem-0040")+"/adopt", withPassword)
	},
	"sole-author": func(b *bundle) *reply {
		b.confirmed(false)
		return b.as(b.crew).post(setsRoute, toPropose("problem-0041"))
	},
	"nothing-learned": func(b *bundle) *reply { return b.as(b.crew).post(setsRoute, toPropose("problem-0042")) },
	"set-working": func(b *bundle) *reply {
		b.confirmed(true)
		b.as(b.crew).post(setsRoute, toPropose("problem-0043"))
		return b.as(b.member).post(setsRoute, toPropose("problem-0044"))
	},
	"set-refused": func(b *bundle) *reply {
		path := b.proposedSet(b.crew, "problem-0045")
		b.as(b.kind("steward")).post(path+"/adopt", withPassword)
		return b.as(b.kind("keeper and steward")).post(path+"/adopt", withPassword)
	},
	"revision-not-cleared": func(b *bundle) *reply {
		return b.as(b.crew).post(b.projectURL()+"/builds", b.newBuildOf(int64(b.design), "problem-0015"))
	},
	"build-barred": func(b *bundle) *reply { // cleared by hand though its chamber is drain pipe
		a := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), strings.Replace(partsGiven, "iso-4427-2/pe100-sdr17/d250-pn10", "en-1401-1/sn4-sdr41/d110", 1))
		require.Equal(b, 201, a.Code, a.Body.String())
		b.db.Put(b, domain.Cleared, "design_id = $1", b.design)
		return b.as(b.crew).post(b.projectURL()+"/builds", b.newBuildOf(int64(b.design), "problem-0015"))
	},
	"build-stale": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(`"7"`).post(b.built("problem-0015")+"/versions", renewedDrum)
	},
	"build-worse": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(`"1"`).post(b.built("problem-0015")+"/versions", map[string]any{"differences": map[string]any{"/trompe/supply/level_m": 90}})
	},
	"revision-withdrawn": func(b *bundle) *reply {
		path := b.built("problem-0015")
		b.db.Put(b, domain.Withdrawn, "state = 'cleared'")
		return b.as(b.crew).ifMatch(`"1"`).post(path+"/versions", renewedDrum)
	},
	"build-state": func(b *bundle) *reply { return b.puts(b.built("problem-0015"), "laid_up") },
	"build-scrapped": func(b *bundle) *reply {
		path := b.built("problem-0015")
		b.puts(path, "scrapped")
		return b.puts(path, "built")
	},
	"certificate-missing": func(b *bundle) *reply {
		path := b.built("problem-0015")
		b.puts(path, "built")
		return b.puts(path, "in_service")
	},
	"client-key-used": func(b *bundle) *reply {
		other := b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "Other", "purpose": "", "client_key": "problem-0004"})
		return b.as(b.crew).post(other.Header().Get("Location")+"/designs", map[string]any{"title": "Trompe", "client_key": "design-0001"})
	},
	"busy": func(b *bundle) *reply {
		version := b.version(b.designURL())
		b.notebook = b.db.hasty()
		defer b.db.holding(`SELECT 1 FROM designs FOR UPDATE`)()
		return b.as(b.crew).ifMatch(version).post(b.sheetsURL(), machine(b))
	},
	"project-stale": func(b *bundle) *reply {
		return b.as(b.crew).ifMatch(`"999"`).patch(b.projectURL(), map[string]any{"title": "t"})
	},
	"site-stale":   func(b *bundle) *reply { return b.as(b.crew).ifMatch(`"999"`).put(b.projectURL()+"/site", noFacts) },
	"design-stale": func(b *bundle) *reply { return b.as(b.crew).ifMatch(`"999"`).post(b.sheetsURL(), machine(b)) },
	"body-too-large": func(b *bundle) *reply {
		return b.as(b.crew).post("/api/v1/preview", `"`+strings.Repeat("a", bodyMost)+`"`)
	},
	"wrong-content-type": func(b *bundle) *reply { return b.as(b.crew).send("POST", "/api/v1/preview", "text/plain", "{}") },
	"invalid": func(b *bundle) *reply {
		return b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "", "purpose": "", "client_key": "problem-0003"})
	},
	"unknown-field": func(b *bundle) *reply {
		return b.as(b.crew).post("/api/v1/preview", map[string]any{"input": map[string]any{"trompe": map[string]any{}}, "save": true})
	},
	"if-match-required": func(b *bundle) *reply { return b.as(b.crew).patch(b.projectURL(), `{}`) },
	"too-many-tries": func(b *bundle) *reply {
		b.tries.most = 0
		return b.as(b.nobody).post("/api/v1/session", `{}`)
	},
	"too-many-sign-ins": func(b *bundle) *reply {
		for range 10 {
			b.as(b.nobody).post("/api/v1/session", map[string]any{"address": b.crew.address, "password": "not this one"})
		}
		return b.as(b.nobody).post("/api/v1/session", map[string]any{"address": b.crew.address, "password": password})
	},
	"internal": func(b *bundle) *reply {
		b.db.exec(`ALTER TABLE projects RENAME TO elsewhere`)
		return b.as(b.crew).get("/api/v1/projects")
	},
	"not-ready": func(b *bundle) *reply {
		b.db.exec(`ALTER TABLE goose_db_version RENAME TO elsewhere`)
		return b.as(b.nobody).get("/readyz")
	},
	"logger-refused": func(b *bundle) *reply {
		return b.as(&person{token: "none"}).post(samplesRoute, samples("problem-0050"))
	},
	"part-differs": func(b *bundle) *reply {
		file, _ := b.readFile("problem-0050")
		return b.as(b.crew).send("PUT", file+"/parts/1", anyBytes, strings.ToUpper(recording()))
	},
	"parts-missing": func(b *bundle) *reply {
		return b.as(b.crew).post(b.announcedFile("problem-0050")+"/done", map[string]any{})
	},
	"file-differs": func(b *bundle) *reply {
		text := strings.ToUpper(recording() + "\nproblem-0050")
		file := b.announcedFile("problem-0050")
		b.as(b.crew).send("PUT", file+"/parts/1", anyBytes, text)
		return b.as(b.crew).post(file+"/done", map[string]any{})
	},
	"file-not-read": func(b *bundle) *reply {
		return b.as(b.crew).get(b.announcedFile("problem-0050") + "/chart?channel=tank")
	},
	"file-unreadable": func(b *bundle) *reply {
		a := b.as(b.crew).post(b.measured("problem-0050")+"/files", map[string]any{"name": "a.csv", "size": 10, "client_key": "problem-0050"})
		b.as(b.crew).send("PUT", a.Header().Get("Location")+"/parts/1", anyBytes, "t [s],tank")
		return b.as(b.crew).post(a.Header().Get("Location")+"/done", map[string]any{})
	},
	"nothing-sent": func(b *bundle) *reply {
		run := b.measured("problem-0050")
		path, _ := b.sender("problem-0050")
		return b.as(b.crew).get(run + path[strings.LastIndex(path, "/loggers"):] + "/chart?channel=tank")
	},
	"decision-refused": func(b *bundle) *reply {
		path := b.windowed("problem-0050")
		b.as(b.crew).post(path+"/decisions", strikes("problem-0050"))
		return b.as(b.crew).post(path+"/decisions", strikes("problem-0051"))
	},
	"window-undecided": func(b *bundle) *reply { // a window that waits, as if it had been found so
		path := b.windowed("problem-0050")
		run := path[:strings.LastIndex(path, "/windows")]
		b.db.exec(`ALTER TABLE series_windows DISABLE TRIGGER series_windows_append_only`)
		b.db.exec(`UPDATE series_windows SET decide = true`)
		require.Equal(b, 200, b.as(b.crew).send("POST", run+"/submit", "", "").Code)
		b.db.exec(`INSERT INTO run_verdicts (run_id, body, digest, seed, draws, at) SELECT id, '{}', sha256('{}'), 's', 1, now() FROM runs ON CONFLICT DO NOTHING`)
		b.db.exec(`UPDATE accounts SET steward = true WHERE id = $1`, b.member.id)
		return b.as(b.member).post(run+"/confirm", map[string]any{"password": password})
	},
	"loggers-full": func(b *bundle) *reply {
		b.sender("problem-0050")
		b.db.exec(`INSERT INTO loggers (build_id, name, token_sum, made_by, made_at, client_key)
			SELECT build_id, name, sha256(n::text::bytea), made_by, made_at, 'problem-1-' || n FROM loggers, generate_series(1, 49) n`)
		return b.as(b.crew).post(b.finished("problem-0050")+"/loggers", map[string]any{"name": "One more", "client_key": "problem-0051"})
	},
	"logger-full": func(b *bundle) *reply {
		_, logger := b.sender("problem-0050")
		b.db.exec(`UPDATE loggers SET bytes = 100 << 20`)
		return b.as(logger).post(samplesRoute, samples("problem-0050"))
	},
	"too-slow": func(b *bundle) *reply {
		b.patience = time.Nanosecond
		return b.as(b.crew).get("/api/v1/projects")
	},
}

func TestEveryProblemCodeIsReached(t *testing.T) {
	var codes []any
	for code := range provoked {
		codes = append(codes, code)
	}
	require.ElementsMatch(t, contractOf(t).Components.Schemas["ProblemCode"].Value.Enum, codes)
	for code, provoke := range provoked {
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			a := provoke(setup(t))
			require.Equal(t, code, a.code(), a.Body.String())
		})
	}
}

// The group's rule for sign-in: after ten wrong passwords
// in a quarter of an hour, wait.
func TestWrongPasswordsAreLimitedWithWordsAndATime(t *testing.T) {
	t.Parallel()
	b := setup(t)
	wrong := map[string]any{"address": b.crew.address, "password": "not this one"}
	for range 10 {
		require.Equal(t, "sign-in-refused", b.as(b.nobody).post("/api/v1/session", wrong).code())
	}
	a := b.as(b.nobody).post("/api/v1/session", map[string]any{"address": b.crew.address, "password": password})
	require.Equal(t, "too-many-sign-ins", a.code())
	require.NotEmpty(t, a.Header().Get("Retry-After"))
	require.Equal(t, http.StatusOK, b.as(b.crew).get("/api/v1/me").Code, "who is signed in stays so")
}

// What people can type or send, and no database text can hold.
func TestOddTextsAreRefusedInWords(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for body, pointer := range map[string]string{
		`{"title":"a\u0000b","purpose":"","client_key":"odd-00001"}`:                         "/title",
		`{"title":"a\nb","purpose":"","client_key":"odd-00001"}`:                             "/title",
		`{"title":"t","purpose":"\u0007","client_key":"odd-00001"}`:                          "/purpose",
		`{"title":"t","purpose":"","client_key":"short"}`:                                    "/client_key",
		`{"title":"t","purpose":"","client_key":"with a space"}`:                             "/client_key",
		`{"title":"` + strings.Repeat("ä", 121) + `","purpose":"","client_key":"odd-00001"}`: "/title",
	} {
		a := b.as(b.crew).post("/api/v1/projects", body)
		require.Equal(t, 422, a.Code, body)
		require.Equal(t, pointer, problemIn(t, a.ResponseRecorder).Fields[0].Pointer)
	}
	a := b.as(b.nobody).post("/api/v1/session", `{"address":"a\u0000@b.example","password":"x\u0000"}`)
	require.Equal(t, 422, a.Code)
	kept := b.as(b.crew).post("/api/v1/projects", map[string]any{"title": "Prässe 💧 <b>'--", "purpose": "zwei\nZeilen", "client_key": "odd-00002"})
	require.Equal(t, 201, kept.Code)
	require.Equal(t, "Prässe 💧 <b>'--", b.as(b.member).get(kept.Header().Get("Location")).at("title"))
}
