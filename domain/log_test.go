package domain_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func fieldsOf(t *testing.T, err error) map[string]string {
	t.Helper()
	found := map[string]string{}
	if e, ok := errors.AsType[*domain.Error](err); ok {
		for _, f := range e.Fields {
			found[f.Pointer] = f.Code
		}
	}
	return found
}

func TestWhatAnEntryOfTheLogMustSay(t *testing.T) {
	now := time.Date(2026, 8, 12, 9, 30, 0, 0, time.UTC)
	at := func(d time.Duration) *time.Time { then := now.Add(d); return &then }
	for name, c := range map[string]struct {
		entry domain.WriteEntry
		want  map[string]string
	}{
		"words":                        {domain.WriteEntry{Text: "  Set the chamber\r\non its slab "}, nil},
		"a picture alone":              {domain.WriteEntry{Files: []domain.FileID{7}}, nil},
		"nothing":                      {domain.WriteEntry{Text: " \n"}, map[string]string{"/text": "missing"}},
		"an incident without words":    {domain.WriteEntry{Incident: true, Files: []domain.FileID{7}}, map[string]string{"/text": "missing"}},
		"long":                         {domain.WriteEntry{Text: strings.Repeat("ä", 4000)}, nil},
		"too long":                     {domain.WriteEntry{Text: strings.Repeat("ä", 4001)}, map[string]string{"/text": "too_long"}},
		"control characters":           {domain.WriteEntry{Text: "a\x07"}, map[string]string{"/text": "text"}},
		"one file twice":               {domain.WriteEntry{Text: "x", Files: []domain.FileID{7, 8, 7}}, map[string]string{"/files/2": "given_twice"}},
		"too many files":               {domain.WriteEntry{Text: "x", Files: []domain.FileID{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21}}, map[string]string{"/files": "range"}},
		"yesterday":                    {domain.WriteEntry{Text: "x", HappenedAt: at(-24 * time.Hour)}, nil},
		"by a clock a little too fast": {domain.WriteEntry{Text: "x", HappenedAt: at(10 * time.Minute)}, nil},
		"to come":                      {domain.WriteEntry{Text: "x", HappenedAt: at(11 * time.Minute)}, map[string]string{"/happened_at": "range"}},
		"in no time of ours":           {domain.WriteEntry{Text: "x", HappenedAt: at(-200 * 365 * 24 * time.Hour)}, map[string]string{"/happened_at": "range"}},
	} {
		c.entry.Key = "entry-0001"
		err := c.entry.Validate(now)
		if c.want == nil {
			require.NoError(t, err, name)
			continue
		}
		require.Equal(t, c.want, fieldsOf(t, err), name)
	}
	e := domain.WriteEntry{Text: "  Set the chamber\r\non its slab ", Key: "short"}
	require.Equal(t, map[string]string{"/client_key": "range"}, fieldsOf(t, e.Validate(now)))
	require.Equal(t, "Set the chamber\non its slab", e.Text)
}

func TestACorrectionStandsWhereTheOldEntryStands(t *testing.T) {
	one, two, other := domain.BuildID(1), domain.BuildID(2), domain.EntryID(9)
	for name, c := range map[string]struct {
		old  domain.Entry
		said *domain.BuildID
		code string
	}{
		"nothing said":            {domain.Entry{Build: &one}, nil, ""},
		"the same build":          {domain.Entry{Build: &one}, &one, ""},
		"about the project":       {domain.Entry{}, nil, ""},
		"another build":           {domain.Entry{Build: &one}, &two, "invalid"},
		"a build for the project": {domain.Entry{}, &one, "invalid"},
		"struck before":           {domain.Entry{Build: &one, StruckBy: &other}, nil, "entry-struck"},
	} {
		cmd := domain.WriteEntry{Build: c.said}
		err := cmd.Corrects(c.old)
		if c.code == "" {
			require.NoError(t, err, name)
			require.Equal(t, c.old.Build, cmd.Build, name)
			continue
		}
		e, ok := errors.AsType[*domain.Error](err)
		require.True(t, ok, name)
		require.Equal(t, c.code, e.Code, name)
	}
}

var (
	bram = domain.Person{ID: 5, Name: "Bram Oduya"}
	wen  = domain.Person{ID: 6, Name: "Wen Abara"}
)

// safety.md, 10: only an incident that a steward who did not build it has signed
// off as harmless no longer counts as open.
func TestWhoLaysAnIncidentToRest(t *testing.T) {
	for name, c := range map[string]struct {
		who      domain.AccountID
		roles    []domain.Role
		builders []domain.Person
		stewards []domain.Person
		code     string
		words    string
	}{
		"a steward who did not build it": {bram.ID, []domain.Role{domain.Steward}, []domain.Person{wen}, []domain.Person{bram}, "", ""},
		"a steward on the crew":          {petra, []domain.Role{domain.Steward}, []domain.Person{wen}, []domain.Person{{ID: petra, Name: "Petra"}}, "", ""},
		"a steward who built it":         {bram.ID, []domain.Role{domain.Steward, domain.Keeper}, []domain.Person{wen, bram}, []domain.Person{bram, {ID: 8, Name: "Olwen"}}, "built-it", "Ask one of them: Olwen."},
		"the only steward, who built it": {bram.ID, []domain.Role{domain.Steward}, []domain.Person{bram}, []domain.Person{bram}, "built-it", "another steward is needed"},
		"a keeper and checker":           {bram.ID, []domain.Role{domain.Keeper, domain.Checker}, nil, []domain.Person{wen}, "not-steward", "Ask one of them: Wen Abara."},
		"a member where no steward is":   {bram.ID, nil, nil, nil, "not-steward", "Nobody in the group is a steward"},
	} {
		access := access(c.who, true, c.roles...)
		access.Builders, access.Stewards = c.builders, c.stewards
		_, err := domain.Authorize(domain.Actor{Account: c.who}, access, domain.LayIncident)
		if c.code == "" {
			require.NoError(t, err, name)
			continue
		}
		e, ok := errors.AsType[*domain.Error](err)
		require.True(t, ok, name)
		require.Equal(t, c.code, e.Code, name)
		require.Contains(t, e.Message, c.words, name)
	}
}

func TestAnEntryThatNamesNoBuildIsAboutAllOfThem(t *testing.T) {
	one := domain.BuildID(1)
	of := map[domain.BuildID][]domain.Person{1: {bram}, 2: {wen}}
	require.Equal(t, []domain.Person{bram}, domain.Entry{Build: &one}.Builders(of))
	require.Equal(t, []domain.Person{bram, wen}, domain.Entry{}.Builders(of))
}

func TestWhatAReaderMayDoWithAnEntry(t *testing.T) {
	struck := domain.EntryID(9)
	steward, member := access(bram.ID, false, domain.Steward), access(petra, false)
	steward.Stewards, member.Stewards = []domain.Person{bram}, []domain.Person{bram}
	harmless := &domain.IncidentRest{By: bram, Reason: "drip at the tap"}
	for name, c := range map[string]struct {
		entry   domain.Entry
		steward []domain.Action
		member  []domain.Action
	}{
		"plain":    {domain.Entry{}, []domain.Action{domain.CorrectLog, domain.CallIncident}, []domain.Action{domain.CorrectLog, domain.CallIncident}},
		"struck":   {domain.Entry{StruckBy: &struck}, []domain.Action{domain.CallIncident}, []domain.Action{domain.CallIncident}},
		"incident": {domain.Entry{Incident: &domain.Incident{By: wen}}, []domain.Action{domain.CorrectLog, domain.LayIncident}, []domain.Action{domain.CorrectLog}},
		"at rest":  {domain.Entry{Incident: &domain.Incident{By: wen, Rest: harmless}}, []domain.Action{domain.CorrectLog}, []domain.Action{domain.CorrectLog}},
	} {
		for _, r := range []struct {
			access domain.Access
			want   []domain.Action
		}{{steward, c.steward}, {member, c.member}} {
			e := c.entry
			e.Shown(domain.Actor{Account: r.access.Account}, r.access)
			require.Equal(t, r.want, e.Allowed, name)
		}
	}
	e := domain.Entry{Incident: &domain.Incident{By: wen}}
	steward.Builders = []domain.Person{bram}
	e.Shown(domain.Actor{Account: bram.ID}, steward)
	require.NotContains(t, e.Allowed, domain.LayIncident)
	require.Contains(t, e.Incident.Lacking, "All stewards of the group built this machine")
}
