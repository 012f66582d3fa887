package procedure

import (
	"fmt"
	"slices"
	"strconv"
)

// Task is an item as it stands in the test of one build.
type Task struct {
	Item
	Fields []Field  `json:"fields"` // what is to be recorded, repeated where it is
	Asks   []string `json:"asks"`   // facts that an entry may answer with yes or no, beside its records
}

// Field is one thing to record, with how often.
type Field struct {
	Wanted
	Repeats []Repeat `json:"repeats,omitempty"` // none: once
}

// Repeat is one of several entries of a field.
type Repeat struct {
	Index int    `json:"index"` // i
	Label string `json:"label"`
	Line  Value  `json:"line"` // of a pressure line, else unknown
}

// answers are the names that nobody can work out and that an entry may give:
// whether a sign hangs, and what the ground is like.
var answers = []string{"ear_protection_sign", "ground_poor"}

// Tasks returns what is to be done for a build, in order: everything that
// applies, or the short list with every item of the first stage that a fact of
// the site asks for. What an attempt needs only once it has failed is among them.
// The names are those before anything was recorded, so that the list stays as it
// is while the test goes on.
func (t Template) Tasks(names Names, short bool) []Task {
	tasks := []Task{}
	for _, item := range t.Items {
		if short && !t.inShort(item) || !item.AfterFailure() && !item.When.Applies(names) {
			continue
		}
		if other, ok := t.Short.Sign[item.ID]; ok && short {
			item.Sign = other
		}
		tasks = append(tasks, task(item, names))
	}
	return tasks
}

func task(item Item, names Names) Task {
	t := Task{Item: item, Fields: []Field{}, Asks: []string{}}
	for _, w := range item.Record {
		t.Fields = append(t.Fields, Field{w, repeats(w.Per, names)})
		for _, name := range slices.Concat(w.When.Uses(), w.Limits.Uses()) {
			if slices.Contains(answers, name) && !slices.Contains(t.Asks, name) {
				t.Asks = append(t.Asks, name)
			}
		}
	}
	return t
}

// repeats are the lines under test, or the stages after the first, which has an
// item of its own.
func repeats(per string, names Names) (all []Repeat) {
	switch per {
	case PerLine:
		lines, _ := names["pressure_lines"].List()
		for i, line := range lines {
			name, _ := line.Field("name").Text()
			all = append(all, Repeat{i, name, line})
		}
	case PerStage:
		stages, _ := names["stage_bar"].List()
		for i := 1; i < len(stages); i++ {
			all = append(all, Repeat{Index: i, Label: fmt.Sprintf("stage %d of %d", i+1, len(stages))})
		}
	}
	return all
}

// Signers are the roles that sign a task once these values are recorded; before
// that, all that may have to.
func (t Task) Signers(names Names, recorded Values) []string {
	signers := slices.Clone(t.Sign)
	if t.AlsoSign != nil && !slices.Contains(signers, t.AlsoSign.By) && t.AlsoSign.When.Applies(t.own(names, recorded)) {
		signers = append(signers, t.AlsoSign.By)
	}
	return signers
}

// own are the names with the entries of the task itself among them.
func (t Task) own(names Names, recorded Values) Names {
	readings, choices := map[string]Value{}, map[string]Value{}
	for _, f := range t.Fields {
		v, given := recorded[f.Name]
		switch {
		case !given:
		case f.Kind == Reading:
			readings[f.Name] = v
		case f.Kind == Choice:
			choices[f.Name] = v
		}
	}
	more := names.With("reading", Record(readings)).With("choice", Record(choices))
	for _, name := range t.Asks {
		if yes, ok := recorded[name].Yes(); ok {
			more[name] = Yes(yes)
		}
	}
	return more
}

// Lack is something that is not known and that a test needs before it begins.
type Lack struct {
	Name string `json:"name"` // empty: the whole machine
	Item string `json:"item"` // that needs it; empty: all
	Text string `json:"text"`
}

// later are the names that only the test itself brings, or that may be absent
// and then rule one way out.
var later = append([]string{
	"gauge_ok", "gauge_mpe_bar", "gauge_target_bar", "gauge_max_bar", "manometer_min_m", "drop_verdict", "water_test_passed", "any_item_failed", "value", "i", "line",
}, answers...)

// Lacking says in words what must be known before a test of these tasks may
// begin; nothing lacking is an empty list.
func Lacking(b Basis, tasks []Task, names Names) []Lack {
	lacks := []Lack{}
	for _, text := range b.Bars {
		lacks = append(lacks, Lack{Text: text})
	}
	seen := map[string]bool{}
	for _, t := range tasks {
		for _, name := range t.needs() {
			if seen[name] || value(name, names).Known() {
				continue
			}
			seen[name] = true
			lacks = append(lacks, Lack{name, t.ID, t.ID + " " + t.Title + ": " + unknownWords(name, b.Why)})
		}
	}
	return lacks
}

// needs are the names that a task cannot be judged without.
func (t Task) needs() (all []string) {
	for _, f := range t.Fields {
		for _, name := range append(f.Limits.Uses(), f.Equals, f.EqualsCount) {
			if name != "" && !slices.Contains(later, firstOf(name)) && !slices.Contains(ownNames(t.Item), name) {
				all = append(all, name)
			}
		}
		if f.Per == PerLine {
			all = append(all, "pressure_lines")
		}
	}
	return all
}

func firstOf(name string) string {
	for i, c := range name {
		if c == '.' {
			return name[:i]
		}
	}
	return name
}

// unknownWords says why a name has no value: as the machine has it, else in
// general.
func unknownWords(name string, why map[string]string) string {
	if text := why[name]; text != "" {
		return text
	}
	if text := unsaid[name]; text != "" {
		return text
	}
	return "What this rests on (" + name + ") cannot be worked out. Complete the sheet."
}

var unsaid = map[string]string{
	"cure_hours_min":      "How long the cement must cure cannot be worked out: the coldest weather, the pipe or the test pressure lies outside the table. Ask the maker of the cement, and give the joints another way.",
	"relief_set_max_bar":  "The blow-off of the machine does not count as its relief: while the riser is blocked, a part would see more than it may hold. Fit a relief valve or an open standpipe, and choose that.",
	"relief_bore_min_mm":  "How wide the relief must be cannot be worked out: what the machine can deliver, or the bore of its supply, is not known.",
	"gauge_ok":            "Whether the gauge will do cannot be told: its scale, class or date of calibration is missing or makes no sense.",
	"gauge_mpe_bar":       "It is not known by how much the gauge may be wrong. Enter the gauge first.",
	"gauge_target_bar":    "It is not known what the gauge must show. Enter the gauge first.",
	"gauge_max_bar":       "Between what the gauge must show and the most that the weakest part may see there is no room, or a wall is so cold that it gets brittle. No test of PVC below 5 °C; else enter how high above the lowest point the gauge sits, test on a cooler day, or take a finer gauge.",
	"manometer_min_m":     "A column of water serves only below half a bar. Take a gauge.",
	"stage_bar":           "The stages are not known, since the test pressure is not.",
	"drop_verdict":        "There is no verdict yet: the readings at the start and the end of the hold are missing.",
	"exclusion_air_m":     "How far to keep away from the gas cannot be worked out.",
	"ear_protection_sign": "It is loud. Hang a sign that asks for ear protection, photograph it, and say that it hangs.",
	"water_test_passed":   "The water test has not been passed.",
}

// labelOf names one of several entries.
func (f Field) labelOf(i int) string {
	if len(f.Repeats) == 0 {
		return f.said()
	}
	if label := f.Repeats[i].Label; label != "" {
		return f.said() + ", " + label
	}
	return f.said() + " " + strconv.Itoa(i+1)
}
