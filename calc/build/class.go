package build

import (
	"fmt"

	"leat/calc/strength"
)

// classify sums the parts up into the hazard class of the sheet, and says how
// many must check it.
func (r *Report) classify(m Machine, f Facts, l Limits) {
	risk := strength.SheetRisk{Ram: m.RamMaxPa != nil, Pulse: m.BoosterPa != nil, Shaft: f.Site.Shaft, DepthM: f.Site.DepthM, ELowJ: l.ELowJ}
	if f.Site.Digging != nil && !*f.Site.Digging && risk.DepthM == nil {
		none := 0.0
		risk.DepthM = &none
	}
	for _, p := range r.Parts {
		risk.Parts = append(risk.Parts, riskOf(p))
	}
	class, causes := strength.Class(risk)
	r.Class, r.Checkers = class, map[strength.HazardClass]int{strength.Plain: l.CheckersPlain, strength.Raised: l.CheckersRaised}[class]
	for _, c := range causes {
		r.Why = append(r.Why, Said{c.Code, causeWords(c)})
	}
}

// riskOf is what the class asks of a part. Conditions of water parts, such as an
// open top, do not raise it.
func riskOf(p Judged) strength.PartRisk {
	risk := strength.PartRisk{Name: p.called(), Decision: strength.Allowed}
	for _, a := range p.Asked {
		if out, ok := a.Answer.Result.(strength.GasOut); ok {
			risk.Gas, risk.Decision, risk.EnergyJ = true, out.Decision, out.EJ
			risk.GasPa, _ = a.Input["p_pa"].(float64)
		}
	}
	risk.Blocked = p.Verdict == strength.NotAllowed && risk.Decision != strength.NotAllowed
	return risk
}

func causeWords(c strength.Cause) string {
	text := causes[c.Code]
	if c.Part == "" {
		return text
	}
	return fmt.Sprintf("%s: %s", c.Part, text)
}

var causes = map[string]string{
	strength.CausePartNotAllowed:  "not allowed",
	strength.CausePartFault:       "not allowed",
	strength.CausePartConditional: "allowed with conditions only",
	strength.CauseGasOverHalfBar:  "gas above half a bar",
	strength.CauseGasEnergy:       "more gas than can be let go harmlessly",
	strength.CauseRam:             "a ram beats",
	strength.CausePulse:           "a pulse booster beats",
	strength.CauseShaft:           "there is a shaft, or nobody said that there is none",
	strength.CauseDepth:           "it is dug 1.2 m deep or more, or nobody said how deep",
}
