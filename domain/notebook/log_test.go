package notebook_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
	"leat/domain/store/storetest"
)

// entry is what somebody writes about the project of the bundle.
func (b *bundle) entry(text, key string) domain.WriteEntry {
	return domain.WriteEntry{Project: b.project.ID, Text: text, Key: key}
}

func (b *bundle) write(t testing.TB, who domain.Actor, cmd domain.WriteEntry) domain.Entry {
	t.Helper()
	e, made, err := b.WriteEntry(ctx, who, cmd)
	require.NoError(t, err)
	require.True(t, made)
	return e
}

func (b *bundle) log(t testing.TB, build *domain.BuildID, page domain.Page) domain.Log {
	t.Helper()
	l, err := b.Log(ctx, b.tomasz, b.project.ID, build, page)
	require.NoError(t, err)
	return l
}

var byPassword = domain.Proof{Password: storetest.Password}

func TestAnyMemberWritesIntoTheLog(t *testing.T) {
	t.Parallel()
	b := setup(t)
	then := b.clock.now().Add(-3 * time.Hour).UTC().Truncate(time.Microsecond)
	cmd := b.entry("Chamber set on its slab", "entry-0001")
	cmd.HappenedAt = &then
	first := b.write(t, b.tomasz, cmd)
	require.Equal(t, cmd.Text, first.Text)
	require.Equal(t, then, first.HappenedAt)
	require.Equal(t, b.tomasz.Account, first.By.ID)

	b.clock.forward(time.Hour)
	again, made, err := b.WriteEntry(ctx, b.tomasz, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, first, again)
	b.closeProject(t)
	second := b.write(t, b.petra, b.entry("Frost in the night", "entry-0002"))
	require.Equal(t, b.clock.now().UTC().Truncate(time.Microsecond), second.HappenedAt)

	l := b.log(t, nil, domain.Page{})
	require.Equal(t, []domain.Entry{second, first}, l.Entries)
	require.Equal(t, []domain.Action{domain.WriteLog, domain.AddFile}, l.Allowed)
	require.Equal(t, []domain.Entry{first}, b.log(t, nil, domain.Page{Before: int64(second.ID), Limit: 1}).Entries)

	other := b.startProject(t, "project-0002")
	cmd.Project = other.ID
	_, _, err = b.WriteEntry(ctx, b.tomasz, cmd)
	requireCode(t, "client-key-used", err)
	cmd.Project = 999
	_, _, err = b.WriteEntry(ctx, b.tomasz, cmd)
	requireCode(t, "not-found", err)
	_, err = b.Log(ctx, b.tomasz, 999, nil, domain.Page{})
	requireCode(t, "not-found", err)
	_, err = b.Log(ctx, domain.Actor{Account: 999}, b.project.ID, nil, domain.Page{})
	requireCode(t, "signed-out", err)
}

func (b *bundle) closeProject(t testing.TB) {
	t.Helper()
	closed := true
	p, err := b.Project(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	_, err = b.ChangeProject(ctx, b.petra, domain.ChangeProject{Project: p.ID, Version: p.Version, Closed: &closed})
	require.NoError(t, err)
}

func TestACorrectionStrikesThroughAndBothStay(t *testing.T) {
	t.Parallel()
	b := setup(t)
	build := b.db.Built(t, b.project.ID, b.petra)
	cmd := b.entry("Tested at 3 bar", "entry-0001")
	cmd.Build = &build
	old := b.write(t, b.petra, cmd)
	right := b.entry("Tested at 0.3 bar", "entry-0002")
	right.Strikes = &old.ID
	fixed := b.write(t, b.tomasz, right)
	require.Equal(t, old.ID, *fixed.Strikes)
	require.Equal(t, build, *fixed.Build)

	l := b.log(t, &build, domain.Page{})
	require.Equal(t, fixed, l.Entries[0])
	require.Equal(t, old.Text, l.Entries[1].Text)
	require.Equal(t, fixed.ID, *l.Entries[1].StruckBy)
	require.NotContains(t, l.Entries[1].Allowed, domain.CorrectLog)

	again, made, err := b.WriteEntry(ctx, b.tomasz, right)
	require.NoError(t, err, "a retry is no second correction")
	require.False(t, made)
	require.Equal(t, fixed, again)
	right.Key = "entry-0003"
	_, _, err = b.WriteEntry(ctx, b.tomasz, right)
	requireCode(t, "entry-struck", err)
	right.Strikes = &fixed.ID
	b.write(t, b.petra, right)
	foreign := domain.EntryID(999)
	right.Strikes, right.Key = &foreign, "entry-0004"
	_, _, err = b.WriteEntry(ctx, b.petra, right)
	require.Equal(t, "/strikes", requireCode(t, "invalid", err).Fields[0].Pointer)
	require.Equal(t, 3, b.db.Number(t, "SELECT count(*) FROM log_entries"))
}

func TestOfTwoCorrectionsAtOnceOneWins(t *testing.T) {
	t.Parallel()
	b := setup(t)
	old := b.write(t, b.petra, b.entry("Tested at 3 bar", "entry-0001"))
	oneWins(t, "entry-struck", atOnce(8, func(i int) error {
		cmd := b.entry("Tested at 0.3 bar", "entry-1"+string(rune('a'+i))+"00")
		cmd.Strikes = &old.ID
		_, _, err := b.WriteEntry(ctx, []domain.Actor{b.petra, b.tomasz}[i%2], cmd)
		return err
	}))
	require.Len(t, b.log(t, nil, domain.Page{}).Entries, 2)
}

func TestRetriesOfAnEntryAtOnceMakeOne(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, err := range atOnce(8, func(int) error {
		_, _, err := b.WriteEntry(ctx, b.petra, b.entry("Once", "entry-0001"))
		return err
	}) {
		require.NoError(t, err)
	}
	require.Len(t, b.log(t, nil, domain.Page{}).Entries, 1)
}

func TestEntriesNameWhatIsOfTheirProject(t *testing.T) {
	t.Parallel()
	b := setup(t)
	other := b.startProject(t, "project-0002")
	mine := b.project
	b.project = other
	b.startDesign(t, "design-0002")
	foreign := b.db.Built(t, other.ID, b.petra)
	picture, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
	require.NoError(t, err)
	b.project = mine

	cmd := b.entry("x", "entry-0001")
	cmd.Build = &foreign
	_, _, err = b.WriteEntry(ctx, b.petra, cmd)
	require.Equal(t, "/build", requireCode(t, "invalid", err).Fields[0].Pointer)
	_, err = b.Log(ctx, b.petra, mine.ID, &foreign, domain.Page{})
	requireCode(t, "not-found", err)
	cmd = b.entry("x", "entry-0001")
	cmd.Files = []domain.FileID{picture.ID}
	_, _, err = b.WriteEntry(ctx, b.petra, cmd)
	require.Equal(t, "/files", requireCode(t, "invalid", err).Fields[0].Pointer)
	require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM log_entries"), "nothing is half saved")
}

// incidents returns the ids of what counts for a build.
func (b *bundle) incidents(t testing.TB, build domain.BuildID) (ids []domain.EntryID) {
	t.Helper()
	require.NoError(t, b.db.InTx(ctx, func(tx *store.Tx) error {
		entries, err := tx.OpenIncidents(b.project.ID, build)
		for _, e := range entries {
			ids = append(ids, e.ID)
		}
		return err
	}))
	return ids
}

func (b *bundle) waiting(t testing.TB, who domain.Actor) (ids []domain.EntryID) {
	t.Helper()
	require.NoError(t, b.db.InTx(ctx, func(tx *store.Tx) error {
		entries, err := tx.WaitingIncidents(who)
		for _, e := range entries {
			ids = append(ids, e.ID)
		}
		return err
	}))
	return ids
}

// safety.md, 10: an incident counts until a steward who did not build the
// machine has signed that it was harmless.
func TestAnIncidentCountsUntilAStewardWhoDidNotBuildItSigns(t *testing.T) {
	t.Parallel()
	b := setup(t)
	builder, apart := b.db.Person(t, "Bram Oduya", domain.Steward), b.db.Person(t, "Wen Abara", domain.Steward)
	build, second := b.db.Built(t, b.project.ID, b.petra, builder), b.db.Built(t, b.project.ID, b.petra)
	cmd := b.entry("Relief lifted at 0.4 bar, nobody near", "entry-0001")
	cmd.Build, cmd.Incident = &build, true
	lifted := b.write(t, b.tomasz, cmd)
	require.Equal(t, b.tomasz.Account, lifted.Incident.By.ID)
	require.True(t, lifted.Incident.Open())
	require.Equal(t, []domain.EntryID{lifted.ID}, b.incidents(t, build))
	require.Empty(t, b.incidents(t, second))

	drip := b.write(t, b.petra, b.entry("Wet patch under the chamber", "entry-0002"))
	require.Nil(t, drip.Incident)
	b.clock.forward(time.Hour)
	drip, err := b.MarkIncident(ctx, b.tomasz, b.project.ID, drip.ID)
	require.NoError(t, err)
	require.Equal(t, b.tomasz.Account, drip.Incident.By.ID)
	again, err := b.MarkIncident(ctx, b.petra, b.project.ID, drip.ID)
	require.NoError(t, err)
	require.Equal(t, drip, again, "who marked it first stays")
	require.Equal(t, []domain.EntryID{drip.ID, lifted.ID}, b.incidents(t, build), "an entry that names no build is about all")
	require.Equal(t, []domain.EntryID{drip.ID}, b.incidents(t, second))
	_, err = b.MarkIncident(ctx, b.petra, b.project.ID, 999)
	requireCode(t, "not-found", err)

	require.Empty(t, b.waiting(t, b.petra))
	require.Empty(t, b.waiting(t, builder))
	require.Equal(t, []domain.EntryID{drip.ID, lifted.ID}, b.waiting(t, apart))

	rest := domain.RestIncident{Project: b.project.ID, Entry: lifted.ID, Reason: "Set 10 % low, gauge and pipe looked over", Proof: byPassword}
	_, err = b.RestIncident(ctx, b.tomasz, rest)
	requireCode(t, "not-steward", err)
	_, err = b.RestIncident(ctx, builder, rest)
	requireCode(t, "built-it", err)
	wrong := rest
	wrong.Proof.Password = "three grey herons"
	_, err = b.RestIncident(ctx, apart, wrong)
	require.Equal(t, "/password", requireCode(t, "invalid", err).Fields[0].Pointer)
	wrong.Proof, wrong.Reason = domain.Proof{Code: "123456"}, ""
	_, err = b.RestIncident(ctx, apart, wrong)
	require.Len(t, requireCode(t, "invalid", err).Fields, 2, "a reason, and the password")
	require.Len(t, b.incidents(t, build), 2)

	rested, err := b.RestIncident(ctx, apart, rest)
	require.NoError(t, err)
	require.Equal(t, &domain.IncidentRest{By: domain.Person{ID: apart.Account, Name: apart.Name}, At: b.clock.now().UTC().Truncate(time.Microsecond), Reason: rest.Reason}, rested.Incident.Rest)
	require.Equal(t, []domain.EntryID{drip.ID}, b.incidents(t, build))
	_, err = b.RestIncident(ctx, apart, rest)
	requireCode(t, "incident-rested", err)
	plain := b.write(t, b.petra, b.entry("Painted", "entry-0003"))
	rest.Entry = plain.ID
	_, err = b.RestIncident(ctx, apart, rest)
	requireCode(t, "no-incident", err)
	rest.Entry = drip.ID
	_, err = b.RestIncident(ctx, builder, rest)
	requireCode(t, "built-it", err)
	_, err = b.RestIncident(ctx, apart, rest)
	require.NoError(t, err)
	require.Empty(t, b.waiting(t, apart))
	b.requireRecordHolds(t)
	head, err := b.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, int64(2), head.Number)
}

func TestACorrectionTakesNoIncidentAway(t *testing.T) {
	t.Parallel()
	b := setup(t)
	build := b.db.Built(t, b.project.ID, b.petra)
	cmd := b.entry("Blow at the flange", "entry-0001")
	cmd.Build, cmd.Incident = &build, true
	old := b.write(t, b.tomasz, cmd)
	right := b.entry("It was nothing", "entry-0002")
	right.Strikes = &old.ID
	b.write(t, b.petra, right)
	require.Equal(t, []domain.EntryID{old.ID}, b.incidents(t, build))
	require.Contains(t, b.log(t, nil, domain.Page{}).Entries[1].Incident.Lacking, "Nobody in the group is a steward")
}

// Tampering past the triggers is found, whichever part of what was signed it
// touches.
func TestTamperingWithAnIncidentLaidToRestIsFound(t *testing.T) {
	t.Parallel()
	b := setup(t)
	apart := b.db.Person(t, "Wen Abara", domain.Steward)
	picture, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
	require.NoError(t, err)
	cmd := b.entry("Leak at the riser", "entry-0001")
	cmd.Incident, cmd.Files = true, []domain.FileID{picture.ID}
	e := b.write(t, b.petra, cmd)
	_, err = b.RestIncident(ctx, apart, domain.RestIncident{Project: b.project.ID, Entry: e.ID, Reason: "A drip", Proof: byPassword})
	require.NoError(t, err)
	_, err = b.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	for _, table := range []string{"log_entries", "log_files", "incident_rests", "files"} {
		b.db.Exec(t, "ALTER TABLE "+table+" DISABLE TRIGGER USER")
	}
	for tamper, back := range map[string]string{
		"UPDATE log_entries SET text = 'A drip at the tap'":                         "UPDATE log_entries SET text = 'Leak at the riser'",
		"UPDATE log_entries SET happened_at = happened_at - interval '1 day'":       "UPDATE log_entries SET happened_at = happened_at + interval '1 day'",
		"UPDATE incident_rests SET reason = 'A drip, looked at'":                    "UPDATE incident_rests SET reason = 'A drip'",
		"UPDATE incident_rests SET who = (SELECT started_by FROM projects LIMIT 1)": "UPDATE incident_rests SET who = (SELECT who FROM record_links WHERE kind = 'incident_rest')",
		"UPDATE files SET digest = sha256('x')":                                     "UPDATE files SET digest = (SELECT sha256(bytes) FROM file_bodies WHERE variant = 'full')",
		"DELETE FROM log_files":                                                     "INSERT INTO log_files SELECT e.id, 1, f.id FROM log_entries e, files f",
	} {
		b.db.Exec(t, tamper)
		_, err = b.VerifyRecord(ctx, nil)
		var broken domain.BrokenRecord
		require.ErrorAs(t, err, &broken, tamper)
		require.Equal(t, domain.LinkIncidentRest, broken.Kind)
		b.db.Exec(t, back)
		_, err = b.VerifyRecord(ctx, nil)
		require.NoError(t, err, back)
	}
}
