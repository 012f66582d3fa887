package draw

import (
	"fmt"
	"math"

	"leat/calc/sheet"
	"leat/calc/trompe"
)

func (e *elevation) drawSupply() {
	b := e.basin
	if e.wet() {
		e.area("supply-water", Supply, Water, rect(b.x0, b.z0, b.x1, e.level)...)
		if e.in.Supply.Type != trompe.HoseClosed {
			e.line("supply-surface", Supply, Thin, pt(b.x0, e.level), pt(b.x1, e.level))
		}
	} else {
		e.area("supply-dry", Supply, Dry, rect(b.x0, b.z0, b.x1, b.z1)...)
	}
	e.line("supply-wall-right", Supply, Outline, pt(b.x1, b.z0), pt(b.x1, b.z1))
	e.drawBasinFloor()
	if e.in.Supply.Type == trompe.Forebay && e.kind != sheet.Lift {
		return
	}
	e.line("supply-wall-left", Supply, Outline, pt(b.x0, b.z0), pt(b.x0, b.z1))
	if e.in.Supply.Type == trompe.HoseClosed {
		e.line("supply-lid", Supply, Outline, pt(b.x0, b.z1), pt(b.x1, b.z1))
	}
	if e.hosed() {
		e.drawHose()
	}
}

// hosed says whether a hose feeds the machine; a ram that lifts to it has its
// delivery pipe there.
func (e *elevation) hosed() bool {
	return e.in.Supply.Type != trompe.Forebay && e.kind != sheet.Lift
}

// drawBasinFloor draws the floor from pipe to pipe.
func (e *elevation) drawBasinFloor() {
	b := e.basin
	x := b.x0
	for i := range e.units {
		mid := e.axis(i, b.z0)
		e.line(fmt.Sprintf("supply-floor-%d", i+1), Supply, Outline, pt(x, b.z0), pt(mid-e.wide/2, b.z0))
		x = mid + e.wide/2
	}
	e.line(fmt.Sprintf("supply-floor-%d", e.units+1), Supply, Outline, pt(x, b.z0), pt(b.x1, b.z0))
}

// drawHose leads a hose with its gauge to the header or the closed head. A
// gauge far above or below the machine is drawn at the edge of it.
func (e *elevation) drawHose() {
	b, in := e.basin, e.in.Supply
	from := e.tap()
	into := pt(b.x0, (b.z0+b.z1)/2)
	if in.Type == trompe.HoseOpen {
		into = pt(b.x0+0.03*e.h, e.spout())
	}
	turn := pt(b.x0-0.07*e.h, 0)
	e.line("supply-hose", Supply, Hose, from, Point{turn[0], from[1]}, Point{turn[0], into[1]}, into)
	e.fit("supply-gauge", Supply, Gauge, from)
}

// tap is where the hose begins.
func (e *elevation) tap() Point {
	low, high := e.room.z0+0.1*e.h, e.room.z0+0.9*e.h
	return pt(e.basin.x0-0.15*e.h, math.Min(math.Max(e.in.Supply.ZM, low), high))
}

// spout is where an open hose lets its water go.
func (e *elevation) spout() float64 {
	if out := e.in.Supply.OutletM; out != nil {
		return math.Min(*out, e.level+0.12*e.h)
	}
	return e.in.Supply.LevelMaxM
}
