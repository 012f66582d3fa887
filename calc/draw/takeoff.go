package draw

import (
	"math"

	"leat/calc/sheet"
	"leat/calc/trompe"
)

// drawTakeoff draws the air line: up from the chamber to a gauge, then through
// a valve to where the air is used. No input gives its way or the receiver's size.
func (e *elevation) drawTakeoff() {
	at, z := e.stub(), e.takeoffLevel()
	end := at + e.reach()
	e.line("takeoff-line", Takeoff, Outline, pt(at, e.room.z1), pt(at, z), pt(end, z))
	e.fit("takeoff-gauge", Takeoff, Gauge, e.gauge())
	valve := Valve
	if e.in.Takeoff.Mode == trompe.ValveShut {
		valve = Shut
	}
	e.fit("takeoff-valve", Takeoff, valve, pt(at+0.8*e.reach(), z))
	if e.ownReceiver() {
		e.drawReceiver(end, z)
	}
}

// ownReceiver says whether the receiver is only a pressure at the take-off; else
// it stands where the air goes.
func (e *elevation) ownReceiver() bool {
	return e.in.Takeoff.Mode == trompe.ToReceiver && !e.has(receiverAt)
}

func (e *elevation) drawReceiver(x, z float64) {
	far, half := x+math.Copysign(receiverWide*e.h, e.reach()), 0.08*e.h
	r := rect(math.Min(x, far), z-half, math.Max(x, far), z+half)
	kind := Dry
	if e.wet() {
		kind = Air
	}
	e.area("takeoff-receiver", Takeoff, kind, r...)
	e.line("takeoff-receiver-wall", Takeoff, Thin, append(r, r[0])...)
}

// gauge is where the gauge of the air line sits: beside its rise, clear of the pipes.
func (e *elevation) gauge() Point { return pt(e.stub()+0.35*e.reach(), e.takeoffLevel()) }

const (
	takeoffReach = 0.16 // share of the height, from the rise to the end of the line
	receiverWide = 0.08
)

// leftward says whether the air leads away to the left: where the riser is a ring
// around the downcomer, and no ram stands there.
func (e *elevation) leftward() bool { return e.annulus() && e.kind == sheet.Trompe }

// reach is how far the line leads sideways.
func (e *elevation) reach() float64 {
	if e.leftward() {
		return -takeoffReach * e.h
	}
	return takeoffReach * e.h
}

// takeoffEnd is the far end of the line, or of the receiver.
func (e *elevation) takeoffEnd() float64 {
	far := e.stub() + e.reach()
	if e.ownReceiver() {
		far += math.Copysign(receiverWide*e.h, e.reach())
	}
	return far
}

// takeoffLevel is where the line turns: a little above the chamber, or above
// the ground that buries it, if the basin leaves room.
func (e *elevation) takeoffLevel() float64 {
	low := e.room.z1 + 0.1*e.h
	z := low
	if e.groundNear() {
		z = math.Max(z, *e.in.Site.GroundM+0.1*e.h)
	}
	if e.stub() < e.basin.x1+0.02*e.h {
		z = math.Min(z, e.basin.z0-0.1*e.h)
	}
	return math.Max(z, low)
}

// stub is where the air line leaves the chamber: between the last downcomer and
// the far end, or in the ring around an outer pipe.
func (e *elevation) stub() float64 {
	if e.leftward() {
		return (math.Min(-e.in.Riser.OuterBoreM/2, 0.5*e.room.x0) + e.room.x0) / 2
	}
	if e.annulus() {
		return (math.Max(e.in.Riser.OuterBoreM/2, 0.5*e.room.x1) + e.room.x1) / 2
	}
	out := e.in.Downcomer.OutletM
	last := e.axis(e.units-1, out) + math.Max(e.wide, e.outletBore())/2
	return (math.Min(last, e.room.x1) + e.room.x1) / 2
}
