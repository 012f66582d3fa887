package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// rules is a group with a keeper, two stewards and a member, in which something
// may be proposed.
type rules struct {
	*storetest.DB
	keeper, steward, other, member domain.Actor
}

func newRules(t *testing.T) rules {
	db := storetest.New(t)
	return rules{
		db, db.Person(t, "Ines Calloway", domain.Keeper), db.Person(t, "Bram Oduya", domain.Steward),
		db.Person(t, "Wen Marsh", domain.Steward), db.Person(t, "Petra Lindahl"),
	}
}

func (r rules) permit(t *testing.T, tx *store.Tx, who domain.Actor, action domain.Action) domain.Permit {
	access, err := tx.GroupAccess(who, 0)
	require.NoError(t, err)
	permit, err := domain.Authorize(who, access, action)
	require.NoError(t, err)
	return permit
}

// propose proposes settings with another factor for the water test.
func (r rules) propose(t *testing.T, factor float64) (id domain.SafetyID) {
	t.Helper()
	require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) error {
		inForce, s, err := tx.SafetyInForce()
		require.NoError(t, err)
		s.HydroFactor = factor
		cmd := domain.ProposeSafety{Follows: inForce, Settings: s, Why: "Old pipe.", Key: fmt.Sprintf("key-%v-0001", factor)}
		id, err = tx.ProposeSafety(r.permit(t, tx, r.keeper, domain.SetSafety), cmd, time.Now().UTC())
		return err
	}))
	return id
}

func (r rules) approve(t *testing.T, id domain.SafetyID, who domain.Actor, role domain.ApprovalRole) error {
	return r.InTx(context.Background(), func(tx *store.Tx) error {
		return tx.ApproveSafety(r.permit(t, tx, who, domain.ApproveSafety), id, role, time.Now().UTC())
	})
}

func (r rules) inForce(t *testing.T) (id domain.SafetyID, s domain.SafetySettings) {
	t.Helper()
	require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) (err error) {
		id, s, err = tx.SafetyInForce()
		return err
	}))
	return id, s
}

func TestSettingsTakeEffectWithTwoSignatures(t *testing.T) {
	t.Parallel()
	r := newRules(t)
	id, s := r.inForce(t)
	require.Zero(t, id)
	require.Equal(t, domain.DefaultSafetySettings(), s)
	first := r.propose(t, 1.75)
	require.NoError(t, r.approve(t, first, r.member, domain.ApprovalSecond))
	id, _ = r.inForce(t)
	require.Zero(t, id, "one signature is not enough")
	require.NoError(t, r.approve(t, first, r.steward, domain.ApprovalSteward))
	id, s = r.inForce(t)
	require.Equal(t, first, id)
	require.Equal(t, 1.75, s.HydroFactor)

	second := r.propose(t, 1.6)
	third := r.propose(t, 2)
	require.NoError(t, r.approve(t, third, r.other, domain.ApprovalSteward))
	require.NoError(t, r.approve(t, third, r.steward, domain.ApprovalSecond))
	_, s = r.inForce(t)
	require.Equal(t, 2.0, s.HydroFactor)
	require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) error {
		list, err := tx.SafetyProposals(domain.Page{Limit: 2})
		require.NoError(t, err)
		require.Len(t, list, 2)
		require.Equal(t, domain.ApprovalInForce, list[0].State)
		require.Equal(t, 1.75, list[0].Before.HydroFactor, "what it replaced")
		require.Equal(t, domain.ApprovalOvertaken, list[1].State)
		require.Equal(t, second, list[1].ID)
		older, err := tx.SafetyProposals(domain.Page{Before: int64(second)})
		require.NoError(t, err)
		require.Equal(t, domain.ApprovalPast, older[0].State)
		waiting, err := tx.WaitingSafety()
		require.Empty(t, waiting)
		return err
	}))
	head, err := verify(t, r.DB)
	require.NoError(t, err)
	require.EqualValues(t, 7, head.Number, "three proposals and four signatures")
}

// refusesByHand demands that a statement is refused under a name.
func refusesByHand(t *testing.T, db *storetest.DB, name, statement string, args ...any) {
	t.Helper()
	_, err := db.SQL.Exec(statement, args...)
	refusedBy(t, name, err, statement)
}

// Two different people, one of them a steward, and a keeper who proposes: in the
// database too, whatever the server says.
func TestTheDatabaseWantsTwoPeopleForTheRules(t *testing.T) {
	t.Parallel()
	r := newRules(t)
	id := r.propose(t, 1.75)
	const sign = "INSERT INTO safety_setting_signatures (setting_id, role, who, at, link) VALUES ($1, $2, $3, now(), 99)"
	refusesByHand(t, r.DB, "safety_setting_signatures_by_role", sign, id, "steward", r.member.Account)
	refusesByHand(t, r.DB, "safety_setting_signatures_by_role", sign, id, "steward", r.keeper.Account)
	refusesByHand(t, r.DB, "safety_setting_signatures_role_check", sign, id, "keeper", r.keeper.Account)
	refusesByHand(t, r.DB, "safety_setting_signatures_link_fk", sign, id, "steward", r.steward.Account)
	require.NoError(t, r.approve(t, id, r.steward, domain.ApprovalSteward))
	refusesByHand(t, r.DB, "safety_setting_signatures_setting_id_who_key", sign, id, "second", r.steward.Account)
	refusesByHand(t, r.DB, "safety_setting_signatures_setting_id_role_key", sign, id, "steward", r.other.Account)
	err := r.approve(t, id, r.steward, domain.ApprovalSecond)
	require.Equal(t, domain.Conflict, domain.KindOf(err), "%v", err)
	r.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1", r.member.Account)
	refusesByHand(t, r.DB, "safety_setting_signatures_by_role", sign, id, "second", r.member.Account)

	body, err := json.Marshal(domain.DefaultSafetySettings())
	require.NoError(t, err)
	const propose = "INSERT INTO safety_settings (body, why, proposed_by, proposed_at, client_key, link) VALUES ($1, 'so', $2, now(), 'key-00000009', 99)"
	refusesByHand(t, r.DB, "safety_settings_of_keepers", propose, string(body), r.steward.Account)
	refusesByHand(t, r.DB, "safety_settings_link_fk", propose, string(body), r.keeper.Account)
}

// The bounds of section 11, in the database too.
func TestTheDatabaseKeepsTheBoundsOfSettings(t *testing.T) {
	t.Parallel()
	r := newRules(t)
	propose := func(change func(map[string]any)) {
		text, err := json.Marshal(domain.DefaultSafetySettings())
		require.NoError(t, err)
		var body map[string]any
		require.NoError(t, json.Unmarshal(text, &body))
		change(body)
		text, err = json.Marshal(body)
		require.NoError(t, err)
		refusesByHand(t, r.DB, "safety_settings_body_check",
			"INSERT INTO safety_settings (body, why, proposed_by, proposed_at, client_key, link) VALUES ($1, 'so', $2, now(), 'key-00000009', 99)", string(text), r.keeper.Account)
	}
	for _, b := range domain.SafetyBounds() {
		for _, v := range []any{b.Low - 1, b.High + 1, "x", nil} {
			propose(func(body map[string]any) { body[b.Name] = v })
		}
		propose(func(body map[string]any) { delete(body, b.Name) })
		if b.Whole {
			propose(func(body map[string]any) { body[b.Name] = b.Low + 0.5 })
		}
	}
	propose(func(body map[string]any) { body["gas_floor_always"] = 1 })
	propose(func(body map[string]any) { body["more"] = 1 })
	propose(func(body map[string]any) { body["checkers_plain"] = 3 })
}

func TestFirstTemplateIsTheOneThatLeatComesWith(t *testing.T) {
	t.Parallel()
	db := storetest.New(t)
	require.Equal(t, []string{procedure.FirstText()}, namesOf(t, db, "SELECT body FROM templates"))
	require.NoError(t, db.InTx(context.Background(), func(tx *store.Tx) error {
		version, err := tx.TemplateInForce()
		require.Equal(t, domain.FirstTemplate, version)
		return err
	}))
}

// second is the first procedure with the number of the next version.
func second(t *testing.T) string {
	t.Helper()
	text := strings.Replace(procedure.FirstText(), `"version": 1`, `"version": 2`, 1)
	require.NotEqual(t, procedure.FirstText(), text)
	return text
}

func (r rules) proposeTemplate(t *testing.T) {
	t.Helper()
	require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) error {
		cmd := domain.ProposeTemplate{Follows: 1, Body: second(t), Why: "One item more.", Key: "key-00000001"}
		return tx.ProposeTemplate(r.permit(t, tx, r.keeper, domain.SetTemplate), cmd, 2, time.Now().UTC())
	}))
}

func TestATemplateTakesEffectWithTwoSignatures(t *testing.T) {
	t.Parallel()
	r := newRules(t)
	r.proposeTemplate(t)
	sign := func(who domain.Actor, role domain.ApprovalRole) (inForce domain.TemplateVersion) {
		require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) error {
			if err := tx.ApproveTemplate(r.permit(t, tx, who, domain.ApproveTemplate), 2, role, time.Now().UTC()); err != nil {
				return err
			}
			var err error
			inForce, err = tx.TemplateInForce()
			return err
		}))
		return inForce
	}
	require.EqualValues(t, 1, sign(r.steward, domain.ApprovalSteward))
	const byHand = "INSERT INTO template_signatures (version, role, who, at, link) VALUES ($1, $2, $3, now(), 99)"
	refusesByHand(t, r.DB, "template_signatures_version_who_key", byHand, 2, "second", r.steward.Account)
	refusesByHand(t, r.DB, "template_signatures_version_role_key", byHand, 2, "steward", r.other.Account)
	refusesByHand(t, r.DB, "template_signatures_by_role", byHand, 2, "steward", r.member.Account)
	refusesByHand(t, r.DB, "template_signatures_version_check", byHand, 1, "second", r.member.Account)
	require.EqualValues(t, 2, sign(r.keeper, domain.ApprovalSecond))
	_, err := verify(t, r.DB)
	require.NoError(t, err)

	const another = `INSERT INTO templates (version, follows, body, why, proposed_by, proposed_at, client_key, link) VALUES (3, 2, $1, 'so', $2, now(), 'key-00000009', 99)`
	refusesByHand(t, r.DB, "templates_of_keepers", another, `{"version": 3}`, r.member.Account)
	refusesByHand(t, r.DB, "templates_body_check", another, `{"version": 2}`, r.keeper.Account)
	refusesByHand(t, r.DB, "templates_version_follows_proposed_by_link_check", `INSERT INTO templates (version, follows, body, why, proposed_by, proposed_at, client_key)
		VALUES (3, 2, '{"version": 3}', 'so', $1, now(), 'key-00000009')`, r.keeper.Account)
}

// What was signed never changes, in the database too, and where the owner of the
// database changed it all the same, the record says so.
func TestRulesAreAppendOnlyAndTamperingIsFound(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ table, statement string }{
		"a limit":           {"safety_settings", "UPDATE safety_settings SET body = jsonb_set(body, '{hydro_factor}', '2')"},
		"who signed":        {"safety_setting_signatures", "UPDATE safety_setting_signatures SET who = (SELECT max(id) FROM accounts)"},
		"a text":            {"templates", "UPDATE templates SET body = replace(body, 'Tape and barriers', 'Tape') || ' ' WHERE version = 2"},
		"a signature gone":  {"template_signatures", "DELETE FROM template_signatures"},
		"an earlier reason": {"templates", "UPDATE templates SET why = 'Because.' WHERE version = 2"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRules(t)
			require.NoError(t, r.approve(t, r.propose(t, 1.75), r.steward, domain.ApprovalSteward))
			r.proposeTemplate(t)
			require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) error {
				return tx.ApproveTemplate(r.permit(t, tx, r.other, domain.ApproveTemplate), 2, domain.ApprovalSteward, time.Now().UTC())
			}))
			_, err := verify(t, r.DB)
			require.NoError(t, err)
			refusesByHand(t, r.DB, c.table+"_append_only", c.statement)
			refusesByHand(t, r.DB, c.table+"_append_only_truncate", "TRUNCATE "+c.table+" CASCADE")
			r.Exec(t, "ALTER TABLE "+c.table+" DISABLE TRIGGER ALL")
			r.Exec(t, c.statement)
			_, err = verify(t, r.DB)
			_, broken := errors.AsType[domain.BrokenRecord](err)
			require.True(t, broken, "%v", err)
		})
	}
}

func (r rules) addInstrument(t *testing.T) (id domain.InstrumentID) {
	t.Helper()
	on := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	require.NoError(t, r.InTx(context.Background(), func(tx *store.Tx) (err error) {
		cmd := domain.AddInstrument{
			Facts:        domain.InstrumentFacts{Name: "Test gauge", Kind: domain.PressureGauge, Unit: "Pa", High: 6e5, IntervalDays: 365},
			CalibratedOn: &on, Calibration: "Deadweight tester", Key: "key-00000001",
		}
		id, _, err = tx.AddInstrument(r.permit(t, tx, r.keeper, domain.KeepInstruments), cmd, time.Now().UTC())
		return err
	}))
	return id
}

func TestInstrumentConstraintsHold(t *testing.T) {
	t.Parallel()
	r := newRules(t)
	id := r.addInstrument(t)
	for name, statement := range map[string]string{
		"instruments_name_check":                 "UPDATE instruments SET name = ''",
		"instruments_kind_check":                 "UPDATE instruments SET kind = 'ruler'",
		"instruments_serial_check":               "UPDATE instruments SET serial = repeat('x', 81)",
		"instruments_unit_check":                 "UPDATE instruments SET unit = ''",
		"instruments_range_low_check":            "UPDATE instruments SET range_low = '-Infinity'",
		"instruments_range_high_check":           "UPDATE instruments SET range_high = 'NaN'",
		"instruments_resolution_check":           "UPDATE instruments SET resolution = 0",
		"instruments_class_pct_check":            "UPDATE instruments SET class_pct = 11",
		"instruments_accuracy_check":             "UPDATE instruments SET accuracy = 'NaN'",
		"instruments_interval_days_check":        "UPDATE instruments SET interval_days = 0",
		"instruments_note_check":                 "UPDATE instruments SET note = repeat('x', 2001)",
		"instruments_added_by_fk":                "UPDATE instruments SET added_by = -1",
		"instruments_changed_by_fk":              "UPDATE instruments SET changed_by = -1",
		"instruments_client_key_check":           "UPDATE instruments SET client_key = 'x'",
		"instruments_version_check":              "UPDATE instruments SET version = 0",
		"instruments_range_low_range_high_check": "UPDATE instruments SET range_low = range_high",
		"instrument_acts_append_only":            "UPDATE instrument_acts SET text = 'x'",
		"instrument_acts_append_only_truncate":   "TRUNCATE instrument_acts",
	} {
		refusesByHand(t, r.DB, name, statement)
	}
	const act = "INSERT INTO instrument_acts (instrument_id, kind, day, text, who, at, client_key) VALUES ($1, $2, $3, $4, $5, now(), $6)"
	refusesByHand(t, r.DB, "instrument_acts_kind_check", act, id, "lost", "2026-03-01", "x", r.keeper.Account, "key-00000002")
	refusesByHand(t, r.DB, "instrument_acts_day_check", act, id, "calibrated", "1899-12-31", "x", r.keeper.Account, "key-00000002")
	refusesByHand(t, r.DB, "instrument_acts_text_check", act, id, "calibrated", "2026-03-01", "", r.keeper.Account, "key-00000002")
	refusesByHand(t, r.DB, "instrument_acts_client_key_check", act, id, "calibrated", "2026-03-01", "x", r.keeper.Account, "x")
	refusesByHand(t, r.DB, "instrument_acts_who_client_key_key", act, id, "calibrated", "2026-03-01", "x", r.keeper.Account, "key-00000001")
	refusesByHand(t, r.DB, "instrument_acts_who_fk", act, id, "calibrated", "2026-03-01", "x", -1, "key-00000002")
	refusesByHand(t, r.DB, "instrument_acts_instrument_id_fk", act, -1, "calibrated", "2026-03-01", "x", r.keeper.Account, "key-00000002")
	r.Exec(t, act, id, "retired", "2026-03-01", "x", r.keeper.Account, "key-00000002")
	refusesByHand(t, r.DB, "instrument_acts_instrument_id_key", act, id, "retired", "2026-03-01", "x", r.keeper.Account, "key-00000003")
}

// A list of many instruments takes as many statements as one of few.
func TestTheRegisterIsReadInFewStatements(t *testing.T) {
	t.Parallel()
	r := newRules(t)
	r.addInstrument(t)
	count := func() int64 {
		db, statements := r.Counting()
		require.NoError(t, db.InTx(context.Background(), func(tx *store.Tx) error {
			_, err := tx.Instruments()
			return err
		}))
		return statements()
	}
	few := count()
	r.Exec(t, `INSERT INTO instruments (name, kind, serial, unit, range_low, range_high, interval_days, note, added_by, added_at, changed_by, changed_at, client_key, version)
		SELECT name, kind, serial, unit, range_low, range_high, interval_days, note, added_by, added_at, changed_by, changed_at, 'key-many-' || n, 1 FROM instruments, generate_series(1, 100) n`)
	require.Equal(t, few, count())
}
