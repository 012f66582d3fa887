package draw

import (
	"math"

	"leat/calc/trompe"
)

// drawGround hatches the ground up to its level, where the input gives one;
// else what the machine must stand on.
func (e *elevation) drawGround() {
	if e.in.Site.GroundM == nil {
		e.drawFooting()
		return
	}
	if !e.groundNear() {
		e.Notes = append(e.Notes, "the level of the ground lies far from the machine and is not drawn: look at it again")
		e.drawFooting()
		return
	}
	level, t := *e.in.Site.GroundM, 0.05*e.h
	if e.basin.z0 > level {
		e.drawBank()
	}
	x0, x1 := math.Min(e.basin.x0, e.room.x0)-t, math.Max(e.trough.x1, e.room.x1)+t
	if e.supplied() {
		x0, x1 = math.Min(x0, e.air.end()-t), math.Max(x1, e.air.end()+t)
	}
	e.area("ground-body", Site, Ground, rect(x0, math.Min(e.deepest(), level)-t, x1, level)...)
	e.line("ground-line", Site, Outline, pt(x0, level), pt(x1, level))
}

// groundNear says whether the ground is near enough to be drawn with the machine.
func (e *elevation) groundNear() bool {
	level := e.in.Site.GroundM
	top := math.Max(e.basin.z1, e.trough.z1)
	return level != nil && *level < top+0.6*e.h && *level > e.deepest()-0.6*e.h
}

// deepest is the lowest point drawn.
func (e *elevation) deepest() float64 { return math.Min(e.room.z0, e.port) }

// drawFooting hatches the bank that holds a forebay, the floor under a rig that
// stands free, and the rock around a chamber that is only a plan area.
func (e *elevation) drawFooting() {
	r, t := e.room, 0.05*e.h
	if e.in.Supply.Type == trompe.Forebay {
		e.drawBank()
	}
	if e.in.Chamber.Kind == trompe.Plan {
		e.area("ground-rock", Site, Ground, rect(r.x0-t, r.z0-t, e.rise.x1+t, r.z1+t)...)
		return
	}
	foot, right := e.deepest(), math.Max(r.x1, e.rise.x1)+t
	e.area("ground-floor", Site, Ground, rect(r.x0-t, foot-t, right, foot)...)
	e.line("ground-line", Site, Thin, pt(r.x0-t, foot), pt(right, foot))
}

func (e *elevation) drawBank() {
	b, t := e.basin, 0.05*e.h
	if e.in.Supply.Type != trompe.Forebay {
		return
	}
	e.area("ground-bank", Site, Ground,
		pt(b.x0, b.z0-t), pt(b.x1+t, b.z0-t), pt(b.x1+t, b.z1), pt(b.x1, b.z1), pt(b.x1, b.z0), pt(b.x0, b.z0))
}

// shallow is how deep a hole may be before the drawing warns of its sides, in
// metres. It is no limit of any rule: those differ from place to place.
const shallow = 0.5

// measureDigging marks the ground and how far down the machine reaches. Only a
// lying chamber gives the level of its floor; of others the deepest level given counts.
func (e *elevation) measureDigging() {
	if !e.groundNear() {
		return
	}
	level := *e.in.Site.GroundM
	x := math.Max(e.trough.x1, e.room.x1)
	e.mark("level-ground", Site, "ground", x, level, Right, 2)
	text, foot := "dig at least", math.Min(e.in.Chamber.LipM, e.in.Downcomer.OutletM)
	if e.in.Chamber.Kind == trompe.Horizontal {
		text, foot = "dig", math.Min(foot, e.in.Chamber.FloorM)
	}
	e.span("dim-dig", Site, text, x, level, math.Max(e.rise.x1, e.room.x1), foot, Right, 2)
	if level-foot > shallow {
		e.Notes = append(e.Notes, "the sides of a hole can fall in on people: slope or shore them; local rules say from what depth, and who may go in")
	}
}
