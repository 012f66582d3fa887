package notebook_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/notebook"
)

// What the story of the demo left behind waits for whom it concerns, and for
// nobody else.
func TestWhatWaitsInTheDemo(t *testing.T) {
	t.Parallel()
	b := empty(t, notebook.Options{Demo: true})
	_, err := b.LoadDemo(ctx)
	require.NoError(t, err)
	for address, want := range map[string]map[domain.AwaitedKind]string{
		"bram@thornwick.example":   {domain.AwaitsIncident: "ladder"},
		"tomasz@thornwick.example": {domain.AwaitsLayUp: "Rig of the library"},
		"ines@thornwick.example":   {domain.AwaitsCalibration: "Workshop gauge"},
		"petra@thornwick.example":  {},
	} {
		in, err := b.SignIn(ctx, domain.SignIn{Address: address, Password: notebook.DemoPassword})
		require.NoError(t, err)
		who, err := b.Actor(ctx, in.Account.ID, in.Session)
		require.NoError(t, err)
		list, err := b.Waiting(ctx, who)
		require.NoError(t, err)
		for kind, thing := range want {
			i := slices.IndexFunc(list, func(a domain.Awaited) bool { return a.Kind == kind })
			require.GreaterOrEqual(t, i, 0, "%s: %s", address, kind)
			require.Contains(t, list[i].Thing, thing)
			if list[i].Project != 0 {
				require.Equal(t, "Bench rig in the school lab", list[i].ProjectTitle)
			}
		}
		for _, kind := range []domain.AwaitedKind{domain.AwaitsIncident, domain.AwaitsLayUp, domain.AwaitsCalibration} {
			require.Equal(t, want[kind] != "", slices.ContainsFunc(list, func(a domain.Awaited) bool { return a.Kind == kind }), "%s: %s", address, kind)
		}
	}
}
