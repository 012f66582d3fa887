package domain

import (
	"fmt"
	"math"
	"time"

	"leat/calc/build"
)

// SafetySettings are the limits of the rules of safety as a group has them: what
// the calculations take, and how long a certificate lives. Kept and shown as
// this JSON.
type SafetySettings struct {
	build.Limits
	CertificateMonths    int `json:"certificate_months"`
	CertificateGasMonths int `json:"certificate_gas_months"` // with gas that is allowed on conditions only
}

// DefaultSafetySettings returns what counts until a group has set anything.
func DefaultSafetySettings() SafetySettings {
	return SafetySettings{Limits: build.DefaultLimits(), CertificateMonths: 12, CertificateGasMonths: 3}
}

// SafetyBound says how far one setting may be set. No group can set it
// further.
type SafetyBound struct {
	Name      string // in JSON
	Low, High float64
	Whole     bool
	Stricter  Direction
	Words     string // the bound, as people read it

	of func(*SafetySettings) float64
}

// Direction is where a setting gets stricter.
type Direction int

// The directions.
const (
	Lower  Direction = -1
	Higher Direction = 1
)

// SafetyBounds lists the bounds of all settings that are numbers.
func SafetyBounds() []SafetyBound { return safetyBounds }

var safetyBounds = []SafetyBound{
	{"p_low_pa", 0, 10_000, false, Lower, "from 0 to 0.1 bar", func(s *SafetySettings) float64 { return s.PLowPa }},
	{"p_brittle_max_pa", 0, 50_000, false, Lower, "from 0 to 0.5 bar: above that, plastic that splinters never holds gas", func(s *SafetySettings) float64 { return s.PBrittleMaxPa }},
	{"e_low_j", 0, 79, false, Lower, "from 0 to 79 J", func(s *SafetySettings) float64 { return s.ELowJ }},
	{"e_brittle_max_j", 0, 1356, false, Lower, "from 0 to 1356 J", func(s *SafetySettings) float64 { return s.EBrittleMaxJ }},
	{"e_competent_j", 0, 5000, false, Lower, "from 0 to 5000 J", func(s *SafetySettings) float64 { return s.ECompetentJ }},
	{"pv_home_j", 0, 5000, false, Lower, "from 0 to 50 bar litres", func(s *SafetySettings) float64 { return s.PVHomeJ }},
	{"hydro_factor", 1.5, 2, false, Higher, "from 1.5 to 2", func(s *SafetySettings) float64 { return s.HydroFactor }},
	{"gas_floor_m", 10, 1000, false, Higher, "from 10 to 1000 m; less than 30 m counts only behind a barrier and up to 1356 J", func(s *SafetySettings) float64 { return s.GasFloorM }},
	{"water_floor_m", 3, 1000, false, Higher, "from 3 to 1000 m", func(s *SafetySettings) float64 { return s.WaterFloorM }},
	{"collapse_factor", 2, 20, false, Higher, "from 2 to 20", func(s *SafetySettings) float64 { return s.CollapseFactor }},
	{"ram_factor", 0, 0.5, false, Lower, "from 0 to 0.5", func(s *SafetySettings) float64 { return s.RamFactor }},
	{"hold_plastic_minutes", 30, 1440, false, Higher, "from 30 minutes to a day", func(s *SafetySettings) float64 { return s.HoldPlasticMin }},
	{"hold_metal_minutes", 10, 1440, false, Higher, "from 10 minutes to a day", func(s *SafetySettings) float64 { return s.HoldMetalMin }},
	{"gauge_age_days", 1, 365, true, Lower, "from 1 to 365 days", func(s *SafetySettings) float64 { return s.GaugeAgeDays }},
	{"cure_floor_hours", 24, 720, false, Higher, "from 24 to 720 hours", func(s *SafetySettings) float64 { return s.CureFloorH }},
	{"certificate_months", 1, 24, true, Lower, "from 1 to 24 months", func(s *SafetySettings) float64 { return float64(s.CertificateMonths) }},
	{"certificate_gas_months", 1, 3, true, Lower, "from 1 to 3 months", func(s *SafetySettings) float64 { return float64(s.CertificateGasMonths) }},
	{"checkers_plain", 1, 5, true, Higher, "from 1 to 5 people", func(s *SafetySettings) float64 { return float64(s.CheckersPlain) }},
	{"checkers_raised", 2, 5, true, Higher, "from 2 to 5 people", func(s *SafetySettings) float64 { return float64(s.CheckersRaised) }},
}

// gasFloorAlways is the one setting that is no number.
const gasFloorAlways = "gas_floor_always"

func (s SafetySettings) faults(at string) (faults []Field) {
	for _, b := range safetyBounds {
		v := b.of(&s)
		switch {
		case v < b.Low || v > b.High || math.IsNaN(v):
			faults = append(faults, Field{at + "/" + b.Name, "range", fmt.Sprintf("This may be set %s. No group can set it further.", b.Words)})
		case b.Whole && v != math.Trunc(v):
			faults = append(faults, Field{at + "/" + b.Name, "whole", "This must be a whole number."})
		}
	}
	if len(faults) == 0 && s.CheckersRaised < s.CheckersPlain {
		faults = append(faults, Field{at + "/checkers_raised", "inconsistent", "A machine with a raised hazard takes at least as many checkers as a plain one."})
	}
	return faults
}

// Tightens names the settings that are stricter in the second than in the first.
func Tightens(before, after SafetySettings) []string { return differing(before, after, 1) }

// Loosens names the settings that are looser in the second than in the first.
func Loosens(before, after SafetySettings) []string { return differing(before, after, -1) }

func differing(before, after SafetySettings, towards float64) (names []string) {
	for _, b := range safetyBounds {
		if (b.of(&after)-b.of(&before))*float64(b.Stricter)*towards > 0 {
			names = append(names, b.Name)
		}
	}
	if before.GasFloorAlways != after.GasFloorAlways && after.GasFloorAlways == (towards > 0) {
		names = append(names, gasFloorAlways)
	}
	return names
}

// SafetyID numbers proposals of safety settings; 0 stands for what leat comes
// with.
type SafetyID int64

// SafetyProposal are settings that a keeper has proposed. They take effect when a
// steward and a second member have signed.
type SafetyProposal struct {
	ID        SafetyID
	Follows   SafetyID // what was in force when it was proposed
	Settings  SafetySettings
	Before    SafetySettings // that it follows
	Why       string
	By        Person
	At        time.Time
	Approvals Approvals
	State     ApprovalState
	Lacks     string   // what keeps it from taking effect, while it waits
	Allowed   []Action // what the reader may do
}

// Judge fills in what became of the proposal while another one is in force.
func (p *SafetyProposal) Judge(inForce SafetyID) {
	p.State = p.Approvals.stateOf(int64(p.ID), int64(p.Follows), int64(inForce))
}

// Safety is what is in force and what waits for signatures.
type Safety struct {
	ID       SafetyID // in force; 0: what leat comes with
	Settings SafetySettings
	InForce  *SafetyProposal // nil for what leat comes with
	Waiting  []SafetyProposal
	Allowed  []Action // what the reader may do
}

// ProposeSafety proposes other settings.
type ProposeSafety struct {
	Follows  SafetyID // that was in force as it was read
	Settings SafetySettings
	Why      string
	Key      string // made by the client; a retry with it makes no second proposal
}

const whyMost = 1000

// Validate trims the reason and finds all faults.
func (c *ProposeSafety) Validate() error {
	faults := c.Settings.faults("/settings")
	faults = append(faults, reason("/why", &c.Why)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// Fits refuses what would change nothing, and what somebody changed first.
func (c *ProposeSafety) Fits(inForce SafetyID, before SafetySettings) error {
	if c.Follows != inForce {
		return &Error{Kind: Stale, Code: "safety-stale", Message: "Other safety settings took effect after you opened this. Nothing of yours was proposed: keep your text, look at what is in force now, and propose again from that."}
	}
	if c.Settings == before {
		return &Error{Kind: Conflict, Code: "nothing-changed", Message: "These are the settings that are in force. Nothing was proposed: change one first."}
	}
	return nil
}

// reason trims a reason in place and returns what is wrong with it.
func reason(pointer string, text *string) []Field {
	if faults := prose(pointer, text, whyMost); faults != nil {
		return faults
	}
	if *text == "" {
		return []Field{{pointer, "missing", "Say why: it stays on the record for all to read."}}
	}
	return nil
}
