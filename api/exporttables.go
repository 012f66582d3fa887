package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/sheet"
	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/archive"
)

// tables are the tables of an export, for spreadsheets.
type tables struct {
	inputs, answers, gauged, differ, tested, signed, read, worked, lines, judged, entries *archive.Table
	written                                                                               map[domain.EntryID]bool
}

// What stands in several tables.
var (
	ofMachine = []string{"machine", "number on the label of the machine"}
	ofRun     = append(slices.Clone(ofMachine), "run", "number of the run, of those of its machine")
	ofPoint   = append(slices.Clone(ofRun), "point", "number of the operating point", "point_name", "what it was called", "quantity", "what it is of; a name that begins with / is a condition, as a path into the inputs of the machine")
	ofUnit    = []string{"unit", "unit of the figures in this row, SI"}
)

func newTables() *tables {
	table := func(name, about string, columns ...[]string) *archive.Table {
		return archive.NewTable(name, about, slices.Concat(columns...)...)
	}
	return &tables{
		written: map[domain.EntryID]bool{},
		inputs: table("sheet-inputs.csv", "Every input of every saved design sheet.", []string{
			"design", "title of the design", "letter", "its revision", "sheet", "number of the sheet within the revision", "at", "place in the sheet", "value", "as the builder gave it, in the unit of the next column", "unit", "SI; empty for what is no number"}),
		answers: table("sheet-answers.csv", "What was calculated for every saved design sheet.", []string{
			"design", "title of the design", "letter", "its revision", "sheet", "number of the sheet within the revision", "calc_version", "version of the calculation", "coefficient_set", "the coefficients it took",
			"answer", "name of the number", "value", "predicted, in the unit of the next column", "unit", "SI; empty for what has none", "low_95", "lower end of the symmetric 95 % interval", "high_95", "its upper end", "standard_uncertainty", "of the prediction, from the draws"}),
		gauged: table("gaugings.csv", "Every measurement of the flow of the site.", []string{
			"flow_m3s", "flow, m³/s", "half_width_m3s", "half of its 95 % interval, m³/s", "gauged_on", "day", "how", "how it was measured", "note", "", "recorded_by", "", "recorded_at_utc", ""}),
		differ: table("as-built.csv", "Where a machine differs from its drawing, version by version.", ofMachine, []string{
			"version", "of the machine", "letter", "revision that it is made from", "at", "place in the sheet", "as_drawn", "in the unit of the next column but one", "as_built", "likewise", "unit", "SI", "place", "where the machine stood", "note", "", "made_by", "", "made_at_utc", ""}),
		tested: table("test-entries.csv", "What was recorded on the test sheets, refused entries too.", ofMachine, []string{
			"test", "number of the test sheet", "item", "of the procedure", "title", "", "outcome", "met: it counts; failed: it ended the test; attempt: it was refused", "field", "", "value", "as recorded, in the unit of the next column", "unit", "as the procedure has it", "why", "it was refused, or ended the test", "role", "in which it was signed", "who", "", "at_utc", "by the clock of the server"}),
		signed: table("test-signatures.csv", "Who signed which item.", ofMachine, []string{
			"test", "number of the test sheet", "item", "", "role", "", "who", "", "how", "code, password or paper", "at_utc", ""}),
		read: table("readings.csv", "Every value that was read, as it came.", ofPoint, []string{
			"reading", "number of the reading set", "method", "how it was read", "position", "of the value within the set", "value", "in the unit of the next column", "unit", "of the instrument or method, SI", "typed", "letter for letter", "excluded", "why this value was left out; empty: it was not", "struck", "why the whole set was struck through; empty: it was not", "counts", "whether the set counts", "certified", "whether the machine had a certificate when it came", "instrument", "", "serial", "", "calibrated_on", "", "taken_by", "", "taken_at_utc", "by the clock of the server", "device_at_utc", "by the clock of the device"}),
		worked: table("quantities.csv", "What the readings come to, at each point: quantities and the conditions around them.", ofPoint, ofUnit, []string{
			"value", "", "standard_uncertainty", "u", "expanded_uncertainty_95", "U = k·u: the value lies within ± U with 95 %", "coverage_factor", "k", "degrees_of_freedom", "inf: no end of them", "repeat_standard_deviation", "of one repeat", "repeats", "how many", "budget", "ok, zero or incomplete", "lacks", "lines of the budget that cannot be evaluated", "reason", "why it decides nothing; empty: nothing is known against it"}),
		lines: table("budgets.csv", "The uncertainty of each quantity, line by line: the squares of the contributions add up to u².", ofPoint, ofUnit, []string{
			"line", "what contributes", "source", "lines of one source are one error", "contribution", "sensitivity times standard uncertainty, with its sign", "degrees_of_freedom", "", "instrument", "whether a better instrument would make it smaller"}),
		judged: table("verdict.csv", "The verdict on each quantity at each point, as it was frozen.", ofPoint, ofUnit, []string{
			"required", "whether the run is judged by it", "measured", "", "u_measured", "standard uncertainty", "predicted", "", "u_predicted", "standard uncertainty", "promised_low", "lower limit", "promised_high", "upper limit", "declared", "whether the limits were declared instead of taken from the prediction", "outcome", "", "p_within", "probability that the true value lies within the limits", "words", ""}),
		entries: table("log.csv", "The log. An entry is never changed; a correction strikes it through.", ofMachine, []string{
			"entry", "number", "happened_at_utc", "", "text", "", "strikes", "number of the entry that it corrects", "struck_by", "number of its correction", "incident", "whether it tells of an incident", "laid_to_rest", "why the incident was harmless", "files", "names of pictures and files", "who", "", "written_at_utc", ""}),
	}
}

func (t *tables) all() []*archive.Table {
	return []*archive.Table{t.inputs, t.answers, t.gauged, t.differ, t.tested, t.signed, t.read, t.worked, t.lines, t.judged, t.entries}
}

// unitsOf lists the units of fields, by pointer; of lists those of their members.
func unitsOf(at string, fields []calc.Field, into map[string]string) {
	for _, f := range fields {
		into[at+f.At] = f.Unit
		unitsOf(at+f.At, f.Item, into)
	}
}

var units = func() map[string]string {
	of := map[string]string{}
	unitsOf("/trompe", trompe.Inputs(), of)
	unitsOf("", sheet.Inputs(), of)
	return of
}()

// unitAt is the unit of a place in a sheet: places of a list have one unit.
func unitAt(at string) string {
	parts := strings.Split(at, "/")
	parts = slices.DeleteFunc(parts, func(p string) bool { _, err := strconv.Atoi(p); return err == nil })
	return units[strings.Join(parts, "/")]
}

func (t *tables) sheet(d domain.Design, s domain.Sheet) error {
	input, err := plainJSONOf(s.Input)
	if err != nil {
		return err
	}
	leaves("", input, func(at string, leaf any) {
		t.inputs.Add(d.Title, s.Letter, s.Number, at, leaf, unitAt(at))
	})
	r := s.Report.Trompe
	if r == nil || r.Numbers == nil {
		return nil
	}
	of := map[string]string{}
	unitsOf("", trompe.Outputs(), of)
	for _, v := range r.Values() {
		row := []any{d.Title, s.Letter, s.Number, s.CalcVersion, s.CoefficientSet, v.Name, v.X, of["/"+v.Name]}
		if u := r.Uncertainty; u != nil {
			if i, there := u.Outputs[v.Name]; there {
				row = append(row, i.Low, i.High, i.U)
			}
		}
		t.answers.Add(row...)
	}
	return nil
}

func (t *tables) gaugings(list []domain.Gauging) {
	for _, g := range list {
		day := ""
		if g.On != nil {
			day = g.On.Format("2006-01-02")
		}
		t.gauged.Add(g.FlowM3S, g.HalfWidthM3S, day, g.How, g.Note, g.RecordedBy.Name, g.RecordedAt)
	}
}

func (t *tables) differences(b domain.Build) {
	drawn, err := plainJSONOf(b.Drawn)
	if err != nil {
		drawn = nil // it was drawn in another way than it can be listed: the column stays empty
	}
	was := map[string]any{}
	leaves("", drawn, func(at string, leaf any) { was[at] = leaf })
	for _, v := range b.Versions {
		for _, at := range slices.Sorted(maps.Keys(v.Differences)) {
			t.differ.Add(b.Tag, v.Number, v.Letter, at, was[at], v.Differences[at], unitAt(at), v.Place, v.Note, v.MadeBy.Name, v.MadeAt)
		}
	}
}

func (t *tables) test(b domain.Build, test domain.Test) {
	for _, e := range test.Entries {
		task, err := test.Item(e.Item)
		field := map[string]string{}
		for _, f := range task.Fields {
			field[f.Name] = f.Unit
		}
		title := task.Title
		if err != nil {
			title = ""
		}
		row := func(name string, value any, unit string) {
			t.tested.Add(b.Tag, test.Number, e.Item, title, e.Outcome, name, value, unit, e.Why, e.Role, e.Who.Name, e.At)
		}
		if len(e.Values) == 0 {
			row("", "", "")
		}
		for _, name := range slices.Sorted(maps.Keys(e.Values)) {
			row(name, recordedCell(e.Values[name]), field[name])
		}
	}
	for _, s := range test.Signatures {
		t.signed.Add(b.Tag, test.Number, s.Item, s.Role, s.Who.Name, string(s.How), s.At)
	}
}

// recordedCell writes what was recorded: a number or a text as it is, all else as
// JSON.
func recordedCell(v any) any {
	plain, err := plainJSONOf(v)
	if err != nil {
		return ""
	}
	switch plain.(type) {
	case map[string]any, []any:
		text, _ := json.Marshal(plain) // it was JSON a moment ago
		return string(text)
	}
	return plain
}

func (t *tables) readings(b domain.Build, r domain.Run) {
	for _, p := range r.Points {
		for _, read := range p.Readings {
			t.reading(b, r, p, read)
		}
		for _, q := range p.Worked {
			unit := domain.MeasurableNamed(q.Name).Unit
			t.worked.Add(b.Tag, r.Number, p.Number, p.Name, q.Name, unit, q.Value, q.U, q.Expanded, q.K, freedom(q.Nu), q.S, q.N, q.Status, q.Missing, string(q.Reason))
			for _, l := range q.Lines {
				t.lines.Add(b.Tag, r.Number, p.Number, p.Name, q.Name, unit, l.Name, l.Source, l.Signed, freedom(l.Nu), l.Instrument)
			}
		}
	}
}

func freedom(nu calc.Freedom) any {
	if text, err := json.Marshal(nu); err == nil {
		return strings.Trim(string(text), `"`)
	}
	return ""
}

func (t *tables) reading(b domain.Build, r domain.Run, p domain.RunPoint, read domain.Reading) {
	struck, excluded := "", map[int]string{}
	for _, s := range read.Strikes {
		if s.Position == 0 {
			struck = s.Reason
		}
		excluded[s.Position] = s.Reason
	}
	instrument, serial, calibrated := "", "", ""
	if i := read.Instrument; i != nil {
		instrument, serial = i.Name, i.Serial
		if i.CalibratedOn != nil {
			calibrated = i.CalibratedOn.Format("2006-01-02")
		}
	}
	for i, v := range read.Values {
		typed := ""
		if i < len(read.Typed.Texts) {
			typed = strings.TrimSpace(read.Typed.Texts[i] + " " + read.Typed.Unit)
		}
		t.read.Add(b.Tag, r.Number, p.Number, p.Name, read.Quantity, int64(read.ID), read.Method, i+1, v, read.Unit(), typed, excluded[i+1], struck,
			read.Counts, read.Certified, instrument, serial, calibrated, read.By.Name, read.At, read.DeviceAt)
	}
}

func (t *tables) verdict(b domain.Build, r domain.Run, body []byte) error {
	var v confront.Verdict
	if err := json.Unmarshal(body, &v); err != nil {
		return fmt.Errorf("api: decode a verdict: %w", err)
	}
	for _, i := range v.Items {
		point, name := i.Point+1, ""
		if i.Point < len(r.Points) {
			point, name = r.Points[i.Point].Number, r.Points[i.Point].Name
		}
		t.judged.Add(b.Tag, r.Number, point, name, i.Name, domain.MeasurableNamed(i.Name).Unit, i.Required, i.Y, i.U, i.Predicted, i.UPred, i.Low, i.High, i.Declared, string(i.Outcome), i.PConform, strings.Join(i.Words, " "))
	}
	return nil
}

// log adds entries of the log, each once; tag is 0 for those of the project.
func (t *tables) log(list []domain.Entry, tag int) {
	for _, e := range list {
		if t.written[e.ID] || tag == 0 && e.Build != nil {
			continue // those of a machine come with it
		}
		t.written[e.ID] = true
		names, rest := []string{}, ""
		for _, f := range e.Files {
			names = append(names, f.Name)
		}
		if e.Incident != nil && e.Incident.Rest != nil {
			rest = e.Incident.Rest.Reason
		}
		var machine any
		if tag != 0 {
			machine = tag
		}
		t.entries.Add(machine, int64(e.ID), e.HappenedAt, e.Text, entryNumber(e.Strikes), entryNumber(e.StruckBy), e.Incident != nil, rest, names, e.By.Name, e.At)
	}
}

func entryNumber(id *domain.EntryID) any {
	if id == nil {
		return nil
	}
	return int64(*id)
}

func sortedKeys(of map[string]any) []string { return slices.Sorted(maps.Keys(of)) }
