package notebook

import (
	"encoding/json"
	"slices"

	"leat/calc/confront"
	"leat/calc/gauge"
	"leat/calc/trompe"
	"leat/domain"
)

// workOut fills in what each reading of a run comes to, and what counts at each of
// its points.
func workOut(r *domain.Run, v domain.BuildVersion, zone string) {
	site := siteOf(v)
	for i := range r.Points {
		p := &r.Points[i]
		around := conditionsAt(*r, i, zone)
		for k := range p.Readings {
			reading := &p.Readings[k]
			reading.Worked = quantityOf(gaugeReading(*reading, reading.Kept(), zone), around, site)
			if len(reading.Strikes) > 0 {
				all := quantityOf(gaugeReading(*reading, reading.Values, zone), around, site)
				reading.WithAll = &all
			}
		}
		for k := range p.Windows {
			workOutWindow(&p.Windows[k], around, site, zone)
		}
		conditions, measured := gauge.Evaluate(append(around, counting(*p, zone, false)...), site)
		p.Worked = slices.Concat(conditions, measured)
	}
}

func workOutWindow(w *domain.SeriesWindow, around []gauge.Reading, site gauge.Site, zone string) {
	for i := range w.Channels {
		if r, ok := w.ReadingOf(w.Channels[i], zone); ok {
			q := quantityOf(r, around, site)
			w.Channels[i].Worked = &q
		}
	}
}

// quantityOf is what one reading comes to, under the conditions around it.
func quantityOf(r gauge.Reading, around []gauge.Reading, site gauge.Site) confront.Quantity {
	conditions, measured := gauge.Evaluate(append(slices.Clone(around), r), site)
	all := slices.Concat(conditions, measured)
	return all[slices.IndexFunc(all, func(q confront.Quantity) bool { return q.Name == r.Quantity })]
}

// siteOf is what the machine as it stood says of the place. The head is that of
// the prediction: where the water stands at the intake follows from the flow.
func siteOf(v domain.BuildVersion) (s gauge.Site) {
	var in struct {
		Site struct {
			AltitudeM *float64 `json:"altitude_m"`
		} `json:"site"`
	}
	if json.Unmarshal(v.Input.Trompe, &in) == nil {
		s.AltitudeM = in.Site.AltitudeM
	}
	if t := v.Report.Trompe; t != nil && t.Numbers != nil {
		s.HeadM = &t.HeadM
	}
	return s
}

// counting are the readings of a point that count: its conditions, or its
// quantities.
func counting(p domain.RunPoint, zone string, conditions bool) (list []gauge.Reading) {
	for _, r := range p.Readings {
		if r.Counts && domain.MeasurableNamed(r.Quantity).Condition == conditions {
			list = append(list, gaugeReading(r, r.Kept(), zone))
		}
	}
	for _, w := range p.Windows {
		for _, c := range w.Channels {
			if r, ok := w.ReadingOf(c, zone); ok && c.Counts && domain.MeasurableNamed(r.Quantity).Condition == conditions {
				list = append(list, r)
			}
		}
	}
	return list
}

// conditionsAt are the conditions of a point. What was read of the site at another
// point of the run alone is taken from the nearest one: the weather of that hour
// is a better guess than that of the sheet.
func conditionsAt(r domain.Run, at int, zone string) []gauge.Reading {
	list := counting(r.Points[at], zone, true)
	for away := 1; away < len(r.Points); away++ {
		for _, i := range []int{at - away, at + away} {
			if i < 0 || i >= len(r.Points) {
				continue
			}
			for _, other := range counting(r.Points[i], zone, true) {
				known := slices.ContainsFunc(list, func(g gauge.Reading) bool { return g.Quantity == other.Quantity })
				if !known && slices.Contains(ofTheSite, other.Quantity) {
					list = append(list, other)
				}
			}
		}
	}
	return list
}

// ofTheSite are the conditions that change slowly, and for all points alike.
var ofTheSite = []string{gauge.AirPressure, gauge.AirWarmth, gauge.WaterWarmth, gauge.Humidity}

func gaugeReading(r domain.Reading, values []float64, zone string) gauge.Reading {
	g := gauge.Reading{Quantity: r.Quantity, Method: r.Method, Values: values, Extra: r.Extra}
	if i := r.Instrument; i != nil {
		g.Instrument = &gauge.Instrument{
			Name: i.Name, Low: i.Low, High: i.High, Resolution: i.Resolution, ClassPct: i.ClassPct, Accuracy: i.Accuracy, Overdue: r.Overdue(zone),
		}
	}
	return g
}

// caseOf is a run as its verdict is worked out: the machine as it stood, and what
// counts at each point.
func caseOf(r domain.Run, v domain.BuildVersion, set *trompe.Set, draws confront.Draws) confront.Case {
	c := confront.Case{Machine: v.Input.Trompe, Set: set, SetName: r.CoefficientSet, Points: []confront.Point{}, Required: r.Required, Limits: []confront.Limit{}, Draws: draws}
	for _, p := range r.Points {
		point := confront.Point{Name: p.Name, Setting: p.Setting, Conditions: []confront.Quantity{}, Measured: []confront.Quantity{}}
		for _, q := range p.Worked {
			if domain.MeasurableNamed(q.Name).Condition {
				point.Conditions = append(point.Conditions, q)
				continue
			}
			point.Measured = append(point.Measured, q)
		}
		c.Points = append(c.Points, point)
	}
	for _, name := range sortedNames(r.Limits) {
		l := r.Limits[name]
		c.Limits = append(c.Limits, confront.Limit{Name: name, Lower: l.Low, Upper: l.High})
	}
	return c
}
