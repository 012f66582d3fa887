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
	for i, c := range s.Channels {
		fact := SentChannel{
			Name: c.Name, Unit: c.Unit, Kind: kindOf(c.Unit), Counted: c.Counted, FileUnit: c.FileUnit, MedianStep: logger.MedianStep(s.Of(c.Name).Time),
		}
		for row, x := range s.Channels[i].Values {
			if math.IsNaN(x) {
				continue
			}
			at := s.Start.Add(time.Duration(s.Time[row] * float64(time.Second)))
			if fact.Count == 0 {
				fact.First = &at
			}
			fact.Count++
			fact.Last = &at
		}
		r.Channels = append(r.Channels, fact)
	}
}
