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
func (b *bundle) whatWaits(t *testing.T) {
	t.Helper()
	for name, want := range map[string]map[domain.AwaitedKind]string{
		"bram":   {domain.AwaitsIncident: "ladder", domain.AwaitsConfirming: "Rig of the school"},
		"tomasz": {domain.AwaitsLayUp: "Rig of the library"},
		"ines":   {domain.AwaitsCalibration: "Workshop gauge"},
		"petra":  {},
	} {
		who := b.demoActor(t, name)
		list, err := b.Waiting(ctx, who)
		require.NoError(t, err)
		for kind, thing := range want {
			i := slices.IndexFunc(list, func(a domain.Awaited) bool { return a.Kind == kind })
			require.GreaterOrEqual(t, i, 0, "%s: %s", name, kind)
			require.Contains(t, list[i].Thing, thing)
			if list[i].Project != 0 {
				require.Equal(t, "Bench rig in the school lab", list[i].ProjectTitle)
			}
		}
		for _, kind := range []domain.AwaitedKind{domain.AwaitsConfirming, domain.AwaitsIncident, domain.AwaitsLayUp, domain.AwaitsCalibration} {
			require.Equal(t, want[kind] != "", slices.ContainsFunc(list, func(a domain.Awaited) bool { return a.Kind == kind }), "%s: %s", name, kind)
		}
	}

	tomasz, petra := b.demoActor(t, "tomasz"), b.demoActor(t, "petra")
	build := domain.BuildID(b.db.Number(t, "SELECT id FROM builds WHERE title = 'Rig of the library'"))
	project := domain.ProjectID(b.db.Number(t, "SELECT project_id FROM builds WHERE id = $1", build))
	_, _, err := b.StartTest(ctx, tomasz, domain.StartTest{Project: project, Build: build, Key: "library-again"})
	require.NoError(t, err)
	list, err := b.Waiting(ctx, petra)
	require.NoError(t, err)
	i := slices.IndexFunc(list, func(a domain.Awaited) bool { return a.Kind == domain.AwaitsSignature })
	require.GreaterOrEqual(t, i, 0, "who did not build it can sign its first items")
	require.Equal(t, "Rig of the library", list[i].Thing)
	require.Equal(t, project, list[i].Project)
	require.EqualValues(t, 2, list[i].Number)
}

// demoActor signs one of the invented people in.
func (b *bundle) demoActor(t *testing.T, name string) domain.Actor {
	t.Helper()
	in, err := b.SignIn(ctx, domain.SignIn{Address: name + "@thornwick.example", Password: notebook.DemoPassword})
	require.NoError(t, err)
	who, err := b.Actor(ctx, in.Account.ID, in.Session)
	require.NoError(t, err)
	return who
}
