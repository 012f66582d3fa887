package domain

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"leat/calc/confront"
	"leat/calc/evidence"
	"leat/calc/logger"
)

// SeriesWindowID names a window.
type SeriesWindowID int64

// SeriesWindow is what a window of a series says. It counts as reading of its
// run, and never changes.
type SeriesWindow struct {
	ID        SeriesWindowID
	Run       RunID
	Point     int // number
	File      *SeriesFileID
	Reading   *int // how the file was read then
	Logger    *LoggerID
	From, To  float64 // s from the start of the series, as it was asked for
	Channels  []WindowChannel
	Summary   WindowSummary
	Decide    bool // a person has to say whether values that stand out are kept
	Certified bool // the machine had a certificate all the time
	By        Person
	At        time.Time
	Decisions []WindowDecision
}

// WindowChannel is a channel of a window, and what it was measured with.
type WindowChannel struct {
	Channel    string
	Quantity   string // name of a quantity or pointer of a condition; empty: it is only looked at
	Instrument *ReadInstrument
	Counted    string // of a pressure: gauge or absolute
	Decay      bool   // of a vessel that is shut in: its leak is looked for

	// Worked out each time.
	Counts bool
	Marks  []Mark
	Worked *confront.Quantity // nil: it is only looked at
}

// WindowSummary is what was found. It is kept as it was.
type WindowSummary struct {
	Start *time.Time `json:"start"` // of second 0; null: not told
	logger.Summary
	Leaks []ChannelLeak `json:"leaks"`
}

// ChannelLeak is what a channel says about the leak of a vessel.
type ChannelLeak struct {
	Name string `json:"name"`
	logger.Leak
}

// WindowAnswer is what somebody says about a window.
type WindowAnswer string

// What may be said.
const (
	KeepOutliers  WindowAnswer = "keep"
	LeaveOutliers WindowAnswer = "leave_out"
	StrikeWindow  WindowAnswer = "strike" // through: it counts no more
)

// WindowDecision is what somebody said about a window.
type WindowDecision struct {
	Answer WindowAnswer
	Reason string
	By     Person
	At     time.Time
}

// Struck returns how the window was struck through, or nil.
func (w SeriesWindow) Struck() *WindowDecision {
	if n := len(w.Decisions); n > 0 && w.Decisions[n-1].Answer == StrikeWindow {
		return &w.Decisions[n-1]
	}
	return nil
}

// Open tells whether the window waits for somebody to decide: until then its run
// can't be confirmed.
func (w SeriesWindow) Open() bool { return w.Decide && len(w.Decisions) == 0 }

// leavesOut tells whether outliers are left out.
func (w SeriesWindow) leavesOut() bool {
	n := len(w.Decisions)
	return n > 0 && w.Decisions[n-1].Answer == LeaveOutliers
}

// TakeWindow takes a window of a series for readings of a run.
type TakeWindow struct {
	Run      RunRef
	Point    int
	File     *SeriesFileID
	Logger   *LoggerID
	From, To *float64 // s; nil: all
	Channels []AskedChannel
	Vessel   *AskedVessel // nil: nothing is shut in
	Key      string
}

// Names are the channels that the window looks at.
func (c *TakeWindow) Names() (names []string) {
	for _, ch := range c.Channels {
		names = append(names, ch.Channel)
	}
	if c.Vessel != nil {
		names = append(names, c.Vessel.AmbientChannel, c.Vessel.GasChannel)
	}
	return names
}

// AskedChannel is a channel of the window that is wanted.
type AskedChannel struct {
	Channel    string
	Quantity   string
	Instrument *InstrumentID
	Counted    string
	Decay      bool
}

// AskedVessel is what is known of a vessel that was shut in.
type AskedVessel struct {
	VolumeM3, UVolumeM3 float64
	AmbientPa           *float64
	AmbientChannel      string
	GasChannel          string
	UChangeK            *float64
}

// Validate finds the faults that show without the series. names are the
// quantities of the machine.
func (c *TakeWindow) Validate(names []string) error {
	var faults []Field
	if (c.File == nil) == (c.Logger == nil) {
		faults = append(faults, Field{"/file", "inconsistent", "Name either a file or a logger."})
	}
	faults = append(faults, finite("/from_s", c.From)...)
	faults = append(faults, finite("/to_s", c.To)...)
	if len(faults) == 0 && c.From != nil && c.To != nil && *c.From >= *c.To {
		faults = append(faults, Field{"/to_s", "inconsistent", "The window ends after it begins. Look whether the two are swapped."})
	}
	if len(c.Channels) == 0 || len(c.Channels) > logger.MostColumns {
		faults = append(faults, Field{"/channels", "missing", fmt.Sprintf("Name 1 to %d channels.", logger.MostColumns)})
	}
	for i, ch := range c.Channels {
		faults = append(faults, c.channelFaults(i, ch, names)...)
	}
	faults = append(faults, c.vesselFaults()...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

func (c *TakeWindow) channelFaults(i int, ch AskedChannel, names []string) (faults []Field) {
	at := fmt.Sprintf("/channels/%d", i)
	m := MeasurableNamed(ch.Quantity)
	switch {
	case ch.Decay && ch.Quantity != "":
		faults = append(faults, Field{at + "/quantity", "inconsistent", "A pressure that is watched for a leak falls, so it counts for no quantity. Leave the quantity empty."})
	case m.Derived:
		faults = append(faults, Field{at + "/quantity", "derived", "This is worked out from other readings, never read. Choose those."})
	case ch.Quantity != "" && (m.Name == "" || !m.Condition && !slices.Contains(names, m.Name)):
		faults = append(faults, Field{at + "/quantity", "unknown_value", "This is not measured on this machine. Choose from the list."})
	case m.Name != "" && !m.Condition && ch.Instrument == nil:
		faults = append(faults, Field{at + "/instrument", "missing", "Choose the instrument that the logger reads: without it nobody can say how far this may be off. A keeper adds it to the register."})
	}
	if slices.ContainsFunc(c.Channels[:i], func(b AskedChannel) bool {
		return b.Channel == ch.Channel || ch.Quantity != "" && b.Quantity == ch.Quantity
	}) {
		faults = append(faults, Field{at, "given_twice", "This channel or quantity is in the list already. Send it once."})
	}
	if ch.Counted != "" && ch.Counted != "gauge" && ch.Counted != "absolute" {
		faults = append(faults, Field{at + "/counted", "unknown_value", "Choose gauge or absolute."})
	}
	return faults
}

func (c *TakeWindow) vesselFaults() (faults []Field) {
	decays := slices.ContainsFunc(c.Channels, func(ch AskedChannel) bool { return ch.Decay })
	v := c.Vessel
	switch {
	case decays && v == nil:
		return []Field{{"/vessel", "missing", "Give the volume that was shut in: without it the fall of the pressure tells no leak."}}
	case v == nil:
		return nil
	case !(v.VolumeM3 > 0 && v.VolumeM3 <= 1000):
		faults = append(faults, Field{"/vessel/volume_m3", "range", "This must be more than 0 and at most 1000 m³."})
	}
	faults = append(faults, within("/vessel/u_volume_m3", &v.UVolumeM3, 0, 1000, "m³")...)
	faults = append(faults, within("/vessel/ambient_pa", v.AmbientPa, 50_000, 110_000, "Pa, absolute")...)
	return append(faults, within("/vessel/u_change_k", v.UChangeK, 0, 20, "K")...)
}

// Fits finds what of the window does not fit the series, and says of each
// pressure what it counts from.
func (c *TakeWindow) Fits(s logger.Series) error {
	var faults []Field
	for i := range c.Channels {
		faults = append(faults, c.Channels[i].fits(s, fmt.Sprintf("/channels/%d", i))...)
	}
	if from, to := c.between(); s.Between(from, to).Len() == 0 {
		faults = append(faults, Field{"/from_s", "range", "No sample lies in this window. Look at the chart, and choose another one."})
	}
	if v := c.Vessel; v != nil {
		faults = append(faults, unitOf(s, v.AmbientChannel, "Pa", "/vessel/ambient_channel")...)
		faults = append(faults, unitOf(s, v.GasChannel, "K", "/vessel/gas_channel")...)
	}
	return Faulty(faults)
}

// siOf is the SI unit of the channels that a quantity is read from.
var siOf = map[string]string{"Pa": "Pa", "m³/s": "m3/s", "m": "m", "°C": "K", "Hz": "1/s", "": "1", "m³": "m3"}

func (c *AskedChannel) fits(s logger.Series, at string) []Field {
	if missing := unitOf(s, c.Channel, "", at+"/channel"); missing != nil || c.Channel == "" {
		return append(missing, missingName(c.Channel, at+"/channel")...)
	}
	channel, m := s.Channels[s.Index(c.Channel)], MeasurableNamed(c.Quantity)
	if channel.Unit == "Pa" && channel.Counted != "" {
		c.Counted = channel.Counted
	}
	switch {
	case c.Decay && channel.Unit != "Pa", c.Quantity != "" && channel.Unit != siOf[m.Unit]:
		return []Field{{at + "/quantity", "inconsistent", fmt.Sprintf("This is no channel of that: %q is in %s. Choose another channel or quantity.", c.Channel, channel.Unit)}}
	case channel.Unit != "Pa" || c.Quantity == "" && !c.Decay:
		return nil
	case c.Counted == "":
		return []Field{{at + "/counted", "missing", "Say what this pressure counts from: gauge, the air around, or absolute, nothing at all. The series does not say it."}}
	case c.Quantity != "" && (c.Counted == "absolute") != strings.HasSuffix(c.Quantity, "/p_amb_pa"):
		return []Field{{at + "/counted", "inconsistent", "A pressure in the machine is told against the air around (gauge), that of the air itself is absolute. This channel counts the other way: have the logger write the pressure that is asked for."}}
	}
	return nil
}

func missingName(name, at string) []Field {
	if name == "" {
		return []Field{{at, "missing", "Name the channel."}}
	}
	return nil
}

// unitOf finds what is wrong with naming a channel; any unit will do where none is
// asked for, and no name names none.
func unitOf(s logger.Series, name, unit, at string) []Field {
	i := s.Index(name)
	switch {
	case name == "":
		return nil
	case i < 0:
		return []Field{{at, "unknown_value", fmt.Sprintf("The series has no channel %q. Choose one of those in its report.", name)}}
	case unit != "" && s.Channels[i].Unit != unit:
		return []Field{{at, "inconsistent", fmt.Sprintf("This has to be a channel in %s; %q is in %s.", unit, name, s.Channels[i].Unit)}}
	}
	return nil
}

// Measuring is what is known of an instrument, in the SI unit of a channel. ok is
// false where its own unit is none of that.
func (f InstrumentFacts) Measuring(unit string) (m evidence.MeasuringInstrument, ok bool) {
	own := strings.NewReplacer("³", "3").Replace(f.Unit)
	si, factor, offset, known := logger.SI(own)
	if !known || si != unit {
		return m, false
	}
	m = evidence.MeasuringInstrument{Name: f.Name, Low: f.Low*factor + offset, High: f.High*factor + offset}
	for _, figure := range []struct {
		from *float64
		to   *float64
		by   float64
	}{{f.Resolution, &m.Step, factor}, {f.ClassPct, &m.ClassPercent, 1}, {f.Accuracy, &m.Absolute, factor}} {
		if figure.from != nil {
			*figure.to = *figure.from * figure.by
		}
	}
	return m, true
}

// Wanted is what is looked for in a channel: steady within 1 %, as section 2.4 of
// the specification of evidence has it where nothing else was declared before.
func (c WindowChannel) Wanted(unit string) logger.Wanted {
	w := logger.Wanted{Name: c.Channel, Tolerance: evidence.OnePercent}
	if unit == "K" { // a share of the distance from absolute zero says nothing
		w.Tolerance = evidence.Tolerance{Abs: temperatureDrift}
	}
	if c.Instrument != nil {
		m, _ := c.Instrument.Measuring(unit)
		w.Resolution = m.Step
	}
	return w
}

// temperatureDrift is how far a temperature may drift within a window, in K.
// Common practice, no source.
const temperatureDrift = 0.5

// Summarise looks at a series for a window with these channels.
func (c TakeWindow) Summarise(s logger.Series, channels []WindowChannel) (out WindowSummary, decide bool) {
	from, to := c.between()
	var wanted []logger.Wanted
	out.Leaks = []ChannelLeak{}
	for _, ch := range channels {
		if ch.Decay {
			out.Leaks = append(out.Leaks, ChannelLeak{ch.Channel, s.LeakOf(from, to, ch.Channel, ch.Counted == "absolute", c.Vessel.known())})
			continue
		}
		wanted = append(wanted, ch.Wanted(s.Channels[s.Index(ch.Channel)].Unit))
	}
	if len(wanted) > 0 || len(out.Leaks) == 0 {
		out.Summary = s.Summarise(from, to, wanted)
	} else { // only a leak is looked for
		w := s.Between(from, to)
		out.Summary = logger.Summary{From: from, To: to, Rows: w.Len(), Parts: 1, Status: evidence.IsSteady, Channels: []logger.ChannelSummary{}}
	}
	out.From, out.To = insideOf(out.From, s), insideOf(out.To, s)
	if !s.Start.IsZero() {
		out.Start = &s.Start
	}
	return out, slices.ContainsFunc(out.Channels, func(c logger.ChannelSummary) bool { return c.Decide })
}

// between is the window that was asked for; without ends it has none.
func (c TakeWindow) between() (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	if c.From != nil {
		from = *c.From
	}
	if c.To != nil {
		to = *c.To
	}
	return from, to
}

// Asked is the window that was asked for, within the series.
func (c TakeWindow) Asked(s logger.Series) (from, to float64) {
	from, to = c.between()
	return insideOf(from, s), insideOf(to, s)
}

// insideOf brings a time into the series.
func insideOf(t float64, s logger.Series) float64 {
	return min(max(t, s.Time[0]), s.Time[len(s.Time)-1])
}

func (v *AskedVessel) known() logger.Vessel {
	return logger.Vessel{Volume: v.VolumeM3, UVolume: v.UVolumeM3, Ambient: v.AmbientPa, AmbientChannel: v.AmbientChannel, GasChannel: v.GasChannel, UChange: v.UChangeK}
}

// DecideWindow says something about a window.
type DecideWindow struct {
	Run    RunRef
	Window SeriesWindowID
	Answer WindowAnswer
	Reason string
	Key    string
}

// Validate trims the reason and finds all faults.
func (c *DecideWindow) Validate() error {
	faults := prose("/reason", &c.Reason, reasonMost)
	if c.Reason == "" {
		faults = append(faults, Field{"/reason", "missing", "Say why: what is left out stays to be seen, with your reason."})
	}
	if !slices.Contains([]WindowAnswer{KeepOutliers, LeaveOutliers, StrikeWindow}, c.Answer) {
		faults = append(faults, Field{"/decide", "unknown_value", "Choose keep, leave_out or strike."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// Takes returns why a window of a run can't be decided on so, or nil.
func (c DecideWindow) Takes(w SeriesWindow, r Run) error {
	refused := func(message string) error {
		return &Error{Kind: Conflict, Code: "decision-refused", Message: message}
	}
	switch {
	case w.Struck() != nil:
		return refused("This window was struck through, by " + w.Struck().By.Name + ". Take another one.")
	case !w.Decide && c.Answer != StrikeWindow:
		return refused("Nothing has to be decided here: with or without the values that stand out the mean is the same within its uncertainty.")
	case r.Submitted != nil && len(r.Ends) == 0 && c.Answer == KeepOutliers && w.Open():
		return nil
	case r.Submitted != nil && len(r.Ends) == 0:
		return refused("This run was submitted, and judged with these values in. That may be found right (keep); else set the run aside, and open another one.")
	}
	return r.Frozen()
}

// InstrumentMissing is the fault of a channel whose instrument is not there.
func InstrumentMissing(channel int) Field {
	return Field{fmt.Sprintf("/channels/%d/instrument", channel), "unknown_value", "There is no such instrument in the register. Choose one of it."}
}

// InstrumentOther is the fault of a channel whose instrument reads something else.
func InstrumentOther(channel int, i Instrument) Field {
	return Field{fmt.Sprintf("/channels/%d/instrument", channel), "inconsistent", fmt.Sprintf("%s is kept in %q, which is no unit of this channel. Choose the instrument that the logger reads.", i.Name, i.Unit)}
}

// NothingSent returns the Conflict of a logger that sent nothing in a run.
func NothingSent() error {
	return &Error{Kind: Conflict, Code: "nothing-sent", Message: "This logger sent nothing in this run that can be read. What it sends goes to the newest open run of its machine."}
}
