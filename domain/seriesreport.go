package domain

import (
	"time"

	"leat/calc/logger"
)

// SeriesReport says how a file was read, and what was odd about it.
type SeriesReport struct {
	Digest       string     `json:"digest"` // SHA-256, in hexadecimal digits
	Bytes        int        `json:"bytes"`
	Separator    string     `json:"separator"`
	DecimalComma bool       `json:"decimal_comma"`
	Start        *time.Time `json:"start"` // of second 0; null: the file counts from a start that it does not tell
	Duration     float64    `json:"duration_s"`

	Rows            int  `json:"rows"`
	Duplicates      int  `json:"duplicates"`
	OutOfOrder      int  `json:"out_of_order"`
	FirstOutOfOrder int  `json:"first_out_of_order"` // line; 0: none
	Untimed         int  `json:"untimed"`
	FirstUntimed    int  `json:"first_untimed"` // line; 0: none
	BrokenOff       int  `json:"broken_off"`    // line; 0: none
	Uneven          bool `json:"uneven"`

	MedianStep float64             `json:"median_step_s"`
	LongestGap SeriesGap           `json:"longest_gap"`
	Channels   []SeriesChannelFact `json:"channels"`
}

// SeriesGap is a distance between two rows.
type SeriesGap struct {
	After  float64 `json:"after_s"`
	Length float64 `json:"length_s"`
}

// SeriesChannelFact is what is known of a channel.
type SeriesChannelFact struct {
	Name     string        `json:"name"`
	Unit     string        `json:"unit"`    // SI
	Kind     string        `json:"kind"`    // pressure, temperature, flow, length, volume, frequency, number or other
	Counted  string        `json:"counted"` // of a pressure: gauge or absolute where the file says so, else empty
	FileUnit string        `json:"file_unit"`
	Missing  int           `json:"missing"`
	Stuck    []SeriesStuck `json:"stuck"`
}

// SeriesStuck is a stretch of one value while the values beside it vary.
type SeriesStuck struct {
	From  float64 `json:"from_s"`
	To    float64 `json:"to_s"`
	Value float64 `json:"value"`
}

// seriesKinds says by the SI unit what a channel is about.
var seriesKinds = map[string]string{
	"Pa": "pressure", "K": "temperature", "m3/s": "flow", "m": "length", "m3": "volume", "1/s": "frequency", "1": "number",
}

func kindOf(unit string) string {
	if kind, known := seriesKinds[unit]; known {
		return kind
	}
	return "other"
}

// NewSeriesReport puts together what the reading of a file found.
func NewSeriesReport(s logger.Series, r logger.Report) SeriesReport {
	out := SeriesReport{
		Digest: r.Digest, Bytes: r.Bytes, Separator: r.Separator, DecimalComma: r.DecimalComma, Duration: s.Time[len(s.Time)-1] - s.Time[0],
		Rows: r.Rows, Duplicates: r.Duplicates, OutOfOrder: r.OutOfOrder, FirstOutOfOrder: r.FirstOutOfOrder, Untimed: r.Untimed,
		FirstUntimed: r.FirstUntimed, BrokenOff: r.BrokenOff, Uneven: r.Uneven(), MedianStep: r.MedianStep, LongestGap: SeriesGap(r.LongestGap),
		Channels: []SeriesChannelFact{},
	}
	if r.Dated {
		out.Start = &s.Start
	}
	for i, c := range s.Channels {
		fact := SeriesChannelFact{
			Name: c.Name, Unit: c.Unit, Kind: kindOf(c.Unit), Counted: c.Counted, FileUnit: c.FileUnit, Missing: r.Channels[i].Missing, Stuck: []SeriesStuck{},
		}
		for _, stretch := range r.Channels[i].Stuck {
			fact.Stuck = append(fact.Stuck, SeriesStuck{s.Time[stretch.From], s.Time[stretch.To-1], stretch.Value})
		}
		out.Channels = append(out.Channels, fact)
	}
	return out
}
