package draw

import (
	"fmt"
	"math"
)

// drawRiser draws the way out: a pipe that joins the chamber under the lip, or
// the ring between the downcomer and an outer pipe, and the trough it spills to.
func (e *elevation) drawRiser() {
	if e.annulus() {
		e.drawAnnulus()
	} else {
		e.drawRiserPipe()
	}
	t, out := e.trough, e.in.Riser.OutletM
	if e.wet() {
		e.area("riser-tail-water", Riser, Water, rect(t.x0, t.z0, t.x1, out)...)
		e.line("riser-tail-surface", Riser, Thin, pt(e.rise.x0, out), pt(t.x1, out))
	}
	e.line("riser-tail-floor", Riser, Outline, pt(t.x0, t.z0), pt(t.x1, t.z0))
}

func (e *elevation) drawRiserPipe() {
	r, lip, x := e.rise, e.in.Chamber.LipM, e.room.x1
	kind := Dry
	if e.wet() {
		kind = Water
	}
	outer := append([]Point{pt(x, e.port)}, e.bend()...)
	outer = append(outer, pt(r.x1, r.z1))
	inside := append([]Point{pt(r.x0, r.z1), pt(r.x0, lip), pt(x, lip)}, outer...)
	e.area("riser-inside", Riser, kind, inside...)
	e.line("riser-wall-left", Riser, Outline, pt(x, lip), pt(r.x0, lip), pt(r.x0, e.trough.z1))
	e.line("riser-wall-right", Riser, Outline, outer...)
	e.column(r.x0, r.x1)
}

// bend is the outer side of the quarter turn from the chamber into the riser.
func (e *elevation) bend() []Point {
	const steps = 6
	r := e.rise
	wide, tall := r.x1-r.x0, math.Min(e.in.Chamber.LipM-e.port, r.z1-e.port)
	turn := make([]Point, 0, steps+1)
	for i := range steps + 1 {
		sin, cos := math.Sincos(float64(i) / steps * math.Pi / 2)
		turn = append(turn, pt(r.x0+wide*sin, e.port+tall*(1-cos)))
	}
	return turn
}

func (e *elevation) drawAnnulus() {
	r, half := e.rise, e.in.Riser.InnerODM/2
	kind := Dry
	if e.wet() {
		kind = Water
	}
	e.area("riser-inside-left", Riser, kind, rect(r.x0, r.z0, -half, r.z1)...)
	e.area("riser-inside-right", Riser, kind, rect(half, r.z0, r.x1, r.z1)...)
	e.line("riser-wall-left", Riser, Outline, pt(r.x0, r.z0), pt(r.x0, e.trough.z1))
	e.line("riser-wall-right", Riser, Outline, pt(r.x1, r.z0), pt(r.x1, r.z1))
	e.column(r.x0, -half)
	e.column(-half, half)
	e.column(half, r.x1)
}

func (e *elevation) drawDowncomers() {
	for i := range e.units {
		e.fillDowncomer(i)
		e.wallDowncomer(i)
		out := e.in.Downcomer.OutletM
		e.line(fmt.Sprintf("downcomer-%d-centre", i+1), Downcomer, Centre,
			pt(e.axis(i, e.level), e.level+0.1*e.h), pt(e.axis(i, e.in.Intake.MouthM), e.in.Intake.MouthM), pt(e.axis(i, out), out))
		if e.annulus() {
			continue
		}
		e.column(e.axis(i, e.level)-e.wide/2, e.axis(i, e.level)+e.wide/2)
		if e.run > 0 {
			e.column(e.axis(i, out)-e.wide/2, e.axis(i, out)+e.wide/2)
		}
	}
}

// fillDowncomer paints what falls in unit i: water between the tubes, where the
// pipe runs part full a film around a core of air, and below the mixture.
func (e *elevation) fillDowncomer(i int) {
	mouth, out := e.in.Intake.MouthM, e.in.Downcomer.OutletM
	name := func(s string) string { return fmt.Sprintf("downcomer-%d-%s", i+1, s) }
	if !e.wet() {
		e.area(name("dry"), Downcomer, Dry, e.strip(i, e.top(), mouth, -0.5, 0.5)...)
		e.area(name("dry-below"), Downcomer, Dry, e.strip(i, mouth, out, -0.5, 0.5)...)
		return
	}
	if e.top() > mouth {
		e.area(name("throat"), Intake, Water, e.strip(i, e.top(), mouth, -0.5, 0.5)...)
	}
	plunge := math.Min(e.num.PlungeLevelM, mouth)
	if e.num.PartFullLengthM > 0 {
		e.area(name("core"), Downcomer, Air, e.strip(i, mouth, plunge, -0.5, 0.5)...)
		e.area(name("film-left"), Downcomer, Film, e.strip(i, mouth, plunge, -0.5, -0.32)...)
		e.area(name("film-right"), Downcomer, Film, e.strip(i, mouth, plunge, 0.32, 0.5)...)
	} else {
		plunge = mouth
	}
	e.fillFull(i, plunge)
	if e.num.PartFullLengthM > 0 {
		e.line(name("plunge"), Downcomer, Thin, pt(e.axis(i, plunge)-e.wide/2, plunge), pt(e.axis(i, plunge)+e.wide/2, plunge))
	}
}

// fillFull paints the mixture from z down to the mouth, station by station.
func (e *elevation) fillFull(i int, z float64) {
	stations, out := e.num.Profile, e.in.Downcomer.OutletM
	for k := 1; k < len(stations); k++ {
		a, b := stations[k-1], stations[k]
		upper, lower := math.Min(a.ZM, z), math.Max(b.ZM, out)
		if upper <= lower {
			continue
		}
		e.mixture(fmt.Sprintf("downcomer-%d-mix-%d", i+1, k), Downcomer, (a.Void+b.Void)/2, e.strip(i, upper, lower, -0.5, 0.5)...)
	}
	if len(stations) < 2 {
		e.area(fmt.Sprintf("downcomer-%d-water", i+1), Downcomer, Water, e.strip(i, z, out, -0.5, 0.5)...)
	}
}

// strip is a length of the downcomer of unit i between two elevations, from one
// share of its bore to another: -0.5 is the left wall, 0.5 the right.
func (e *elevation) strip(i int, upper, lower, left, right float64) []Point {
	at := func(z, share float64) Point { return pt(e.axis(i, z)+share*e.widthAt(z), z) }
	if begin := e.flareBegin(); lower < begin && begin < upper {
		return []Point{at(upper, left), at(upper, right), at(begin, right), at(lower, right), at(lower, left), at(begin, left)}
	}
	return []Point{at(upper, left), at(upper, right), at(lower, right), at(lower, left)}
}

// flareBegin is where a flared end begins to widen; at the outlet if it is plain.
func (e *elevation) flareBegin() float64 {
	mouth, out := e.in.Intake.MouthM, e.in.Downcomer.OutletM
	flare := (e.outletBore() - e.in.Downcomer.BoreM) / 2
	return out + math.Min(3*flare, 0.2*(mouth-out))
}

// widthAt is the bore of the downcomer at elevation z, measured level.
func (e *elevation) widthAt(z float64) float64 {
	begin, out := e.flareBegin(), e.in.Downcomer.OutletM
	if z >= begin {
		return e.wide
	}
	return e.wide + (e.outletBore()-e.in.Downcomer.BoreM)*(begin-z)/(begin-out)
}

func (e *elevation) wallDowncomer(i int) {
	mouth, out := e.in.Intake.MouthM, e.in.Downcomer.OutletM
	flare := (e.outletBore() - e.in.Downcomer.BoreM) / 2
	for _, side := range []struct {
		name string
		sign float64
	}{{"left", -1}, {"right", 1}} {
		wall := []Point{pt(e.axis(i, e.top())+side.sign*e.wide/2, e.top())}
		if e.top() > mouth {
			wall = append(wall, pt(e.axis(i, mouth)+side.sign*e.wide/2, mouth))
		}
		if flare > 0 {
			begin := e.flareBegin()
			wall = append(wall, pt(e.axis(i, begin)+side.sign*e.wide/2, begin))
		}
		wall = append(wall, pt(e.axis(i, out)+side.sign*(e.wide/2+flare), out))
		e.line(fmt.Sprintf("downcomer-%d-wall-%s", i+1, side.name), Downcomer, Outline, wall...)
	}
}

// mostTubes is how many tubes of a bundle an elevation shows side by side.
const mostTubes = 5

func (e *elevation) drawIntakes() {
	in := e.in.Intake
	n := min(int(in.NTubes), mostTubes)
	head := e.tubeTop()
	for i := range e.units {
		x := e.axis(i, e.level)
		for k := range n {
			share := (float64(k)+0.5)/float64(n) - 0.5
			at := x + 0.86*share*e.wide
			e.line(fmt.Sprintf("intake-%d-tube-%d", i+1, k+1), Intake, Tube, pt(at, head), pt(at, in.MouthM))
		}
		if n > 0 && e.drowned() {
			e.drawAirHead(i, head)
		}
	}
}

// tubeTop is the upper end of the tubes; very long ones are cut.
func (e *elevation) tubeTop() float64 {
	return math.Min(e.in.Intake.MouthM+e.in.Intake.TubeLengthM, math.Max(e.level, e.in.Intake.MouthM)+0.12*e.h)
}

// drowned says that the tubes end under water or under the lid, so that a
// common pipe must lead air down to them.
func (e *elevation) drowned() bool { return e.tubeTop() <= e.level || e.in.Intake.PortCdAM2 != nil }

// drawAirHead draws the box over the tubes and the pipe that leads air to it,
// thin because no input gives their size.
func (e *elevation) drawAirHead(i int, z float64) {
	x, up := e.axis(i, e.level), math.Max(e.level, z)+0.07*e.h
	lid := z + 0.015*e.h
	e.line(fmt.Sprintf("intake-%d-head", i+1), Intake, Thin,
		pt(x-e.wide/2, z), pt(x-e.wide/2, lid), pt(x+e.wide/2, lid), pt(x+e.wide/2, z), pt(x-e.wide/2, z))
	e.line(fmt.Sprintf("intake-%d-air", i+1), Intake, Thin, pt(x, lid), pt(x, up))
}
