package pressuretest

import (
	"slices"
	"strings"
	"time"

	"leat/calc"
)

// CertificateIn is a certificate, the build that it is for, and the moment.
type CertificateIn struct {
	Certificate Certificate `json:"certificate"`
	Build       Build       `json:"build"`
	Now         string      `json:"now"`
}

// Certificate is what was signed.
type Certificate struct {
	PressureHash      string      `json:"pressure_hash"`
	Result            string      `json:"result"`
	Issued            string      `json:"issued"`
	Expires           string      `json:"expires"`
	Site              string      `json:"site"`
	Signatures        []Signature `json:"signatures"`
	Revoked           bool        `json:"revoked"`
	CompetentRequired bool        `json:"competent_required"`
}

// Signature is who signed as what. The first of a role counts.
type Signature struct {
	Role string `json:"role"`
	User string `json:"user"`
}

// Build is the machine as it stands.
type Build struct {
	PressureHash       string   `json:"pressure_hash"`
	Site               string   `json:"site"`
	Builders           []string `json:"builders"`
	OpenIncident       bool     `json:"open_incident"`
	OpenNonconformance bool     `json:"open_nonconformance"`
}

// CertificateOut says whether it counts.
type CertificateOut struct {
	Valid   bool    `json:"valid"`
	Reasons reasons `json:"reasons"`
}

// The roles of signers that a certificate needs.
const (
	Tester    = "tester"
	Witness   = "witness"
	Competent = "competent"
)

// CertificateValid answers whether a certificate counts at a moment.
func CertificateValid(in CertificateIn) (CertificateOut, []calc.Warning, *calc.Fault) {
	at := map[string]time.Time{}
	for _, t := range []struct{ pointer, text string }{
		{"/certificate/issued", in.Certificate.Issued}, {"/certificate/expires", in.Certificate.Expires}, {"/now", in.Now},
	} {
		read, ok := utc(t.text)
		if !ok {
			return CertificateOut{}, nil, &calc.Fault{Code: calc.UnknownValue, At: t.pointer, Message: "This is no time. Write it in UTC, such as 2026-11-25T14:30:00Z."}
		}
		at[t.pointer] = read
	}
	c, b, now := in.Certificate, in.Build, at["/now"]
	r := reasons{}
	r.add("not_passed", c.Result != Pass)
	r.add("revoked", c.Revoked)
	r.add("revision_mismatch", c.PressureHash != b.PressureHash)
	r.add("not_yet_valid", now.Before(at["/certificate/issued"]))
	r.add("expired", !now.Before(at["/certificate/expires"]))
	r.add("site_changed", c.Site != b.Site)
	r.add("incident_open", b.OpenIncident)
	r.add("nonconformance_open", b.OpenNonconformance)
	r.signatures(c, b)
	return CertificateOut{Valid: len(r) == 0, Reasons: r}, nil, nil
}

// utc reads a time of RFC 3339 in UTC, written with Z. Parse alone would let a
// comma and hours of one digit pass.
func utc(text string) (time.Time, bool) {
	t, err := time.Parse(time.RFC3339, text)
	return t, err == nil && strings.HasSuffix(text, "Z") && text[len("2026-05-01T14")] == ':' && !strings.Contains(text, ",")
}

func (r *reasons) signatures(c Certificate, b Build) {
	signed := map[string]string{}
	for _, s := range c.Signatures {
		if _, already := signed[s.Role]; !already {
			signed[s.Role] = s.User
		}
	}
	needed := []string{Tester, Witness}
	if c.CompetentRequired {
		needed = append(needed, Competent)
	}
	missing, same, people := false, false, map[string]bool{}
	for _, role := range needed {
		user, ok := signed[role]
		missing = missing || !ok
		same = same || ok && people[user]
		people[user] = people[user] || ok
	}
	built := func(role string) bool {
		user, ok := signed[role]
		return ok && slices.Contains(b.Builders, user)
	}
	r.add("signature_missing", missing)
	r.add("same_person", same)
	r.add("witness_is_builder", built(Witness))
	r.add("competent_is_builder", built(Competent))
}

const certificateSource = "Rules of the group: common practice, no source"

var certificate = calc.New(calc.Description{
	Name: "safety/certificate", Answers: "whether a test certificate counts at a moment, and if not, why",
	Words: []string{"certificate", "signature", "witness", "expiry"},
	Inputs: []calc.Field{
		calc.Part("/certificate", "what was signed").Need(),
		calc.Words("/certificate/pressure_hash", "digest of what it was issued for").Need(),
		calc.Words("/certificate/result", "verdict of the test").Need(),
		calc.Words("/certificate/issued", "when it was issued, in UTC").Need(),
		calc.Words("/certificate/expires", "when it ends, in UTC").Need(),
		calc.Words("/certificate/site", "place, with the count of its moves").Need(),
		calc.RecordsOf("/certificate/signatures", "who signed as what",
			calc.Words("/role", "tester, witness or competent").Need(), calc.Words("/user", "who").Need()).Need().MayBeEmpty(),
		calc.YesNo("/certificate/revoked", "it was revoked"),
		calc.YesNo("/certificate/competent_required", "a competent person has to sign too"),
		calc.Part("/build", "the machine as it stands").Need(),
		calc.Words("/build/pressure_hash", "digest of the machine as it stands").Need(),
		calc.Words("/build/site", "place, with the count of its moves").Need(),
		calc.Field{At: "/build/builders", Kind: calc.Texts, About: "who built it"}.Need().MayBeEmpty(),
		calc.YesNo("/build/open_incident", "an incident is open"),
		calc.YesNo("/build/open_nonconformance", "a nonconformance is open"),
		calc.Words("/now", "the moment that is asked about, in UTC").Need(),
	},
	Outputs: []calc.Field{
		calc.Gives("/valid", "", "it counts", "no reasons", certificateSource, "/reasons").As(calc.Flag),
		calc.Gives("/reasons", "", "why it does not count", "in a fixed order", certificateSource, "/certificate", "/build", "/now").As(calc.List),
	},
	Equation: "issued ≤ now < expires; the digests and the site agree; passed, not revoked, nothing open; signed by different people, two of whom did not build",
	Validity: "Worked out each time it is shown, never stored. It is no permit.",
	Sources:  []string{certificateSource},
	Example: []byte(`{"certificate": {"pressure_hash": "5be1", "result": "pass", "issued": "2026-03-01T00:00:00Z", "expires": "2027-03-01T00:00:00Z", "site": "Thornwick 0",
		"signatures": [{"role": "tester", "user": "bram"}, {"role": "witness", "user": "ines"}]},
		"build": {"pressure_hash": "5be1", "site": "Thornwick 0", "builders": ["bram"]}, "now": "2026-06-01T12:00:00Z"}`),
}, CertificateIn{}, CertificateValid)
