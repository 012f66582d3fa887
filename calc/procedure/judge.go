package procedure

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Finding is one thing that is wrong with an entry.
type Finding struct {
	At      string `json:"at"`      // pointer into the values: /p_stages/1
	Text    string `json:"text"`    // what is wrong and what to do, for people
	Outside bool   `json:"outside"` // the machine or the place is not as it must be: saved so, it ends the attempt. Else the entry is only not complete, or not right, and nothing ends
}

// Outside tells whether one of these ends the attempt.
func Outside(findings []Finding) bool {
	return slices.ContainsFunc(findings, func(f Finding) bool { return f.Outside })
}

// Judge looks at what somebody recorded for a task, and finds everything that is
// wrong with it. Without findings the task is met, once it is signed. What cannot
// be judged is not met.
func (t Task) Judge(recorded Values, names Names) []Finding {
	j := &judging{task: t, names: t.own(names, recorded), recorded: recorded, findings: []Finding{}}
	asked := slices.Clone(t.Asks)
	for _, f := range t.Fields {
		asked = append(asked, f.Name)
		v, given := recorded[f.Name]
		switch {
		case !f.When.Applies(j.names):
			if given && v.Known() {
				j.amiss("/"+f.Name, "%s: this is asked only where %s. Leave it out.", f.said(), f.When)
			}
		case len(f.Repeats) > 0:
			j.each(f, v)
		case f.Per != "":
			j.amiss("/"+f.Name, "%s: it is not known how often this is to be recorded. %s", f.said(), unknownWords(map[string]string{PerLine: "pressure_lines", PerStage: "stage_bar"}[f.Per], nil))
		default:
			j.one(f, 0, "/"+f.Name, v, j.names)
		}
	}
	for _, name := range sorted(recorded) {
		if !slices.Contains(asked, name) {
			j.amiss("/"+escape(name), "%s is not asked here.", name)
		}
	}
	for _, name := range t.Asks {
		if _, ok := recorded[name].Yes(); !ok && recorded[name].Known() {
			j.amiss("/"+name, "This is answered with yes or no.")
		}
	}
	return j.findings
}

// judging is an entry while it is judged.
type judging struct {
	task     Task
	names    Names // with the entries of the task itself
	recorded Values
	findings []Finding
}

func (j *judging) amiss(at, format string, args ...any) {
	j.findings = append(j.findings, Finding{At: at, Text: fmt.Sprintf(format, args...)})
}

func (j *judging) outside(at, format string, args ...any) {
	j.findings = append(j.findings, Finding{At: at, Text: fmt.Sprintf(format, args...), Outside: true})
}

// each judges the entries of a field that is repeated.
func (j *judging) each(f Field, v Value) {
	entries, ok := v.List()
	if v.Known() && !ok || len(entries) > len(f.Repeats) {
		j.amiss("/"+f.Name, "%s: %d entries are wanted, one for each.", f.said(), len(f.Repeats))
		return
	}
	for k, r := range f.Repeats {
		var entry Value
		if k < len(entries) {
			entry = entries[k]
		}
		j.one(f, k, "/"+f.Name+"/"+strconv.Itoa(k), entry, j.names.With("i", Number(float64(r.Index))).With("line", r.Line))
	}
}

// one judges one entry.
func (j *judging) one(f Field, k int, at string, v Value, names Names) {
	label := f.labelOf(k)
	if !v.Known() {
		j.amiss(at, "%s: not recorded yet.", label)
		return
	}
	switch f.Kind {
	case Confirm:
		j.confirm(f, label, at, v, names)
	case Reading:
		j.reading(f, label, at, v, names)
	case Words:
		j.words(f, label, at, v, names)
	case Choice:
		j.choice(f, label, at, v, names)
	case Instrument:
		j.instrument(f, label, at, v, names)
	case Photo:
		if !everyOne(v, func(v Value) bool { n, ok := v.Number(); return ok && n > 0 }) {
			j.amiss(at, "%s: at least one picture is wanted.", label)
		}
	case People:
		if !everyOne(v, named) {
			j.amiss(at, "%s: write down who, at least one name.", label)
		}
	}
}

// named is a name, or the number of a member.
func named(v Value) bool {
	s, isText := v.Text()
	n, isNumber := v.Number()
	return isText && strings.TrimSpace(s) != "" || isNumber && n > 0
}

func everyOne(v Value, is func(Value) bool) bool {
	entries, _ := v.List()
	return len(entries) > 0 && !slices.ContainsFunc(entries, func(v Value) bool { return !is(v) })
}

// confirm is a tick, or exactly as many as there are things to look at. A no that
// is said is one: the thing is not so.
func (j *judging) confirm(f Field, label, at string, v Value, names Names) {
	yes, isYes := v.Yes()
	if isYes && !yes {
		j.outside(at, "%s: it is not so.", label)
		return
	}
	if f.EqualsCount != "" {
		j.ticks(f, label, at, v, names)
		return
	}
	if !isYes {
		j.amiss(at, "%s: answer with yes or no.", label)
		return
	}
	if f.Equals != "" {
		j.equal(f, label, at, v, names)
	}
}

func (j *judging) ticks(f Field, label, at string, v Value, names Names) {
	wanted, known := names[f.EqualsCount].Count()
	n, ok := v.Number()
	switch {
	case !known:
		j.amiss(at, "%s: %s", label, unknownWords(f.EqualsCount, nil))
	case !ok || n < 0 || n != math.Trunc(n):
		j.amiss(at, "%s: say how many were ticked. There are %g.", label, wanted)
	case n != wanted:
		j.amiss(at, "%s: %g of %g are ticked. Each of them is looked at and ticked, no more and no less.", label, n, wanted)
	}
}

// equal holds an entry against what leat supplies.
func (j *judging) equal(f Field, label, at string, v Value, names Names) {
	wanted := names[f.Equals]
	same, known := compared("==", v, wanted).Yes()
	switch {
	case !wanted.Known():
		j.amiss(at, "%s: %s", label, unknownWords(f.Equals, nil))
	case !known || !same:
		j.amiss(at, "%s: this is not what the notebook says now. Reload the page, read it again and confirm what it shows.", label)
	}
}

func (j *judging) reading(f Field, label, at string, v Value, names Names) {
	x, ok := v.Number()
	if !ok || v.kind == aRecord {
		j.amiss(at, "%s: a number in %s is wanted.", label, f.Unit)
		return
	}
	if yes, known := j.holds(f, label, at, v, names); known && !yes {
		j.outside(at, "%s: %g %s is outside its limits%s.", label, x, f.Unit, limitsInWords(f.Limits, f.Unit, names))
	}
}

// holds answers the limits of an entry; what is not known is said, and is no yes.
func (j *judging) holds(f Field, label, at string, v Value, names Names) (yes, known bool) {
	if !f.Limits.Given() {
		return true, true
	}
	names = names.With("value", v)
	yes, known = f.Limits.Holds(names)
	if !known {
		why := []string{}
		for _, name := range f.Limits.Uses() {
			if value(name, names).Known() || name == "value" {
				continue
			}
			if text := unknownWords(name, nil); !slices.Contains(why, text) {
				why = append(why, text)
			}
		}
		j.amiss(at, "%s: this cannot be judged. %s", label, strings.Join(why, " "))
	}
	return yes, known
}

func (j *judging) words(f Field, label, at string, v Value, names Names) {
	s, ok := v.Text()
	switch {
	case !ok || strings.TrimSpace(s) == "" || len([]rune(s)) > longestText:
		j.amiss(at, "%s: a text of at most %d characters is wanted.", label, longestText)
	case f.Equals != "":
		j.equal(f, label, at, v, names)
	default:
		if yes, known := j.holds(f, label, at, v, names); known && !yes {
			j.amiss(at, "%s: %s does not do%s.", label, s, limitsInWords(f.Limits, f.Unit, names))
		}
	}
}

// choice is one of a few words. Where leat's own answer is none of them, what is
// to be confirmed did not come about, and the attempt ends.
func (j *judging) choice(f Field, label, at string, v Value, names Names) {
	s, _ := v.Text()
	wanted, known := names[f.Equals].Text()
	switch {
	case f.Equals != "" && known && !slices.Contains(f.Values, wanted):
		j.outside(at, "%s: the answer is %s, and %s is wanted.", label, wanted, strings.Join(f.Values, " or "))
	case !slices.Contains(f.Values, s):
		j.amiss(at, "%s: choose one of %s.", label, strings.Join(f.Values, ", "))
	case f.Equals != "":
		j.equal(f, label, at, v, names)
	}
}

// instrument is one of the register. One that will not do is refused; another one
// may be taken.
func (j *judging) instrument(f Field, label, at string, v Value, names Names) {
	if v.kind != aRecord {
		j.amiss(at, "%s: choose an instrument.", label)
		return
	}
	for _, need := range f.Needs {
		s, isText := v.Field(need).Text()
		x, isNumber := v.Field(need).Number()
		if !(isText && strings.TrimSpace(s) != "" || isNumber && x > 0) {
			j.amiss(at+"/"+need, "%s: %s is not known. Enter it in the register of instruments.", label, strings.ReplaceAll(need, "_", " "))
		}
	}
	if yes, known := j.holds(f, label, at, v, names); known && !yes {
		why, _ := names["gauge_reasons"].Text()
		j.amiss(at, "%s: it will not do. %s Take another one.", label, why)
	}
}

// value is what a name with its fields stands for.
func value(name string, names Names) Value {
	e, err := ParseExpression(name)
	if err != nil {
		return Value{}
	}
	return e.Evaluate(names)
}

// limitsInWords says a limit in figures where it has them, else with what its names
// stand for.
func limitsInWords(limits Expression, unit string, names Names) string {
	if said := limits.Bounds(names).String(); said != "" {
		return strings.TrimRight(": "+said+" "+unit, " ")
	}
	said := []string{}
	for _, name := range limits.Uses() {
		v := value(name, names)
		s, isText := v.Text()
		x, isNumber := v.Number()
		switch {
		case name == "value" || name == "i":
		case isText:
			said = append(said, name+" "+s)
		case isNumber:
			said = append(said, fmt.Sprintf("%s %.4g", name, x))
		}
	}
	return " (" + strings.Join(append([]string{limits.String()}, said...), "; ") + ")"
}

// said is the name of a field, in words.
func (w Wanted) said() string {
	s := strings.ReplaceAll(w.Name, "_", " ")
	return strings.ToUpper(s[:1]) + s[1:]
}
