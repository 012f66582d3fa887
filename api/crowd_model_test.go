package api

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
)

// The model says what may happen to a design, a build, a test sheet and a
// person. It was written from the description of the product, not from the
// code, and follows the answers that say yes. Answers of a crowd arrive in any
// order, so it refuses to believe one only when it cannot be true in whatever
// order the server took the requests.

// window is when a request was on its way, by the crowd's own clock.
type window struct{ begin, end int64 }

const onItsWay = math.MaxInt64

// turn is that something became so, or ceased to be.
type turn struct {
	window
	is bool
}

// happening is one step of a design or a build that the server said yes to. It
// brought the thing from one version to another.
type happening struct {
	from, to int64
	act      string
	letter   string
	state    string // that the answer shows
	who      int64
	checkers int
}

type model struct {
	mu        sync.Mutex
	clock     int64
	turns     map[string][]*turn
	histories map[string][]happening
	once      map[string]string // what can happen once, and what it was
	made      map[string]int    // rows that the answers promise
	faults    []string
}

func newModel() *model {
	return &model{turns: map[string][]*turn{}, histories: map[string][]happening{}, once: map[string]string{}, made: map[string]int{}}
}

// fact is something that is so or is not.
type fact struct {
	key string
	is  bool
}

// begins notes what a request would make so. Until it is answered, it may be.
func (m *model) begins(means []fact) (int64, []*turn) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.clock++
	var turns []*turn
	for _, f := range means {
		x := &turn{window{m.clock, onItsWay}, f.is}
		m.turns[f.key] = append(m.turns[f.key], x)
		turns = append(turns, x)
	}
	return m.clock, turns
}

// ends notes whether it became so.
func (m *model) ends(begin int64, means []fact, turns []*turn, yes bool) window {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.clock++
	for i, x := range turns {
		x.end = m.clock
		if !yes {
			key := means[i].key
			m.turns[key] = slices.DeleteFunc(m.turns[key], func(y *turn) bool { return y == x })
		}
	}
	return window{begin, m.clock}
}

// could tells whether something can have been so at some moment of a window.
// What nothing was heard of is not so.
func (m *model) could(key string, is bool, w window) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	all := append([]*turn{{}}, m.turns[key]...)
	return slices.ContainsFunc(all, func(x *turn) bool {
		return x.is == is && x.begin <= w.end && !slices.ContainsFunc(all, func(y *turn) bool {
			return y.is != is && y.begin > x.end && y.end < w.begin
		})
	})
}

// was tells whether something surely had been so before a window.
func (m *model) was(key string, w window) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.ContainsFunc(m.turns[key], func(x *turn) bool { return x.is && x.end < w.begin })
}

// is tells how the last answer left something.
func (m *model) is(key string) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	var last turn
	for _, x := range m.turns[key] {
		if x.end != onItsWay && x.end >= last.end {
			last = *x
		}
	}
	return last.is
}

func (m *model) fault(format string, args ...any) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.faults) < 20 {
		m.faults = append(m.faults, fmt.Sprintf(format, args...))
	}
}

func (m *model) broke() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return len(m.faults) > 0
}

// happens adds to the history of a design or a build.
func (m *model) happens(thing string, h happening) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.histories[thing] = append(m.histories[thing], h)
}

// onlyOnce refuses what happens a second time.
func (m *model) onlyOnce(key, what string) {
	m.mu.Lock()
	before, again := m.once[key]
	m.once[key] = what
	m.mu.Unlock()
	if again {
		m.fault("%s: %s, and before: %s", key, what, before)
	}
}

func (m *model) makes(table string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.made[table]++
}

// inOrder returns what happened to a thing by the versions that it left, and
// finds two steps taken from the same version.
func (m *model) inOrder(thing string) []happening {
	list := slices.Clone(m.histories[thing])
	slices.SortFunc(list, func(a, b happening) int { return cmp.Compare(a.to, b.to) })
	for i, h := range list {
		if i > 0 && h.from < list[i-1].to {
			m.fault("%s: %q went from version %d to %d, but %q had gone from %d to %d", thing, h.act, h.from, h.to, list[i-1].act, list[i-1].from, list[i-1].to)
		}
	}
	return list
}

// designModel is a design as the product describes it.
type designModel struct {
	letters []string
	states  map[string]string
	said    map[string]int // how many said clear
	asks    map[string]int // how many must
}

// designOf follows a design from its first letter.
func (m *model) designOf(thing string) *designModel {
	d := &designModel{letters: []string{"A"}, states: map[string]string{"A": "draft"}, said: map[string]int{}, asks: map[string]int{}}
	for _, h := range m.inOrder(thing) {
		if why := d.takes(h); why != "" {
			m.fault("%s: %q of %s by %d, to version %d: %s; the letters stand at %v", thing, h.act, h.letter, h.who, h.to, why, d.states)
		}
	}
	return d
}

// last is the newest letter.
func (d *designModel) last() string { return d.letters[len(d.letters)-1] }

// clears makes a letter the one that may be built.
func (d *designModel) clears(letter string) {
	for other, state := range d.states {
		if state == "cleared" {
			d.states[other] = "superseded"
		}
	}
	d.states[letter] = "cleared"
}

// enough tells whether a letter would be cleared if no remark stood open: the
// last one laid to rest clears it, and its answer does not show the design.
func (d *designModel) enough(letter string) bool {
	return d.states[letter] == "in_check" && d.said[letter] >= d.asks[letter]
}

// takes takes a step, or says why it is none.
func (d *designModel) takes(h happening) (why string) {
	state, there := d.states[h.letter]
	if h.act == "next" {
		return d.begins(h)
	}
	if !there {
		return "there is no such letter"
	}
	switch h.act {
	case "save":
		if state != "draft" {
			return "only a draft is edited"
		}
	case "issue":
		if state != "draft" {
			return "only a draft is issued"
		}
		d.states[h.letter], d.asks[h.letter] = "in_check", h.checkers
	case "take-back":
		if state != "in_check" || d.said[h.letter] > 0 {
			return "only what nobody has said anything of is taken back"
		}
		d.states[h.letter] = "returned"
	case "clear", "return":
		return d.hears(h, state)
	case "withdraw":
		if d.enough(h.letter) {
			d.clears(h.letter)
		} else if state != "cleared" && state != "superseded" {
			return "only what was cleared is withdrawn"
		}
		d.states[h.letter] = "withdrawn"
	}
	if h.state != "" && h.state != d.states[h.letter] {
		return fmt.Sprintf("it should be %s now, and is answered as %s", d.states[h.letter], h.state)
	}
	return ""
}

func (d *designModel) hears(h happening, state string) (why string) {
	if state != "in_check" {
		return "only what is in check is checked"
	}
	if h.act == "return" {
		d.states[h.letter] = "returned"
		if h.state != "returned" {
			return "one return returns it, and it is answered as " + h.state
		}
		return ""
	}
	d.said[h.letter]++
	switch {
	case h.state == "cleared" && d.said[h.letter] < d.asks[h.letter]:
		return fmt.Sprintf("cleared by %d of %d", d.said[h.letter], d.asks[h.letter])
	case h.state == "cleared":
		d.clears(h.letter)
	case h.state != "in_check":
		return "clear made it " + h.state
	}
	return ""
}

// begins starts the next letter.
func (d *designModel) begins(h happening) string {
	last := d.last()
	if d.enough(last) {
		d.clears(last)
	}
	if s := d.states[last]; s == "draft" || s == "in_check" {
		return "letter " + last + " is " + s + ", and at most one is draft or in check"
	}
	if want := nextLetter(last); h.letter != want {
		return "the letter after " + last + " is " + want
	}
	d.letters, d.states[h.letter] = append(d.letters, h.letter), "draft"
	return ""
}

// nextLetter counts as drawings do (ASME Y14.35): without I, O, Q, S, X and Z.
func nextLetter(letter string) string {
	const used = "ABCDEFGHJKLMNPRTUVWY"
	i := strings.IndexByte(used, letter[len(letter)-1])
	switch {
	case i < len(used)-1:
		return letter[:len(letter)-1] + used[i+1:i+2]
	case len(letter) == 1:
		return "AA"
	}
	return nextLetter(letter[:len(letter)-1]) + "A"
}

// goesTo is where the state of a build goes.
var goesTo = map[string][]string{
	"being_built": {"built", "scrapped"}, "built": {"in_service", "scrapped"},
	"in_service": {"laid_up", "scrapped"}, "laid_up": {"in_service", "scrapped"},
}

// buildStateOf follows a build from its beginning.
func (m *model) buildStateOf(thing string) string {
	state := "being_built"
	for _, h := range m.inOrder(thing) {
		if state == "scrapped" {
			m.fault("%s: %q after it was scrapped, to version %d", thing, h.act, h.to)
		}
		if h.act != "state" {
			continue
		}
		if !slices.Contains(goesTo[state], h.state) {
			m.fault("%s: from %s to %s at version %d", thing, state, h.state, h.to)
		}
		state = h.state
	}
	return state
}

// lapse is something that ends what a certificate says of a build.
type lapse struct {
	window
	why   string
	hash  string // of the machine since; empty where that is not what ended it
	moved bool
	entry string // of the incident
}

// paper is a certificate.
type paper struct {
	window
	test window // when its test was begun
	hash string
}

// mayHold tells whether a certificate of a build can have been valid in a
// window.
func (m *model) mayHold(w window, papers []paper, lapses []lapse) bool {
	return slices.ContainsFunc(papers, func(p paper) bool {
		return p.begin <= w.end && !slices.ContainsFunc(lapses, func(l lapse) bool {
			since := p.end
			if l.hash != "" || l.moved {
				since = p.test.end
			}
			surely := l.begin > since && l.end < w.begin
			return surely && (l.hash == "" || l.moved || l.hash != p.hash) && (l.entry == "" || !m.could("harmless/"+l.entry, true, w))
		})
	})
}
