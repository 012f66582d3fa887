package domain

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"time"

	"leat/calc"
	"leat/calc/logger"
)

// packed is how samples are kept: what is sent again and again stands once.
type packed struct {
	Start    time.Time       `json:"start"`
	Channels []packedChannel `json:"channels"`
	After    []int64         `json:"ns"`     // of each sample, from the start
	Of       []int           `json:"c"`      // its channel
	Values   []*float64      `json:"values"` // null: missing
}

type packedChannel struct {
	Name string `json:"name"`
	Unit string `json:"unit"`
}

// Packed is how the samples are kept, in the order in which they came.
func (c *SendSamples) Packed() (string, error) {
	p := packed{Start: c.Earliest().UTC(), Channels: []packedChannel{}}
	for _, s := range c.Samples {
		channel := packedChannel{s.Channel, s.Unit}
		i := slices.Index(p.Channels, channel)
		if i < 0 {
			i = len(p.Channels)
			p.Channels = append(p.Channels, channel)
		}
		p.After, p.Of, p.Values = append(p.After, int64(s.At.Sub(p.Start))), append(p.Of, i), append(p.Values, calc.OrNull(s.Value))
	}
	text, err := json.Marshal(p)
	if err != nil {
		return "", fmt.Errorf("domain: pack samples: %w", err)
	}
	return string(text), nil
}

// Unpack reads samples that were kept.
func Unpack(text string) ([]Sample, error) {
	var p packed
	if err := json.Unmarshal([]byte(text), &p); err != nil {
		return nil, fmt.Errorf("domain: unpack samples: %w", err)
	}
	if len(p.Of) == 0 || len(p.Of) != len(p.After) || len(p.Of) != len(p.Values) {
		return nil, fmt.Errorf("domain: unpack samples: %d times, %d channels, %d values", len(p.After), len(p.Of), len(p.Values))
	}
	list := make([]Sample, len(p.Of))
	for i, c := range p.Of {
		if c < 0 || c >= len(p.Channels) {
			return nil, fmt.Errorf("domain: unpack samples: no channel %d", c)
		}
		list[i] = Sample{p.Start.Add(time.Duration(p.After[i])), p.Channels[c].Name, orNaN(p.Values[i]), p.Channels[c].Unit}
	}
	return list, nil
}

// SeriesOf puts the samples of batches together, each in SI units, in the order of
// their times.
func SeriesOf(batches [][]Sample) logger.Series {
	all := slices.Concat(batches...)
	slices.SortStableFunc(all, func(a, b Sample) int { return a.At.Compare(b.At) })
	put := putting{units: map[string]measured{}}
	if len(all) == 0 {
		return put.series
	}
	put.series.Start = all[0].At
	for _, s := range all {
		put.sample(s)
	}
	return put.series
}

// putting puts a series together.
type putting struct {
	series logger.Series
	units  map[string]measured // that were looked up
}

type measured struct {
	unit, counted  string // SI, and what a pressure counts from
	factor, offset float64
	known          bool
}

func (p *putting) unitOf(s Sample) measured {
	m, found := p.units[s.Unit]
	if !found {
		m.unit, m.factor, m.offset, m.known = logger.SI(s.Unit)
		m.counted = logger.CountedIn(s.Unit)
		p.units[s.Unit] = m
	}
	return m
}

// sample adds a sample to the row of its time, the last one or a new one.
func (p *putting) sample(s Sample) {
	to, m := &p.series, p.unitOf(s)
	i := to.Index(s.Channel)
	if !m.known || i >= 0 && (to.Channels[i].Unit != m.unit || to.Channels[i].Counted != m.counted) || i < 0 && len(to.Channels) == logger.MostColumns {
		return
	}
	t := s.At.Sub(to.Start).Seconds()
	if n := len(to.Time); n == 0 || t > to.Time[n-1] {
		to.Time = append(to.Time, t)
		for k := range to.Channels {
			to.Channels[k].Values = append(to.Channels[k].Values, math.NaN())
			to.Channels[k].Sent = append(to.Channels[k].Sent, false)
		}
	}
	last := len(to.Time) - 1
	if i < 0 {
		i = len(to.Channels)
		to.Channels = append(to.Channels, logger.Channel{Name: s.Channel, Unit: m.unit, Counted: m.counted, FileUnit: s.Unit, Values: missing(len(to.Time)), Sent: make([]bool, len(to.Time))})
	}
	to.Channels[i].Sent[last] = true
	if v := to.Channels[i].Values; math.IsNaN(v[last]) { // of two at one time the first counts
		v[last] = s.Value*m.factor + m.offset
	}
}

func missing(n int) []float64 {
	values := make([]float64, n)
	for k := range values {
		values[k] = math.NaN()
	}
	return values
}
