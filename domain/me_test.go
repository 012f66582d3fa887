package domain_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// The demands on a code: six digits or more, none that others would try first.
func TestSigningCodes(t *testing.T) {
	for code, fits := range map[string]bool{
		"482913": true, "20484096": true, "93184650277163829405": true, "931846502771638294051": false,
		"": false, "48291": false, "48 2913": false, "48291a": false, "４８２９１３": false,
		"123456": false, "987654": false, "890123": false, "000000": false, "121212": false, "123123": false, "77777777": false,
	} {
		c := domain.SetSigningCode{Password: "three grey wagtails", Code: code}
		require.Equal(t, fits, c.Validate() == nil, code)
	}
	require.Equal(t, []string{"/password"}, pointersOf(t, (&domain.SetSigningCode{Code: "482913"}).Validate()))
}
