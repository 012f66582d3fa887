package domain_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
	"leat/domain"
)

var issued = time.Date(2026, 3, 1, 9, 30, 0, 0, time.UTC)

func signedBy(role string, who domain.AccountID) domain.TestSignature {
	return domain.TestSignature{Role: role, Who: domain.Person{ID: who}}
}

// certificate is one that holds: 1 built the machine, 2 was the second, 3 is
// competent, 9 has issued it.
func certificate() domain.Certificate {
	return domain.Certificate{
		BuildVersion: 1, Pressure: [32]byte{7}, Site: domain.SiteOf("below the mill", 0), IssuedBy: domain.Person{ID: 9}, IssuedAt: issued, ExpiresAt: issued.AddDate(0, 3, 0),
		Since: domain.Since{
			Passed: true, Competent: true, Builders: []domain.Person{{ID: 1}},
			Signed: []domain.TestSignature{signedBy(procedure.Builder, 1), signedBy(procedure.Second, 2), signedBy(procedure.Competent, 3)},
		},
	}
}

// The codes and their order are those of safety.md, section 10.
func TestWhyACertificateHoldsNoMore(t *testing.T) {
	t.Parallel()
	mark := func(number int, pressure byte, moves int) domain.BuildMark {
		return domain.BuildMark{Number: number, Pressure: [32]byte{pressure}, Site: domain.SiteOf("below the mill", moves)}
	}
	month := issued.AddDate(0, 1, 0)
	for name, c := range map[string]struct {
		change func(*domain.Certificate)
		at     time.Time
		want   []string
	}{
		"as issued":            {func(*domain.Certificate) {}, issued, nil},
		"the last moment":      {func(*domain.Certificate) {}, issued.AddDate(0, 3, 0).Add(-time.Second), nil},
		"its end":              {func(*domain.Certificate) {}, issued.AddDate(0, 3, 0), []string{"expired"}},
		"before it was issued": {func(*domain.Certificate) {}, issued.Add(-time.Second), []string{"not_yet_valid"}},
		"not passed":           {func(c *domain.Certificate) { c.Since.Passed = false }, month, []string{"not_passed"}},
		"revoked": {func(c *domain.Certificate) {
			c.End = &domain.CertificateEnd{Kind: domain.CertificateRevoked, Reason: "doubt"}
		}, month, []string{"revoked"}},
		"withdrawn":                 {func(c *domain.Certificate) { c.Since.Withdrawn = "A" }, month, []string{"revoked"}},
		"a gauge and a revocation":  {func(c *domain.Certificate) { c.End, c.Since.Gauges = &domain.CertificateEnd{}, []string{"B-118"} }, month, []string{"revoked", "revoked"}},
		"a version alike":           {func(c *domain.Certificate) { c.Since.Versions = []domain.BuildMark{mark(2, 7, 0)} }, month, nil},
		"changed":                   {func(c *domain.Certificate) { c.Since.Versions = []domain.BuildMark{mark(2, 8, 0)} }, month, []string{"revision_mismatch"}},
		"changed and put back":      {func(c *domain.Certificate) { c.Since.Versions = []domain.BuildMark{mark(2, 8, 0), mark(3, 7, 0)} }, month, []string{"revision_mismatch"}},
		"moved and back":            {func(c *domain.Certificate) { c.Since.Versions = []domain.BuildMark{mark(2, 7, 1), mark(3, 7, 2)} }, month, []string{"site_changed"}},
		"an incident":               {func(c *domain.Certificate) { c.Since.Incidents = 1 }, month, []string{"incident_open"}},
		"another test failed":       {func(c *domain.Certificate) { c.Since.Failures = 1 }, month, []string{"nonconformance_open"}},
		"nobody competent":          {func(c *domain.Certificate) { c.Since.Signed = c.Since.Signed[:2] }, month, []string{"signature_missing"}},
		"none needed":               {func(c *domain.Certificate) { c.Since.Signed, c.Since.Competent = c.Since.Signed[:2], false }, month, nil},
		"one person twice":          {func(c *domain.Certificate) { c.Since.Signed[2] = signedBy(procedure.Competent, 2) }, month, []string{"same_person"}},
		"the second built it after": {func(c *domain.Certificate) { c.Since.Builders = append(c.Since.Builders, domain.Person{ID: 2}) }, month, []string{"witness_is_builder"}},
		"one of two seconds did": {func(c *domain.Certificate) {
			c.Since.Signed = append(c.Since.Signed, signedBy(procedure.Second, 4))
			c.Since.Builders = append(c.Since.Builders, domain.Person{ID: 4})
		}, month, []string{"witness_is_builder"}},
		"who issued it built it":     {func(c *domain.Certificate) { c.Since.Builders = append(c.Since.Builders, domain.Person{ID: 9}) }, month, []string{"issuer_is_builder"}},
		"the competent one built it": {func(c *domain.Certificate) { c.Since.Builders = append(c.Since.Builders, domain.Person{ID: 3}) }, month, []string{"competent_is_builder"}},
		"a later one":                {func(c *domain.Certificate) { c.Since.Superseded = true }, month, []string{"superseded"}},
		"everything": {func(c *domain.Certificate) {
			c.Since.Passed, c.Since.Withdrawn, c.Since.Incidents, c.Since.Failures = false, "A", 1, 1
			c.Since.Versions = []domain.BuildMark{mark(2, 8, 1)}
			c.Since.Signed = []domain.TestSignature{signedBy(procedure.Builder, 1), signedBy(procedure.Second, 1)}
		}, issued.AddDate(1, 0, 0), []string{"not_passed", "revoked", "revision_mismatch", "expired", "site_changed", "incident_open", "nonconformance_open", "signature_missing", "same_person", "witness_is_builder"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			cert := certificate()
			c.change(&cert)
			state := cert.At(c.at)
			var codes []string
			for _, r := range state.Reasons {
				codes = append(codes, r.Code)
				require.NotEmpty(t, r.Text)
			}
			require.Equal(t, c.want, codes)
			require.Equal(t, len(c.want) == 0, state.Valid)
			require.Equal(t, state.Valid, cert.Holds(c.at) == nil)
		})
	}
}

// Dates begin and end in the time zone of the group.
func TestEndOfADay(t *testing.T) {
	t.Parallel()
	day := time.Date(2027, 3, 27, 0, 0, 0, 0, time.UTC)
	require.Equal(t, time.Date(2027, 3, 27, 23, 0, 0, 0, time.UTC), domain.EndOf(day, "Europe/Oslo"))
	require.Equal(t, time.Date(2027, 3, 28, 22, 0, 0, 0, time.UTC), domain.EndOf(day.AddDate(0, 0, 1), "Europe/Oslo"), "the night on which clocks go forward")
	require.Equal(t, time.Date(2027, 3, 28, 0, 0, 0, 0, time.UTC), domain.EndOf(day, "nowhere"))
}
