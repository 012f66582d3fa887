package notebook_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

// described is an invented trompe of 5 m with what it is built from.
const described = `{
	"trompe": {"supply": {"type": "forebay", "level_m": 5}, "intake": {"mouth_m": 4.8, "n_tubes": 32, "tube_id_m": 0.006, "tube_od_m": 0.008, "tube_length_m": 0.4},
		"downcomer": {"bore_m": 0.0816, "outlet_m": -0.05}, "chamber": {"kind": "horizontal", "bore_m": 0.3, "length_m": 1.6, "floor_m": -0.1, "lip_m": 0, "high_m": 0.05},
		"riser": {"bore_m": 0.152, "outlet_m": 3}},
	"parts": [{"role": "chamber", "name": "drum", "line": "iso-4427-2/pe100-sdr17/d250-pn10", "joint": "fusion", "gas_statement": true, "location": "guarded", "length_m": 1.6},
		{"role": "downcomer", "line": "en-iso-1452-2/s8-sdr17/d90-pn12.5", "joint": "solvent"}, {"role": "riser", "line": "en-iso-1452-2/s8-sdr17/d110-pn16", "joint": "solvent"}],
	"facts": {"t_hot_c": 20, "t_cold_c": 6, "site": {"shaft": false, "digging": false}}}`

// cleared saves a described machine under the letter of the design that is open,
// and has it cleared by hand.
func (b *bundle) cleared(t testing.TB, letter string, text string) domain.RevisionRef {
	t.Helper()
	var in sheet.Input
	require.NoError(t, json.Unmarshal([]byte(text), &in))
	d, err := b.Design(ctx, b.petra, b.project.ID, b.design.ID)
	require.NoError(t, err)
	cmd := b.save(d.Version, nil)
	cmd.Letter, cmd.Input = letter, in
	_, _, err = b.SaveSheet(ctx, b.petra, cmd)
	require.NoError(t, err)
	b.stand(t, letter, "in_check")
	b.stand(t, letter, "cleared")
	return domain.RevisionRef{Design: b.design.ID, Letter: letter}
}

// stand gives a revision a state by hand.
func (b *bundle) stand(t testing.TB, letter, state string) {
	t.Helper()
	b.db.Put(t, domain.State(state), "letter = $1", letter)
}

// nextCleared starts the next letter by hand and has it cleared.
func (b *bundle) nextCleared(t testing.TB, letter string, text string) domain.RevisionRef {
	t.Helper()
	b.db.Exec(t, `INSERT INTO revisions (design_id, position, letter, state, sheet_count, started_by, started_at)
		SELECT design_id, max(position) + 1, $1, 'draft', 0, min(started_by), now() FROM revisions GROUP BY design_id`, letter)
	return b.cleared(t, letter, text)
}

func (b *bundle) start(ref domain.RevisionRef, key string) domain.StartBuild {
	return domain.StartBuild{Project: b.project.ID, Title: "Mill trompe", Design: ref.Design, Letter: ref.Letter, Place: "below the mill", Key: key}
}

// machineBuilt is a build of revision A.
func (b *bundle) machineBuilt(t testing.TB) domain.Build {
	t.Helper()
	m, made, err := b.StartBuild(ctx, b.petra, b.start(b.cleared(t, "A", described), "build-0001"))
	require.NoError(t, err)
	require.True(t, made)
	return m
}

func (b *bundle) change(m domain.Build) domain.ChangeBuild {
	return domain.ChangeBuild{Project: b.project.ID, Build: m.ID, Version: m.Version}
}

// to says that a build has come to a state.
func (b *bundle) to(m domain.Build, state domain.BuildState) (domain.Build, error) {
	return b.ChangeBuildState(ctx, b.petra, domain.ChangeBuildState{Project: b.project.ID, Build: m.ID, Version: m.Version, State: state, Reason: "because"})
}

func TestBuildStartsFromAClearedRevision(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ref := domain.RevisionRef{Design: b.design.ID, Letter: "A"}
	_, _, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-0001"))
	requireCode(t, "revision-not-cleared", err) // a draft without a sheet
	ref = b.cleared(t, "A", described)
	m, made, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-0001"))
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, 1, m.Tag)
	require.Equal(t, domain.BeingBuilt, m.State)
	require.Equal(t, "Petra Lindahl", m.Builders[0].Name)
	require.Equal(t, []domain.Action{domain.AlterBuild}, m.Allowed)
	require.Equal(t, domain.SheetRef{Design: ref.Design, Letter: "A", Number: 1}, m.Now.Sheet)
	require.Equal(t, m.Drawn, m.Now.Input)
	require.NotNil(t, m.Now.Report.Build)
	require.NotNil(t, m.Now.Report.Trompe.Numbers)
	require.NotZero(t, m.Now.PressureHash)
	require.Len(t, m.Versions, 1)
	require.Equal(t, domain.BeingBuilt, m.States[0].State)
	require.False(t, m.Certificate.Valid)
	require.NotEmpty(t, m.Certificate.Reasons)

	again, made, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-0001"))
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, m, again)
	second, _, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-0002"))
	require.NoError(t, err)
	require.Equal(t, 2, second.Tag)
	require.Equal(t, m.Now.PressureHash, second.Now.PressureHash, "of one sheet")

	list, allowed, err := b.Builds(ctx, b.tomasz, b.project.ID, domain.Page{})
	require.NoError(t, err)
	require.Empty(t, allowed)
	require.Equal(t, []int{2, 1}, []int{list[0].Tag, list[1].Tag})
	older, _, err := b.Builds(ctx, b.tomasz, b.project.ID, domain.Page{Before: int64(second.ID)})
	require.NoError(t, err)
	require.Len(t, older, 1)
	found, err := b.BuildWithTag(ctx, b.tomasz, 1)
	require.NoError(t, err)
	require.Equal(t, m.ID, found.ID)
	require.Empty(t, found.Allowed)
	_, err = b.BuildWithTag(ctx, b.tomasz, 3)
	requireCode(t, "not-found", err)
	_, _, err = b.Builds(ctx, b.tomasz, 999, domain.Page{})
	requireCode(t, "not-found", err)
}

func TestBuildIsNotStarted(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ref := b.cleared(t, "A", described)
	try := func(who domain.Actor, change func(*domain.StartBuild)) error {
		cmd := b.start(ref, "build-0001")
		change(&cmd)
		_, _, err := b.StartBuild(ctx, who, cmd)
		return err
	}
	same := func(*domain.StartBuild) {}
	requireCode(t, "not-on-crew", try(b.tomasz, same))
	requireCode(t, "not-found", try(b.petra, func(c *domain.StartBuild) { c.Letter = "B" }))
	requireCode(t, "not-found", try(b.petra, func(c *domain.StartBuild) { c.Project = b.startProject(t, "project-0002").ID }))
	e := requireCode(t, "invalid", try(b.petra, func(c *domain.StartBuild) { c.Title, c.Place, c.Key = " ", "", "x" }))
	require.Len(t, e.Fields, 3)
	for _, state := range []string{"superseded", "withdrawn"} {
		b.stand(t, "A", state)
		e := requireCode(t, "revision-not-cleared", try(b.petra, same))
		require.Contains(t, e.Message, "Revision A was")
	}
	require.Zero(t, b.db.Number(t, "SELECT count(*) FROM builds"))
	b.db.Exec(t, "UPDATE projects SET closed_at = now()")
	requireCode(t, "project-closed", try(b.petra, same))
}

// product.md, "Build": a longer riser, 28 tubes instead of 32; the prediction is
// calculated again for the machine as it stands.
func TestDifferencesRecalculateAndTheOldVersionStays(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	cmd := b.change(m)
	cmd.Differences, cmd.Note = map[string]float64{"/trompe/intake/n_tubes": 28, "/trompe/riser/length_m": 3.4}, "four tubes split"
	as, err := b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, m.Version+1, as.Version)
	require.Equal(t, 2, as.Now.Number)
	require.Equal(t, cmd.Differences, as.Now.Differences)
	require.Contains(t, string(as.Now.Input.Trompe), `"n_tubes":28`)
	require.Contains(t, string(as.Drawn.Trompe), `"n_tubes": 32`)
	require.NotEqual(t, as.Now.Report.Trompe.FreeAirM3S, m.Now.Report.Trompe.FreeAirM3S)
	require.NotEqual(t, m.Now.PressureHash, as.Now.PressureHash)
	require.Equal(t, m.Now.PressureHash, as.Versions[1].PressureHash)
	require.Equal(t, "below the mill", as.Now.Place)

	back := b.change(as)
	back.Differences = map[string]float64{"/trompe/intake/n_tubes": 32} // as drawn
	drawn, err := b.ChangeBuild(ctx, b.petra, back)
	require.NoError(t, err)
	require.Empty(t, drawn.Now.Differences)
	require.Equal(t, m.Now.PressureHash, drawn.Now.PressureHash, "it stands as drawn again")
	require.Len(t, drawn.Versions, 3)

	_, err = b.ChangeBuild(ctx, b.petra, cmd)
	requireCode(t, "build-stale", err)
	require.Equal(t, 3, b.db.Number(t, "SELECT count(*) FROM build_versions"))
}

func TestLikeForLikeAndMovesAreCounted(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	hashes := []any{m.Now.PressureHash}
	for i, renewed := range [][]string{{"/parts/0"}, {"/parts/0", "/parts/1/joint"}} {
		cmd := b.change(m)
		cmd.Renewed = renewed
		var err error
		m, err = b.ChangeBuild(ctx, b.petra, cmd)
		require.NoError(t, err)
		require.Equal(t, i+1, m.Now.Renewed["/parts/0"])
		require.NotContains(t, hashes, m.Now.PressureHash)
		hashes = append(hashes, m.Now.PressureHash)
	}
	require.Equal(t, map[string]int{"/parts/0": 2, "/parts/1/joint": 1}, m.Now.Renewed)

	cmd, place := b.change(m), " behind the pond "
	cmd.Place = &place
	moved, err := b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, "behind the pond", moved.Place)
	require.Equal(t, 1, moved.Now.Moves)
	require.Equal(t, m.Now.PressureHash, moved.Now.PressureHash, "the place is no part of the hash; the certificate looks at it by itself")
	cmd = b.change(moved)
	cmd.Place = given("below the mill")
	home, err := b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, 2, home.Now.Moves, "back where it was is a move too")
}

func given[T any](v T) *T { return &v }

func TestWhatNeedsANewRevisionIsRefusedInWords(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	try := func(differences map[string]float64, renewed ...string) *domain.Error {
		t.Helper()
		cmd := b.change(m)
		cmd.Differences, cmd.Renewed = differences, renewed
		_, err := b.ChangeBuild(ctx, b.petra, cmd)
		e, ok := errors.AsType[*domain.Error](err)
		require.True(t, ok, "%v", err)
		return e
	}
	e := try(map[string]float64{"/parts/0/rating_pa": 2e6, "/facts/t_hot_c": 10}, "/parts/9")
	require.Equal(t, "invalid", e.Code)
	var at []string
	for _, f := range e.Fields {
		at = append(at, f.Pointer+" "+f.Code)
	}
	slices.Sort(at)
	require.Equal(t, []string{"/differences/~1facts~1t_hot_c needs_revision", "/differences/~1parts~10~1rating_pa needs_revision", "/renewed/0 unknown_value"}, at)

	e = try(map[string]float64{"/trompe/supply/level_m": 90})
	require.Equal(t, "build-worse", e.Code)
	require.Contains(t, e.Message, "drum: it was")
	require.Contains(t, e.Message, "keep pressure off it")
	e = try(map[string]float64{"/trompe/intake/n_tubes": 28.5})
	require.Equal(t, "/differences/~1trompe~1intake~1n_tubes", e.Fields[0].Pointer)
	e = try(map[string]float64{"/trompe/intake/n_tubes": 999})
	require.Equal(t, "invalid", e.Code, "so many tubes leave no room for water")
	e = try(nil)
	require.Equal(t, "no_change", e.Fields[0].Code)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM build_versions"))
	require.Equal(t, int(m.Version), b.db.Number(t, "SELECT version FROM builds"))

	cmd := b.change(m)
	cmd.Differences = map[string]float64{"/trompe/intake/n_tubes": 28}
	_, err := b.ChangeBuild(ctx, b.tomasz, cmd)
	requireCode(t, "not-on-crew", err)
	cmd.Build = 999
	_, err = b.ChangeBuild(ctx, b.petra, cmd)
	requireCode(t, "not-found", err)
}

func TestRebuildTakesTheNextClearedRevision(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	cmd := b.change(m)
	cmd.Differences, cmd.Renewed = map[string]float64{"/trompe/intake/n_tubes": 28}, []string{"/parts/2"}
	m, err := b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err)
	b.stand(t, "A", "superseded")
	ref := b.nextCleared(t, "B", described)
	cmd = b.change(m)
	cmd.To = &domain.RevisionRef{Design: b.design.ID, Letter: "C"}
	_, err = b.ChangeBuild(ctx, b.petra, cmd)
	requireCode(t, "not-found", err)
	cmd.To = &ref
	again, err := b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, "B", again.Letter)
	require.Equal(t, "B", again.Now.Sheet.Letter)
	require.Empty(t, again.Now.Differences, "what differed from A is no difference from B")
	require.Equal(t, map[string]int{"/parts/2": 1}, again.Now.Renewed)
	require.Equal(t, "A", again.Versions[1].Letter)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM builds b JOIN revisions r ON r.id = b.revision_id WHERE r.letter = 'B'"))

	cmd = b.change(again)
	cmd.To = &domain.RevisionRef{Design: b.design.ID, Letter: "A"}
	_, err = b.ChangeBuild(ctx, b.petra, cmd)
	requireCode(t, "revision-not-cleared", err)
}

// product.md: a build made from a superseded revision stands; one made from a
// withdrawn revision is marked, and must not be built.
func TestSupersededStandsAndWithdrawnIsMarked(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	b.stand(t, "A", "superseded")
	cmd := b.change(m)
	cmd.Differences = map[string]float64{"/trompe/intake/n_tubes": 28}
	m, err := b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, "revision-superseded", m.Marks()[0].Code)
	waiting := func() []domain.Build { return b.waitingBuilds(t, b.petra) }
	require.Empty(t, waiting())

	b.stand(t, "A", "withdrawn")
	m, err = b.Build(ctx, b.tomasz, b.project.ID, m.ID)
	require.NoError(t, err)
	require.Equal(t, "revision-withdrawn", m.Marks()[0].Code)
	require.Equal(t, m.ID, waiting()[0].ID)
	require.Empty(t, b.waitingBuilds(t, b.tomasz), "he is not on the crew")
	for _, change := range []func(*domain.ChangeBuild){
		func(c *domain.ChangeBuild) { c.Differences = map[string]float64{"/trompe/intake/n_tubes": 27} },
		func(c *domain.ChangeBuild) { c.Renewed = []string{"/parts/0"} },
	} {
		cmd := b.change(m)
		change(&cmd)
		_, err := b.ChangeBuild(ctx, b.petra, cmd)
		requireCode(t, "revision-withdrawn", err)
	}
	_, err = b.to(m, domain.Built)
	requireCode(t, "revision-withdrawn", err)
	cmd = b.change(m)
	cmd.Place = given("in the yard")
	m, err = b.ChangeBuild(ctx, b.petra, cmd)
	require.NoError(t, err, "that it was moved is true and can be recorded")
	m, err = b.to(m, domain.Scrapped)
	require.NoError(t, err)
	require.Empty(t, m.Marks())
	require.Empty(t, m.Allowed)
	require.Empty(t, waiting())
}

func TestStatesOfABuild(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	_, err := b.to(m, domain.InService)
	requireCode(t, "build-state", err)
	_, err = b.to(m, "mended")
	requireCode(t, "invalid", err)
	_, err = b.ChangeBuildState(ctx, b.tomasz, domain.ChangeBuildState{Project: b.project.ID, Build: m.ID, Version: 1, State: domain.Built})
	requireCode(t, "not-on-crew", err)
	m, err = b.to(m, domain.Built)
	require.NoError(t, err)
	require.Equal(t, domain.Built, m.State)
	require.Equal(t, "because", m.States[0].Reason)
	require.Equal(t, "Petra Lindahl", m.States[0].Who.Name)
	require.Equal(t, domain.InService, m.Ways()[0].State)
	require.Contains(t, m.Ways()[0].Lacks, "valid certificate")
	require.Empty(t, m.Ways()[1].Lacks)
	e := requireCode(t, "certificate-missing", func() error { _, err := b.to(m, domain.InService); return err }())
	require.Contains(t, e.Message, m.Certificate.Reasons[0], "what is lacking is said")

	// In service by hand: its certificate has lapsed since.
	b.db.Exec(t, "UPDATE builds SET state = 'in_service'")
	m, err = b.Build(ctx, b.petra, b.project.ID, m.ID)
	require.NoError(t, err)
	require.Equal(t, "not-valid", m.Marks()[0].Code)
	list, _, err := b.Builds(ctx, b.petra, b.project.ID, domain.Page{})
	require.NoError(t, err)
	require.Equal(t, "not-valid", list[0].Marks()[0].Code)
	require.Len(t, b.waitingBuilds(t, b.petra), 1)
	m, err = b.to(m, domain.LaidUp)
	require.NoError(t, err)
	require.Empty(t, m.Marks())
	require.Empty(t, b.waitingBuilds(t, b.petra))
	m, err = b.to(m, domain.Scrapped)
	require.NoError(t, err)
	require.Empty(t, m.Ways())
	for _, try := range []func() error{
		func() error { _, err := b.to(m, domain.LaidUp); return err },
		func() error {
			cmd := b.change(m)
			cmd.Renewed = []string{"/parts/0"}
			_, err := b.ChangeBuild(ctx, b.petra, cmd)
			return err
		},
		func() error {
			_, err := b.AddBuilder(ctx, b.petra, domain.AddBuilder{Project: b.project.ID, Build: m.ID, Name: "Jo"})
			return err
		},
	} {
		requireCode(t, "build-scrapped", try())
	}
}

func TestBuildersAreAddedAndNeverTakenOff(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	add := func(member domain.AccountID, name string) (domain.Build, error) {
		return b.AddBuilder(ctx, b.petra, domain.AddBuilder{Project: b.project.ID, Build: m.ID, Member: member, Name: name})
	}
	for range 2 { // a retry adds nobody twice
		for _, who := range []struct {
			member domain.AccountID
			name   string
		}{{b.tomasz.Account, ""}, {0, " Jo of the forge "}, {0, "jo OF the forge"}, {b.petra.Account, ""}} {
			_, err := add(who.member, who.name)
			require.NoError(t, err)
		}
	}
	as, err := b.Build(ctx, b.petra, b.project.ID, m.ID)
	require.NoError(t, err)
	var names []string
	for _, p := range as.Builders {
		names = append(names, fmt.Sprint(p.Account, p.Name, "/", p.AddedBy.Name))
	}
	require.Equal(t, []string{
		fmt.Sprint(b.petra.Account, "Petra Lindahl/Petra Lindahl"), fmt.Sprint(b.tomasz.Account, "Tomasz Reyes/Petra Lindahl"), "0Jo of the forge/Petra Lindahl",
	}, names)
	require.Equal(t, m.Version+2, as.Version, "each name added is a version to compare")

	_, err = add(0, "")
	requireCode(t, "invalid", err)
	_, err = add(b.tomasz.Account, "Tomasz")
	requireCode(t, "invalid", err)
	e := requireCode(t, "invalid", func() error { _, err := add(0, "tomasz reyes"); return err }())
	require.Equal(t, "member", e.Fields[0].Code, "a member goes by the account, or could sign for what he built")
	_, err = add(999, "")
	requireCode(t, "not-found", err)
	_, err = b.AddBuilder(ctx, b.tomasz, domain.AddBuilder{Project: b.project.ID, Build: m.ID, Name: "Jo"})
	requireCode(t, "not-on-crew", err)

	// Whoever records a change is a builder.
	ada := b.db.Person(t, "Ada Brook")
	b.db.Exec(t, "INSERT INTO crew (project_id, account_id, joined_at) VALUES ($1, $2, now())", b.project.ID, ada.Account)
	cmd := b.change(as)
	cmd.Renewed = []string{"/parts/0"}
	as, err = b.ChangeBuild(ctx, ada, cmd)
	require.NoError(t, err)
	require.Equal(t, "Ada Brook", as.Builders[3].Name)
}

func TestManyAtOneBuild(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ref := b.cleared(t, "A", described)
	errs := atOnce(6, func(i int) error {
		_, _, err := b.StartBuild(ctx, b.petra, b.start(ref, fmt.Sprintf("build-000%d", i)))
		return err
	})
	for _, err := range errs {
		require.NoError(t, err)
	}
	require.Equal(t, 6, b.db.Number(t, "SELECT max(tag) FROM builds"), "no tag is left out or given twice")
	same := atOnce(6, func(int) error { _, _, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-again")); return err })
	for _, err := range same {
		require.NoError(t, err)
	}
	require.Equal(t, 7, b.db.Number(t, "SELECT count(*) FROM builds"))

	m, err := b.BuildWithTag(ctx, b.petra, 3)
	require.NoError(t, err)
	oneWins(t, "build-stale", atOnce(6, func(i int) error {
		cmd := b.change(m)
		cmd.Differences = map[string]float64{"/trompe/intake/n_tubes": float64(20 + i)}
		_, err := b.ChangeBuild(ctx, b.petra, cmd)
		return err
	}))
	m, err = b.BuildWithTag(ctx, b.petra, 3)
	require.NoError(t, err)
	require.Equal(t, 2, m.Newest)
	oneWins(t, "build-stale", atOnce(6, func(i int) error { _, err := b.to(m, domain.Built); return err }))
	for _, err := range atOnce(6, func(i int) error {
		_, err := b.AddBuilder(ctx, b.petra, domain.AddBuilder{Project: b.project.ID, Build: m.ID, Name: fmt.Sprint("helper ", i/2)})
		return err
	}) {
		require.NoError(t, err)
	}
	require.Equal(t, 4, b.db.Number(t, "SELECT count(*) FROM build_people WHERE build_id = $1", m.ID))
}

// A part of the revision is allowed no more since it was cleared: here it was
// cleared by hand though the chamber is drain pipe.
func TestWhatIsNotAllowedNowIsNotBegun(t *testing.T) {
	t.Parallel()
	b := setup(t)
	m := b.machineBuilt(t)
	ref := b.nextCleared(t, "B", strings.Replace(described, "iso-4427-2/pe100-sdr17/d250-pn10", "en-1401-1/sn4-sdr41/d110", 1))
	_, _, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-0002"))
	e := requireCode(t, "build-barred", err)
	require.Contains(t, e.Message, "drum")
	cmd := b.change(m)
	cmd.To = &ref
	_, err = b.ChangeBuild(ctx, b.petra, cmd)
	requireCode(t, "build-barred", err)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM build_versions"))
}

// From the check to the machine: what a steward withdraws is marked on the
// machine that was made from it, with the reason that was signed.
func TestWithdrawingARevisionMarksItsBuild(t *testing.T) {
	t.Parallel()
	c := setupChecks(t, plain(t))
	start := c.start(domain.RevisionRef{Design: c.design.ID, Letter: "A"}, "build-0001")
	_, err := c.issue(c.petra)
	require.NoError(t, err)
	_, _, err = c.StartBuild(ctx, c.petra, start)
	requireCode(t, "revision-not-cleared", err)
	check := c.check(t, c.wen)
	c.took(t, check, nil)
	check, err = c.says(c.wen, domain.Clear, "")
	c.took(t, check, err)
	m, _, err := c.StartBuild(ctx, c.petra, start)
	require.NoError(t, err)
	require.Empty(t, m.Marks())
	check, err = c.withdraws(c.warden, "A")
	c.took(t, check, err)
	m, err = c.Build(ctx, c.tomasz, c.project.ID, m.ID)
	require.NoError(t, err)
	require.Contains(t, m.Marks()[0].Text, "the pipe was recalled")
	require.Len(t, c.waitingBuilds(t, c.petra), 1)
	start.Key = "build-0002"
	_, _, err = c.StartBuild(ctx, c.petra, start)
	requireCode(t, "revision-not-cleared", err)
}

// A revision that is withdrawn between the calculation and the saving is built
// no more.
func TestWithdrawnWhileItIsCalculated(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ref := b.cleared(t, "A", described)
	b.db.Exec(t, "ALTER TABLE revisions DISABLE TRIGGER revisions_state_reached")
	b.db.Exec(t, `CREATE FUNCTION withdraw_it() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN UPDATE revisions SET state = 'withdrawn'; RETURN NULL; END $$`)
	b.db.Exec(t, `CREATE TRIGGER withdraw_it AFTER INSERT ON builds FOR EACH ROW EXECUTE FUNCTION withdraw_it()`)
	_, _, err := b.StartBuild(ctx, b.petra, b.start(ref, "build-0001"))
	requireCode(t, "revision-not-cleared", err)
	require.Zero(t, b.db.Number(t, "SELECT count(*) FROM builds"))
}

// waitingBuilds is what waits for a crew, as the first page asks for it.
func (b *bundle) waitingBuilds(t testing.TB, who domain.Actor) (list []domain.Build) {
	t.Helper()
	require.NoError(t, b.db.InTx(ctx, func(tx *store.Tx) (err error) {
		list, err = tx.WaitingBuilds(who.Account, b.clock.now())
		return err
	}))
	return list
}
