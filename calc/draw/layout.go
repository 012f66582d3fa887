package draw

import (
	"fmt"
	"math"

	"leat/calc/trompe"
)

// box is an upright rectangle in metres.
type box struct{ x0, x1, z0, z1 float64 }

// layout is where things stand. Elevations come from the input; the shares of
// the height that space things sideways are choices of the draughtsman.
type layout struct {
	h      float64 // the height that all spacing is a share of
	level  float64 // water level over the intake
	units  int     // intake and downcomer units drawn, others stand behind them
	step   float64 // between the axes of units
	run    float64 // how far the downcomer leads sideways
	wide   float64 // the downcomer's bore measured level
	basin  box     // forebay, header or closed head
	room   box     // the chamber
	cut    bool    // the chamber is drawn shorter than it is
	port   float64 // lower edge of the opening under the lip
	rise   box     // the riser pipe, or the outer pipe of an annulus
	trough box     // where the water leaves
	air    train   // where its air goes
	ram    hydraulic
}

func (e *elevation) layOut() {
	in := e.in
	e.level = supplyLevel(in)
	if e.wet() && in.Supply.Type != trompe.HoseClosed {
		e.level = e.num.InletLevelM
	}
	bottom := math.Min(in.Chamber.LipM, in.Downcomer.OutletM)
	e.h = math.Max(math.Max(e.level, in.Riser.OutletM), in.Intake.MouthM) - bottom
	e.layOutDowncomer()
	e.layOutChamber()
	e.layOutBasin()
	e.layOutRiser()
	e.layOutRam()
	e.layOutAir()
	if e.units < int(in.NParallel) {
		e.Notes = append(e.Notes, fmt.Sprintf("%d units, one behind another: %d drawn", in.NParallel, e.units))
	}
	if in.Riser.Kind != trompe.Annulus && in.Riser.Count > 1 {
		e.Notes = append(e.Notes, fmt.Sprintf("%d riser pipes, one behind another", in.Riser.Count))
	}
	if e.cut {
		e.Notes = append(e.Notes, "chamber drawn shorter than it is")
	}
}

// supplyLevel is the level of the water over the intake as the input has it. A
// closed head has no surface; its lid stands in for one.
func supplyLevel(in trompe.Input) float64 {
	switch in.Supply.Type {
	case trompe.HoseOpen:
		return in.Supply.LevelMaxM
	case trompe.HoseClosed:
		return in.Intake.MouthM + 0.08*(in.Intake.MouthM-in.Downcomer.OutletM) + in.Intake.BundleLengthM
	default:
		return in.Supply.LevelM
	}
}

func (e *elevation) annulus() bool { return e.in.Riser.Kind == trompe.Annulus }

func (e *elevation) layOutDowncomer() {
	d := e.in.Downcomer
	drop := e.in.Intake.MouthM - d.OutletM
	e.wide = d.BoreM
	if d.LengthM != nil && *d.LengthM > drop && !e.annulus() {
		e.run = math.Sqrt(*d.LengthM**d.LengthM - drop*drop)
		e.wide = d.BoreM * *d.LengthM / drop
	}
	e.step = math.Max(2.5*math.Max(e.wide, e.outletBore()), 0.12*e.h)
}

func (e *elevation) outletBore() float64 {
	if d := e.in.Downcomer; d.OutletBoreM != nil && *d.OutletBoreM > d.BoreM {
		return *d.OutletBoreM
	}
	return e.in.Downcomer.BoreM
}

// layOutChamber places the chamber under the downcomers and says how many of
// them it has room for. Top and floor of a vertical or plan chamber are not
// given: they are drawn a little beyond the levels that are.
func (e *elevation) layOutChamber() {
	c := e.in.Chamber
	end := math.Max(e.wide, e.outletBore())
	low := math.Min(c.LipM, e.in.Downcomer.OutletM)
	long := c.BoreM
	e.room.z0 = low - math.Max(0.03*e.h, 0.5*end)
	e.room.z1 = math.Max(c.HighM, low) + math.Max(0.04*e.h, 0.5*(c.HighM-c.LipM))
	e.units = 1
	switch c.Kind {
	case trompe.Horizontal:
		long = c.LengthM
		e.room.z0, e.room.z1 = c.FloorM, c.FloorM+c.BoreM
	case trompe.Plan:
		long = math.Sqrt(c.PlanAreaM2)
	}
	if most := 1.2 * e.h; long > most {
		long, e.cut = most, true
	}
	margin := 0.5 * long // a vertical chamber stands around its pipe
	if c.Kind != trompe.Vertical && !e.annulus() {
		margin = math.Min(0.5*long, math.Max(0.12*long, 0.8*end))
		fit := 1 + int(math.Max(0, 0.6*long-margin)/e.step)
		e.units = max(1, min(int(e.in.NParallel), fit, 3))
	}
	e.room.x0 = e.run - margin
	e.room.x1 = e.room.x0 + long
}

// last is the axis of the last unit drawn, at its top.
func (e *elevation) last() float64 { return float64(e.units-1) * e.step }

func (e *elevation) layOutBasin() {
	left, right := 0.13*e.h, 0.06*e.h
	if e.in.Supply.Type != trompe.Forebay {
		left = 0.08 * e.h
	}
	mouth := e.in.Intake.MouthM
	e.basin = box{
		x0: -e.wide/2 - left, x1: e.last() + e.wide/2 + right,
		z0: mouth - 0.035*e.h, z1: e.level + 0.035*e.h,
	}
	if e.in.Supply.Type == trompe.HoseClosed {
		e.basin.z1 = e.level
	}
}

func (e *elevation) layOutRiser() {
	r, c := e.in.Riser, e.in.Chamber
	if e.annulus() {
		half := r.OuterBoreM / 2
		e.rise = box{x0: -half, x1: half, z0: c.LipM, z1: r.OutletM}
		e.port = c.LipM
	} else {
		e.port = math.Max(e.room.z0, c.LipM-r.BoreM)
		if e.port >= c.LipM {
			e.port = c.LipM - r.BoreM
		}
		x := math.Max(math.Max(e.room.x1, e.basin.x1), e.takeoffEnd()) + 0.05*e.h
		e.rise = box{x0: x, x1: x + r.BoreM, z0: e.port, z1: r.OutletM}
	}
	e.trough = box{
		x0: e.rise.x1, x1: math.Max(e.rise.x1, e.basin.x1) + 0.11*e.h,
		z0: r.OutletM - 0.035*e.h, z1: r.OutletM + 0.03*e.h,
	}
}

// top is the upper end of the downcomer pipe, around the foot of the tubes.
func (e *elevation) top() float64 {
	in := e.in.Intake
	under := e.level - in.MouthM
	return in.MouthM + math.Max(0, math.Min(in.BundleLengthM, 0.8*under))
}

// axis is the middle of unit i at elevation z: plumb in the intake, then along
// the downcomer.
func (e *elevation) axis(i int, z float64) float64 {
	x := float64(i) * e.step
	mouth := e.in.Intake.MouthM
	if z >= mouth {
		return x
	}
	return x + e.run*(mouth-z)/(mouth-e.in.Downcomer.OutletM)
}
