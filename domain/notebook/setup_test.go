package notebook_test

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/interval"
	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/notebook"
	"leat/domain/store/storetest"
)

var ctx = context.Background()

// TestMain runs the tests, or is the process that the kill tests kill.
func TestMain(m *testing.M) {
	if os.Getenv(victimVariable) != "" {
		os.Exit(victim())
	}
	if os.Getenv(uploaderVariable) != "" {
		os.Exit(uploader())
	}
	if os.Getenv(importerVariable) != "" {
		os.Exit(importer())
	}
	os.Exit(m.Run())
}

// bundle is a notebook with two members and a project of Petra's, with one
// design in it.
type bundle struct {
	*notebook.Notebook
	db            *storetest.DB
	clock         *clock
	petra, tomasz domain.Actor
	project       domain.Project
	design        domain.Design
}

// clock is a clock that only a test moves.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) forward(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

func setup(t testing.TB) *bundle {
	t.Helper()
	b := empty(t, notebook.Options{})
	b.petra, b.tomasz = b.db.Person(t, "Petra Lindahl"), b.db.Person(t, "Tomasz Reyes", domain.Checker)
	b.project = b.startProject(t, "project-0001")
	b.design = b.startDesign(t, "design-0001")
	return b
}

// draws is how many the intervals of these tests have: what they test is the
// notebook.
const draws = interval.Least

// empty is a notebook in which nobody has written yet.
func empty(t testing.TB, o notebook.Options) *bundle {
	t.Helper()
	b := &bundle{db: storetest.New(t), clock: &clock{at: time.Now()}}
	o.Now, o.Draws = b.clock.now, draws
	b.Notebook = notebook.New(b.db.DB, o)
	b.ShareHashes()
	return b
}

func (b *bundle) startProject(t testing.TB, key string) domain.Project {
	t.Helper()
	p, _, err := b.StartProject(ctx, b.petra, domain.StartProject{Title: "Nursery pond air", Key: key})
	require.NoError(t, err)
	return p
}

func (b *bundle) startDesign(t testing.TB, key string) domain.Design {
	t.Helper()
	d, _, err := b.StartDesign(ctx, b.petra, domain.StartDesign{Project: b.project.ID, Title: "Garden trompe", Key: key})
	require.NoError(t, err)
	return d
}

// save is the command that saves a machine under the design of the bundle.
func (b *bundle) save(version int64, machine json.RawMessage) domain.SaveSheet {
	return domain.SaveSheet{
		Project: b.project.ID, Design: b.design.ID, Letter: "A", Version: version, Input: sheet.Input{Trompe: machine},
	}
}

func (b *bundle) sheets(t testing.TB) int {
	t.Helper()
	return b.db.Number(t, "SELECT count(*) FROM sheets")
}

// machine returns the machine of the bench rig with some values replaced, each
// by its group and name.
func machine(t testing.TB, replace map[[2]string]any) json.RawMessage {
	t.Helper()
	raw, err := os.ReadFile("demo/bench.json")
	require.NoError(t, err)
	var m map[string]map[string]any
	require.NoError(t, json.Unmarshal(raw, &m))
	for at, v := range replace {
		m[at[0]][at[1]] = v
	}
	raw, err = json.Marshal(m)
	require.NoError(t, err)
	return raw
}

// requireCode demands a domain error with a code.
func requireCode(t testing.TB, code string, err error) *domain.Error {
	t.Helper()
	e, ok := errors.AsType[*domain.Error](err)
	require.True(t, ok, "%v", err)
	require.Equal(t, code, e.Code)
	return e
}

// atOnce runs n calls at the same time and returns their errors.
func atOnce(n int, call func(i int) error) []error {
	errs := make([]error, n)
	var ready, done sync.WaitGroup
	ready.Add(n)
	for i := range n {
		done.Go(func() {
			ready.Done()
			ready.Wait()
			errs[i] = call(i)
		})
	}
	done.Wait()
	return errs
}

// oneWins demands that one call succeeded and all others failed with a code.
func oneWins(t testing.TB, code string, errs []error) {
	t.Helper()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
			continue
		}
		requireCode(t, code, err)
	}
	require.Equal(t, 1, won)
}
