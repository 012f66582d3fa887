package draw

import (
	"math"

	"leat/calc/trompe"
)

// reachable is how far down from the ground somebody can reach in, in metres: a
// choice of the draughtsman, no rule.
const reachable = 1.5

// drawShaft draws the walls of the shaft in which a chamber stands that is deeper
// than one can reach.
func (e *elevation) drawShaft() {
	if !e.groundNear() || e.in.Chamber.Kind != trompe.Vertical || *e.in.Site.GroundM-e.in.Chamber.LipM < reachable {
		return
	}
	level, t := *e.in.Site.GroundM, 0.03*e.h
	x0, x1 := math.Min(e.room.x0, e.rise.x0)-t, math.Max(e.room.x1, e.rise.x1)+t
	foot := e.deepest() - t/2
	e.area("ground-shaft", Site, Dry, rect(x0, foot, x1, level)...)
	e.line("ground-shaft-walls", Site, Outline, pt(x0, level), pt(x0, foot), pt(x1, foot), pt(x1, level))
	e.say("label-shaft", Site, "shaft", x0, level-0.3*(level-foot), Left, 3)
	e.remark("in a shaft the air can be bad and the sides can fall in: whoever goes down follows the local rules for it")
}
