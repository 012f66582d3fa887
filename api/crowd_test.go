package api

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const (
	crowdPeople = 20
	crowdSteps  = 400 // of a short crowd
	crowdSeed   = 20261201
	traceMost   = 60
)

// crowd is twenty people who act at once, each step drawn from one seed, and
// the model that follows what they are answered.
type crowd struct {
	*bundle
	*model
	seed uint64
	base map[string]int // rows that were there before

	board   sync.Mutex // what everybody knows of
	people  []*mate
	things  map[string][]*known // projects, designs, builds, remarks, entries, instruments, proposals
	answers map[string]int
	done    map[string]int // acts that were answered with yes
	trace   []string
}

// mate is one of the crowd.
type mate struct {
	person
	sign sync.Mutex // renews the session
	code string     // signing code
}

// known is something that is there. Those of a kind are in the order in which
// they were heard of.
type known struct {
	path    string
	id      int64
	project *known // of a design, build or entry
	build   *known // of an entry
	design  *known // of a remark
	who     int64

	mu     sync.Mutex
	photo  int64 // of a project
	letter string
	papers []paper
	lapses []lapse
	tests  map[string]window // when each test of a build was begun
	heard  map[int64]bool    // requests for a certificate that were answered, by their begin
}

// step is one thing that somebody does. It is a test of its own, so that an
// answer against the contract ends it and is told with its number.
type step struct {
	testing.TB
	*crowd
	b      *bundle
	number int
	rng    *rand.Rand
	wrong  bool
	lies   string // why no answer to this request may say yes
}

// Errorf and FailNow take note of a broken rule and end the step.
func (s *step) Errorf(format string, args ...any) {
	s.fault("step %d: %s", s.number, fmt.Sprintf(format, args...))
}
func (s *step) FailNow() { panic(s) }
func (s *step) Helper()  {}

// act is something that people do, and how often.
type act struct {
	name   string
	weight int
	do     func(*step)
}

var acts = []act{
	{"project", 2, (*step).startsProject},
	{"close project", 1, (*step).closesProject},
	{"crew", 8, (*step).changesCrew},
	{"design", 3, (*step).startsDesign},
	{"develop", 26, (*step).develops},
	{"remark", 9, (*step).saysOfDesigns},
	{"start build", 4, (*step).startsBuild},
	{"build", 9, (*step).changesBuild},
	{"test", 24, (*step).worksAtTest},
	{"certificate", 5, (*step).certifies},
	{"log", 6, (*step).logs},
	{"instrument", 2, (*step).keepsInstruments},
	{"rules", 4, (*step).proposes},
	{"roles", 3, (*step).givesRoles},
	{"people", 1, (*step).comesOrGoes},
	{"read", 3, (*step).reads},
}

// Twenty people act at once at random, a third of it wrong, and break no rule.
// LEAT_CROWD_MINUTES lets them do so for long, LEAT_CROWD_SEED repeats a seed,
// and LEAT_CROWD_ONE takes its steps one after another.
func TestCrowdBreaksNoRule(t *testing.T) {
	c := newCrowd(t)
	steps, workers, until := crowdSteps, crowdPeople, time.Now().Add(time.Hour)
	if minutes, err := strconv.ParseFloat(os.Getenv("LEAT_CROWD_MINUTES"), 64); err == nil {
		steps, until = 1<<30, time.Now().Add(time.Duration(minutes*float64(time.Minute)))
	}
	if os.Getenv("LEAT_CROWD_ONE") != "" {
		workers = 1
	}
	var taken atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for !c.broke() && time.Now().Before(until) {
				n := int(taken.Add(1))
				if n > steps {
					return
				}
				c.takes(n)
			}
		})
	}
	all.Wait()
	if !c.broke() {
		c.atTheEnd()
	}
	t.Logf("seed %d, %d steps, answers %v, done %v", c.seed, min(taken.Load(), int64(steps)), c.answers, c.done)
	if c.broke() {
		t.Fatalf("LEAT_CROWD_SEED=%d breaks a rule:\n%s\n\nThe last steps:\n%s\n\nWhat the server logged as failed:\n%s", c.seed,
			strings.Join(c.faults, "\n"), strings.Join(c.trace, "\n"), last(failures(c.log.String()), 4000))
	}
	for _, what := range []string{"issue", "clear", "item signed", "log written", "remark raised"} {
		require.Positive(t, c.done[what], "a crowd in which nobody did this proves little: %s", what)
	}
}

// failures are the lines of a log that tell of more than a request.
func failures(log string) string {
	lines := strings.Split(log, "\n")
	return strings.Join(slices.DeleteFunc(lines, func(l string) bool { return strings.Contains(l, `"level":"INFO"`) }), "\n")
}

func last(text string, most int) string { return text[max(0, len(text)-most):] }

func newCrowd(t *testing.T) *crowd {
	c := &crowd{bundle: setup(t), model: newModel(), seed: crowdSeed, things: map[string][]*known{}, answers: map[string]int{}, done: map[string]int{}}
	if seed, err := strconv.ParseUint(os.Getenv("LEAT_CROWD_SEED"), 10, 64); err == nil {
		c.seed = seed
	} else if os.Getenv("LEAT_CROWD_MINUTES") != "" {
		c.seed = uint64(time.Now().UnixNano()) //nolint:gosec // any will do
	}
	t.Logf("LEAT_CROWD_SEED=%d", c.seed)
	for i := range crowdPeople {
		c.joins(i)
	}
	c.notes("projects", &known{path: c.projectURL(), id: int64(c.project)})
	c.notes("designs", &known{path: c.designURL(), id: int64(c.design), project: c.things["projects"][0]})
	c.holds(fact{crewKey(c.things["projects"][0].id, int64(c.crew.id)), true})
	c.settles()
	return c
}

// holds notes facts that hold from the beginning.
func (c *crowd) holds(facts ...fact) {
	begin, turns := c.begins(facts)
	c.ends(begin, facts, turns, true)
}

// mateNames are invented.
var mateNames = strings.Fields("Wen Abel Birte Cato Dana Edda Fenn Gesa Hanno Ilse Jonna Kaspar Lida Mirko Nele Orlo Pauli Runa Sven Tilda")

// joins adds the i-th of the crowd: the first two are there already; many have
// roles, some several, most a signing code.
func (c *crowd) joins(i int) {
	p := &mate{}
	if i < 2 {
		p.person = *[]*person{c.keeper, c.crew}[i]
	} else {
		p.name, p.address = mateNames[i], fmt.Sprintf("%s@thornwick.example", strings.ToLower(mateNames[i]))
		c.db.exec(`INSERT INTO accounts (name, address, password_hash, checker, steward, keeper, demo, created_at)
			SELECT $1, $2, password_hash, $3, $4, $5, false, now() FROM accounts WHERE keeper ORDER BY id LIMIT 1`,
			p.name, p.address, i%3 == 0, i%4 == 1, i == 7 || i == 12)
		c.signsIn(&p.person)
	}
	for role, has := range map[string]bool{"checker": i > 1 && i%3 == 0, "steward": i > 1 && i%4 == 1, "keeper": i == 0 || i == 7 || i == 12} {
		c.holds(fact{roleKey(role, int64(p.id)), has})
	}
	if i%5 != 4 {
		p.code = fmt.Sprintf("48%d913", 20+i)
		a := c.as(&p.person).put("/api/v1/me/signing-code", map[string]any{"password": password, "code": p.code})
		require.Equal(c, 204, a.Code, a.Body.String())
	}
	c.people = append(c.people, p)
}

func crewKey(project, who int64) string     { return fmt.Sprintf("crew/%d/%d", project, who) }
func roleKey(role string, who int64) string { return fmt.Sprintf("%s/%d", role, who) }
func goneKey(who int64) string              { return fmt.Sprintf("gone/%d", who) }
func shutKey(project int64) string          { return fmt.Sprintf("shut/%d", project) }
func builtKey(build string, who int64) string {
	return fmt.Sprintf("built/%s/%d", build, who)
}
func authorKey(design string, who int64) string { return fmt.Sprintf("author/%s/%d", design, who) }

func (p *mate) no() int64 { return int64(p.id) }

// takes takes one step. What it does is drawn from the seed and its number
// alone; what it meets is what the others have left.
func (c *crowd) takes(number int) {
	s := &step{TB: c.bundle.TB, crowd: c, number: number, rng: rand.New(rand.NewPCG(c.seed, uint64(number)))} //nolint:gosec // replayable
	b := *c.bundle
	b.TB = s
	s.b = &b
	s.wrong = s.rng.IntN(3) == 0
	defer func() {
		if p := recover(); p != nil && p != any(s) {
			s.fault("step %d: panic: %v", number, p)
		}
	}()
	weights := 0
	for _, a := range acts {
		weights += a.weight
	}
	drawn := s.rng.IntN(weights)
	for _, a := range acts {
		if drawn -= a.weight; drawn < 0 {
			a.do(s)
			return
		}
	}
}

// verifies proves the record of signed acts.
func (c *crowd) verifies() {
	_, err := c.notebook.VerifyRecord(context.Background(), nil)
	if err != nil {
		c.fault("the record of signed acts does not hold: %v", err)
	}
}

// drawnInputs are what people draw: a machine that is plain, one of raised hazard,
// one with a part that is not allowed, and one that cannot work.
var drawnInputs = sync.OnceValue(func() map[string]json.RawMessage {
	all := map[string]json.RawMessage{}
	for name, file := range map[string]string{"raised": "bench-pe", "barred": "bench-drain"} {
		raw, err := os.ReadFile("../domain/notebook/demo/" + file + ".json")
		if err != nil {
			panic(err)
		}
		all[name] = raw
	}
	copyOf := func() map[string]any {
		var in map[string]any
		if err := json.Unmarshal(all["raised"], &in); err != nil {
			panic(err)
		}
		return in
	}
	keep := func(name string, in map[string]any) {
		text, err := json.Marshal(in)
		if err != nil {
			panic(err)
		}
		all[name] = text
	}
	plain := copyOf()
	parts := plain["parts"].([]any)
	parts[1] = map[string]any{"role": "chamber", "name": "steel drum", "od_m": 0.1028, "wall_m": 0.003, "rating_pa": 1600000, "marking": "PN 16",
		"gas_class": "metal", "table": "STEEL", "joint": "welded", "location": "guarded"}
	plain["parts"] = parts[:3]
	plain["facts"].(map[string]any)["riser_can_block"] = false
	keep("plain", plain)
	idle := copyOf()
	idle["trompe"].(map[string]any)["riser"].(map[string]any)["outlet_m"] = 1.72
	keep("idle", idle)
	return all
})
