package notebook_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/notebook"
)

// Sites for searches: one that has no machine and answers at once, one with few
// machines, and one that takes seconds.
var (
	drizzle = json.RawMessage(`{"flow_m3s": 0.00001, "fall_m": 2, "wish": "most_air"}`)
	runnel  = json.RawMessage(`{"flow_m3s": 0.0004, "fall_m": 1.2, "wish": "most_air"}`)
	stream  = json.RawMessage(`{"flow_m3s": 0.012, "fall_m": 2.5, "depth_m": 6, "wish": "most_air"}`)
)

// looks starts a search.
func (b *bundle) looks(t *testing.T, who domain.Actor, asked json.RawMessage) domain.SearchID {
	t.Helper()
	p, err := b.StartSearch(ctx, who, asked)
	require.NoError(t, err)
	return p.ID
}

// ends waits for a search to end.
func (b *bundle) ends(t *testing.T, who domain.Actor, id domain.SearchID) notebook.SearchProgress {
	t.Helper()
	var p notebook.SearchProgress
	require.Eventually(t, func() bool {
		var err error
		p, err = b.Search(ctx, who, id)
		return err != nil || p.State == notebook.SearchEnded
	}, time.Minute, 5*time.Millisecond)
	require.Equal(t, notebook.SearchEnded, p.State)
	return p
}

func (b *bundle) gone(t *testing.T, who domain.Actor, id domain.SearchID) {
	t.Helper()
	_, err := b.Search(ctx, who, id)
	require.Equal(t, domain.NotFound, domain.KindOf(err), "%v", err)
}

func TestSearchEndsWithTheSameAnswerEachTime(t *testing.T) {
	t.Parallel()
	b := setup(t)
	first := b.ends(t, b.petra, b.looks(t, b.petra, runnel))
	require.NotEmpty(t, first.Answer.Proposals)
	require.Equal(t, first.Of, first.Done)
	again := b.ends(t, b.tomasz, b.looks(t, b.tomasz, runnel))
	require.Equal(t, first.Answer, again.Answer)
}

func TestProposalBecomesASheet(t *testing.T) {
	t.Parallel()
	b := setup(t)
	p := b.ends(t, b.petra, b.looks(t, b.petra, runnel)).Answer.Proposals[0]
	report, err := b.Preview(ctx, b.petra, sheet.Input{Trompe: p.Trompe})
	require.NoError(t, err)
	require.Empty(t, report.Faults)
	require.InEpsilon(t, p.FreeAirM3S, report.Trompe.FreeAirM3S, 1e-12)
}

func TestSearchIsOnesOwnAndIsForgotten(t *testing.T) {
	t.Parallel()
	b := setup(t)
	id := b.looks(t, b.petra, drizzle)
	b.gone(t, b.tomasz, id)
	require.Error(t, b.CancelSearch(ctx, b.tomasz, id))
	require.Empty(t, b.ends(t, b.petra, id).Answer.Proposals)
	b.clock.forward(10*time.Minute - time.Second)
	b.ends(t, b.petra, id)
	b.clock.forward(10 * time.Minute)
	b.gone(t, b.petra, id)
}

func TestFourthSearchTakesThePlaceOfTheFirst(t *testing.T) {
	t.Parallel()
	b := setup(t)
	others := b.looks(t, b.tomasz, drizzle)
	var ids []domain.SearchID
	for range 4 {
		ids = append(ids, b.looks(t, b.petra, drizzle))
	}
	b.gone(t, b.petra, ids[0])
	for _, id := range ids[1:] {
		b.ends(t, b.petra, id)
	}
	b.ends(t, b.tomasz, others)
}

// Two searches run at once, the third waits and says so; it gets its turn when
// one is cancelled, and all end with the notebook.
func TestTwoSearchesRunAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ids := map[domain.SearchID]domain.Actor{}
	for _, who := range []domain.Actor{b.petra, b.petra, b.tomasz} {
		ids[b.looks(t, who, stream)] = who
	}
	states := func() (count map[string]int, one domain.SearchID) {
		count = map[string]int{}
		for id, who := range ids {
			p, err := b.Search(ctx, who, id)
			require.NoError(t, err)
			count[p.State]++
			if p.State == notebook.SearchRuns {
				one = id
			}
		}
		return count, one
	}
	var runs domain.SearchID
	require.Eventually(t, func() bool {
		count, one := states()
		runs = one
		return count[notebook.SearchRuns] == 2 && count[notebook.SearchWaits] == 1
	}, time.Minute, time.Millisecond)
	require.NoError(t, b.CancelSearch(ctx, ids[runs], runs))
	b.gone(t, ids[runs], runs)
	delete(ids, runs)
	require.Eventually(t, func() bool {
		count, _ := states()
		return count[notebook.SearchRuns]+count[notebook.SearchEnded] == 2
	}, time.Minute, time.Millisecond)
	b.Stop()
	for id, who := range ids {
		b.gone(t, who, id)
	}
}

func TestSearchFaultsAreNamed(t *testing.T) {
	t.Parallel()
	b := setup(t)
	_, err := b.StartSearch(ctx, b.petra, json.RawMessage(`{"fall_m": 2}`))
	require.Equal(t, domain.Invalid, domain.KindOf(err))
	require.ErrorContains(t, err, "/flow_m3s")
}
