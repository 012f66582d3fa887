package domain

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"time"

	"leat/calc/pressuretest"
	"leat/calc/procedure"
)

// CertificateID names a certificate.
type CertificateID int64

// Certificate says what a passed test is good for: this build as it stood, at
// this place, until the end of a day. Nothing of it says that it holds: that is
// worked out each time it is shown, by [Certificate.At].
type Certificate struct {
	ID           CertificateID
	Build        BuildID
	Test         int // number of its test sheet
	BuildVersion int
	Pressure     [32]byte
	Site         string // the place, with the count of its moves
	Body         []byte // JSON: everything that it holds; nil in a list
	IssuedBy     Person
	IssuedAt     time.Time
	ExpiresOn    time.Time // the last day, at 0:00 UTC
	ExpiresAt    time.Time // the end of that day in the time zone of the group
	Link         int64     // of the record
	Head         RecordHead
	End          *CertificateEnd
	Since        Since
}

// CertificateEnd says that a certificate counts no more.
type CertificateEnd struct {
	Kind   CertificateEndKind
	Reason string
	By     Person
	At     time.Time
}

// CertificateEndKind says why a steward ended a certificate.
type CertificateEndKind string

// The ways to end a certificate.
const (
	CertificateRevoked CertificateEndKind = "revoked"
	PartRecalled       CertificateEndKind = "part_recalled" // its maker took a part back
)

// Since is what the notebook knows, now, about a certificate and about all that
// happened to its build since: what has lapsed once is found every time.
type Since struct {
	Passed     bool // the test sheet did
	Competent  bool // a third person is needed
	Signed     []TestSignature
	Builders   []Person
	Versions   []BuildMark // of the build, later than its own
	Withdrawn  string      // letter of its revision, where it was withdrawn
	Gauges     []string    // of its test that were found wrong afterwards, in words
	Incidents  int         // not signed off as harmless, since its test began
	Failures   int         // nonconformances that are open, or were opened since
	Superseded bool        // a later certificate was issued for the build
	Elsewhere  string      // why it gives no right here, where it came with an archive of another group
	Exceeded   []string    // limits that came into force since its test, and that the machine exceeds, in words
}

// BuildMark is what a certificate looks at in a version of its build.
type BuildMark struct {
	Number   int
	Pressure [32]byte
	Site     string
}

// SiteOf names a place with the count of its moves, as a certificate holds it.
func SiteOf(place string, moves int) string { return fmt.Sprintf("%s (%d)", place, moves) }

// Lapse is one reason why a certificate does not hold, with its code.
type Lapse struct{ Code, Text string }

// CertificateState tells whether a certificate holds at a moment; if not, all
// reasons, in their fixed order.
type CertificateState struct {
	Valid   bool
	Reasons []Lapse
}

// At tells whether the certificate holds at a moment.
func (c Certificate) At(now time.Time) CertificateState {
	out, _, fault := pressuretest.CertificateValid(c.asked(now))
	if fault != nil {
		return CertificateState{Reasons: []Lapse{{"not_valid_yet", fault.Message}}} // a time that cannot be written: it does not hold
	}
	s := CertificateState{Reasons: []Lapse{}}
	if c.Since.Elsewhere != "" {
		s.Reasons = append(s.Reasons, Lapse{"certified_elsewhere", c.Since.Elsewhere})
	}
	for _, code := range out.Reasons {
		for _, text := range c.words(code) {
			s.Reasons = append(s.Reasons, Lapse{code, text})
		}
	}
	if includes(c.Since.Builders, c.IssuedBy.ID) {
		s.Reasons = append(s.Reasons, Lapse{"issuer_is_builder", "The steward who issued it is among those who built the machine."})
	}
	for _, text := range c.Since.Exceeded {
		s.Reasons = append(s.Reasons, Lapse{"limit_exceeded", "A limit of the group was tightened since its test. " + text})
	}
	if c.Since.Superseded {
		s.Reasons = append(s.Reasons, Lapse{"superseded", "A later certificate was issued for this machine: that one counts."})
	}
	s.Valid = len(s.Reasons) == 0
	return s
}

// asked is what the rules of safety are asked about the certificate. Of all
// versions since, the first that is another counts, so that what was put back
// revives nothing. Of all who signed in a role, one who built it counts first.
func (c Certificate) asked(now time.Time) pressuretest.CertificateIn {
	in := pressuretest.CertificateIn{
		Certificate: pressuretest.Certificate{
			PressureHash: hex.EncodeToString(c.Pressure[:]), Result: pressuretest.Fail, Site: c.Site, Signatures: []pressuretest.Signature{},
			Issued: c.IssuedAt.UTC().Format(time.RFC3339), Expires: c.ExpiresAt.UTC().Format(time.RFC3339), CompetentRequired: c.Since.Competent,
			Revoked: c.End != nil || c.Since.Withdrawn != "" || len(c.Since.Gauges) > 0,
		},
		Build: pressuretest.Build{
			PressureHash: hex.EncodeToString(c.Pressure[:]), Site: c.Site, Builders: []string{},
			OpenIncident: c.Since.Incidents > 0, OpenNonconformance: c.Since.Failures > 0,
		},
		Now: now.UTC().Format(time.RFC3339),
	}
	if c.Since.Passed {
		in.Certificate.Result = pressuretest.Pass
	}
	for _, v := range slices.Backward(c.Since.Versions) {
		if v.Pressure != c.Pressure {
			in.Build.PressureHash = hex.EncodeToString(v.Pressure[:])
		}
		if v.Site != c.Site {
			in.Build.Site = v.Site
		}
	}
	for _, b := range c.Since.Builders {
		in.Build.Builders = append(in.Build.Builders, user(b))
	}
	for _, s := range c.signedInOrder() {
		in.Certificate.Signatures = append(in.Certificate.Signatures, pressuretest.Signature{Role: certificateRoles[s.Role], User: user(s.Who)})
	}
	return in
}

var certificateRoles = map[string]string{
	procedure.Builder: pressuretest.Tester, procedure.Second: pressuretest.Witness, procedure.Competent: pressuretest.Competent,
}

func user(p Person) string { return strconv.FormatInt(int64(p.ID), 10) }

// signedInOrder puts who signed as second or competent and is among the builders
// by now before all others.
func (c Certificate) signedInOrder() []TestSignature {
	signed := slices.Clone(c.Since.Signed)
	rank := func(s TestSignature) int {
		if s.Role != procedure.Builder && includes(c.Since.Builders, s.Who.ID) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(signed, func(a, b TestSignature) int { return rank(a) - rank(b) })
	return signed
}

// words says a reason, or all that stand behind it, to people.
func (c Certificate) words(code string) []string {
	if code != "revoked" {
		return []string{certificateWords[code]}
	}
	all := []string{}
	if e := c.End; e != nil {
		what := map[CertificateEndKind]string{CertificateRevoked: "It was revoked", PartRecalled: "A part of the machine was recalled"}[e.Kind]
		all = append(all, fmt.Sprintf("%s by %s: %s", what, e.By.Name, e.Reason))
	}
	if c.Since.Withdrawn != "" {
		all = append(all, "Revision "+c.Since.Withdrawn+", from which the machine is made, was withdrawn: it must not be put under pressure.")
	}
	for _, gauge := range c.Since.Gauges {
		all = append(all, "The gauge of its test was found wrong afterwards: "+gauge+".")
	}
	return all
}

var certificateWords = map[string]string{
	"not_passed":           "Its test was not passed.",
	"revision_mismatch":    "The machine was changed since its test: a part, a joint or a figure that the test was good for. Putting it back revives nothing; a new test does.",
	"not_yet_valid":        "It counts from the moment at which it was issued, and that is still to come.",
	"expired":              "Its last day has passed. A new test is needed.",
	"site_changed":         "The machine was moved since its test. Moving it back revives nothing; a new test does.",
	"incident_open":        "An incident was logged since its test, and no steward who did not build the machine has signed it off as harmless.",
	"nonconformance_open":  "A test failed since, or what failed is not closed. A new test is needed.",
	"signature_missing":    "A signature that it needs is missing.",
	"same_person":          "One person signed where two different people must.",
	"witness_is_builder":   "Somebody who signed as second is among those who built the machine.",
	"competent_is_builder": "Somebody who signed as competent is among those who built the machine.",
}

// Validity puts what a build says about its certificate into words.
func (s CertificateState) Validity() Validity {
	v := Validity{Valid: s.Valid, Reasons: []string{}}
	for _, r := range s.Reasons {
		v.Reasons = append(v.Reasons, r.Text)
	}
	return v
}

// Uncertified is what is said of a build that never had a certificate.
func Uncertified() Validity {
	return Validity{Reasons: []string{"No certificate was issued for this machine yet: begin a test sheet, pass it, and let a steward who did not build the machine issue one."}}
}

// The kinds of link that a certificate makes.
const (
	LinkCertificate      LinkKind = "certificate"
	LinkCertificateEnded LinkKind = "certificate_ended"
)

// IssueCertificate issues a certificate on a test that was passed.
type IssueCertificate struct {
	Test      TestRef
	ExpiresOn *time.Time // nil: as late as it may be
	Proof     Proof
}

// Validate finds the faults that show without the test.
func (c *IssueCertificate) Validate() error { return Faulty(c.Proof.Validate("", true)) }

// Expiry returns the last day of a certificate: what was signed on the test
// sheet, and what the settings in force allow from today, whichever is earlier;
// or the day that was asked for, when it is not later than that.
func (t Test) Expiry(wanted *time.Time, today time.Time, s SafetySettings) (time.Time, error) {
	latest := t.LatestExpiry(today, s)
	switch {
	case wanted == nil:
		return latest, nil
	case wanted.After(latest):
		return latest, Faulty([]Field{{"/expires_on", "range", "This is later than the test sheet and the rules of the group allow. The last day can be " + latest.Format(time.DateOnly) + "."}})
	case wanted.Before(today):
		return latest, Faulty([]Field{{"/expires_on", "range", "This day has passed."}})
	}
	return *wanted, nil
}

// LatestExpiry is the latest last day that a certificate on this test may have.
func (t Test) LatestExpiry(today time.Time, s SafetySettings) time.Time {
	names := procedure.NamesOf(procedure.Basis{Fixed: t.Basis.Fixed, Rules: RulesOf(s)}, today, nil)
	latest := today
	if text, ok := names["expiry_max"].Text(); ok {
		if day, err := time.Parse(time.DateOnly, text); err == nil {
			latest = day
		}
	}
	if text, ok := t.Attempt().Recorded()["expires_on"].Text(); ok {
		if day, err := time.Parse(time.DateOnly, text); err == nil && day.Before(latest) {
			latest = day
		}
	}
	return latest
}

// RulesOf are the settings of a group as far as a test asks for them.
func RulesOf(s SafetySettings) procedure.Rules {
	return procedure.Rules{Limits: s.Limits, LifeMonths: s.CertificateMonths, LifeGasMonths: s.CertificateGasMonths}
}

// EndOf returns the end of a day in a time zone. A zone that nobody knows counts
// as UTC.
func EndOf(day time.Time, zone string) time.Time {
	place, err := time.LoadLocation(zone)
	if err != nil {
		place = time.UTC
	}
	y, m, d := day.Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, place).UTC()
}

// MayIssue returns why no certificate can be issued on the test by this person.
func (t Test) MayIssue(access Access) error {
	switch {
	case t.Certified:
		return testRefused("certificate-refused", "A certificate was issued on this test sheet already.")
	case t.Ended != TestPassed:
		return testRefused("certificate-refused", "A certificate is issued on a test sheet that was passed. This one was not.")
	case t.Over != "":
		return testRefused("certificate-refused", t.Over)
	case t.signedAs(procedure.Second, access.Account) != nil:
		return &Error{Kind: Forbidden, Code: "signed-as-second", Message: "You signed this test as second, and signing for pressure takes three people. Another steward who did not build the machine issues the certificate. " + access.whoIsSteward()}
	}
	return nil
}

// Holds returns a Conflict when a certificate would not hold at the moment at
// which it is issued.
func (c Certificate) Holds(now time.Time) error {
	s := c.At(now)
	if s.Valid {
		return nil
	}
	text := "A certificate would not hold, so none is issued:"
	for _, r := range s.Reasons {
		text += " " + r.Text
	}
	return testRefused("certificate-refused", text)
}

// RevokeCertificate ends a certificate.
type RevokeCertificate struct {
	Project ProjectID
	Build   BuildID
	Kind    CertificateEndKind
	Reason  string
	Proof   Proof
}

// Validate trims the reason and finds all faults.
func (c *RevokeCertificate) Validate() error {
	faults := prose("/reason", &c.Reason, purposeMost)
	if c.Reason == "" {
		faults = append(faults, Field{"/reason", "missing", "Say why: it stays on the record for all to read."})
	}
	if c.Kind != CertificateRevoked && c.Kind != PartRecalled {
		faults = append(faults, Field{"/kind", "unknown_value", "Choose revoked or part_recalled."})
	}
	return Faulty(append(faults, c.Proof.Validate("", true)...))
}

// CertificateEnded returns the Conflict of a certificate that was ended before.
func CertificateEnded(e CertificateEnd) error {
	return testRefused("certificate-ended", "This certificate was revoked already, by "+e.By.Name+".")
}

// Certificates is what is known about the certificates of a build: the newest,
// which counts, in full; a page of all, newest first; and the test that wants one.
type Certificates struct {
	Now     time.Time
	Newest  *Certificate // nil: none, or not of this page
	All     []Certificate
	Ready   *ReadyTest // a test sheet that was passed and has none
	Lacking string     // why nobody in the group can issue one; empty when somebody can, or none is wanted
	Allowed []Action
}

// ReadyTest is a passed test that wants a certificate.
type ReadyTest struct {
	Test   Test
	Latest time.Time // the latest last day
}

// Shown fills in what the reader may do about the certificates.
func (c *Certificates) Shown(who Actor, access Access) {
	c.Allowed = []Action{}
	if c.Ready != nil {
		if c.Ready.Test.MayIssue(access) == nil {
			c.Allowed = allowed(who, access, CertifyBuild)
		}
		c.Lacking = c.Ready.Test.lacksIssuer(access)
	}
	if c.Newest != nil && c.Newest.End == nil {
		c.Allowed = append(c.Allowed, allowed(who, access, EndCertificate)...)
	}
}

// lacksIssuer says that nobody in the group can issue a certificate on the test.
func (t Test) lacksIssuer(access Access) string {
	if text := access.lacksSteward(); text != "" {
		return text
	}
	for _, s := range access.apartStewards() {
		if t.signedAs(procedure.Second, s.ID) == nil {
			return ""
		}
	}
	return "All stewards who did not build the machine signed this test as second, and signing for pressure takes three people: another steward is needed. A keeper can give somebody that role."
}
