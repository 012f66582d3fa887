package logger

import "math"

// MostPoints is how many points of a channel a chart gets where it does not ask
// for fewer.
const MostPoints = 2000

// Reduced returns points of a channel in a window, at most so many, two or more:
// all where there are no more, else the least and the greatest value of each
// bucket of equal time, in the order in which they came, so that no peak is lost.
// A bucket without a value has one point that is NaN, which breaks the line.
func (s Series) Reduced(channel int, w Window, most int) (times, values []float64) {
	times, all := s.Time[w.From:w.To], s.Channels[channel].Values[w.From:w.To]
	if len(times) <= most {
		return times, all
	}
	buckets := most / 2
	first, width := times[0], (times[len(times)-1]-times[0])/float64(buckets)
	points := reduced{times: make([]float64, 0, most), values: make([]float64, 0, most)}
	from := 0
	for b := range buckets {
		end := first + float64(b+1)*width
		to := from
		for to < len(times) && (times[to] < end || b == buckets-1) {
			to++
		}
		points.add(times[from:to], all[from:to], end-width/2)
		from = to
	}
	return points.times, points.values
}

type reduced struct{ times, values []float64 }

func (p *reduced) add(times, values []float64, middle float64) {
	low, high := -1, -1
	for i, x := range values {
		if low < 0 && x == x || low >= 0 && x < values[low] {
			low = i
		}
		if high < 0 && x == x || high >= 0 && x > values[high] {
			high = i
		}
	}
	if low < 0 {
		p.times, p.values = append(p.times, middle), append(p.values, math.NaN())
		return
	}
	for _, i := range []int{min(low, high), max(low, high)} {
		p.times, p.values = append(p.times, times[i]), append(p.values, values[i])
		if low == high {
			break
		}
	}
}
