package sheet

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/reckon"
	"leat/calc/trompe"
)

// Step is one named calculation of a sheet: what went in, from the builder and
// from earlier steps, and what came out.
type Step struct {
	At     string            `json:"at"` // section of the sheet: /source/vnotch
	Title  string            `json:"title"`
	Calc   string            `json:"calc"`
	Input  map[string]any    `json:"input"`
	Fed    map[string]string `json:"fed,omitempty"`    // inputs that leat filled in, and where from
	Lacks  string            `json:"lacks,omitempty"`  // why it was not calculated
	Answer *calc.Answer      `json:"answer,omitempty"` // nil where something lacks
}

// chain is a sheet while it is calculated.
type chain struct {
	in      Input
	limits  build.Limits
	given   map[string]any // the checked sections
	machine *trompe.Input
	rep     Report
	results map[string]map[string]any // of the steps that were answered, by section
}

// read checks all sections, whichever machine it is, and collects all faults.
func (c *chain) read() trompe.Input {
	machine, faults := trompe.Decode(c.in.Trompe)
	if given(c.in.Trompe) || c.kind() == Trompe {
		for _, f := range faults {
			f.At = "/trompe" + f.At
			c.rep.Faults = append(c.rep.Faults, f)
		}
	}
	rest := c.in
	rest.Trompe = nil
	text, err := json.Marshal(rest)
	if err != nil {
		c.rep.Faults = append(c.rep.Faults, calc.Fault{Code: calc.Missing, Message: "The sheet must be one JSON object."})
		return machine
	}
	clean, faults := form.Check(text)
	c.given = clean
	c.rep.Faults = append(c.rep.Faults, faults...)
	for machine, at := range map[string]string{Ram: "/ram/cycle", Lift: "/lift", Pulse: "/pulse"} {
		if c.kind() == machine && !c.has(at) {
			c.rep.Faults = append(c.rep.Faults, calc.Fault{Code: calc.Missing, At: at, Message: "The figures of this machine are not given. Fill them in, or choose another machine."})
		}
	}
	return machine
}

// kind is the machine that the sheet is about.
func (c *chain) kind() string {
	if c.in.Machine == "" {
		return Trompe
	}
	return c.in.Machine
}

// follow runs the steps in the order of the water.
func (c *chain) follow() error {
	c.results = map[string]map[string]any{}
	for _, n := range nodes {
		for _, at := range c.places(n) {
			if err := c.step(n, at); err != nil {
				return err
			}
		}
	}
	return nil
}

// places returns where in the sheet a node applies: once, or for each use.
func (c *chain) places(n node) []string {
	if n.use == "" {
		if !c.has(n.at) && !(n.auto && c.complete(n)) {
			return nil
		}
		return []string{n.at}
	}
	var all []string
	uses, _ := c.given["uses"].([]any)
	for i, u := range uses {
		if use, ok := u.(map[string]any); ok && use["kind"] == n.use {
			all = append(all, fmt.Sprintf("/uses/%d/%s", i, n.use))
		}
	}
	return all
}

// complete tells whether everything that a node is fed is there.
func (c *chain) complete(n node) bool {
	return !slices.ContainsFunc(n.feeds, func(f feed) bool { return !f.free && f.of(c, n.at) == nil })
}

func (c *chain) has(at string) bool { return lookUp(c.given, at) != nil }

// step asks one named calculation.
func (c *chain) step(n node, at string) error {
	s := Step{At: at, Title: n.title, Calc: n.calc, Input: map[string]any{}, Fed: map[string]string{}}
	section, _ := lookUp(c.given, at).(map[string]any)
	for name, v := range section {
		if n.takes(name) {
			s.Input[name] = v
		}
	}
	for _, f := range n.feeds {
		if _, typed := s.Input[f.name]; typed {
			continue
		}
		if v := f.of(c, at); v != nil {
			s.Input[f.name], s.Fed[f.name] = v, f.from
		} else if !f.free {
			s.Lacks = fmt.Sprintf("Not worked out: %s is not known. Give it here, or complete what comes before.", f.from)
		}
	}
	if s.Lacks == "" {
		if err := c.ask(&s); err != nil {
			return err
		}
	}
	c.rep.Steps = append(c.rep.Steps, s)
	return nil
}

// ask has a step answered. A fault in what the builder gave is a fault of the
// sheet; that physics says no is an answer.
func (c *chain) ask(s *Step) error {
	answer, result, err := reckon.Ask(s.Calc, s.Input)
	if err != nil {
		return err
	}
	s.Answer = &answer
	if answer.OK {
		c.results[s.At] = result
		return nil
	}
	for _, f := range append([]calc.Fault{*answer.Fault}, answer.Faults...) {
		name, _, _ := strings.Cut(strings.TrimPrefix(f.At, "/"), "/")
		_, fed := s.Fed[name]
		if f.Code != calc.Infeasible && f.Code != calc.Bound && name != "" && !fed {
			f.At = s.At + f.At
			c.rep.Faults = append(c.rep.Faults, f)
			break
		}
	}
	return nil
}

// lookUp follows a pointer of plain names through nested objects and lists.
func lookUp(obj map[string]any, at string) any {
	var v any = obj
	for _, name := range strings.Split(at, "/")[1:] {
		switch below := v.(type) {
		case map[string]any:
			v = below[name]
		case []any:
			i := 0
			if _, err := fmt.Sscan(name, &i); err != nil || i >= len(below) {
				return nil
			}
			v = below[i]
		default:
			return nil
		}
	}
	return v
}

// result returns a number of an answered step, nil where there is none.
func (c *chain) result(at, name string) any {
	if v, ok := c.results[at][name].(float64); ok {
		return v
	}
	return nil
}

// number returns a number that the builder gave, nil where none is.
func (c *chain) number(at string) any {
	if n, ok := lookUp(c.given, at).(json.Number); ok {
		if x, err := n.Float64(); err == nil {
			return x
		}
	}
	return nil
}

// first returns the first value that there is.
func first(values ...any) any {
	for _, v := range values {
		if v != nil {
			return v
		}
	}
	return nil
}
