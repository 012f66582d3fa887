package domain

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"leat/calc"
	"leat/calc/confront"
	"leat/calc/gauge"
)

// How much one run takes: enough for a day at the machine.
const (
	RunPointsMost   = 50
	RunReadingsMost = 500

	readingValuesMost = 1000
	readingTextMost   = 40
	readingFar        = 1e9
	unitMost          = 16
)

// OpenRun opens a run on a build as it stands.
type OpenRun struct {
	Project  ProjectID
	Build    BuildID
	Title    string
	Purpose  string
	Required []string // nil: those that the form says
	Limits   map[string]RunLimits
	Key      string // made by the client; a retry with it opens no second run
}

// Validate trims the texts and finds the faults that show without the build.
func (c *OpenRun) Validate() error {
	faults := line("/title", &c.Title, 1, titleMost)
	faults = append(faults, prose("/purpose", &c.Purpose, purposeMost)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// Fits finds what of the run does not fit the machine, and fills in what it is
// judged by.
func (c *OpenRun) Fits(f RunForm) error {
	var faults []Field
	if c.Required == nil {
		c.Required = f.Usual()
	}
	if c.Limits == nil {
		c.Limits = map[string]RunLimits{}
	}
	names := f.Names()
	for i, name := range c.Required {
		at := fmt.Sprintf("/required/%d", i)
		switch {
		case !slices.Contains(names, name):
			faults = append(faults, Field{at, "unknown_value", "This is not measured on this machine, or worked out from other quantities. Choose from the list."})
		case slices.Contains(c.Required[:i], name):
			faults = append(faults, Field{at, "given_twice", "This is in the list already. Send it once."})
		}
	}
	for name, l := range c.Limits {
		faults = append(faults, l.faults("/limits/"+escaped(name), slices.Contains(names, name))...)
	}
	return Faulty(faults)
}

func (l RunLimits) faults(at string, known bool) (faults []Field) {
	switch {
	case !known:
		return []Field{{at, "unknown_value", "This is not measured on this machine, or worked out from other quantities. Choose from the list."}}
	case l.Low == nil && l.High == nil:
		return []Field{{at, "missing", "Give the lower limit, the upper one or both; or leave the quantity out, and the interval of the prediction counts."}}
	}
	faults = append(finite(at+"/low", l.Low), finite(at+"/high", l.High)...)
	if len(faults) == 0 && l.Low != nil && l.High != nil && *l.Low >= *l.High {
		faults = append(faults, Field{at + "/high", "inconsistent", "The upper limit lies above the lower one. Look whether the two are swapped."})
	}
	return faults
}

func finite(at string, v *float64) []Field {
	return within(at, v, -readingFar, readingFar, "in SI units")
}

// MayOpenRun returns why no run can be opened on the machine as it stands, or nil.
func (b Build) MayOpenRun() error {
	var why string
	switch {
	case b.State == Scrapped:
		return BuildScrapped()
	case b.State == BeingBuilt:
		why = "It is still being built. Say that it is built, then measure."
	case b.Revision == Withdrawn:
		why = "Revision " + b.Letter + ", from which it is made, was withdrawn: it must not be put under pressure. Rebuild it to a cleared revision."
	default:
		return nil
	}
	return runRefused("run-refused", "No run can be opened on this machine now. "+why)
}

func runRefused(code, message string) *Error {
	return &Error{Kind: Conflict, Code: code, Message: message}
}

// Frozen returns why the run takes no more points, readings or strikes, or nil.
func (r Run) Frozen() error {
	if why := r.frozen(); why != "" {
		return runRefused("run-frozen", why)
	}
	return nil
}

func (r Run) frozen() string {
	switch r.State() {
	case RunSetAside:
		return "This run was set aside, by " + r.Ends[len(r.Ends)-1].By.Name + ": nothing is added to it any more. Open another run."
	case RunSubmitted, RunConfirmed:
		return "This run was submitted, by " + r.Submitted.By.Name + ", and is frozen. Open another run for what was measured since."
	}
	return ""
}

// Outdated returns a Conflict once the build has a newer version than the run
// belongs to.
func (r Run) Outdated() error {
	if why := r.outdated(); why != "" {
		return runRefused("run-outdated", why)
	}
	return nil
}

func (r Run) outdated() string {
	if r.Newest == r.BuildVersion {
		return ""
	}
	return fmt.Sprintf("The machine was changed since this run was opened (it stands as its version %d now, the run belongs to version %d), so it takes no more points and readings. Submit what there is, and open another run.", r.Newest, r.BuildVersion)
}

// Closed says in words why the run takes no more points and readings; empty while
// it does.
func (r Run) Closed() string {
	if why := r.frozen(); why != "" {
		return why
	}
	return r.outdated()
}

// Takes returns why the run takes no more points and readings, or nil.
func (r Run) Takes() error {
	if err := r.Frozen(); err != nil {
		return err
	}
	return r.Outdated()
}

// RunFull returns the Conflict of a run that takes no more points or readings.
func RunFull() *Error {
	return runRefused("run-full", fmt.Sprintf("A run takes %d points and %d readings. Nothing was saved: submit this one, and open another.", RunPointsMost, RunReadingsMost))
}

// AddRunPoint adds an operating point to a run.
type AddRunPoint struct {
	Run     RunRef
	Name    string
	Setting string
	Note    string
	Key     string
}

// Validate trims the texts and finds all faults.
func (c *AddRunPoint) Validate() error {
	faults := line("/name", &c.Name, 1, titleMost)
	if !slices.Contains(confront.Settings(), c.Setting) {
		faults = append(faults, Field{"/setting", "unknown_value", "Choose as_drawn, shut, open, held or all."})
	}
	faults = append(faults, prose("/note", &c.Note, purposeMost)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// RecordReading adds a reading set to a point of a run.
type RecordReading struct {
	Run        RunRef
	Point      int
	Quantity   string
	Method     string
	Instrument *InstrumentID // nil: none is needed
	Values     []float64     // NaN: missing
	Typed      TypedReading
	Extra      map[string]float64
	Reset      bool
	DeviceAt   *time.Time
	Key        string
}

// Validate finds all faults that show without the register.
func (c *RecordReading) Validate(now time.Time, names []string) error {
	m := MeasurableNamed(c.Quantity)
	var faults []Field
	switch {
	case m.Derived:
		faults = append(faults, Field{"/quantity", "derived", "This is worked out from other readings, never typed. Record those."})
	case m.Name == "" || !m.Condition && !slices.Contains(names, m.Name):
		faults = append(faults, Field{"/quantity", "unknown_value", "This is not measured on this machine. Choose from the list."})
	}
	faults = append(faults, c.methodFaults()...)
	faults = append(faults, c.valueFaults()...)
	if at := c.DeviceAt; at != nil && (at.Before(earliestGauging) || at.After(now.Add(tolerance))) {
		faults = append(faults, Field{"/device_at", "range", "This time is still to come, or too long ago. Set the clock of the device."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

func (c *RecordReading) valueFaults() (faults []Field) {
	m, _ := gauge.MethodOf(c.Method)
	missing, timed := 0, m.Unit == "s"
	for i, v := range c.Values {
		if math.IsNaN(v) {
			missing++
			continue
		}
		at := fmt.Sprintf("/values/%d", i)
		faults = append(faults, finite(at, &v)...)
		if timed && v <= 0 {
			faults = append(faults, Field{at, "range", "What was timed takes longer than nothing: type a time above 0."})
		}
	}
	switch {
	case len(c.Values) == 0 || missing == len(c.Values):
		faults = append(faults, Field{"/values", "missing", "Type at least one value that was read."})
	case len(c.Values) > readingValuesMost:
		faults = append(faults, Field{"/values", "range", fmt.Sprintf("A reading set takes at most %d values. A longer series comes from a logger.", readingValuesMost)})
	case len(c.Typed.Texts) != len(c.Values):
		faults = append(faults, Field{"/typed/texts", "inconsistent", "There must be one text for each value. Reload the page and type it once more."})
	}
	for i := range c.Typed.Texts {
		faults = append(faults, line(fmt.Sprintf("/typed/texts/%d", i), &c.Typed.Texts[i], 0, readingTextMost)...)
	}
	return append(faults, line("/typed/unit", &c.Typed.Unit, 0, unitMost)...)
}

// methodFaults finds what does not fit the way in which it was read. What only
// lacks is no fault: it is kept, and said beside the value.
func (c *RecordReading) methodFaults() (faults []Field) {
	m, known := gauge.MethodOf(c.Method)
	if !known || !m.Reads(c.Quantity) {
		return []Field{{"/method", "unknown_value", "This is not read in this way. Choose from the list."}}
	}
	if len(m.Instrument) > 0 && c.Instrument == nil {
		faults = append(faults, Field{"/instrument", "missing", "Choose the instrument that this was read with: without it nobody can say how far the reading may be off. A keeper adds it to the register."})
	}
	for name, v := range c.Extra {
		at := "/extra/" + escaped(name)
		i := slices.IndexFunc(m.Extra, func(f calc.Field) bool { return f.At == "/"+name })
		if i < 0 {
			faults = append(faults, Field{at, "unknown_value", "This way of reading asks for no figure of this name. Leave it out."})
			continue
		}
		faults = append(faults, extraFault(at, v, m.Extra[i])...)
	}
	return append(faults, c.unitFault(cmp.Or(m.Unit, MeasurableNamed(c.Quantity).Unit))...)
}

func extraFault(at string, v float64, f calc.Field) []Field {
	low, high := -readingFar, readingFar
	if f.Low != nil {
		low = *f.Low
	}
	if f.High != nil {
		high = *f.High
	}
	if math.IsNaN(v) || v < low || v > high || f.AboveLow && v == low || f.BelowTop && v == high {
		return []Field{{at, "range", fmt.Sprintf("This must lie between %.10g and %.10g %s: %s.", low, high, f.Unit, f.About)}}
	}
	return nil
}

// Reading is the reading as it arrives.
func (c *RecordReading) Reading(now time.Time) Reading {
	r := Reading{Quantity: c.Quantity, Method: c.Method, Typed: c.Typed, Values: c.Values, Extra: c.Extra, Reset: c.Reset, At: now, DeviceAt: c.DeviceAt}
	if r.Extra == nil {
		r.Extra = map[string]float64{}
	}
	return r
}

// Read is an instrument as the register has it on a day.
func (i Instrument) Read(today time.Time) *ReadInstrument {
	return &ReadInstrument{ID: i.ID, CalibratedOn: i.CalibratedOn, DueOn: i.DueOn, Unfit: i.Unfit(today), InstrumentFacts: i.InstrumentFacts}
}

// NoSuchInstrument returns the Invalid error for an instrument that is not in the
// register.
func NoSuchInstrument() error {
	return Faulty([]Field{{"/instrument", "unknown_value", "There is no such instrument in the register. Reload the page and choose again; what you typed stays."}})
}

// Fits returns what is wrong with the instrument, or nil.
func (c *RecordReading) Fits(i Instrument) error {
	m, _ := gauge.MethodOf(c.Method)
	if len(m.Instrument) > 0 && !slices.Contains(m.Instrument, string(i.Kind)) {
		return Faulty([]Field{{"/instrument", "inconsistent", "This is not read with an instrument of that kind. Choose another instrument, or another way of reading."}})
	}
	return nil
}

// typedUnits are the units that are typed where a figure is kept in one of these.
var typedUnits = map[string][]string{
	"Pa":   {"Pa", "hPa", "kPa", "MPa", "mbar", "bar", "psi", "m water", "ft water", "in water", "mmHg", "inHg"},
	"m":    {"m", "cm", "mm", "µm", "km", "ft", "in", "yd"},
	"m³/s": {"m³/s", "L/s", "L/min", "L/h", "m³/h", "US gal/min", "US gal/h", "imp gal/min", "ft³/s", "cfm"},
	"m³":   {"m³", "L", "US gal"},
	"s":    {"s", "min", "h"},
	"°C":   {"°C", "°F", "K"},
	"m²":   {"m²", "cm²", "mm²", "ft²", "in²"},
	"":     {"", "%"},
	"%":    {"%"},
}

// unitFault is what is wrong with the unit that was typed, of figures that are
// kept in another. Where leat knows no other they are typed as they are kept.
func (c *RecordReading) unitFault(kept string) []Field {
	known, listed := typedUnits[kept]
	if !listed {
		known = []string{kept}
	}
	if slices.Contains(known, c.Typed.Unit) {
		return nil
	}
	return []Field{{"/typed/unit", "unknown_value", "This is no unit of what is read here. Choose one of: " + quoted(known) + "."}}
}

func quoted(list []string) (text string) {
	for i, s := range list {
		if i > 0 {
			text += ", "
		}
		if s == "" {
			s = "none"
		}
		text += s
	}
	return text
}

// StrikeReading strikes a reading through, or excludes one of its values.
type StrikeReading struct {
	Run      RunRef
	Reading  ReadingID
	Position int // of the value, from 1; 0: the whole reading
	Reason   string
	Key      string
}

// Validate trims the reason and finds the faults that show without the reading.
func (c *StrikeReading) Validate() error {
	faults := prose("/reason", &c.Reason, reasonMost)
	if c.Reason == "" {
		faults = append(faults, Field{"/reason", "missing", "Say why: what is struck stays to be seen, with your reason."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// Strikes returns what is wrong with striking a reading as it stands, or nil.
func (c StrikeReading) Strikes(r Reading) error {
	switch {
	case c.Position < 0 || c.Position > len(r.Values):
		return Faulty([]Field{{"/position", "range", fmt.Sprintf("This reading has %d values, counted from 1.", len(r.Values))}})
	case r.Struck() || slices.ContainsFunc(r.Strikes, func(s ReadingStrike) bool { return s.Position == c.Position }):
		return ReadingStruck()
	}
	return nil
}

// ReadingStruck returns the Conflict of what was struck through before.
func ReadingStruck() *Error {
	return runRefused("reading-struck", "This was struck through already. Nothing was changed; look at the reason that was given.")
}

// ConfirmRun signs that a run counts.
type ConfirmRun struct {
	Run   RunRef
	Proof Proof
}

// Validate finds all faults.
func (c *ConfirmRun) Validate() error { return Faulty(c.Proof.Validate("", true)) }

// SetRunAside signs that a run is not to count.
type SetRunAside struct {
	Run    RunRef
	Reason string
	Proof  Proof
}

// Validate trims the reason and finds all faults.
func (c *SetRunAside) Validate() error {
	faults := prose("/reason", &c.Reason, purposeMost)
	if c.Reason == "" {
		faults = append(faults, Field{"/reason", "missing", "Say why: a run that is set aside stays to be seen, and is counted among those that were."})
	}
	return Faulty(append(faults, c.Proof.Validate("", true)...))
}

// Confirmable returns a Conflict unless the run waits to be confirmed.
func (r Run) Confirmable() error {
	switch {
	case len(r.Ends) > 0:
		return r.Ended()
	case r.Submitted == nil:
		return runRefused("run-not-submitted", "This run is still open. Once it is submitted and its verdict stands, it can be confirmed.")
	case r.Verdict == nil:
		return runRefused("verdict-waiting", "The verdict is not worked out yet. Look at it first, then confirm.")
	}
	return nil
}

// Ended returns the Conflict of a run about which was signed already.
func (r Run) Ended() error {
	e := r.Ends[len(r.Ends)-1]
	how := map[RunState]string{RunConfirmed: "confirmed", RunSetAside: "set aside"}[e.Kind]
	return runRefused("run-ended", "This run was "+how+" already, by "+e.By.Name+". Nothing was changed.")
}

// MayBeSetAside returns a Conflict when it was before.
func (r Run) MayBeSetAside() error {
	if r.State() == RunSetAside {
		return r.Ended()
	}
	return nil
}
