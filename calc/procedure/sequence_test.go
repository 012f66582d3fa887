package procedure_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
)

// The people of these tests: two who built it, two who did not, and a steward who
// did not; and a steward who did.
var (
	bram  = procedure.Person{ID: 1}
	rhian = procedure.Person{ID: 2, Steward: true}
	ines  = procedure.Person{ID: 3}
	tove  = procedure.Person{ID: 4}
	osk   = procedure.Person{ID: 5, Steward: true}

	everybody = []procedure.Person{bram, rhian, ines, tove, osk}
)

// attempt is a test that begins.
func attempt(b procedure.Basis) procedure.Sheet {
	names := procedure.NamesOf(b, day, nil)
	return procedure.Sheet{Basis: b, Tasks: procedure.First().Tasks(names, b.Plain), Builders: []int64{bram.ID, rhian.ID}}
}

// filled is an entry of an item that keeps every limit.
func filled(t *testing.T, s procedure.Sheet, item string) procedure.Values {
	t.Helper()
	i := slices.IndexFunc(s.Tasks, func(k procedure.Task) bool { return k.ID == item })
	require.GreaterOrEqual(t, i, 0, item)
	v := procedure.Values{}
	for _, f := range s.Tasks[i].Fields {
		n := s.Names(day, v)
		one := func(int) procedure.Value { return valueFor(t, f, n) }
		switch {
		case f.Name == "legal_note" && len(legalFlags(n)) == 0 || f.Name == "oxygen" || f.Name == "watcher" || f.Name == "manometer_height":
		case len(f.Repeats) > 0:
			all := []procedure.Value{}
			for k := range f.Repeats {
				x := one(k)
				if f.Name == "p_stages" {
					stages, _ := n["stage_bar"].List()
					x = stages[f.Repeats[k].Index]
				}
				all = append(all, x)
			}
			v[f.Name] = procedure.List(all...)
		default:
			v[f.Name] = one(0)
		}
	}
	return v
}

func legalFlags(n procedure.Names) []procedure.Value {
	flags, _ := n["legal_flags"].List()
	return flags
}

func valueFor(t *testing.T, f procedure.Field, n procedure.Names) procedure.Value {
	t.Helper()
	switch f.Kind {
	case procedure.Confirm:
		if f.EqualsCount != "" {
			x, ok := n[f.EqualsCount].Count()
			require.True(t, ok, f.EqualsCount)
			return procedure.Number(x)
		}
		return procedure.Yes(true)
	case procedure.Photo:
		return procedure.List(procedure.Number(17))
	case procedure.People:
		return procedure.List(procedure.Text("Tove"))
	case procedure.Instrument:
		return gauge(map[bool]float64{true: 6, false: 0.4}[numberOf(t, n, "p_test_low_bar") > 1], 1, "2026-06-01")["gauge"]
	case procedure.Choice:
		if f.Equals != "" && n[f.Equals].Known() {
			return n[f.Equals]
		}
		return procedure.Text(f.Values[0])
	case procedure.Words:
		switch {
		case f.Equals != "":
			return n[f.Equals]
		case f.Name == "expires_on":
			return n["expiry_max"]
		}
		return procedure.Text("as said")
	}
	stages, _ := n["stage_bar"].List()
	first, _ := stages[0].Number()
	known := func(name string) float64 { x, _ := n[name].Number(); return x }
	return procedure.Number(map[string]float64{
		"rating": 99, "cure_hours": 100, "coldest": 8, "relief_set": known("relief_set_max_bar"), "relief_bore": known("relief_bore_min_mm") + 1, "weakest_test_part": 99,
		"zone_radius": 40, "pipe_temp": 12, "air_fraction": 0.5, "p_stage1": first, "p_test": known("gauge_target_bar"), "t_start": 12, "hold_minutes": 60,
		"p_end": known("gauge_target_bar"), "t_end": 12, "p_inspect": 0, "p_zero": 0, "air_zone": 40, "p_air_low": 0, "p_air": 0, "relief_opened_at": 0, "noise": 60, "water_temp": 12, "depth": 0.5,
	}[f.Name])
}

// record makes an entry that is judged as it is.
func record(t *testing.T, s *procedure.Sheet, item string, v procedure.Values) []procedure.Finding {
	t.Helper()
	require.Nil(t, s.MayRecord(item), item)
	findings := s.Judge(day, item, v)
	outcome := procedure.Met
	switch {
	case procedure.Outside(findings):
		outcome = procedure.Failed
	case len(findings) > 0:
		outcome = procedure.Attempt
	}
	s.Entries = append(s.Entries, procedure.Entry{Item: item, Outcome: outcome, Values: v})
	return findings
}

func sign(t *testing.T, s *procedure.Sheet, p procedure.Person, item, role string) {
	t.Helper()
	require.Nil(t, s.MaySign(p, item, role), "%s %s: %v", item, role, s.MaySign(p, item, role))
	s.Signatures = append(s.Signatures, procedure.Signature{Item: item, Role: role, Who: p.ID})
}

var signer = map[string]procedure.Person{"builder": bram, "second": ines, "competent": osk}

// do records and signs an item as it must be.
func do(t *testing.T, s *procedure.Sheet, item string) {
	t.Helper()
	require.Empty(t, record(t, s, item, filled(t, *s, item)), item)
	st, _ := s.StateOf(item)
	for _, role := range st.Lacks {
		sign(t, s, signer[role], item, role)
	}
	st, _ = s.StateOf(item)
	require.Equal(t, procedure.Done, st.State, item)
}

// upTo does everything before an item.
func upTo(t *testing.T, s *procedure.Sheet, item string) {
	t.Helper()
	for _, k := range s.Tasks {
		if k.ID == item {
			return
		}
		do(t, s, k.ID)
	}
}

func state(t *testing.T, s procedure.Sheet, item string) procedure.State {
	t.Helper()
	st, ok := s.StateOf(item)
	require.True(t, ok, item)
	return st
}

// A plain machine from first to last: at most 20 signatures, by the rule of this
// procedure.
func TestAPlainMachineIsTestedWithAtMostTwentySignatures(t *testing.T) {
	s := attempt(plain(t))
	upTo(t, &s, "C04")
	require.Equal(t, procedure.ResultPassed, s.Result())
	require.LessOrEqual(t, len(s.Signatures), 20)
	require.Equal(t, []string{"B01", "B02", "P01", "P02", "P04", "P08", "P10", "P13", "R03", "H01", "H02", "D01", "A02", "C01", "C02", "C04"}, itemsOf(s), "no mains, no relief")
	require.Equal(t, procedure.Closed, state(t, s, "C04").State)
}

func itemsOf(s procedure.Sheet) (ids []string) {
	for _, k := range s.Tasks {
		ids = append(ids, k.ID)
	}
	return ids
}

// Facts of the site that are true bring their items into the short list, with
// their signers.
func TestTheShortListTakesWhatTheSiteAsksFor(t *testing.T) {
	b, rep := basis(t, lowTrompe+`, "source": {"kind": "main"}, "parts": [`+inWater+`], `+strings.Replace(calm, `"electric": false`, `"stream": true`, 1))
	require.Equal(t, "plain", string(rep.Build.Class))
	require.Subset(t, itemsOf(attempt(b)), []string{"B04", "B09", "B10", "B11"}, "a stream; mains; nobody said that there is no electricity")
	require.NotContains(t, itemsOf(attempt(b)), "B08")
	require.NotContains(t, itemsOf(attempt(b)), "P05", "not of the first stage, and not listed")
}

func TestARaisedMachineGetsTheWholeList(t *testing.T) {
	s := attempt(conditional(t))
	require.Equal(t, procedure.ResultRunning, s.Result())
	upTo(t, &s, "C04")
	require.Equal(t, procedure.ResultPassed, s.Result())
	require.Contains(t, itemsOf(s), "R02")
	require.Equal(t, []string{"builder", "competent"}, s.Tasks[slices.Index(itemsOf(s), "B06")].Signers(s.Basis.Fixed, nil), "nobody said that it is less than 1.2 m deep")
	require.Equal(t, []string{"second", "competent"}, s.Tasks[slices.Index(itemsOf(s), "B02")].Signers(s.Basis.Fixed, nil))
}

// conditional is the deep trompe with everything said that its test asks for.
func conditional(t *testing.T) procedure.Basis {
	t.Helper()
	b, rep := basis(t, deepTrompe+`, "parts": [`+inWater+airLine+`], "facts": {"t_hot_c": 20, "t_cold_c": 8, "site": {"depth_m": 1.5}}`)
	require.Empty(t, rep.Build.Barred())
	air := 0.001
	b.Relief.SourceKgS = &air
	require.True(t, b.Competent)
	require.Empty(t, lacking(b))
	return b
}

// Rule of this procedure: nothing after a hold point is met before it is signed,
// but what is only reviewed may be signed early.
func TestAHoldPointHolds(t *testing.T) {
	s := attempt(conditional(t))
	require.Equal(t, procedure.Open, state(t, s, "B01").State)
	require.Equal(t, []string{"B01"}, state(t, s, "B02").WaitsFor)
	require.Equal(t, procedure.Open, state(t, s, "B03").State, "a review point")
	require.Contains(t, s.MayRecord("B02").Why, "B01 comes first")
	require.Contains(t, s.MayRecord("B02").Who, "B01: builder: somebody who built it")
	require.Contains(t, s.MaySign(ines, "B02", "second").Why, "B01 comes first")
	require.Empty(t, record(t, &s, "B01", filled(t, s, "B01")))
	require.Equal(t, procedure.Signing, state(t, s, "B01").State)
	sign(t, &s, bram, "B01", "builder")
	require.Equal(t, []string{"second"}, state(t, s, "B01").Lacks)
	require.Equal(t, procedure.Waiting, state(t, s, "B02").State, "recorded is not signed")
	sign(t, &s, ines, "B01", "second")
	require.Equal(t, procedure.Open, state(t, s, "B02").State)
	require.Contains(t, s.MayRecord("B01").Why, "already")
}

// Signing rules look at the person: rule of this procedure.
func TestWhoMaySignWhat(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "B02")
	for _, c := range []struct {
		who        procedure.Person
		item, role string
		why        string
	}{
		{ines, "B02", "second", ""},
		{tove, "B02", "second", ""},
		{bram, "B02", "second", "built"},
		{rhian, "B02", "second", "built"},
		{rhian, "B02", "competent", "whatever else they are"},
		{tove, "B02", "competent", "Only a steward"},
		{ines, "B02", "competent", "Only a steward"},
		{osk, "B02", "competent", ""},
		{osk, "B02", "second", ""},
		{ines, "B02", "builder", "not signed as builder"},
		{ines, "B02", "boss", "not signed as boss"},
		{ines, "B01", "second", "already"},
		{ines, "Z99", "second", "no item"},
		{ines, "B03", "second", ""},
		{tove, "P03", "builder", "comes first"},
	} {
		no := s.MaySign(c.who, c.item, c.role)
		if c.why == "" {
			require.Nil(t, no, "%v", c)
			continue
		}
		require.NotNil(t, no, "%v", c)
		require.Contains(t, strings.ReplaceAll(no.Why, "made or changed a part of this build", "built"), c.why, "%v", c)
	}
	require.Equal(t, []string{"second"}, s.RolesOf(tove, "B02"))
	require.Empty(t, s.RolesOf(bram, "B02"))
	require.Contains(t, s.MaySign(bram, "B02", "second").Who, "a member who did not build it")
}

// Two of the three people of a test with gas on conditions did not build it: who
// signs as second anywhere does not sign as competent, for the certificate would
// count both as one.
func TestSecondAndCompetentAreTwoPeople(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "B02")
	require.Empty(t, record(t, &s, "B02", filled(t, s, "B02")))
	sign(t, &s, osk, "B02", "second")
	require.Contains(t, s.MaySign(osk, "B02", "competent").Why, "another person")
	require.Contains(t, s.MaySign(procedure.Person{ID: ines.ID, Steward: true}, "B02", "competent").Why, "signed B01 as second")
	require.Nil(t, s.MaySign(procedure.Person{ID: tove.ID, Steward: true}, "B02", "competent"))

	b := conditional(t)
	b.Competent = false // only a deep pit asks for a steward
	s = attempt(b)
	upTo(t, &s, "B02")
	require.Nil(t, s.MaySign(procedure.Person{ID: ines.ID, Steward: true}, "B02", "competent"))
}

// A witness point is signed by two different people who were there.
func TestAWitnessPointTakesTwoPeople(t *testing.T) {
	for _, k := range procedure.First().Tasks(procedure.NamesOf(conditional(t), day, nil), false) {
		if k.Point == procedure.Witness {
			require.Equal(t, []string{"builder", "second"}, k.Sign, k.ID)
		}
	}
	s := attempt(conditional(t))
	upTo(t, &s, "R01")
	require.Empty(t, record(t, &s, "R01", filled(t, s, "R01")))
	sign(t, &s, bram, "R01", "builder")
	require.NotNil(t, s.MaySign(bram, "R01", "second"))
	require.Equal(t, procedure.Signing, state(t, s, "R01").State)
}

// A reading outside its limits ends the attempt; only letting the pressure go and
// writing the failure down stay open. Rule of this procedure.
func TestAReadingOutsideItsLimitsEndsTheAttempt(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "R03")
	require.Equal(t, procedure.Closed, state(t, s, "C04").State, "nothing has failed")
	over := filled(t, s, "R03")
	n := s.Names(day, over)
	over["p_test"] = procedure.Number(numberOf(t, n, "gauge_max_bar") + 0.01)
	findings := record(t, &s, "R03", over)
	require.True(t, procedure.Outside(findings))
	require.Equal(t, procedure.ResultFailed, s.Result())
	require.Equal(t, procedure.Ended, state(t, s, "R03").State)
	for _, item := range []string{"H01", "A02", "A04", "C01", "C02", "C03"} {
		require.Equal(t, procedure.Closed, state(t, s, item).State, item)
		require.Contains(t, s.MayRecord(item).Why, "ended at R03")
		require.Empty(t, s.RolesOf(ines, item))
	}
	require.Equal(t, procedure.Open, state(t, s, "D01").State)
	require.Equal(t, procedure.Open, state(t, s, "D02").State)
	require.Equal(t, []string{"D01"}, state(t, s, "C04").WaitsFor, "no hands on it before the pressure is gone")
	yes, _ := s.Names(day, nil)["any_item_failed"].Yes()
	require.True(t, yes)
	require.False(t, s.WrittenUp())
	do(t, &s, "D01")
	do(t, &s, "D02")
	do(t, &s, "C04")
	require.Equal(t, procedure.ResultFailed, s.Result())
	require.True(t, s.WrittenUp())
	passed, _ := s.Names(day, nil)["water_test_passed"].Yes()
	require.False(t, passed)
}

// Before any pressure there is none to let go.
func TestAFailureBeforeThePressureIsWrittenDownAtOnce(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "P03")
	findings := record(t, &s, "P03", procedure.Values{"threads_match": procedure.Yes(false)})
	require.True(t, procedure.Outside(findings))
	require.Equal(t, procedure.Open, state(t, s, "C04").State)
	require.Equal(t, procedure.Open, state(t, s, "D01").State)
}

// A gauge that does not come down to zero ends the attempt, and the pressure is
// still to be let go: that item can be recorded anew.
func TestLettingThePressureGoCanBeTriedAgain(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "D01")
	stuck := filled(t, s, "D01")
	stuck["p_zero"] = procedure.Number(1)
	require.True(t, procedure.Outside(record(t, &s, "D01", stuck)))
	require.Equal(t, procedure.Open, state(t, s, "D01").State)
	require.Equal(t, []string{"D01"}, state(t, s, "C04").WaitsFor)
	do(t, &s, "D01")
	require.Equal(t, procedure.Open, state(t, s, "C04").State)
	require.Equal(t, procedure.ResultFailed, s.Result())
}

// The verdict is leat's: inconclusive is not a pass, and nobody can choose one.
func TestAnInconclusiveHoldEndsTheAttempt(t *testing.T) {
	s := attempt(conditional(t))
	upTo(t, &s, "H01")
	warm := filled(t, s, "H01")
	warm["t_end"] = procedure.Number(15)
	require.Empty(t, record(t, &s, "H01", warm))
	for _, role := range []string{"builder", "second"} {
		sign(t, &s, signer[role], "H01", role)
	}
	findings := record(t, &s, "H02", procedure.Values{"drop_verdict": procedure.Text("pass")})
	require.True(t, procedure.Outside(findings))
	require.Contains(t, findings[0].Text, "inconclusive")
}

// An entry that is refused changes nothing.
func TestARefusedEntryChangesNothing(t *testing.T) {
	s := attempt(conditional(t))
	findings := record(t, &s, "B01", procedure.Values{"review_closed": procedure.Yes(true), "revision_hash": procedure.Text("another")})
	require.Len(t, findings, 1)
	require.False(t, findings[0].Outside)
	require.Equal(t, "/revision_hash", findings[0].At)
	require.Equal(t, procedure.Open, state(t, s, "B01").State)
	require.Equal(t, procedure.ResultRunning, s.Result())
	do(t, &s, "B01")
}

// Whatever people try in whatever order, a model of the rules agrees: what is met
// was never met over an open hold point, no builder signed for others, nobody
// signed an item twice, and an attempt that failed never passes.
func TestNoOrderOfActsBreaksTheRules(t *testing.T) {
	for seed := range uint64(10) {
		rng := rand.New(rand.NewPCG(seed, 7))
		s := attempt(conditional(t))
		if seed%2 == 0 {
			s = attempt(plain(t))
		}
		for range 500 {
			act(t, &s, rng)
			holdsRules(t, s, fmt.Sprintf("seed %d", seed))
		}
	}
}

// act tries one thing at random, mostly at the items that are next.
func act(t *testing.T, s *procedure.Sheet, rng *rand.Rand) {
	next := slices.IndexFunc(s.States(), func(st procedure.State) bool { return st.State == procedure.Open || st.State == procedure.Signing })
	at := max(0, next)
	if rng.IntN(3) == 0 {
		at = rng.IntN(len(s.Tasks))
	}
	item := s.Tasks[at].ID
	if rng.IntN(3) == 0 {
		if s.MayRecord(item) == nil {
			v := filled(t, *s, item)
			if rng.IntN(80) == 0 {
				for name := range v {
					v[name] = procedure.Yes(false)
				}
			}
			record(t, s, item, v)
		}
		return
	}
	p, role := everybody[rng.IntN(len(everybody))], []string{"builder", "second", "competent"}[rng.IntN(3)]
	recorded := slices.ContainsFunc(s.Entries, func(e procedure.Entry) bool { return e.Item == item && e.Outcome == procedure.Met })
	if recorded && s.MaySign(p, item, role) == nil {
		s.Signatures = append(s.Signatures, procedure.Signature{Item: item, Role: role, Who: p.ID})
	}
}

func holdsRules(t *testing.T, s procedure.Sheet, seed string) {
	t.Helper()
	failed := slices.ContainsFunc(s.Entries, func(e procedure.Entry) bool { return e.Outcome == procedure.Failed })
	require.Equal(t, failed, s.Result() == procedure.ResultFailed, seed)
	open := ""
	for i, st := range s.States() {
		task := s.Tasks[i]
		if st.State == procedure.Done && task.Point != procedure.Review && !failed {
			require.Empty(t, open, "%s: %s is met before %s", seed, task.ID, open)
		}
		if task.Point == procedure.Hold && st.State != procedure.Done && task.ID != "C04" && open == "" {
			open = task.ID
		}
		people, signedAs := map[int64]bool{}, map[string]bool{}
		for _, sig := range st.Signed {
			require.False(t, people[sig.Who] || signedAs[sig.Role], "%s: %s is signed twice", seed, task.ID)
			people[sig.Who], signedAs[sig.Role] = true, true
			require.Equal(t, sig.Role == "builder", slices.Contains(s.Builders, sig.Who), "%s: %s", seed, task.ID)
			require.True(t, sig.Role != "competent" || sig.Who == osk.ID, seed)
		}
		if st.State == procedure.Done && task.Point == procedure.Witness {
			require.GreaterOrEqual(t, len(people), 2, seed)
		}
	}
}
