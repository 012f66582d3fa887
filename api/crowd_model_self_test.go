package api

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A model that believes everything proves nothing.
func TestModelOfTheCrowdRefuses(t *testing.T) {
	step := func(from int64, act, letter, state string) happening {
		return happening{from: from, to: from + 1, act: act, letter: letter, state: state, checkers: 2}
	}
	for name, c := range map[string]struct {
		story []happening
		ok    bool
	}{
		"cleared by two": {[]happening{step(1, "save", "A", ""), step(2, "issue", "A", "in_check"), step(3, "clear", "A", "in_check"), step(4, "clear", "A", "cleared"),
			step(5, "next", "B", ""), step(6, "withdraw", "A", "withdrawn")}, true},
		"cleared by one":           {[]happening{step(1, "issue", "A", "in_check"), step(2, "clear", "A", "cleared")}, false},
		"two from one version":     {[]happening{step(1, "save", "A", ""), step(1, "save", "A", "")}, false},
		"saved once it was frozen": {[]happening{step(1, "issue", "A", "in_check"), step(2, "save", "A", "")}, false},
		"two letters at once":      {[]happening{step(1, "issue", "A", "in_check"), step(2, "next", "B", "")}, false},
		"a draft set aside":        {[]happening{step(1, "save", "A", ""), step(2, "next", "B", "")}, false},
		"checked while a draft":    {[]happening{step(1, "clear", "A", "in_check")}, false},
		"returned and yet cleared": {[]happening{step(1, "issue", "A", "in_check"), step(2, "return", "A", "in_check")}, false},
		"taken back after a clear": {[]happening{step(1, "issue", "A", "in_check"), step(2, "clear", "A", "in_check"), step(3, "take-back", "A", "returned")}, false},
		"withdrawn while a draft":  {[]happening{step(1, "withdraw", "A", "withdrawn")}, false},
		"a letter left out":        {[]happening{step(1, "issue", "A", "in_check"), step(2, "return", "A", "returned"), step(3, "next", "C", "")}, false},
		"the last remark cleared it": {[]happening{step(1, "issue", "A", "in_check"), step(2, "clear", "A", "in_check"), step(3, "clear", "A", "in_check"),
			step(5, "next", "B", "")}, true},
	} {
		m := newModel()
		m.histories["design"] = c.story
		m.designOf("design")
		require.Equal(t, c.ok, !m.broke(), "%s: %v", name, m.faults)
	}
	require.Equal(t, []string{"B", "J", "AA", "AB", "AJ", "BA"}, []string{nextLetter("A"), nextLetter("H"), nextLetter("Y"), nextLetter("AA"), nextLetter("AH"), nextLetter("AY")})

	state := func(from int64, to string) happening {
		return happening{from: from, to: from + 1, act: "state", state: to}
	}
	for name, c := range map[string]struct {
		story []happening
		ok    bool
	}{
		"to its end":             {[]happening{state(1, "built"), state(2, "in_service"), state(3, "laid_up"), state(4, "in_service"), state(5, "scrapped")}, true},
		"in service from a heap": {[]happening{state(1, "in_service")}, false},
		"back to being built":    {[]happening{state(1, "built"), state(2, "being_built")}, false},
		"mended after its end":   {[]happening{state(1, "scrapped"), {from: 2, to: 3, act: "renews"}}, false},
	} {
		m := newModel()
		m.histories["build"] = c.story
		m.buildStateOf("build")
		require.Equal(t, c.ok, !m.broke(), name)
	}
}

// Facts are so, or may be, or are not, as answers come in.
func TestModelOfTheCrowdKnowsWhatMayBe(t *testing.T) {
	m := newModel()
	now := func() window { return window{m.clock + 1, m.clock + 1} }
	joins := []fact{{"crew/1/2", true}}
	require.False(t, m.could("crew/1/2", true, now()))
	begin, turns := m.begins(joins)
	require.True(t, m.could("crew/1/2", true, now()), "it is on its way")
	require.True(t, m.could("crew/1/2", false, now()))
	require.False(t, m.was("crew/1/2", now()))
	m.ends(begin, joins, turns, true)
	require.False(t, m.could("crew/1/2", false, now()))
	leaves := []fact{{"crew/1/2", false}}
	begin, turns = m.begins(leaves)
	m.ends(begin, leaves, turns, false)
	require.True(t, m.could("crew/1/2", true, now()), "a no changes nothing")
	begin, turns = m.begins(leaves)
	m.ends(begin, leaves, turns, true)
	require.False(t, m.could("crew/1/2", true, now()))
	require.True(t, m.was("crew/1/2", now()), "who was on a crew once stays so")

	p := paper{window: window{10, 12}, test: window{2, 3}, hash: "a"}
	for name, c := range map[string]struct {
		l     lapse
		holds bool
	}{
		"the same again":       {lapse{window: window{14, 15}, hash: "a"}, true},
		"something else":       {lapse{window: window{14, 15}, hash: "b"}, false},
		"since its test":       {lapse{window: window{5, 6}, hash: "b"}, false},
		"before its test":      {lapse{window: window{1, 2}, hash: "b"}, true},
		"perhaps not yet":      {lapse{window: window{14, 30}, hash: "b"}, true},
		"revoked":              {lapse{window: window{14, 15}}, false},
		"revoked before":       {lapse{window: window{8, 9}}, true},
		"an incident":          {lapse{window: window{14, 15}, entry: "7"}, false},
		"moved since its test": {lapse{window: window{5, 6}, hash: "a", moved: true}, false},
	} {
		require.Equal(t, c.holds, m.mayHold(window{20, 21}, []paper{p}, []lapse{c.l}), name)
	}
	require.False(t, m.mayHold(window{20, 21}, nil, nil))
}
