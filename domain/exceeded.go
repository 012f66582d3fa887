package domain

import (
	"fmt"
	"slices"

	"leat/calc/asbuilt"
	"leat/calc/procedure"
	"leat/calc/sheet"
)

// TestedMachine is a machine as it stood when it was tested, and what the test
// went by.
type TestedMachine struct {
	Drawn       sheet.Input
	Differences map[string]float64 // as built
	Basis       procedure.Basis
}

// ofTheMachine names the settings that a machine can exceed; the others are about
// how a test is held, and who checks.
var ofTheMachine = []string{
	"p_low_pa", "p_brittle_max_pa", "e_low_j", "e_brittle_max_j", "e_competent_j", "pv_home_j", "hydro_factor", "collapse_factor", "ram_factor",
}

// Exceeds says in sentences what of the machine is beyond limits that came into
// force after its test. Each of them counts, also when it was loosened again.
func (m TestedMachine) Exceeds(later []SafetySettings) (exceeded []string, err error) {
	built, _ := asbuilt.Apply(m.Drawn, m.Differences) // they were applied before they were kept
	was, err := sheet.Run(built, m.Basis.Rules.Limits, nil)
	if err != nil {
		return nil, err
	}
	for _, s := range later {
		now, err := sheet.Run(built, s.Limits, nil)
		if err != nil {
			return nil, err
		}
		found := asbuilt.Worse(was.Build, now.Build)
		basis := procedure.BasisOf(built, now, "", RulesOf(s))
		if basis.Test.LowPa > m.Basis.Test.LowPa*(1+1e-9) {
			found = append(found, fmt.Sprintf("It was tested with %.4g bar at its lowest point; now %.4g bar is asked for.", m.Basis.Test.LowPa/1e5, basis.Test.LowPa/1e5))
		}
		for _, text := range found {
			if !slices.Contains(exceeded, text) {
				exceeded = append(exceeded, text)
			}
		}
	}
	return exceeded, nil
}

// TightensMachine tells whether settings are stricter than the rules of a test in
// something that a machine can exceed.
func TightensMachine(then procedure.Rules, later SafetySettings) bool {
	before := SafetySettings{Limits: then.Limits, CertificateMonths: then.LifeMonths, CertificateGasMonths: then.LifeGasMonths}
	return slices.ContainsFunc(Tightens(before, later), func(name string) bool { return slices.Contains(ofTheMachine, name) })
}
