package domain

import "time"

// GaugingID names a gauging.
type GaugingID int64

// Gauging is one measurement of the flow of a site. It never changes; the one
// recorded last counts.
type Gauging struct {
	ID         GaugingID
	RecordedAt time.Time
	RecordedBy Person
	GaugingFacts
}

// GaugingFacts are what somebody found at the water.
type GaugingFacts struct {
	FlowM3S      float64    // m³/s
	HalfWidthM3S *float64   // of the 95 % interval, m³/s; nil: nobody said
	On           *time.Time // the day, at 0:00 UTC; nil: only the words tell
	How          string
	Note         string
}

// RecordGauging keeps a gauging of the site of a project.
type RecordGauging struct {
	Project ProjectID
	Facts   GaugingFacts
	Key     string // made by the client; a retry with it makes no second gauging
}

const gaugedMost = 500

// earliestGauging is the first day that is taken for no slip of the finger.
var earliestGauging = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)

// Validate trims the texts and finds all faults. A day is still to come while it
// has begun nowhere on Earth.
func (c *RecordGauging) Validate(now time.Time) error {
	f := &c.Facts
	faults := within("/flow_m3s", &f.FlowM3S, 0, 100, "m³/s")
	faults = append(faults, within("/half_width_m3s", f.HalfWidthM3S, 0, 100, "m³/s")...)
	if f.HalfWidthM3S != nil && *f.HalfWidthM3S > f.FlowM3S {
		faults = append(faults, Field{"/half_width_m3s", "range", "This is more than the flow itself. Type by how much the flow may be off, or leave it empty."})
	}
	if f.On != nil && (f.On.Before(earliestGauging) || f.On.After(now.Add(14*time.Hour))) {
		faults = append(faults, Field{"/gauged_on", "range", "This day is not past yet, or too long ago. Type the day on which it was gauged, or leave it empty."})
	}
	faults = append(faults, prose("/how", &f.How, gaugedMost)...)
	faults = append(faults, prose("/note", &f.Note, purposeMost)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}
