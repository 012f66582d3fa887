package draw

import (
	"math"

	"leat/calc/trompe"
)

// drawChamber draws the chamber with water below its level and air above. Edges
// that no input gives are thin.
func (e *elevation) drawChamber() {
	r := e.room
	if e.wet() {
		level := math.Min(math.Max(e.num.ChamberLevelM, r.z0), r.z1)
		e.area("chamber-air", Chamber, Air, rect(r.x0, level, r.x1, r.z1)...)
		e.area("chamber-water", Chamber, Water, rect(r.x0, r.z0, r.x1, level)...)
		e.line("chamber-surface", Chamber, Thin, pt(r.x0, level), pt(r.x1, level))
	} else {
		e.area("chamber-dry", Chamber, Dry, rect(r.x0, r.z0, r.x1, r.z1)...)
	}
	edge := Thin
	if e.in.Chamber.Kind == trompe.Horizontal {
		edge = Outline
	}
	side := Outline
	if e.in.Chamber.Kind == trompe.Plan {
		side = Thin
	}
	e.line("chamber-top", Chamber, edge, pt(r.x0, r.z1), pt(r.x1, r.z1))
	e.line("chamber-floor", Chamber, edge, pt(r.x0, r.z0), pt(r.x1, r.z0))
	e.line("chamber-left", Chamber, side, pt(r.x0, r.z0), pt(r.x0, r.z1))
	if e.annulus() {
		e.line("chamber-right", Chamber, side, pt(r.x1, r.z0), pt(r.x1, r.z1))
	} else {
		e.line("chamber-right-above", Chamber, side, pt(r.x1, e.in.Chamber.LipM), pt(r.x1, math.Max(r.z1, e.in.Chamber.LipM)))
		e.line("chamber-right-below", Chamber, side, pt(r.x1, math.Min(r.z0, e.port)), pt(r.x1, e.port))
	}
	e.keepVisible()
	e.breakChamber()
}

// keepVisible keeps the rooms beside a pipe in a narrow chamber wide enough.
func (e *elevation) keepVisible() {
	r := e.room
	inner := math.Max(e.wide, e.outletBore()) / 2
	if e.annulus() {
		e.column(r.x0, math.Min(e.rise.x0, -inner))
		e.column(math.Max(e.rise.x1, inner), r.x1)
		return
	}
	if e.in.Chamber.Kind == trompe.Vertical {
		mid := e.axis(0, e.in.Downcomer.OutletM)
		e.column(r.x0, mid-inner)
		e.column(mid+inner, r.x1)
	}
}

// breakChamber marks that a stretch of a long chamber was left out.
func (e *elevation) breakChamber() {
	if !e.cut {
		return
	}
	r, t := e.room, 0.015*e.h
	x, mid := r.x0+0.8*(r.x1-r.x0), (r.z0+r.z1)/2
	for i, id := range []string{"chamber-break-1", "chamber-break-2"} {
		a := x + float64(i)*1.6*t
		e.line(id, Chamber, Break, pt(a, r.z0-t), pt(a, mid-t), pt(a-t, mid-t/2), pt(a+t, mid+t/2), pt(a, mid+t), pt(a, r.z1+t))
	}
}
