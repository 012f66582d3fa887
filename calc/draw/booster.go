package draw

import (
	"math"

	"leat/calc/sheet"
)

// drawBooster draws the ram of a trompe that has one: on the left where it lifts
// the water into the header, on the right where it boosts the air.
func (e *elevation) drawBooster() {
	r := e.ram
	if r.fall <= 0 {
		return
	}
	e.drawRam(r)
	switch e.kind {
	case sheet.Lift:
		e.drawAirVessel(e.around, r)
		e.measureRam(r, "water of the ram")
		e.labelLift(e.around, r)
	case sheet.Pulse:
		top := e.drawBoosterOn(e.around, r)
		e.measureRam(r, "water of the ram")
		from := pt(e.stub()+e.reach(), e.takeoffLevel())
		x := (e.rightmost() + r.x - bodyWide*r.h) / 2
		e.line("pulse-inlet", Pulse, Outline, from, pt(x, from[1]), pt(x, top[1]+0.05*r.h), pt(top[0]-0.02*r.h, top[1]+0.05*r.h), pt(top[0]-0.02*r.h, top[1]))
		e.line("pulse-outlet", Pulse, Outline, pt(top[0]+0.02*r.h, top[1]), e.air.from)
	}
}

// rightmost is the right end of the trompe itself.
func (e *elevation) rightmost() float64 { return math.Max(e.trough.x1, e.room.x1) }

func (e *elevation) leftmost() float64 {
	x := math.Min(e.basin.x0, e.room.x0)
	if e.hosed() {
		x = math.Min(x, e.basin.x0-0.15*e.h)
	}
	return x
}

// layOutRam places the ram. The one that lifts delivers at the level of the
// header; the one that boosts has the water of the trompe, on the other side.
func (e *elevation) layOutRam() {
	if e.kind != sheet.Lift && e.kind != sheet.Pulse {
		return
	}
	r := e.hydraulic()
	r.beside = true
	r.h = math.Max(math.Max(r.fall, r.rise), 0.5*e.h)
	if e.kind == sheet.Lift {
		r.over = 0.05 * e.h
		r.z = e.level - r.rise
		r.x = e.leftmost() - 0.04*e.h - (bodyWide+0.1)*r.h
		into := e.basin.x0 + 0.03*e.h
		r.run = into - (r.x + bodyWide*r.h + r.climb())
	} else {
		r.dir = -1
		r.z = e.level - r.fall
		r.x = e.rightmost() + 0.1*e.h + (bodyWide+0.06)*r.h
	}
	e.ram = r
}
