package draw

import (
	"fmt"
	"math"

	"leat/calc/trompe"
)

func (p *pen) mark(id string, part Part, text string, x, z float64, side Side, rank int) {
	p.Levels = append(p.Levels, Level{id, part, text, pt(x, z), side, round(z), rank})
}

func (e *elevation) markLevels() {
	c, b := e.in.Chamber, e.basin
	x0, x1 := e.room.x0, e.room.x1
	if e.in.Supply.Type != trompe.HoseClosed {
		e.mark("level-inlet", Supply, "water in", b.x0+0.06*e.h, e.level, Left, 1)
	}
	if e.in.Supply.Type == trompe.Forebay && e.in.Supply.LevelM > e.level+0.0005 {
		e.mark("level-forebay", Supply, "stream level given", b.x0+0.02*e.h, e.in.Supply.LevelM, Left, 3)
	}
	if e.in.Supply.Type == trompe.HoseOpen && e.in.Supply.LevelMaxM > e.level+0.0005 {
		e.mark("level-spill", Supply, "header spills", b.x0, e.in.Supply.LevelMaxM, Left, 3)
	}
	e.mark("level-mouth", Intake, "tube mouths", -e.wide/2-0.03*e.h, e.in.Intake.MouthM, Left, 2)
	e.mark("level-outlet", Riser, "water out", (e.trough.x0+e.trough.x1)/2, e.in.Riser.OutletM, Right, 1)
	if e.wet() && e.num.PartFullLengthM > 0 {
		z := e.num.PlungeLevelM
		e.mark("level-plunge", Downcomer, "plunge", e.axis(0, z)-e.wide/2-0.03*e.h, z, Left, 1)
	}
	side, at := Left, x0+0.15*(x1-x0)
	if e.annulus() {
		side, at = Right, x1-0.1*(x1-x0)
	}
	if e.wet() && math.Abs(e.num.ChamberLevelM-c.LipM) > 0.0005 {
		e.mark("level-chamber", Chamber, "chamber water", at, e.num.ChamberLevelM, side, 1)
	}
	e.mark("level-lip", Chamber, "lip", x1, c.LipM, side, 2)
	e.mark("level-high", Chamber, "highest water", at, c.HighM, side, 3)
	e.mark("level-downcomer", Downcomer, "downcomer ends", e.axis(0, e.in.Downcomer.OutletM)-e.outletBore()/2-0.03*e.h, e.in.Downcomer.OutletM, Left, 3)
}

func (p *pen) span(id string, part Part, text string, x0, z0, x1, z1 float64, side Side, rank int) {
	if round(z0-z1) > 0 { // what rounds to nothing is no dimension
		p.Dimensions = append(p.Dimensions, Dimension{id, part, text, pt(x0, z0), pt(x1, z1), side, round(z0 - z1), rank})
	}
}

// dimension measures the three heights that make the machine: the drop to the
// lip, the head between the waters, and the rise that presses.
func (e *elevation) dimension() {
	lip, out := e.in.Chamber.LipM, e.in.Riser.OutletM
	right := e.trough.x1
	if e.in.Supply.Type != trompe.HoseClosed {
		e.span("dim-head", Supply, "head", e.basin.x1, e.level, right, out, Right, 1)
		e.span("dim-drop", Downcomer, "drop", e.basin.x0, e.level, e.room.x0, lip, Left, 2)
	}
	e.span("dim-rise", Riser, "rise", right, out, e.rise.x1, lip, Right, 2)
	e.measureDigging()
}

func (p *pen) say(id string, part Part, text string, x, z float64, side Side, rank int) *Label {
	p.Labels = append(p.Labels, Label{ID: id, Part: part, Text: text, At: pt(x, z), Side: side, Rank: rank})
	return &p.Labels[len(p.Labels)-1]
}

func (l *Label) with(q Quantity, v float64) {
	l.Value, l.Quantity = &v, q
}

func (e *elevation) label() {
	e.labelWater()
	e.labelPipes()
	e.labelChamber()
}

func (e *elevation) labelWater() {
	s, b := e.in.Supply, e.basin
	if e.hosed() {
		hose := e.Fittings[0].At
		e.say("label-hose", Supply, "hose, water still", hose[0], hose[1], Left, 2).with(Pressure, s.StaticPa)
	}
	if e.wet() {
		e.say("label-water", Supply, "water used", b.x0+0.1*e.h, (b.z0+e.level)/2, Left, 2).with(Flow, e.num.WaterFlowM3S)
	}
	if in := e.in.Intake; in.NTubes > 0 {
		text := fmt.Sprintf("%d air tubes %s/%s mm", in.NTubes, mm(in.TubeBoreM), mm(in.TubeOutsideM))
		e.say("label-tubes", Intake, text, e.last(), (e.tubeTop()+math.Max(e.level, e.in.Intake.MouthM))/2, Right, 2)
	}
}

// mm writes metres in millimetres without useless digits.
func mm(m float64) string { return fmt.Sprintf("%.4g", m*1000) }

func (e *elevation) labelPipes() {
	mouth, out := e.in.Intake.MouthM, e.in.Downcomer.OutletM
	z := out + 0.45*(mouth-out)
	text := "downcomer"
	if e.in.NParallel > 1 {
		text = fmt.Sprintf("%d downcomers", e.in.NParallel)
	}
	e.say("label-downcomer", Downcomer, text, e.axis(0, z)-e.wide/2, z, Left, 2).with(Bore, e.in.Downcomer.BoreM)
	if e.run > 0 {
		z := out + 0.25*(mouth-out)
		e.say("label-length", Downcomer, "leans, length", e.axis(0, z)-e.wide/2, z, Left, 2).with(Length, *e.in.Downcomer.LengthM)
	}
	if flare := e.in.Downcomer.OutletBoreM; flare != nil && *flare > e.in.Downcomer.BoreM {
		e.say("label-flare", Downcomer, "flared end", e.axis(0, out)-e.outletBore()/2, out, Left, 3).with(Bore, *flare)
	}
	if e.wet() && e.num.PartFullLengthM > 0 {
		z := (mouth + e.num.PlungeLevelM) / 2
		e.say("label-part-full", Downcomer, "falls part full", e.axis(0, z), z, Left, 2).with(Length, e.num.PartFullLengthM)
	}
	r := e.in.Riser
	z = r.OutletM - 0.35*(r.OutletM-e.in.Chamber.LipM)
	switch {
	case e.annulus():
		e.say("label-riser", Riser, "riser around it, bore", e.rise.x1, z, Right, 2).with(Bore, r.OuterBoreM)
	case r.Count > 1:
		e.say("label-riser", Riser, fmt.Sprintf("%d risers", r.Count), e.rise.x1, z, Right, 2).with(Bore, r.BoreM)
	default:
		e.say("label-riser", Riser, "riser", e.rise.x1, z, Right, 2).with(Bore, r.BoreM)
	}
}

func (e *elevation) labelChamber() {
	c, r := e.in.Chamber, e.room
	x := r.x0 + 0.06*(r.x1-r.x0)
	chamber := e.say("label-chamber", Chamber, "chamber", x, r.z0+0.3*(r.z1-r.z0), Left, 2)
	if c.Kind == trompe.Plan {
		chamber.with(Area, c.PlanAreaM2)
	} else {
		chamber.with(Bore, c.BoreM)
	}
	gauge := e.gauge()
	if e.ownReceiver() {
		e.say("label-receiver", Takeoff, "receiver", e.stub()+e.reach(), e.takeoffLevel(), Right, 2).with(Pressure, e.in.Takeoff.ReceiverGaugePa)
	}
	if e.wet() {
		e.say("label-air", Chamber, "air", gauge[0], gauge[1], Right, 1).with(Pressure, e.num.ChamberGaugePa)
		e.say("label-free-air", Takeoff, takeoffWords(e.in.Takeoff.Mode), gauge[0], gauge[1], Right, 2).with(FreeAir, e.num.FreeAirM3S)
		return
	}
	e.say("label-takeoff", Takeoff, takeoffWords(e.in.Takeoff.Mode), gauge[0], gauge[1], Right, 2)
}

func takeoffWords(mode string) string {
	switch mode {
	case trompe.ToReceiver:
		return "to receiver"
	case trompe.ToOpenAir:
		return "to open air"
	case trompe.ValveShut:
		return "valve shut"
	default:
		return "air taken"
	}
}
