package domain

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Source is where the water comes from.
type Source string

// The sources.
const (
	Stream Source = "stream"
	Hose   Source = "hose"
	Mains  Source = "mains"
	Roof   Source = "roof"
	Tank   Source = "tank"
)

var sources = []Source{Stream, Hose, Mains, Roof, Tank}

// Site is what is known about the place of a project. Each project has exactly
// one, empty at first.
type Site struct {
	Project   ProjectID
	Version   int64
	ChangedAt *time.Time // absent until somebody described it
	ChangedBy *Person
	Gauging   *Gauging // the one that counts; nil until the flow was gauged
	Allowed   []Action // what the reader may do
	SiteFacts
}

// SiteFacts are the facts of a site, in SI units; what is not known is absent.
// FlowM3S and Gauged are those of the gauging that counts.
type SiteFacts struct {
	Name      string
	Source    *Source
	FallM     *float64
	FlowM3S   *float64
	Gauged    string   // how and when the flow was gauged
	StaticPa  *float64 // gauge pressure of a hose without flow
	WaterC    *float64
	AirC      *float64
	AltitudeM *float64
	Note      string
}

// DescribeSite replaces all facts of a site but the flow: a flow, or words about
// it, that differ from the gauging that counts are kept as a new gauging, and
// none at all leaves it as it is.
type DescribeSite struct {
	Project ProjectID
	Version int64 // what was read
	Facts   SiteFacts
}

// Validate trims the texts and finds all faults.
func (c *DescribeSite) Validate() error {
	f := &c.Facts
	faults := line("/name", &f.Name, 0, titleMost)
	if f.Source != nil && !slices.Contains(sources, *f.Source) {
		faults = append(faults, Field{"/source", "unknown_value", "Choose stream, hose, mains, roof or tank, or leave it open."})
	}
	faults = append(faults, within("/fall_m", f.FallM, 0, 1000, "m")...)
	faults = append(faults, within("/flow_m3s", f.FlowM3S, 0, 100, "m³/s")...)
	if f.FlowM3S == nil && f.Gauged != "" {
		faults = append(faults, Field{"/flow_m3s", "missing", "Type the flow too: how it was gauged is kept beside its figure. Or put these words into the note."})
	}
	faults = append(faults, prose("/gauged", &f.Gauged, gaugedMost)...)
	faults = append(faults, within("/static_pa", f.StaticPa, 0, 2e6, "Pa")...)
	// The temperatures are those that the calculation takes.
	faults = append(faults, within("/t_water_c", f.WaterC, 0.5, 45, "°C")...)
	faults = append(faults, within("/t_air_c", f.AirC, -30, 50, "°C")...)
	faults = append(faults, within("/altitude_m", f.AltitudeM, -430, 5000, "m")...)
	return Faulty(append(faults, prose("/note", &f.Note, purposeMost)...))
}

// within returns a fault when a figure is given and is not between low and high.
func within(pointer string, v *float64, low, high float64, unit string) []Field {
	if v == nil || *v >= low && *v <= high && !math.IsNaN(*v) {
		return nil
	}
	return []Field{{pointer, "range", fmt.Sprintf("This must lie between %.10g and %.10g %s. Leave it empty if it isn't known.", low, high, unit)}}
}
