package domain_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/procedure"
	"leat/domain"
)

// Signing for pressure takes three people: who signed as second issues no
// certificate, and where the machine wants somebody competent, who signs as
// competent is not the second (safety.md, section 10). 1 built the machine, 2 and 3
// are stewards, 4 is neither.
func TestWhoIsLastIsToldBefore(t *testing.T) {
	t.Parallel()
	builder, bram, runa, tomasz := signer(1, false), signer(2, true), signer(3, true), signer(4, false)
	for name, c := range map[string]struct {
		change func(*domain.Test)
		want   map[string][]domain.AccountID // by role
	}{
		"two stewards and another": {func(*domain.Test) {}, nil},
		"one steward":              {func(t *domain.Test) { t.Members = []domain.Signer{builder, bram, tomasz} }, map[string][]domain.AccountID{"second": {2}}},
		"one steward built it":     {func(t *domain.Test) { t.Builders = append(t.Builders, runa.Person) }, map[string][]domain.AccountID{"second": {2}}},
		"one was second before":    {func(t *domain.Test) { t.Signatures = signedFirst("second", 3) }, map[string][]domain.AccountID{"second": {2}}},
		"both were second before":  {func(t *domain.Test) { t.Signatures = append(signedFirst("second", 3), signedFirst("second", 2)...) }, nil},
		"one left for the second":  {func(t *domain.Test) { t.Members = []domain.Signer{builder, bram} }, map[string][]domain.AccountID{"second": {2}, "competent": {2}}},
		"nobody competent wanted":  {func(t *domain.Test) { t.Members, t.Basis.Competent = []domain.Signer{builder, bram}, false }, map[string][]domain.AccountID{"second": {2}}},
		"it failed":                {func(t *domain.Test) { t.Members, t.Ended = []domain.Signer{builder, bram}, domain.TestFailed }, nil},
		"the machine was changed":  {func(t *domain.Test) { t.Members, t.Over = []domain.Signer{builder, bram}, "It was changed." }, nil},
	} {
		test := domain.Test{
			Basis: procedure.Basis{Competent: true}, Builders: []domain.Person{builder.Person}, Members: []domain.Signer{builder, bram, runa, tomasz},
			Tasks: []procedure.Task{{Item: procedure.Item{ID: "A00", Point: procedure.Review}}, {Item: procedure.Item{ID: "B02", Point: procedure.Hold, Sign: []string{"second", "competent"}}}},
		}
		c.change(&test)
		got := map[string][]domain.AccountID{}
		for _, u := range test.States()[1].UsesUp {
			got[u.Role] = append(got[u.Role], u.Who.ID)
			require.Contains(t, u.Text, "Nobody but "+u.Who.Name, name)
		}
		if c.want == nil {
			c.want = map[string][]domain.AccountID{}
		}
		require.Equal(t, c.want, got, name)
	}
}

func signer(id domain.AccountID, steward bool) domain.Signer {
	return domain.Signer{Person: domain.Person{ID: id, Name: map[domain.AccountID]string{1: "Petra", 2: "Bram", 3: "Runa", 4: "Tomasz"}[id]}, Steward: steward}
}

// signedFirst is a signature under the first item.
func signedFirst(role string, who domain.AccountID) []domain.TestSignature {
	g := signedBy(role, who)
	g.Item = "A00"
	return []domain.TestSignature{g}
}
