package domain

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"math"
	"slices"
	"time"

	"leat/calc/logger"
)

// LoggerID names a logger.
type LoggerID int64

// How much a logger may send.
const (
	LoggerBodyMost    = 256 << 10 // bytes at once
	LoggerSamplesMost = 5000      // at once
	LoggerRunMost     = 1_000_000 // samples in one run
	LoggerBytesMost   = 100 << 20 // in all; then another one is made
	LoggersMost       = 50        // of a build
	loggerChannelMost = 80        // characters of a name
)

// SendingLogger is a device that sends samples of one build by itself, with a
// token that is good for nothing else.
type SendingLogger struct {
	ID        LoggerID
	Project   ProjectID
	Build     BuildID
	Name      string
	MadeBy    Person
	MadeAt    time.Time
	RevokedBy *Person
	RevokedAt *time.Time
	Bytes     int64
	HeardAt   *time.Time // when it sent the last time
	Newest    *time.Time // the latest time that it told
	Allowed   []Action
}

// LoggerToken is what a logger shows: 256 random bits. It is shown to a person
// once; only its sum is kept.
type LoggerToken string

// NewLoggerToken makes one.
func NewLoggerToken() LoggerToken {
	b := make([]byte, 32)
	_, _ = rand.Read(b) // never fails: it ends the program instead
	return LoggerToken(base64.RawURLEncoding.EncodeToString(b))
}

// Sum is what is kept of a token.
func (t LoggerToken) Sum() []byte {
	sum := sha256.Sum256([]byte(t))
	return sum[:]
}

// MakeLogger lets a device send samples of a build.
type MakeLogger struct {
	Project ProjectID
	Build   BuildID
	Name    string
	Key     string
}

// Validate trims the name and finds all faults.
func (c *MakeLogger) Validate() error {
	return Faulty(append(line("/name", &c.Name, 1, 200), clientKey("/client_key", c.Key)...))
}

// LoggersFull returns the Conflict of a build that has as many as it may.
func LoggersFull() error {
	return &Error{Kind: Conflict, Code: "loggers-full", Message: fmt.Sprintf("This machine has %d loggers that may send, and no more can be made. Revoke one that is not used.", LoggersMost)}
}

// LoggerFull returns the Conflict of a logger that sent as much as it may.
func LoggerFull() error {
	return &Error{Kind: Conflict, Code: "logger-full", Message: "This logger has sent 100 MB, which is all that is kept of one. Nothing of this was saved: make another logger, and give the device that token."}
}

// RunFullOfSamples returns the Conflict of a logger that sent as much in a run as
// that takes.
func RunFullOfSamples() error {
	return &Error{Kind: Conflict, Code: "run-full", Message: fmt.Sprintf("This logger has sent %d samples in this run, which is all that a run takes of one. Nothing of this was saved: submit the run, and open another.", LoggerRunMost)}
}

// LoggerUnknown returns the refusal of a token that no logger has, or no more.
func LoggerUnknown() error {
	return &Error{Kind: Unauthenticated, Code: "logger-refused", Message: "No logger may send with this token: it is wrong, or was revoked. Nothing was saved: make a logger on the page of the machine, and give the device its token."}
}

// Sample is one value that a logger sent. NaN is missing.
type Sample struct {
	At      time.Time
	Channel string
	Value   float64
	Unit    string
}

// SendSamples are samples that a logger sends at once.
type SendSamples struct {
	Samples []Sample
	Key     string
}

// SampleProblem is something about a sample that a person should know. What was
// sent was kept all the same.
type SampleProblem struct {
	Sample  int    `json:"sample"` // from 0
	Code    string `json:"code"`
	Message string `json:"message"`
}

// SamplesKept is what a logger is answered.
type SamplesKept struct {
	Run       *int            `json:"run"` // number of the open run that they went to; nil: none is open, they are kept and marked
	Certified bool            `json:"certified"`
	Kept      int             `json:"kept"`
	Missing   int             `json:"missing"`      // without a value
	New       []string        `json:"new_channels"` // that this logger did not send in this run before
	Problems  []SampleProblem `json:"problems"`     // the first hundred
	Count     int             `json:"problem_count"`
}

// Validate finds all faults.
func (c *SendSamples) Validate() error {
	var faults []Field
	if len(c.Samples) < 1 || len(c.Samples) > LoggerSamplesMost {
		faults = append(faults, Field{"/samples", "range", fmt.Sprintf("Send 1 to %d samples at once.", LoggerSamplesMost)})
	}
	for i := range c.Samples {
		faults = append(faults, line(fmt.Sprintf("/samples/%d/channel", i), &c.Samples[i].Channel, 1, loggerChannelMost)...)
		faults = append(faults, line(fmt.Sprintf("/samples/%d/unit", i), &c.Samples[i].Unit, 1, unitMost)...)
		if len(faults) > 20 {
			break // a device that sends rubbish needs no list of all of it
		}
	}
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// HeardBefore is what a logger sent before, in the same run.
type HeardBefore struct {
	Newest  *time.Time        // of all that it sent
	Units   map[string]string // SI, of a pressure with what it counts from, by channel
	Samples int
}

// Earliest is the earliest time of the samples.
func (c *SendSamples) Earliest() time.Time {
	return slices.MinFunc(c.Samples, func(a, b Sample) int { return a.At.Compare(b.At) }).At
}

// Latest is the latest time of the samples.
func (c *SendSamples) Latest() time.Time {
	return slices.MaxFunc(c.Samples, func(a, b Sample) int { return a.At.Compare(b.At) }).At
}

// listedProblems is how many a logger is told at once.
const listedProblems = 100

// Look says what is odd about the samples. Nothing is dropped for it.
// units are the channels with their SI units, as in before, and those from then.
func (c *SendSamples) Look(before HeardBefore, now time.Time) (kept SamplesKept, units map[string]string) {
	kept = SamplesKept{Kept: len(c.Samples), New: []string{}, Problems: []SampleProblem{}}
	say := func(i int, code, message string) {
		kept.Count++
		if len(kept.Problems) < listedProblems {
			kept.Problems = append(kept.Problems, SampleProblem{i, code, message})
		}
	}
	units = map[string]string{}
	for name, unit := range before.Units {
		units[name] = unit
	}
	latest := map[string]time.Time{}
	for i, s := range c.Samples {
		if math.IsNaN(s.Value) {
			kept.Missing++
		}
		unit, _, _, known := logger.SI(s.Unit)
		if counted := logger.CountedIn(s.Unit); counted != "" {
			unit += " " + counted
		}
		was, heard := units[s.Channel]
		switch {
		case !known:
			say(i, "unit_unknown", fmt.Sprintf("The unit %q is not known here, so this enters no result. Capitals count.", s.Unit))
		case !heard && len(units) >= logger.MostColumns:
			say(i, "channels_full", fmt.Sprintf("This logger has sent %d channels in this run, and more enter no result.", logger.MostColumns))
		case !heard:
			units[s.Channel] = unit
			kept.New = append(kept.New, s.Channel)
		case was != unit:
			say(i, "unit_mixed", fmt.Sprintf("%q came in %s before, so this enters no result. Give the channel another name.", s.Channel, was))
		}
		switch {
		case !s.At.After(latest[s.Channel]), i == 0 && before.Newest != nil && !s.At.After(*before.Newest):
			say(i, "clock_back", "This time is not after the one before. Was the clock set, or a batch sent late? It is put in order by its time; of two samples at one time the first counts.")
		case s.At.After(now.Add(tolerance)):
			say(i, "clock_ahead", "This time is still to come. Set the clock of the logger.")
		}
		latest[s.Channel] = s.At
	}
	return kept, units
}

// BatchDiffers returns the Conflict of samples that were sent with the key of
// others.
func BatchDiffers() error {
	return &Error{Kind: Conflict, Code: "client-key-used", Message: "These samples were sent with the key of others, which were kept. Nothing of this was saved: send it with a new key."}
}

// Shown fills in what the actor may do to the logger.
func (l *SendingLogger) Shown(who Actor, access Access) {
	l.Allowed = []Action{}
	if l.RevokedAt == nil {
		access.Maker = l.MadeBy
		l.Allowed = allowed(who, access, StopSends)
	}
}

// AllowedWithLoggers lists whether the person may make a logger.
func AllowedWithLoggers(who Actor, access Access) []Action { return allowed(who, access, LetSend) }
