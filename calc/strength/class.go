package strength

// HazardClass says how much is at stake in a whole sheet, and with it how many
// people check it.
type HazardClass string

// The hazard classes.
const (
	Plain  HazardClass = "plain"  // one checker
	Raised HazardClass = "raised" // two checkers
	Barred HazardClass = "barred" // the sheet can't be issued
)

// What makes a class.
const (
	CausePartNotAllowed  = "part_not_allowed"
	CausePartFault       = "part_fault"
	CausePartConditional = "part_conditional"
	CauseGasOverHalfBar  = "gas_over_0_5_bar"
	CauseGasEnergy       = "gas_energy_over_low"
	CauseRam             = "ram"
	CausePulse           = "pulse_booster"
	CauseShaft           = "shaft"
	CauseDepth           = "deep"
)

// Cause is one thing that makes a class; Part is empty where it is no part.
type Cause struct {
	Code string `json:"code"`
	Part string `json:"part,omitempty"`
}

// PartRisk is what the class asks of one part.
type PartRisk struct {
	Name     string
	Gas      bool    // it holds gas, or may
	Decision string  // of [Gas]; read only where it holds gas
	Blocked  bool    // another step says no: no rating, over it, collapse, surge
	GasPa    float64 // highest gas pressure, gauge
	EnergyJ  float64 // of the whole gas volume that it is connected with
}

// SheetRisk is what the class of a sheet hangs on. A fact of the site that nobody
// has answered counts as the worse one.
type SheetRisk struct {
	Parts      []PartRisk
	Ram, Pulse bool
	Shaft      *bool
	DepthM     *float64
	ELowJ      float64 // the group's limit, [GasConfig]
}

// deepFrom is the depth in m from which a hole wants two checkers, common
// practice.
const deepFrom = 1.2

// Class returns the hazard class of a sheet and everything that makes it so, in
// the order of the parts.
func Class(s SheetRisk) (HazardClass, []Cause) {
	if causes := s.barring(); len(causes) > 0 {
		return Barred, causes
	}
	if causes := s.raising(); len(causes) > 0 {
		return Raised, causes
	}
	return Plain, []Cause{}
}

func (s SheetRisk) barring() (causes []Cause) {
	for _, p := range s.Parts {
		if p.Gas && p.Decision != Allowed && p.Decision != Conditional {
			causes = append(causes, Cause{CausePartNotAllowed, p.Name})
		}
		if p.Blocked {
			causes = append(causes, Cause{CausePartFault, p.Name})
		}
	}
	return causes
}

func (s SheetRisk) raising() (causes []Cause) {
	add := func(applies bool, code, part string) {
		if applies {
			causes = append(causes, Cause{code, part})
		}
	}
	for _, p := range s.Parts {
		if !p.Gas {
			continue
		}
		add(p.Decision == Conditional, CausePartConditional, p.Name)
		add(p.GasPa > halfBar, CauseGasOverHalfBar, p.Name)
		add(p.EnergyJ > s.ELowJ, CauseGasEnergy, p.Name)
	}
	add(s.Ram, CauseRam, "")
	add(s.Pulse, CausePulse, "")
	add(s.Shaft == nil || *s.Shaft, CauseShaft, "")
	add(s.DepthM == nil || *s.DepthM >= deepFrom, CauseDepth, "")
	return causes
}
