package domain

import (
	"math"
	"time"

	"leat/calc/logger"
)

// SentInRun is what a logger sent in a run.
type SentInRun struct {
	Logger    SendingLogger
	Samples   int        // that came, also those that enter no result
	Certified bool       // the machine had a certificate all the time
	Start     *time.Time // of second 0 of its charts and windows; nil: nothing enters a result
	Channels  []SentChannel
}

// SentChannel is a channel that a logger sent in a run.
type SentChannel struct {
	Name       string
	Unit       string // SI
	Kind       string // as that of a [SeriesChannelFact]
	Counted    string // of a pressure: gauge or absolute where its unit says so
	FileUnit   string // in which it came first
	Count      int    // values
	First      *time.Time
	Last       *time.Time // both of values; nil: there are none
	MedianStep float64    // s, between its samples
}

// Found fills in the channels of what came in the run.
func (r *SentInRun) Found(s logger.Series) {
	r.Channels = []SentChannel{}
	if len(s.Time) > 0 {
		r.Start = &s.Start
	}
	for _, c := range s.Channels {
		r.Channels = append(r.Channels, newSentChannel(s, c))
	}
}

func newSentChannel(s logger.Series, c logger.Channel) SentChannel {
	fact := SentChannel{Name: c.Name, Unit: c.Unit, Kind: kindOf(c.Unit), Counted: c.Counted, FileUnit: c.FileUnit}
	var sent []float64
	first, last := 0, 0 // rows
	for row, x := range c.Values {
		if c.SentAt(row) {
			sent = append(sent, s.Time[row])
		}
		if math.IsNaN(x) {
			continue
		}
		if fact.Count == 0 {
			first = row
		}
		fact.Count, last = fact.Count+1, row
	}
	fact.MedianStep = logger.MedianStep(sent)
	if fact.Count > 0 {
		fact.First, fact.Last = momentOf(s, first), momentOf(s, last)
	}
	return fact
}

// momentOf is when a row was.
func momentOf(s logger.Series, row int) *time.Time {
	at := s.Start.Add(time.Duration(s.Time[row] * float64(time.Second)))
	return &at
}
