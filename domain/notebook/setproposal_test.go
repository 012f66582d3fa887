package notebook_test

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"slices"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/lessons"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/digest"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

// taught is a shed with a confirmed run, of which Tomasz alone took part, and a
// member who did not.
type taught struct {
	*measuring
	ines domain.Actor
}

func taughtShed(t testing.TB) *taught {
	t.Helper()
	m := measured(t, inShed(t))
	m.takes(t, m.bucket(25, 25.2, 25.1))
	m.judges(t)
	r, err := m.confirms(m.wen)
	require.NoError(t, err)
	m.run = r
	return &taught{m, m.db.Person(t, "Ines Varga")}
}

func (s *taught) proposes(t testing.TB, who domain.Actor) domain.SetProposal {
	t.Helper()
	p, made, err := s.ProposeSet(ctx, who, domain.ProposeCoefficients{Why: "Three more machines", Key: s.key()})
	require.NoError(t, err)
	require.True(t, made)
	return p
}

func (s *taught) adopts(who domain.Actor, id domain.SetProposalID) (domain.SetProposal, error) {
	return s.AdoptSet(ctx, who, domain.AdoptCoefficients{Proposal: id, Proof: domain.Proof{Password: storetest.Password}})
}

// lessonByHand is what a proposal would say of runs that nothing speaks against.
func lessonByHand(t testing.TB, calcVersion string, m float64) []byte {
	t.Helper()
	prior := evidence.PriorOf(1)
	body, err := digest.Canonical(lessons.Proposal{
		CalcVersion: calcVersion, Current: "0", Adoptable: true,
		Learned: &trompe.Learned{Parent: "0", CalcVersion: calcVersion, Names: []string{"k_c0"}, M: []float64{m}, P: prior.P, Omega: prior.Omega, Delta: evidence.ModelLack},
	})
	require.NoError(t, err)
	return body
}

// learned makes a proposal that may be adopted.
func (s *taught) learned(t testing.TB, who domain.Actor) domain.SetProposal {
	t.Helper()
	p := s.proposes(t, who)
	s.teaches(t, p.ID, calc.Version)
	return s.reads(t, p.ID)
}

func (s *taught) teaches(t testing.TB, id domain.SetProposalID, calcVersion string) {
	t.Helper()
	body := lessonByHand(t, calcVersion, -2)
	s.db.Exec(t, "INSERT INTO coefficient_set_lessons (proposal_id, body, digest, at) VALUES ($1, $2, sha256(convert_to($2, 'UTF8')), now())", id, string(body))
}

func (s *taught) reads(t testing.TB, id domain.SetProposalID) domain.SetProposal {
	t.Helper()
	p, err := s.SetProposal(ctx, s.petra, id)
	require.NoError(t, err)
	return p
}

func (s *taught) setsWaiting(t testing.TB, who domain.Actor) (numbers []int64) {
	t.Helper()
	all, err := s.Waiting(ctx, who)
	require.NoError(t, err)
	for _, a := range all {
		if a.Kind == domain.AwaitsSet {
			numbers = append(numbers, a.Number)
		}
	}
	return numbers
}

// Section 5.7 of the specification of evidence: at least three builds of two
// crews; a proposal that is refused is kept with its reasons.
func TestOneMachineTeachesNoSetAndTheReasonsStay(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	_, _, err := s.ProposeSet(ctx, s.tomasz, domain.ProposeCoefficients{Why: "So", Key: s.key()})
	requireCode(t, "sole-author", err)
	_, _, err = s.ProposeSet(ctx, s.petra, domain.ProposeCoefficients{Key: "short"})
	require.Len(t, requireCode(t, "invalid", err).Fields, 2)

	p := s.proposes(t, s.petra)
	require.Equal(t, domain.SetWorking, p.State)
	require.Equal(t, "0", p.Current)
	require.Len(t, p.Runs, 1)
	require.Equal(t, s.run.Verdict.Digest, p.Runs[0].Verdict)
	_, err = s.adopts(s.wen, p.ID)
	requireCode(t, "set-refused", err)
	_, _, err = s.ProposeSet(ctx, s.ines, domain.ProposeCoefficients{Why: "Me too", Key: s.key()})
	requireCode(t, "set-working", err)

	done, err := s.LearnDue(ctx)
	require.NoError(t, err)
	require.Equal(t, 1, done)
	p = s.reads(t, p.ID)
	require.Equal(t, domain.SetRefused, p.State)
	var said lessons.Proposal
	require.NoError(t, json.Unmarshal(p.Lesson.Body, &said))
	require.False(t, said.Adoptable)
	against := map[string]bool{}
	for _, c := range said.Checks {
		against[c.Code] = !c.Holds
	}
	require.True(t, against[evidence.TooFewBuilds])
	require.True(t, against[lessons.TooFewCrews])
	_, err = s.adopts(s.wen, p.ID)
	requireCode(t, "set-refused", err)
	require.Empty(t, s.setsWaiting(t, s.wen))
	s.violates(t, "coefficient_set_adoptions_of_lesson", adoptionByHand(p.ID, "0", s.wen))
	s.requireRecordHolds(t)

	list, inForce, allowed, err := s.SetProposals(ctx, s.ines, domain.Page{})
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, "0", inForce)
	require.Equal(t, []domain.Action{domain.ProposeSet}, allowed)
}

// Two people make a set: who proposed it and a steward who is another, neither of
// whom made its runs alone. What was worked out before stays, letter for letter.
func TestASetIsAdoptedByTwoPeople(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	old := "SELECT hashtextextended((SELECT string_agg(s::text, '' ORDER BY s.revision_id, s.number) FROM sheets s) || (SELECT string_agg(v::text, '' ORDER BY v.build_id, v.number) FROM build_versions v) || (SELECT string_agg(v::text, '' ORDER BY v.run_id) FROM run_verdicts v), 0)"
	before := s.db.Number(t, old)
	p := s.learned(t, s.petra)
	require.Equal(t, domain.SetWaiting, p.State)
	require.Empty(t, p.Lacking)
	require.Equal(t, []int64{int64(p.ID)}, s.setsWaiting(t, s.wen))
	require.Empty(t, s.setsWaiting(t, s.petra))

	_, err := s.adopts(s.ines, p.ID)
	requireCode(t, "not-steward", err)
	s.violates(t, "coefficient_set_adoptions_by_steward", adoptionByHand(p.ID, "0", s.ines))
	s.db.Exec(t, "UPDATE accounts SET steward = true WHERE id IN ($1, $2)", s.petra.Account, s.tomasz.Account)
	_, err = s.adopts(s.petra, p.ID)
	require.Contains(t, requireCode(t, "own-proposal", err).Message, "Wen Achebe")
	s.violates(t, "coefficient_set_adoptions_by_steward", adoptionByHand(p.ID, "0", s.petra))
	_, err = s.adopts(s.tomasz, p.ID)
	requireCode(t, "sole-author", err)
	s.violates(t, "coefficient_set_adoptions_by_steward", adoptionByHand(p.ID, "0", s.tomasz))
	_, err = s.AdoptSet(ctx, s.wen, domain.AdoptCoefficients{Proposal: p.ID, Proof: domain.Proof{Password: "seven wet herons"}})
	require.Error(t, err)
	require.Equal(t, 0, s.db.Number(t, "SELECT count(*) FROM coefficient_set_adoptions"))

	p, err = s.adopts(s.wen, p.ID)
	require.NoError(t, err)
	require.Equal(t, domain.SetAdopted, p.State)
	require.True(t, p.InForce)
	require.Equal(t, "1", p.Adoption.Set)
	require.Empty(t, s.setsWaiting(t, s.wen))
	_, err = s.adopts(s.wen, p.ID)
	requireCode(t, "set-refused", err)
	s.requireRecordHolds(t)
	require.Equal(t, before, s.db.Number(t, old))

	preview, err := s.Preview(ctx, s.petra, sheet.Input{Trompe: machine(t, nil)})
	require.NoError(t, err)
	require.Equal(t, "1", preview.CoefficientSet)

	// Section 3.1: a prediction with a set that this build taught is no test.
	require.Empty(t, s.run.Hindsight())
	m, err := s.Build(ctx, s.petra, s.project.ID, s.machine.ID)
	require.NoError(t, err)
	change := s.change(m)
	change.Place, change.Note = new("beside the weir"), "moved"
	_, err = s.ChangeBuild(ctx, s.petra, change)
	require.NoError(t, err)
	later := measured(t, s.shed)
	require.Equal(t, "1", later.run.CoefficientSet)
	require.Contains(t, codes(later.run.Marks()), "hindsight")

	e, err := s.Evidence(ctx, s.ines)
	require.NoError(t, err)
	require.Equal(t, "1", e.InForce)
	require.Empty(t, e.Changed)
	_, err = s.setsAside(s.wen)
	require.NoError(t, err)
	e, err = s.Evidence(ctx, s.ines)
	require.NoError(t, err)
	require.Equal(t, []string{"1"}, e.Changed, "it stays in force, and says so")
	require.Equal(t, "1", e.InForce)
	require.Len(t, s.reads(t, p.ID).Aside(), 1)
	_, _, err = s.ProposeSet(ctx, s.petra, domain.ProposeCoefficients{Why: "Anew", Key: s.key()})
	requireCode(t, "nothing-learned", err)
}

func TestEvidenceShowsEachRunAndWhyItDoesNotCount(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	e, err := s.Evidence(ctx, s.ines)
	require.NoError(t, err)
	require.Equal(t, 1, e.Summary.Builds)
	require.Equal(t, 1, e.Summary.Runs)
	require.Len(t, e.Summary.Quantities, 1)
	point := e.Summary.Quantities[0].Points[0]
	require.True(t, point.Counted)
	require.InDelta(t, 0.01/25.1, *point.Y, 1e-6, "ten litres in 25.1 s")
	require.Equal(t, "trompe", e.Runs[0].Kind)
	require.Positive(t, e.Runs[0].Bore)
	require.Equal(t, s.machine.Tag, e.Runs[0].Tag)

	_, err = s.setsAside(s.wen)
	require.NoError(t, err)
	e, err = s.Evidence(ctx, s.ines)
	require.NoError(t, err)
	require.Zero(t, e.Summary.Runs)
	require.Equal(t, 1, e.Summary.Aside, "what was set aside is counted as such")
	require.Equal(t, []string{lessons.SetAside}, e.Summary.Quantities[0].Points[0].Why)
}

// Of two proposals at once one is worked out, and the same proposal sent twice is
// one.
func TestOfTwoProposalsAtOnceOneIsWorkedOut(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	key := s.key()
	var made atomic.Int32
	for _, err := range atOnce(4, func(int) error {
		_, new, err := s.ProposeSet(ctx, s.petra, domain.ProposeCoefficients{Why: "Again", Key: key})
		if new {
			made.Add(1)
		}
		return err
	}) {
		require.NoError(t, err)
	}
	require.Equal(t, int32(1), made.Load())
	s.teaches(t, 1, calc.Version)
	oneWins(t, "set-working", atOnce(2, func(i int) error {
		_, _, err := s.ProposeSet(ctx, []domain.Actor{s.petra, s.ines}[i], domain.ProposeCoefficients{Why: "Again", Key: "at-once-01"})
		return err
	}))
	require.Equal(t, 2, s.db.Number(t, "SELECT count(*) FROM coefficient_set_proposals"))
	s.requireRecordHolds(t)
}

// Of two adoptions at once one wins, and what was proposed before it is overtaken.
func TestOfTwoAdoptionsAtOnceOneWins(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	other := s.db.Person(t, "Olwen Hart", domain.Steward)
	both := []domain.SetProposal{s.learned(t, s.petra), s.learned(t, s.ines)}
	oneWins(t, "set-refused", atOnce(4, func(i int) error {
		_, err := s.adopts([]domain.Actor{s.wen, other}[i%2], both[i/2].ID)
		return err
	}))
	require.Equal(t, 1, s.db.Number(t, "SELECT count(*) FROM coefficient_set_adoptions"))
	states := []domain.ProposalOf{s.reads(t, both[0].ID).State, s.reads(t, both[1].ID).State}
	require.ElementsMatch(t, []domain.ProposalOf{domain.SetAdopted, domain.SetOvertaken}, states)
	s.requireRecordHolds(t)
}

// A set is adopted, or one of its runs is set aside: never the first after the
// second, however close they come.
func TestAdoptionAgainstSettingARunAside(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	p := s.learned(t, s.petra)
	errs := atOnce(2, func(i int) (err error) {
		if i == 0 {
			_, err = s.adopts(s.wen, p.ID)
			return err
		}
		_, err = s.setsAside(s.wen)
		return err
	})
	require.NoError(t, errs[1])
	p = s.reads(t, p.ID)
	require.Len(t, p.Aside(), 1)
	if errs[0] != nil {
		requireCode(t, "set-refused", errs[0])
		require.Equal(t, domain.SetOvertaken, p.State)
	} else {
		require.Less(t, p.Adoption.Link, int64(s.db.Number(t, "SELECT max(link) FROM run_ends")))
	}
	s.requireRecordHolds(t)
}

// What an older calculation learned is not adopted any more.
func TestALessonOfAnOlderCalculationIsOvertaken(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	p := s.proposes(t, s.petra)
	s.teaches(t, p.ID, "0.1")
	require.Equal(t, domain.SetOvertaken, s.reads(t, p.ID).State)
	require.Empty(t, s.setsWaiting(t, s.wen))
	_, err := s.adopts(s.wen, p.ID)
	requireCode(t, "set-refused", err)
}

// A group with one steward, who proposed the set, is told that nobody can adopt it.
func TestAProposalThatNobodyCanAdoptSaysSo(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	p := s.learned(t, s.wen)
	require.Contains(t, p.Lacking, "Nobody in the group can adopt this")
	_, err := s.adopts(s.wen, p.ID)
	requireCode(t, "own-proposal", err)
}

// A server that is killed while it learns loses nothing: the proposal stands, no
// half of an answer is kept, and the next server works it out.
func TestAKilledServerLearnsAgain(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	p := s.proposes(t, s.petra)
	self, err := os.Executable()
	require.NoError(t, err)
	victim := exec.Command(self)
	victim.Env = append(os.Environ(), victimVariable+"="+s.db.URL+"|learn")
	out, err := victim.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, victim.Start())
	require.True(t, bufio.NewScanner(out).Scan(), "it begins")
	time.Sleep(20 * time.Millisecond)
	require.NoError(t, victim.Process.Signal(syscall.SIGKILL))
	_ = victim.Wait()
	require.Equal(t, 0, s.db.Number(t, "SELECT count(*) FROM coefficient_set_lessons"), "killed on the way")
	require.Equal(t, domain.SetWorking, s.reads(t, p.ID).State)

	for range 2 {
		next := notebook.New(s.db.DB, notebook.Options{Now: s.clock.now, Draws: draws})
		_, err = next.LearnDue(ctx)
		require.NoError(t, err)
	}
	require.Equal(t, 1, s.db.Number(t, "SELECT count(*) FROM coefficient_set_lessons"))
	require.Equal(t, domain.SetRefused, s.reads(t, p.ID).State)
	s.requireRecordHolds(t)
}

// The job of the server works out what was proposed before it started, and what is
// proposed later, and ends when it is told.
func TestTheServerKeepsLearning(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	s.proposes(t, s.petra)
	job, end := context.WithCancel(ctx)
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		s.KeepLearning(job, func(err error) { t.Error(err) })
	}()
	learned := func(n int) func() bool {
		return func() bool { return s.db.Number(t, "SELECT count(*) FROM coefficient_set_lessons") == n }
	}
	require.Eventually(t, learned(1), time.Minute, 5*time.Millisecond)
	s.proposes(t, s.petra)
	require.Eventually(t, learned(2), time.Minute, 5*time.Millisecond)
	require.Equal(t, 1, s.db.Number(t, "SELECT count(DISTINCT digest) FROM coefficient_set_lessons"), "the same runs teach the same bytes")
	end()
	<-stopped
}

// A proposal that could not be kept, because the database was away, is worked out
// once it is back, without a restart and without anybody proposing anew.
func TestAProposalThatFailedIsTriedAgain(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	p := s.proposes(t, s.petra)
	s.db.Exec(t, "ALTER TABLE coefficient_set_lessons ADD CONSTRAINT away CHECK (false)")
	job, end := context.WithCancel(ctx)
	stopped, failed := make(chan struct{}), make(chan error, 1)
	s.TryAgainAfter(slices.Repeat([]time.Duration{50 * time.Millisecond}, 1000)...)
	go func() {
		defer close(stopped)
		s.KeepLearning(job, func(err error) {
			select {
			case failed <- err:
			default: // the first one was not looked at yet
			}
		})
	}()
	require.ErrorContains(t, <-failed, "away")
	require.Contains(t, s.reads(t, p.ID).Failure, "It tries again by itself")
	s.db.Exec(t, "ALTER TABLE coefficient_set_lessons DROP CONSTRAINT away")
	require.Eventually(t, func() bool { return s.reads(t, p.ID).State == domain.SetRefused }, time.Minute, 5*time.Millisecond)
	end()
	<-stopped
}

// What fails for good is left alone after the last pause, until something new is due;
// what succeeds waits for that at once.
func TestAJobThatFailsForGoodIsLeftAlone(t *testing.T) {
	t.Parallel()
	n := notebook.New(nil, notebook.Options{})
	n.TryAgainAfter(0, 0, 0)
	job, end := context.WithCancel(ctx)
	due, tries, stopped := make(chan struct{}), make(chan int, 100), make(chan struct{})
	fails := true
	go func() {
		defer close(stopped)
		n.Keep(job, due, func(context.Context) (int, error) {
			if tries <- 1; fails {
				return 0, errors.New("no use")
			}
			return 1, nil
		}, func(err error) { require.ErrorContains(t, err, "no use") })
	}()
	for range 2 {
		for range 4 {
			<-tries
		}
		due <- struct{}{}
	}
	for range 4 {
		<-tries
	}
	fails = false
	due <- struct{}{}
	<-tries
	due <- struct{}{}
	<-tries
	end()
	<-stopped
	require.Empty(t, tries)
}
