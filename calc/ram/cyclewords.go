package ram

import "leat/calc"

// neverShuts refuses a waste valve that the water does not shut.
func (in CycleIn) neverShuts(out CycleOut) *calc.Fault {
	late, at := in.VCloseRatio >= 1, "/V_close_ratio"
	if in.VClose != nil {
		late, at = out.VClose >= out.VInf, "/V_close"
	}
	if !late {
		return nil
	}
	return &calc.Fault{Code: calc.Infeasible, At: at,
		Message: "The valve never closes: the water in the drive pipe does not get as fast as the valve needs. Let it close earlier, with a weaker spring, less weight or a shorter stroke, or find more fall."}
}

// noPumping refuses a kick that does not reach the delivery.
func (in CycleIn) noPumping(out CycleOut) *calc.Fault {
	const g = calc.Gravity
	above := in.Rise - in.Fall
	if Kick(g, out.A, in.L, out.VClose, in.TClose) > above && out.VClose-g*above/out.A > 0 {
		return nil
	}
	return &calc.Fault{Code: calc.Infeasible, At: "/h",
		Message: "No pumping: the kick of the closing valve does not reach the delivery height. Lift less, let the water get faster before the valve closes, close it faster, or take a stiffer drive pipe: steel kicks three times as hard as plastic."}
}

// warnings tell where a ram leaves what is known of rams.
func (in CycleIn) warnings(out CycleOut) (warnings []calc.Warning) {
	warn := func(when bool, code, at, message string) {
		if when {
			warnings = append(warnings, calc.Warning{Code: code, At: at, Message: message})
		}
	}
	warn(out.LOverD < 150 || out.LOverD > 1000, "W_L_OVER_D", "/L",
		"The drive pipe is usually 150 to 1000 bores long. A shorter one beats too fast to pump well, a longer one loses its fall to friction.")
	warn(out.LOverH < 2.5 || out.LOverH > 12, "W_L_OVER_H", "/L",
		"The drive pipe is usually 2.5 to 12 times as long as the fall is high; 3 to 7 times works best, more where the fall is small.")
	warn(out.BPM < 25 || out.BPM > 150, "W_BEATS", "",
		"Rams beat 25 to 150 times a minute. Change the length of the drive pipe or the speed at which the valve closes.")
	if in.Rise/in.Fall > 20 {
		warnings = append(warnings, liftRatio("The lift is more than twenty times the fall, beyond what rams are known to do. Find more fall, or lift in two stages."))
	}
	warn(out.EtaR > 0.85, "W_LOSSES_LOW", "",
		"No ram is known that is this good: the losses are taken too low. Raise the loss coefficients of the valves, or calibrate them with a test.")
	return warnings
}
