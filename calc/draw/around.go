package draw

import (
	"encoding/json"

	"leat/calc/build"
	"leat/calc/sheet"
)

// around is what a sheet has around its trompe, or instead of one.
type around struct {
	kind   string // of machine
	steps  map[string]figures
	source string // its kind
	uses   []use
	judged []build.Judged
}

// figures are what a step was asked and what it answered, in SI.
type figures struct{ in, out map[string]any }

// use is one of the things that the air is for.
type use struct {
	Kind string `json:"kind"`
	Name string `json:"name"`
}

// The sections that the drawing asks for.
const (
	cycleAt    = "/ram/cycle"
	liftAt     = "/lift"
	pulseAt    = "/pulse"
	pipeAt     = "/supply_pipe"
	lineAt     = "/air_line"
	receiverAt = "/receiver/tank"
)

func given(section json.RawMessage) bool { return len(section) > 0 && string(section) != "null" }

// read collects what the drawing needs. The report has checked the sheet; what
// can't be read here is not drawn.
func read(in sheet.Input, rep sheet.Report) around {
	a := around{kind: in.Machine, steps: map[string]figures{}}
	if a.kind == "" {
		a.kind = sheet.Trompe
	}
	var source struct {
		Kind string `json:"kind"`
	}
	if given(in.Source) && json.Unmarshal(in.Source, &source) == nil {
		a.source = source.Kind
	}
	if given(in.Uses) && json.Unmarshal(in.Uses, &a.uses) != nil {
		a.uses = nil
	}
	for _, s := range rep.Steps {
		f := figures{in: s.Input}
		if s.Answer != nil && s.Answer.OK {
			f.out = object(s.Answer.Result)
		}
		a.steps[s.At] = f
	}
	if rep.Build != nil {
		a.judged = rep.Build.Parts
	}
	return a
}

// object reads an answer as the object that it is in JSON.
func object(result any) (fields map[string]any) {
	if fields, ok := result.(map[string]any); ok {
		return fields
	}
	text, err := json.Marshal(result)
	if err != nil || json.Unmarshal(text, &fields) != nil {
		return nil
	}
	return fields
}

func (a around) has(at string) bool {
	_, ok := a.steps[at]
	return ok
}

// asked returns a number that a step was given; 0 where there is none.
func (a around) asked(at, name string) float64 { return number(a.steps[at].in[name]) }

// answered returns a number that a step answered; 0 where there is none.
func (a around) answered(at, name string) float64 { return number(a.steps[at].out[name]) }

func number(v any) float64 {
	switch x := v.(type) {
	case float64:
		return x
	case json.Number:
		f, err := x.Float64()
		if err == nil {
			return f
		}
	}
	return 0
}

// brief cuts what somebody called a thing to what a label can hold.
func brief(name string) string {
	const most = 24
	letters := []rune(name)
	if len(letters) <= most {
		return name
	}
	return string(letters[:most-1]) + "…"
}
