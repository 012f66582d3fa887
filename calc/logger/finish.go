package logger

import (
	"math"
	"sort"
	"time"
)

// finish puts the rows in order and looks at them.
func (r *reader) finish() {
	if len(r.faults) > 0 {
		return
	}
	r.line = 0
	if r.separator == 0 {
		r.fault(NoHeader, 0, "", "The file is empty. Its first line must name the columns, such as: time [s], tank [bar].")
		return
	}
	if len(r.series.Time) == 0 {
		r.fault(NoRows, 0, "", "No line has a time that can be read. Write dates such as 2026-05-01T10:15:30Z, or seconds from the start, into the first column.")
		return
	}
	if r.unsorted {
		r.sort()
	}
	if r.dated {
		r.setStart()
	}
	r.report.Separator, r.report.DecimalComma, r.report.Dated = string(r.separator), r.mark == ',', r.dated
	r.report.look(r.series)
}

// setStart counts from the earliest date.
func (r *reader) setStart() {
	first := r.series.Time[0]
	whole := math.Floor(first)
	r.series.Start = time.Unix(r.epoch+int64(whole), r.epochNano+int64(math.Round((first-whole)*1e9))).UTC()
	if first == 0 {
		return
	}
	for i := range r.series.Time {
		r.series.Time[i] -= first
	}
}

// sort puts rows in the order of their times. Of rows at one time the first in
// the file stays.
func (r *reader) sort() {
	times := r.series.Time
	order := make([]int32, len(times))
	for i := range order {
		order[i] = int32(i) //nolint:gosec // rows are at most MostRows
	}
	sort.SliceStable(order, func(i, j int) bool { return times[order[i]] < times[order[j]] })
	kept := order[:1]
	for _, row := range order[1:] {
		if times[row] > times[kept[len(kept)-1]] {
			kept = append(kept, row)
		}
	}
	r.report.Duplicates = len(times) - len(kept)
	r.series.Time = picked(times, kept)
	for i := range r.series.Channels {
		r.series.Channels[i].Values = picked(r.series.Channels[i].Values, kept)
	}
}

func picked[thing any](from []thing, rows []int32) []thing {
	to := make([]thing, len(rows))
	for i, row := range rows {
		to[i] = from[row]
	}
	return to
}
