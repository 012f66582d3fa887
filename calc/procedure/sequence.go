package procedure

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// Sheet is one attempt at the test of one build: what is to be done, and what
// has been recorded and signed so far. It changes nothing; it says how things
// stand.
type Sheet struct {
	Basis      Basis
	Tasks      []Task
	Entries    []Entry // in the order in which they were made
	Signatures []Signature
	Builders   []int64 // everybody who ever made or changed a part of the build
	Over       string  // why nothing goes on but letting the pressure go, though nothing failed; empty: it goes on
}

// Entry is what was recorded for an item.
type Entry struct {
	Item    string
	Outcome string
	Values  Values
}

// What may become of an entry.
const (
	Met     = "met"     // as it must be
	Attempt = "attempt" // refused; kept, and changes nothing
	Failed  = "failed"  // outside limits; it ends the attempt
)

// Signature is one signature under the entry of an item.
type Signature struct {
	Item string `json:"item"`
	Role string `json:"role"`
	Who  int64  `json:"who"`
}

// Person is who wants to sign.
type Person struct {
	ID      int64
	Steward bool
}

// State is how an item stands.
type State struct {
	Item     string      `json:"item"`
	State    string      `json:"state"`
	WaitsFor []string    `json:"waits_for"` // hold items that must be met before
	Signed   []Signature `json:"signed"`
	Lacks    []string    `json:"lacks"` // roles that have not signed
	Text     string      `json:"text"`  // the state in words
}

// The states of an item.
const (
	Open    = "open"    // to be done now
	Waiting = "waiting" // for hold items before it
	Signing = "signing" // recorded, signatures are lacking
	Done    = "met"     // recorded and signed
	Ended   = "failed"  // its entry ended the attempt
	Closed  = "closed"  // not to be done: the attempt has ended, or has not failed
)

// The results of an attempt.
const (
	ResultRunning = "running"
	ResultPassed  = "passed"
	ResultFailed  = "failed"
)

// Recorded returns everything that counts of what was recorded, by the names of
// the records.
func (s Sheet) Recorded() Values {
	all := Values{}
	for _, e := range s.Entries {
		if e.Outcome == Met {
			maps.Copy(all, e.Values)
		}
	}
	return all
}

// Names returns everything that leat supplies on a day, with what was recorded,
// and with what is about to be.
func (s Sheet) Names(day time.Time, more Values) Names {
	recorded := s.Recorded()
	maps.Copy(recorded, more)
	names := NamesOf(s.Basis, day, recorded)
	names["any_item_failed"] = Yes(s.failure() != "")
	names["water_test_passed"] = Yes(s.waterPassed())
	return names
}

// Judge looks at what somebody wants to record for an item.
func (s Sheet) Judge(day time.Time, item string, values Values) []Finding {
	t, ok := s.task(item)
	if !ok {
		return []Finding{{Text: "This test has no item " + item + "."}}
	}
	return t.Judge(values, s.Names(day, values))
}

// Result returns how the attempt stands: passed once everything that is asked is
// recorded and signed, failed from the first entry that ends it.
func (s Sheet) Result() string {
	if s.failure() != "" {
		return ResultFailed
	}
	for _, t := range s.Tasks {
		if !t.AfterFailure() && !s.done(t) {
			return ResultRunning
		}
	}
	return ResultPassed
}

// WrittenUp tells whether a failed attempt has everything that a failure asks
// for; until then its nonconformance is not complete.
func (s Sheet) WrittenUp() bool {
	return s.failure() != "" && !slices.ContainsFunc(s.Tasks, func(t Task) bool { return t.AfterFailure() && !s.done(t) })
}

// States returns how every item stands, in order.
func (s Sheet) States() []State {
	states := make([]State, 0, len(s.Tasks))
	for _, t := range s.Tasks {
		states = append(states, s.state(t))
	}
	return states
}

// StateOf returns how one item stands.
func (s Sheet) StateOf(item string) (State, bool) {
	t, ok := s.task(item)
	if !ok {
		return State{}, false
	}
	return s.state(t), true
}

func (s Sheet) task(item string) (Task, bool) {
	i := slices.IndexFunc(s.Tasks, func(t Task) bool { return t.ID == item })
	if i < 0 {
		return Task{}, false
	}
	return s.Tasks[i], true
}

// failure is the item whose entry ended the attempt; empty where none did.
func (s Sheet) failure() string {
	for _, e := range s.Entries {
		if e.Outcome == Failed {
			return e.Item
		}
	}
	return ""
}

// entry is the entry of an item that counts.
func (s Sheet) entry(item string) (counts Entry, ok bool) {
	for _, e := range s.Entries {
		if e.Item == item && e.Outcome == Met {
			counts, ok = e, true
		}
	}
	return counts, ok
}

func (s Sheet) signed(item string) []Signature {
	signed := []Signature{}
	for _, sig := range s.Signatures {
		if sig.Item == item {
			signed = append(signed, sig)
		}
	}
	return signed
}

// lacks are the roles that have still to sign an item.
func (s Sheet) lacks(t Task) []string {
	entry, _ := s.entry(t.ID)
	lacks := []string{}
	for _, role := range t.Signers(s.Basis.Fixed, entry.Values) {
		if !slices.ContainsFunc(s.signed(t.ID), func(sig Signature) bool { return sig.Role == role }) {
			lacks = append(lacks, role)
		}
	}
	return lacks
}

func (s Sheet) done(t Task) bool {
	_, recorded := s.entry(t.ID)
	return recorded && len(s.lacks(t)) == 0
}

// waterPassed tells whether everything between raising the pressure and letting
// it go is done, save what may be done early or late.
func (s Sheet) waterPassed() bool {
	any := false
	for _, t := range s.Tasks {
		if t.Point == Review || t.Stage != stagePressurise && t.Stage != stageHold && t.Stage != stageRelease {
			continue
		}
		if !s.done(t) {
			return false
		}
		any = true
	}
	return any
}

// raised tells whether the pressure may have been raised.
func (s Sheet) raised() bool {
	return slices.ContainsFunc(s.Entries, func(e Entry) bool {
		t, ok := s.task(e.Item)
		return ok && (t.Stage == stagePressurise || t.Stage == stageHold || t.Stage == stageAir)
	})
}

func (s Sheet) state(t Task) State {
	failure := s.failure()
	_, recorded := s.entry(t.ID)
	st := State{Item: t.ID, WaitsFor: []string{}, Signed: s.signed(t.ID), Lacks: s.lacks(t)}
	switch {
	case recorded && len(st.Lacks) == 0:
		st.State, st.Text = Done, "Recorded and signed."
	case failure != "" && !t.StaysOpen() && slices.ContainsFunc(s.Entries, func(e Entry) bool { return e.Item == t.ID && e.Outcome == Failed }):
		st.State, st.Text = Ended, "It was not as it must be: this attempt has ended. A new test sheet is needed once the failure is dealt with."
	case failure != "" && !t.StaysOpen():
		st.State, st.Text = Closed, fmt.Sprintf("This attempt ended at %s. Only letting the pressure go and recording the failure are left; all else is for a new test sheet.", failure)
	case failure == "" && t.AfterFailure():
		st.State, st.Text = Closed, "This is only for an attempt that has failed."
	case s.Over != "" && !t.StaysOpen():
		st.State, st.Text = Closed, s.Over
	default:
		st.WaitsFor = s.waitsFor(t)
		switch {
		case len(st.WaitsFor) > 0:
			st.State, st.Text = Waiting, fmt.Sprintf("%s comes first: nothing after a hold point can be recorded or signed before it is met.", strings.Join(st.WaitsFor, ", "))
		case recorded:
			st.State, st.Text = Signing, "Recorded; still to sign: "+strings.Join(st.Lacks, ", ")+"."
		default:
			st.State, st.Text = Open, "To be done and recorded."
		}
	}
	return st
}

// waitsFor are the hold items that must be met before this one. What may be
// signed early waits for none. Once the attempt has failed, letting the pressure
// go waits for nothing, and the record of the failure for that alone.
func (s Sheet) waitsFor(t Task) []string {
	waits := []string{}
	failed := s.failure() != "" || s.Over != ""
	for _, before := range s.Tasks {
		if before.ID == t.ID || t.Point == Review {
			break
		}
		if before.Point != Hold || before.AfterFailure() || s.done(before) {
			continue
		}
		if !failed || t.AfterFailure() && before.Stage == stageRelease && s.raised() {
			waits = append(waits, before.ID)
		}
	}
	return waits
}

// Refusal says why somebody may not do a thing, and who could.
type Refusal struct {
	Why string `json:"why"`
	Who string `json:"who"`
}

// MayRecord answers whether an entry can be made for an item now; nil: yes.
func (s Sheet) MayRecord(item string) *Refusal {
	st, ok := s.StateOf(item)
	switch {
	case !ok:
		return &Refusal{Why: "This test has no item " + item + "."}
	case st.State == Open:
		return nil
	case st.State == Signing:
		return &Refusal{Why: item + " is recorded already; it has only to be signed.", Who: s.whoCould(st.Lacks)}
	case st.State == Done:
		return &Refusal{Why: item + " is recorded and signed already."}
	}
	return &Refusal{Why: item + ": " + st.Text, Who: s.whoWaits(st)}
}

// MaySign answers whether a person may sign an item in a role now; nil: yes. The
// entry that is signed may be there already, or be made with the signature.
func (s Sheet) MaySign(p Person, item, role string) *Refusal {
	t, _ := s.task(item)
	st, ok := s.StateOf(item)
	switch {
	case !ok:
		return &Refusal{Why: "This test has no item " + item + "."}
	case !slices.Contains(roles, role) || !slices.Contains(t.Sign, role) && (t.AlsoSign == nil || t.AlsoSign.By != role):
		return &Refusal{Why: fmt.Sprintf("%s is not signed as %s.", item, role), Who: s.whoCould(st.Lacks)}
	case slices.ContainsFunc(st.Signed, func(sig Signature) bool { return sig.Role == role }):
		return &Refusal{Why: fmt.Sprintf("%s is signed as %s already.", item, role), Who: s.whoCould(st.Lacks)}
	case st.State != Open && st.State != Signing:
		return &Refusal{Why: item + ": " + st.Text, Who: s.whoWaits(st)}
	case !slices.Contains(st.Lacks, role):
		return &Refusal{Why: fmt.Sprintf("%s need not be signed as %s here.", item, role), Who: s.whoCould(st.Lacks)}
	}
	if why := s.unfit(p, item, role); why != "" {
		return &Refusal{Why: why, Who: s.whoCould([]string{role})}
	}
	return nil
}

// RolesOf are the roles in which a person may sign an item now.
func (s Sheet) RolesOf(p Person, item string) []string {
	may := []string{}
	for _, role := range roles {
		if s.MaySign(p, item, role) == nil {
			may = append(may, role)
		}
	}
	return may
}

// unfit says why a person cannot sign in a role; empty: he can. It looks at the
// person, never at a typed name.
func (s Sheet) unfit(p Person, item, role string) string {
	built := slices.Contains(s.Builders, p.ID)
	switch {
	case role == Builder && !built:
		return "Only somebody who made or changed a part of this build signs as builder."
	case role != Builder && built:
		return fmt.Sprintf("Who made or changed a part of this build does not sign as %s for it, whatever else they are.", role)
	case role == Competent && !p.Steward:
		return "Only a steward signs as competent."
	}
	for _, sig := range s.Signatures {
		if sig.Who != p.ID {
			continue
		}
		if sig.Item == item {
			return fmt.Sprintf("You have signed %s as %s: another person signs it as %s.", item, sig.Role, role)
		}
		if s.Basis.Competent && (sig.Role == Second) != (role == Second) && sig.Role != Builder && role != Builder {
			return fmt.Sprintf("You have signed %s as %s. This test takes three people: who signs as second does not sign as competent too.", sig.Item, sig.Role)
		}
	}
	return ""
}

var whoSigns = map[string]string{
	Builder:   "somebody who built it",
	Second:    "a member who did not build it",
	Competent: "a steward who did not build it",
}

// whoCould says who signs in these roles.
func (s Sheet) whoCould(lacking []string) string {
	who := []string{}
	for _, role := range lacking {
		text := whoSigns[role]
		if role != Builder && s.Basis.Competent {
			text += ", and has not signed this test as " + map[string]string{Second: Competent, Competent: Second}[role]
		}
		who = append(who, role+": "+text)
	}
	return strings.Join(who, "; ")
}

// whoWaits says who signs what an item waits for.
func (s Sheet) whoWaits(st State) string {
	if len(st.WaitsFor) == 0 {
		return ""
	}
	t, _ := s.task(st.WaitsFor[0])
	return t.ID + ": " + s.whoCould(s.lacks(t))
}
