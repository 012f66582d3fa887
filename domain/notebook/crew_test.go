package notebook_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// ask asks Tomasz onto the crew of the project of the bundle.
func (b *bundle) ask(t testing.TB) domain.AskID {
	t.Helper()
	p, err := b.AskMember(ctx, b.petra, domain.CrewMember{Project: b.project.ID, Member: b.tomasz.Account})
	require.NoError(t, err)
	require.Len(t, p.Asks, 1)
	return p.Asks[0].ID
}

func (b *bundle) answer(id domain.AskID, yes bool) (domain.Project, error) {
	return b.AnswerAsk(ctx, b.tomasz, domain.AnswerAsk{Project: b.project.ID, Ask: id, Yes: yes})
}

func names(people []domain.Person) []string {
	all := []string{}
	for _, p := range people {
		all = append(all, p.Name)
	}
	return all
}

// What a crew is, and that who left it stays known, is product.md, "People".
func TestWhoIsAskedAndSaysYesIsOnTheCrewUntilTheyLeave(t *testing.T) {
	t.Parallel()
	b := setup(t)
	id := b.ask(t)
	waiting, err := b.Asks(ctx, b.tomasz)
	require.NoError(t, err)
	require.Len(t, waiting, 1)
	require.Equal(t, "Nursery pond air", waiting[0].Title)
	require.Equal(t, "Petra Lindahl", waiting[0].By.Name)
	_, err = b.DescribeSite(ctx, b.tomasz, domain.DescribeSite{Project: b.project.ID, Version: 1})
	requireCode(t, "not-on-crew", err)

	p, err := b.answer(id, true)
	require.NoError(t, err)
	require.Equal(t, []string{"Petra Lindahl", "Tomasz Reyes"}, names(p.Crew))
	require.Empty(t, p.Asks)
	_, err = b.DescribeSite(ctx, b.tomasz, domain.DescribeSite{Project: b.project.ID, Version: 1})
	require.NoError(t, err)
	_, err = b.AskMember(ctx, b.petra, domain.CrewMember{Project: b.project.ID, Member: b.tomasz.Account})
	requireCode(t, "on-crew", err)

	p, err = b.LeaveCrew(ctx, b.tomasz, b.project.ID)
	require.NoError(t, err)
	require.Equal(t, []string{"Petra Lindahl"}, names(p.Crew))
	require.Equal(t, []string{"Tomasz Reyes"}, names(p.Former))
	_, err = b.DescribeSite(ctx, b.tomasz, domain.DescribeSite{Project: b.project.ID, Version: 2})
	requireCode(t, "not-on-crew", err)
	_, err = b.LeaveCrew(ctx, b.tomasz, b.project.ID)
	requireCode(t, "not-on-crew", err)

	p, err = b.answer(b.ask(t), true)
	require.NoError(t, err)
	require.Empty(t, p.Former, "who comes back is on it again")
}

func TestAnAskIsForOneAndForOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	bram := b.db.Person(t, "Bram Oduya", domain.Keeper)
	id := b.ask(t)
	for _, who := range []domain.Actor{b.petra, bram} {
		_, err := b.AnswerAsk(ctx, who, domain.AnswerAsk{Project: b.project.ID, Ask: id, Yes: true})
		requireCode(t, "not-asked", err)
	}
	_, err := b.WithdrawAsk(ctx, b.tomasz, b.project.ID, id)
	requireCode(t, "not-on-crew", err)

	_, err = b.answer(id, false)
	require.NoError(t, err)
	_, err = b.answer(id, false)
	require.NoError(t, err, "the same again, since the answer may have got lost")
	_, err = b.answer(id, true)
	requireCode(t, "ask-answered", err)
	_, err = b.WithdrawAsk(ctx, b.petra, b.project.ID, id)
	requireCode(t, "ask-answered", err)

	id = b.ask(t)
	p, err := b.WithdrawAsk(ctx, b.petra, b.project.ID, id)
	require.NoError(t, err)
	require.Empty(t, p.Asks)
	_, err = b.answer(id, true)
	requireCode(t, "ask-answered", err)
	waiting, err := b.Asks(ctx, b.tomasz)
	require.NoError(t, err)
	require.Empty(t, waiting)

	other := b.startProject(t, "project-0002")
	_, err = b.AnswerAsk(ctx, b.tomasz, domain.AnswerAsk{Project: other.ID, Ask: b.ask(t), Yes: true})
	requireCode(t, "not-found", err)
}

func TestOnlyOpenAccountsAreAsked(t *testing.T) {
	t.Parallel()
	b := setup(t)
	bram := b.db.Person(t, "Bram Oduya")
	others, err := b.OthersThanCrew(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	require.Equal(t, []string{"Bram Oduya", "Tomasz Reyes"}, names(others))
	b.ask(t)
	b.db.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1", bram.Account)
	others, err = b.OthersThanCrew(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	require.Empty(t, others)
	for _, id := range []domain.AccountID{bram.Account, 999, 0, -1} {
		_, err = b.AskMember(ctx, b.petra, domain.CrewMember{Project: b.project.ID, Member: id})
		requireCode(t, "not-found", err)
	}
	b.db.Exec(t, "UPDATE accounts SET demo = true WHERE id = $1", b.db.Person(t, "Wanda Invented").Account)
	others, err = b.OthersThanCrew(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	require.Empty(t, others, "invented people are asked only where the demo is shown")
}

func TestACrewThatHasDiedOutIsRevivedByAKeeperAlone(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ines := b.db.Person(t, "Ines Calloway", domain.Keeper)
	add := domain.CrewMember{Project: b.project.ID, Member: b.tomasz.Account}
	_, err := b.AddToCrew(ctx, ines, add)
	require.Contains(t, requireCode(t, "crew-there", err).Message, "Petra Lindahl")

	p, err := b.LeaveCrew(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	require.Empty(t, p.Crew)
	require.Equal(t, []domain.Action{domain.LeaveRemark}, p.Allowed, "as any member may")
	require.Equal(t, []string{"Ines Calloway"}, names(p.Keepers))
	_, err = b.DescribeSite(ctx, b.petra, domain.DescribeSite{Project: b.project.ID, Version: 1})
	require.Contains(t, requireCode(t, "not-on-crew", err).Message, "Ines Calloway")
	_, err = b.AddToCrew(ctx, b.petra, add)
	require.Contains(t, requireCode(t, "not-keeper", err).Message, "Ines Calloway")

	p, err = b.AddToCrew(ctx, ines, add)
	require.NoError(t, err)
	require.Equal(t, []string{"Tomasz Reyes"}, names(p.Crew))
	require.Equal(t, []string{"Petra Lindahl"}, names(p.Former))
	_, err = b.AddToCrew(ctx, ines, domain.CrewMember{Project: b.project.ID, Member: ines.Account})
	requireCode(t, "crew-there", err)

	b.db.Exec(t, "UPDATE accounts SET closed_at = now(), address = NULL, password_hash = NULL WHERE id = $1", b.tomasz.Account)
	p, err = b.AddToCrew(ctx, ines, domain.CrewMember{Project: b.project.ID, Member: b.petra.Account})
	require.NoError(t, err, "closing an account leaves a crew too")
	require.Equal(t, []string{"Petra Lindahl"}, names(p.Crew))
}

func TestAskedAndAnsweredByManyAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, err := range atOnce(12, func(int) error {
		_, err := b.AskMember(ctx, b.petra, domain.CrewMember{Project: b.project.ID, Member: b.tomasz.Account})
		return err
	}) {
		require.NoError(t, err)
	}
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM crew_asks"))

	id := b.ask(t)
	said := map[string]int{}
	for i, err := range atOnce(12, func(i int) error { _, err := b.answer(id, i%2 == 0); return err }) {
		if err == nil {
			said[fmt.Sprint(i%2 == 0)]++
			continue
		}
		requireCode(t, "ask-answered", err)
	}
	require.Len(t, said, 1, "one of yes and no holds")
	require.Equal(t, said["true"]/6, b.db.Number(t, "SELECT count(*) FROM crew WHERE account_id = $1", b.tomasz.Account))
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM crew_asks WHERE answer IS NOT NULL"))
}

// Two keepers who revive one crew at once: one of them does.
func TestACrewIsRevivedOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	ines := b.db.Person(t, "Ines Calloway", domain.Keeper)
	_, err := b.LeaveCrew(ctx, b.petra, b.project.ID)
	require.NoError(t, err)
	oneWins(t, "crew-there", atOnce(8, func(i int) error {
		member := []domain.Actor{ines, b.tomasz}[i%2].Account
		_, err := b.AddToCrew(ctx, ines, domain.CrewMember{Project: b.project.ID, Member: member})
		return err
	}))
}
