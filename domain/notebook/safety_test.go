package notebook_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store/storetest"
)

// rulers are the people who change the rules: a keeper, two stewards and Petra, a
// member.
type rulers struct {
	*bundle
	keeper, bram, wen domain.Actor
}

func newRulers(t *testing.T) rulers {
	b := setup(t)
	return rulers{b, b.db.Person(t, "Ines Calloway", domain.Keeper), b.db.Person(t, "Bram Oduya", domain.Steward), b.db.Person(t, "Wen Marsh", domain.Steward)}
}

// wish proposes settings as changed from what is in force.
func (r rulers) wish(t *testing.T, key string, change func(*domain.SafetySettings)) domain.SafetyProposal {
	t.Helper()
	now, err := r.Safety(ctx, r.keeper)
	require.NoError(t, err)
	cmd := domain.ProposeSafety{Follows: now.ID, Settings: now.Settings, Why: "Old pipe.", Key: key}
	change(&cmd.Settings)
	p, _, err := r.ProposeSafety(ctx, r.keeper, cmd)
	require.NoError(t, err)
	return p
}

func thicker(s *domain.SafetySettings) { s.HydroFactor += 0.1 }

func TestOneOfManySignaturesInARoleCounts(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	p := r.wish(t, "safety-0001", thicker)
	errs := atOnce(4, func(i int) error {
		who := []domain.Actor{r.petra, r.tomasz, r.petra, r.tomasz}[i]
		_, err := r.ApproveSafety(ctx, who, p.ID, storetest.Password)
		return err
	})
	signed := 0
	for _, err := range errs {
		if err == nil {
			signed++
		}
	}
	require.Equal(t, 1, signed, "%v", errs)
	now, err := r.Safety(ctx, r.petra)
	require.NoError(t, err)
	require.Len(t, now.Waiting[0].Approvals, 1)
	require.Zero(t, now.ID)
}

// Of two proposals that two pairs sign at once, one takes effect; the other would
// undo it.
func TestOfTwoProposalsOneTakesEffect(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	one := r.wish(t, "safety-0001", thicker)
	two := r.wish(t, "safety-0002", func(s *domain.SafetySettings) { s.GasFloorM = 40 })
	for _, p := range []domain.SafetyProposal{one, two} {
		_, err := r.ApproveSafety(ctx, r.petra, p.ID, storetest.Password)
		require.NoError(t, err)
	}
	oneWins(t, "proposal-overtaken", atOnce(2, func(i int) error {
		_, err := r.ApproveSafety(ctx, []domain.Actor{r.bram, r.wen}[i], []domain.SafetyID{one.ID, two.ID}[i], storetest.Password)
		return err
	}))
	_, _, err := r.ProposeSafety(ctx, r.keeper, domain.ProposeSafety{Settings: two.Settings, Why: "Again.", Key: "safety-0003"})
	require.Equal(t, domain.Stale, domain.KindOf(err), "%v", err)
}

// A role taken away before the signature counts, whatever the session says.
func TestWhoIsNoStewardAnyMoreSignsAsOne(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	p := r.wish(t, "safety-0001", thicker)
	r.db.Exec(t, "UPDATE accounts SET steward = false WHERE id = $1", r.bram.Account)
	_, err := r.ApproveSafety(ctx, r.petra, p.ID, storetest.Password)
	require.NoError(t, err)
	_, err = r.ApproveSafety(ctx, r.bram, p.ID, storetest.Password)
	requireCode(t, "not-steward", err)
}

// What was guessed wrongly ten times is refused for a quarter of an hour, the
// right password too: there is no other way to sign this.
func TestPasswordsUnderAProposalAreLimited(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	p := r.wish(t, "safety-0001", thicker)
	for i := range 10 {
		_, err := r.ApproveSafety(ctx, r.petra, p.ID, fmt.Sprintf("a guess %d", i))
		requireCode(t, "invalid", err)
	}
	_, err := r.ApproveSafety(ctx, r.petra, p.ID, storetest.Password)
	requireCode(t, "too-many-signatures", err)
	_, err = r.ApproveSafety(ctx, r.bram, p.ID, storetest.Password)
	require.NoError(t, err, "somebody else is not kept from signing")
	r.clock.forward(16 * time.Minute)
	_, err = r.ApproveSafety(ctx, r.petra, p.ID, storetest.Password)
	require.NoError(t, err)
}

// Sheets are calculated with what is in force when they are calculated; those
// that were saved stay as they are.
func TestSavesAndCopiesTakeTheSettingsInForce(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	in := sheet.Input{
		Trompe: machine(t, nil), Facts: []byte(`{"t_hot_c": 20, "t_cold_c": 6}`),
		Parts: []byte(`[{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d50-pn12.5", "joint": "solvent"}]`),
	}
	cmd := r.save(r.design.Version, nil)
	cmd.Input = in
	before, version, err := r.SaveSheet(ctx, r.petra, cmd)
	require.NoError(t, err)
	require.Nil(t, before.Report.Build.Limits)
	p := r.wish(t, "safety-0001", thicker)
	for _, who := range []domain.Actor{r.petra, r.bram} {
		_, err := r.ApproveSafety(ctx, who, p.ID, storetest.Password)
		require.NoError(t, err)
	}
	cmd.Version = version
	after, version, err := r.SaveSheet(ctx, r.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, 1.6, after.Report.Build.Limits.HydroFactor)
	again, err := r.Sheet(ctx, r.petra, r.project.ID, r.design.ID, "A", 1)
	require.NoError(t, err)
	require.Nil(t, again.Report.Build.Limits, "a saved sheet changed")
	r.stand(t, "A", "returned")
	next, err := r.StartRevision(ctx, r.petra, domain.StartRevision{
		Project: r.project.ID, Design: r.design.ID, Version: version, From: &domain.SheetRef{Design: r.design.ID, Letter: "A", Number: 1},
	})
	require.NoError(t, err)
	require.Equal(t, 1.6, next.Sheet.Report.Build.Limits.HydroFactor)
	preview, err := r.Preview(ctx, r.petra, in)
	require.NoError(t, err)
	require.Equal(t, 1.6, preview.Build.Limits.HydroFactor)
}

// Dates begin and end in the group's time zone: half an hour before midnight in
// UTC it is the next day in Oslo.
func TestInstrumentsAreDueByTheGroupsCalendar(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	r.clock.mu.Lock()
	r.clock.at = time.Date(2026, 11, 30, 23, 30, 0, 0, time.UTC)
	r.clock.mu.Unlock()
	on := time.Date(2025, 11, 30, 0, 0, 0, 0, time.UTC)
	i, _, made, err := r.AddInstrument(ctx, r.keeper, domain.AddInstrument{
		Facts:        domain.InstrumentFacts{Name: "Test gauge", Kind: domain.PressureGauge, Unit: "Pa", High: 6e5, IntervalDays: 365},
		CalibratedOn: &on, Calibration: "Deadweight tester", Key: "instrument-01",
	})
	require.NoError(t, err)
	require.True(t, made)
	overdue := func() bool {
		i, today, err := r.Instrument(ctx, r.petra, i.ID)
		require.NoError(t, err)
		return i.Overdue(today)
	}
	require.False(t, overdue(), "its last day, in UTC")
	r.db.Exec(t, "UPDATE group_settings SET time_zone = 'Europe/Oslo'")
	require.True(t, overdue())
}

func TestTwoKeepersAtOneInstrument(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	add := domain.AddInstrument{Facts: domain.InstrumentFacts{Name: "Bucket", Kind: domain.MeasuringVessel, Unit: "m³", High: 0.01, IntervalDays: 730}, Key: "instrument-01"}
	i, _, _, err := r.AddInstrument(ctx, r.keeper, add)
	require.NoError(t, err)
	oneWins(t, "instrument-stale", atOnce(4, func(n int) error {
		facts := add.Facts
		facts.Note = fmt.Sprint(n)
		_, _, err := r.CorrectInstrument(ctx, r.keeper, domain.CorrectInstrument{Instrument: i.ID, Version: i.Version, Facts: facts})
		return err
	}))
	_, _, _, err = r.AddInstrument(ctx, r.bram, add)
	requireCode(t, "not-keeper", err)
	made := 0
	for _, err := range atOnce(4, func(int) error {
		_, _, now, err := r.RecordInstrumentAct(ctx, r.keeper, domain.RecordInstrumentAct{Instrument: i.ID, Kind: domain.InstrumentCalibrated, On: time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC), Text: "Weighed", Key: "act-00000001"})
		if now && err == nil {
			return nil
		}
		return fmt.Errorf("made before: %w", err)
	}) {
		if err == nil {
			made++
		}
	}
	require.Equal(t, 1, made, "a retry was recorded twice")
	require.Equal(t, 1, r.db.Number(t, "SELECT count(*) FROM instrument_acts"))
}

// Setting a code takes the password; the code then signs, and goes with the account.
func TestSigningCodeIsSetAndErased(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	set := func(password string) error {
		return r.SetSigningCode(ctx, r.petra, domain.SetSigningCode{Password: password, Code: "482913"})
	}
	requireCode(t, "invalid", set("not this one"))
	require.Zero(t, r.db.Number(t, "SELECT count(*) FROM accounts WHERE signing_hash IS NOT NULL"))
	require.NoError(t, set(storetest.Password))
	by, err := r.Confirm(ctx, r.tomasz, r.petra.Account, domain.Proof{Code: "482913"})
	require.NoError(t, err)
	require.Equal(t, domain.ByCode, by)
	require.NoError(t, r.CloseAccount(ctx, r.petra, r.petra.Account))
	require.Zero(t, r.db.Number(t, "SELECT count(*) FROM accounts WHERE signing_hash IS NOT NULL"))
}

// A text that is no procedure, or not the next version, is refused at its place.
func TestVersionsOfTheProcedureAreReadStrictly(t *testing.T) {
	t.Parallel()
	r := newRulers(t)
	first, err := r.Template(ctx, r.petra, domain.FirstTemplate)
	require.NoError(t, err)
	try := func(change func(map[string]any)) error {
		var text map[string]any
		require.NoError(t, json.Unmarshal([]byte(first.Body), &text))
		text["version"] = 2
		change(text)
		body, err := json.Marshal(text)
		require.NoError(t, err)
		_, _, err = r.ProposeTemplate(ctx, r.keeper, domain.ProposeTemplate{Follows: 1, Body: string(body), Why: "So.", Key: "template-01"})
		return err
	}
	requireCode(t, "invalid", try(func(text map[string]any) { text["version"] = 3 }))
	requireCode(t, "invalid", try(func(text map[string]any) { delete(text, "items") }))
	e := requireCode(t, "invalid", try(func(text map[string]any) {
		items, ok := text["items"].([]any)
		require.True(t, ok)
		text["items"] = items[1:]
	}))
	require.Contains(t, e.Fields[0].Message, "B01", "the item that is missing is named")
	for _, escape := range []string{`\ud800`, `\u0000`} {
		body := strings.Replace(strings.Replace(first.Body, `"version": 1`, `"version": 2`, 1), "Design review closed", "Design review "+escape, 1)
		_, _, err := r.ProposeTemplate(ctx, r.keeper, domain.ProposeTemplate{Follows: 1, Body: body, Why: "So.", Key: "template-02"})
		requireCode(t, "invalid", err)
	}
	require.NoError(t, try(func(map[string]any) {}))
	list, allowed, err := r.Templates(ctx, r.keeper, domain.Page{})
	require.NoError(t, err)
	require.Equal(t, 41, list[1].ItemCount, "safety.md, section 7")
	require.Contains(t, allowed, domain.SetTemplate)
	_, err = r.ApproveTemplate(ctx, r.petra, domain.FirstTemplate, storetest.Password)
	requireCode(t, "approval-complete", err)
}
