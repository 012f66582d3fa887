package ram

import "leat/calc"

// cannot refuses pressures that such a machine does not reach.
func (in PulseIn) cannot(out PulseOut) *calc.Fault {
	refuse := func(message string) *calc.Fault {
		return &calc.Fault{Code: calc.Infeasible, At: "/p2_gauge", Message: message}
	}
	switch {
	case out.P2 <= out.P1:
		return refuse("The pressure wanted is not above that of the trompe, so no booster is needed. Give a higher one; both are read on a gauge.")
	case out.P2 > out.PJoukowsky:
		return refuse("The pressure wanted is above the hardest kick of this drive pipe (Joukowsky). Want less, or let the water get faster, or take a stiffer pipe.")
	case out.Ratio >= out.RatioMost:
		return tooMuchStays()
	case out.P2 <= out.PStatic:
		return refuse("The standing pressure of the supply already reaches the pressure wanted: the fall alone does it, without any pulse.")
	}
	return nil
}

func (in PulseIn) warnings(out PulseOut, solid bool, wanted float64) []calc.Warning {
	warnings := []calc.Warning{{Code: "W_UNTESTED",
		Message: "Nothing measured is published about such a machine, and this may be off by a factor of three: build the chamber adjustable. It is a pressure vessel under shock: " +
			"design it for the full kick (p_joukowsky), put a relief valve at the delivery pressure and a separator behind it, and have it judged by somebody who knows the local rules."}}
	if solid {
		warnings = append(warnings, calc.Warning{Code: "W_SOLID", At: "/clearance_volume",
			Message: "With the outlet shut the water fills the whole stroke and strikes solid, with the full kick. Leave more room in the chamber, or fit a relief valve that is fast enough."})
	}
	if best := out.StrokeBest; best != nil && (in.Stroke / *best < 0.7 || in.Stroke / *best > 1.15) {
		warnings = append(warnings, calc.Warning{Code: "W_CHAMBER", At: "/stroke_volume",
			Message: "The chamber does not fit the beat: the best stroke is shown as stroke_best. Too large a one delivers little or nothing, too small a one wastes the beat."})
	}
	if wanted > in.Stroke {
		warnings = append(warnings, calc.Warning{Code: "W_CARRY_OVER", At: "/stroke_volume",
			Message: "The water runs through the whole chamber and into the air line. Take a larger chamber, and a separator in any case."})
	}
	return warnings
}
