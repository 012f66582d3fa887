package digest_test

import (
	"encoding/hex"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/digest"
)

// Source: RFC 8785, 3.2.2 to 3.2.4, from memory.
func TestCanonicalIsTheFormOfRFC8785(t *testing.T) {
	t.Parallel()
	text, err := digest.Canonical(json.RawMessage(`{
		"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
		"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
		"literals": [null, true, false]
	}`))
	require.NoError(t, err)
	require.Equal(t, `{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`, string(text))
}

// Source: RFC 8785, appendix B, from memory.
func TestNumbersAreWrittenAsInRFC8785(t *testing.T) {
	t.Parallel()
	for bits, want := range map[uint64]string{
		0x0000000000000000: "0", 0x8000000000000000: "0",
		0x0000000000000001: "5e-324", 0x8000000000000001: "-5e-324",
		0x7fefffffffffffff: "1.7976931348623157e+308", 0x4340000000000000: "9007199254740992",
		0x4430000000000000: "295147905179352830000", 0x44b52d02c7e14af5: "9.999999999999997e+22", 0x44b52d02c7e14af6: "1e+23",
		0x444b1ae4d6e2ef4e: "999999999999999700000", 0x444b1ae4d6e2ef50: "1e+21",
		0x41b3de4355555553: "333333333.3333332", 0x41b3de4355555555: "333333333.3333333",
		0xbecbf647612f3696: "-0.0000033333333333333333",
	} {
		text, err := digest.Canonical(math.Float64frombits(bits))
		require.NoError(t, err)
		require.Equal(t, want, string(text), "%016x", bits)
	}
	_, err := digest.Of(math.NaN())
	require.Error(t, err)
}

// The order and the spacing in which a database writes JSON change no digest.
// Source: SHA-256 of the two bytes {} is that of FIPS 180-4, from memory.
func TestADigestHangsOnWhatIsSaidAlone(t *testing.T) {
	t.Parallel()
	one, err := digest.Of(json.RawMessage(`{"b": 1.0, "a": [2]}`))
	require.NoError(t, err)
	two, err := digest.Of(json.RawMessage(`{"a":[2],"b":1}`))
	require.NoError(t, err)
	require.Equal(t, one, two)
	other, err := digest.Of(json.RawMessage(`{"a":[2],"b":1.0000000000000002}`))
	require.NoError(t, err)
	require.NotEqual(t, one, other)
	empty, err := digest.Of(struct{}{})
	require.NoError(t, err)
	require.Equal(t, "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a", hex.EncodeToString(empty[:]))
}
