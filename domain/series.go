package domain

import (
	"fmt"
	"math"
	"slices"
	"time"

	"leat/calc/logger"
)

// SeriesFileID names a file of a logger in a run.
type SeriesFileID int64

// What a file of a logger comes in.
const (
	PartBytes      = 2 << 20 // of each part but the last
	SeriesFileMost = logger.MostBytes
	RunFilesMost   = 50  // that are announced to a run
	RunWindowsMost = 200 // of a run
)

// SeriesFile is a file of a logger, brought to a run in parts.
type SeriesFile struct {
	ID         SeriesFileID
	Run        RunID
	Name       string
	Size       int
	Sum        []byte // SHA-256; nil: not said, and not complete yet
	By         Person
	At         time.Time
	CompleteAt *time.Time
	SameAs     *SeriesFileID // a file of the run with the same bytes, which were kept once
	Have       []int         // numbers of the parts that are there, from 1
	Read       *SeriesRead   // as it was read the last time; nil: it was not
}

// SeriesRead is how a file was read.
type SeriesRead struct {
	Number    int
	Asked     SeriesAsked
	Report    SeriesReport
	Certified bool // the machine had a certificate from before the file begins until it was read
	By        Person
	At        time.Time
}

// SeriesAsked is what somebody said about a file that the file does not say
// itself.
type SeriesAsked struct {
	Units   map[string]string `json:"units"`   // by channel
	Zone    string            `json:"zone"`    // of dates without one; empty: none
	Time    string            `json:"time"`    // the column of times; empty: the first
	Without []string          `json:"without"` // columns to leave out
}

// Parts is how many the file has.
func (f SeriesFile) Parts() int { return (f.Size + PartBytes - 1) / PartBytes }

// PartSize is how long a part is.
func (f SeriesFile) PartSize(number int) int { return min(PartBytes, f.Size-(number-1)*PartBytes) }

// Missing lists the parts that are still to come.
func (f SeriesFile) Missing() (missing []int) {
	for number := 1; number <= f.Parts(); number++ {
		if !slices.Contains(f.Have, number) {
			missing = append(missing, number)
		}
	}
	return missing
}

// AddSeriesFile announces a file of a logger to a run.
type AddSeriesFile struct {
	Run  RunRef
	Name string
	Size int
	Sum  []byte // SHA-256; nil: not known
	Key  string
}

// Validate trims the name and finds all faults.
func (c *AddSeriesFile) Validate() error {
	faults := line("/name", &c.Name, 1, 200)
	if c.Size < 1 || c.Size > SeriesFileMost {
		faults = append(faults, Field{"/size", "range", fmt.Sprintf("A file has 1 to %d bytes. Part a larger one, or log less often.", SeriesFileMost)})
	}
	if c.Sum != nil && len(c.Sum) != 32 {
		faults = append(faults, Field{"/sha256", "range", "Send the SHA-256 of the file as 64 hexadecimal digits, or leave it out."})
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// PutSeriesPart brings a part of a file.
type PutSeriesPart struct {
	Run    RunRef
	File   SeriesFileID
	Number int
	Bytes  []byte
}

// Fits returns what is wrong with a part of a file, or nil.
func (c PutSeriesPart) Fits(f SeriesFile) error {
	switch {
	case c.Number > f.Parts():
		return Missing("part of this file")
	case len(c.Bytes) != f.PartSize(c.Number):
		return Faulty([]Field{{"", "range", fmt.Sprintf("Part %d of this file has %d bytes, and %d came. Send it again.", c.Number, f.PartSize(c.Number), len(c.Bytes))}})
	}
	return nil
}

// PartDiffers returns the Conflict of a part that came before with other bytes.
func PartDiffers(number int) error {
	return &Error{Kind: Conflict, Code: "part-differs", Message: fmt.Sprintf("Part %d of this file came before, with other bytes. Was the file changed meanwhile? Nothing was overwritten: announce it as a new file.", number)}
}

// CompleteSeriesFile says that all parts of a file are there, and answers what it
// does not say itself.
type CompleteSeriesFile struct {
	Run   RunRef
	File  SeriesFileID
	Asked SeriesAsked
}

// Validate finds all faults.
func (c *CompleteSeriesFile) Validate() error {
	var faults []Field
	if len(c.Asked.Units) > logger.MostColumns || len(c.Asked.Without) > logger.MostColumns {
		faults = append(faults, Field{"", "range", fmt.Sprintf("A file has at most %d columns.", logger.MostColumns)})
	}
	if _, err := c.Asked.Place(); err != nil {
		faults = append(faults, Field{"/zone", "unknown_value", "This time zone is not known here. Use a fixed distance from UTC such as +01:00, or a name such as Europe/Oslo."})
	}
	return Faulty(faults)
}

// Place is the zone as a place; nil where none was said.
func (a SeriesAsked) Place() (*time.Location, error) {
	if a.Zone == "" {
		return nil, nil //nolint:nilnil // there is none
	}
	if t, err := time.Parse("Z07:00", a.Zone); err == nil {
		_, offset := t.Zone()
		return time.FixedZone(a.Zone, offset), nil
	}
	if a.Zone == "Local" {
		return nil, fmt.Errorf("domain: the zone %q depends on the server", a.Zone)
	}
	return time.LoadLocation(a.Zone)
}

// Reader is what the reading of the file wants to know.
func (a SeriesAsked) Reader() (logger.Asked, error) {
	place, err := a.Place()
	return logger.Asked{Units: a.Units, Zone: place, Time: a.Time, Without: a.Without}, err
}

// SameAnnouncement tells whether a file is what somebody announces: of the size,
// and with the sum where both say it.
func (c AddSeriesFile) SameAnnouncement(f SeriesFile) bool {
	return c.Size == f.Size && (c.Sum == nil || f.Sum == nil || slices.Equal(c.Sum, f.Sum))
}

// AnnouncedOther returns the Conflict of a file that is announced with the key of
// another.
func AnnouncedOther() error {
	return &Error{Kind: Conflict, Code: "client-key-used", Message: "This file was announced with the key of another one. Nothing was saved: announce it with a new key."}
}

// RunFullOfSeries returns the Conflict of a run that takes no more files or
// windows.
func RunFullOfSeries() error {
	return runRefused("run-full", fmt.Sprintf("A run takes %d files of loggers, %d windows and %d readings. Nothing was saved: submit this one, and open another.", RunFilesMost, RunWindowsMost, RunReadingsMost))
}

// PartsMissing returns the Conflict of a file that is not all there.
func PartsMissing(missing []int) error {
	return &Error{Kind: Conflict, Code: "parts-missing", Message: fmt.Sprintf("%s of this file still to come, the first of them part %d. Send what is missing, then say once more that it is done.", counted(len(missing), "part is", "parts are"), missing[0])}
}

// FileDiffers returns the Conflict of a file whose bytes are not those that were
// announced.
func FileDiffers() error {
	return &Error{Kind: Conflict, Code: "file-differs", Message: "What arrived has another SHA-256 than was said at the beginning: something was changed on its way. None of it was kept: send all parts again. If the file itself was changed meanwhile, announce it as a new one."}
}

// NotRead returns the Conflict of a file that was not read yet.
func NotRead() error {
	return &Error{Kind: Conflict, Code: "file-not-read", Message: "This file was not read yet. Say that all its parts are there, with the units and the time zone that are asked for."}
}

// Unreadable puts what is wrong with a file into words. It stays, so that it may
// be read again with the answers.
func Unreadable(faults logger.Faults) error {
	fields := make([]Field, len(faults))
	for i, f := range faults {
		at := ""
		switch f.Code {
		case logger.UnitMissing, logger.UnitUnknown:
			if f.Channel != "" {
				at = "/units/" + escaped(f.Channel)
			}
		case logger.ZoneMissing:
			at = "/zone"
		case logger.NotThere:
			at = "/time"
		}
		fields[i] = Field{at, string(f.Code), f.Error()}
	}
	return &Error{
		Kind: Invalid, Code: "file-unreadable", Fields: fields,
		Message: "The file can't be read as it is. It was kept: answer what is asked, and have it read again. What has to be changed in the file itself is sent as a new one.",
	}
}

// SeriesChart is a channel of a series in few points, and how it is between two
// times.
type SeriesChart struct {
	Channel logger.Channel  // without its values
	Start   time.Time       // zero: not told
	Times   []float64       // s
	Values  []float64       // SI; NaN: missing
	Summary *logger.Summary // of the channel alone; nil: not asked for, or no sample lies between the two times
}

// ChartWish is what a chart is to show.
type ChartWish struct {
	Channel  string
	From, To float64 // s
	Points   int
	Summary  bool // how the channel is between the two times; takes longer than the points
}

// Whole is a wish for all of a channel.
func Whole(channel string) ChartWish {
	return ChartWish{Channel: channel, From: math.Inf(-1), To: math.Inf(1), Points: logger.MostPoints}
}
