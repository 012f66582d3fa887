package draw

import (
	"math"

	"leat/calc/sheet"
)

// withoutTrompe draws a ram, or a machine of which only the ram is described.
// Levels count from the waste valve.
func (a around) withoutTrompe() Drawing {
	p := newPen()
	r := a.hydraulic()
	if r.fall <= 0 {
		return empty()
	}
	r.h = math.Max(math.Max(r.fall, r.rise), a.asked(liftAt, "h_outlet"))
	p.drawRamFeed(a, r)
	switch a.kind {
	case sheet.Lift:
		p.drawLiftAlone(a, r)
	case sheet.Pulse:
		p.drawPulseAlone(a, r)
	default:
		p.drawRam(r)
		p.drawAirVessel(a, r)
		p.measureRam(r, "water in")
		p.labelRam(a, r)
	}
	p.judge(a.judged)
	p.close()
	return p.Drawing
}

// hydraulic reads the ram of a sheet. Where a lift has no drive pipe, one is
// sketched at a usual slope.
func (a around) hydraulic() hydraulic {
	r := hydraulic{part: Ram, dir: 1, length: a.asked(cycleAt, "L"), bore: a.asked(cycleAt, "D"), fall: a.asked(cycleAt, "H")}
	r.wet = a.steps[cycleAt].out != nil
	switch a.kind {
	case sheet.Lift:
		r.beside = true
		r.fall, r.rise = a.asked(liftAt, "H"), a.asked(liftAt, "h_feed")
		r.wet = a.steps[liftAt].out != nil
		if !a.has(cycleAt) {
			const usual = 5 // times the fall, within the 2.5 to 12 of the ram
			r.part, r.length = Lift, usual*r.fall
		}
	case sheet.Pulse:
		r.wet = a.steps[pulseAt].out != nil
	default:
		r.rise = a.asked(cycleAt, "h")
	}
	return r
}

func (p *pen) drawAirVessel(a around, r hydraulic) {
	top := p.drawVessel(r, "ram-vessel", r.part, a.answered(cycleAt, "airvessel_air_min")/vesselAir, 1-vesselAir)
	p.spotted("air_vessel", r.part, top, sideOf(r.dir))
	label := p.say("label-vessel", r.part, "air vessel", top[0], top[1], sideOf(r.dir), 2)
	if air := a.answered(cycleAt, "airvessel_air_min"); air > 0 {
		label.Text = "air vessel, least air"
		label.with(Volume, air)
	}
}

// vesselAir is the share of a vessel that is drawn as air.
const vesselAir = 0.6

// labelRam writes what a ram takes, wastes and lifts.
func (p *pen) labelRam(a around, r hydraulic) {
	w, e := r.waste(), r.end()
	if q := a.answered(cycleAt, "Q_drive_Lmin"); q > 0 {
		b := r.tank()
		p.say("label-water", Source, "water used", b.x0+0.3*(b.x1-b.x0), b.z0, Left, 2).with(Flow, q/60000)
	}
	if q := a.answered(cycleAt, "Q_waste"); q > 0 {
		p.say("label-waste", r.part, "wasted", w[0], w[1]+0.05*r.h, Left, 2).with(Flow, q)
	}
	if q := a.answered(cycleAt, "q"); q > 0 {
		p.say("label-lifted", r.part, "water lifted", e[0], e[1], Right, 1).with(Flow, q)
	} else {
		p.say("label-lifted", r.part, "nothing lifted", e[0], e[1], Right, 1)
	}
	p.say("label-ram", r.part, "ram", r.x, r.z-0.6*bodyDeep*r.h, Left, 3)
}

// drawLiftAlone draws a ram and a sketch of the trompe that it feeds: only the
// levels of the trompe are given, counted from the waste valve.
func (p *pen) drawLiftAlone(a around, r hydraulic) {
	outlet := a.asked(liftAt, "h_outlet")
	r.reach = 0.14 * r.h
	p.drawRam(r)
	p.drawAirVessel(a, r)
	p.measureRam(r, "water in")
	t := sketch{x: r.end()[0] - 0.02*r.h, feed: r.rise, outlet: outlet, h: r.h, wet: r.wet}
	air := p.drawSketch(t)
	p.labelLift(a, r)
	at := p.say("label-air", Lift, "air", air[0], air[1], Right, 1)
	if r.wet {
		at.with(Pressure, a.answered(liftAt, "p2_gauge"))
		p.say("label-free-air", Lift, "air taken", air[0], air[1], Right, 2).with(FreeAir, a.answered(liftAt, "Q_free_m3s"))
	}
	p.spotAir(Lift, air)
	p.drawTrain(a, train{from: air, x: t.x + 0.6*r.h, dir: 1, h: 0.6 * r.h, ponds: math.Min(0, air[1]-0.05*r.h), wet: r.wet})
}

func (p *pen) labelLift(a around, r hydraulic) {
	if !a.has(cycleAt) {
		p.remark("drive pipe sketched: its length is not given")
	}
	e := r.end()
	if q := a.answered(liftAt, "q"); q > 0 {
		p.say("label-lifted", Lift, "water lifted", e[0]-r.spout(), e[1]-0.1*r.h, Left, 1).with(Flow, q)
	}
}

// spotAir pins verdicts on parts that hold air where the air leaves, unless they
// are drawn.
func (p *pen) spotAir(part Part, at Point) {
	for _, role := range []string{"chamber", "air_line", "receiver"} {
		p.spotted(role, part, at, Right)
	}
}

// sketch is a trompe of which only levels are known.
type sketch struct {
	x            float64 // left wall of its header
	feed, outlet float64
	h            float64
	wet          bool
}

// drawSketch draws header, downcomer, chamber and riser, and returns where the
// air leaves.
func (p *pen) drawSketch(t sketch) Point {
	h := t.h
	fill := func(id string, kind Kind, points []Point) {
		if !t.wet {
			kind = Dry
		}
		p.area(id, Lift, kind, points...)
	}
	pipe, foot, lip := 0.03*h, -0.06*h, 0.04*h
	down, up, end := t.x+0.1*h, t.x+0.42*h, t.x+0.55*h
	fill("lift-header", Water, rect(t.x, t.feed-0.05*h, t.x+0.2*h, t.feed))
	fill("lift-chamber-air", Air, rect(t.x+0.02*h, 0, up-0.06*h, lip))
	fill("lift-chamber-water", Water, rect(t.x+0.02*h, foot, up-0.06*h, 0))
	fill("lift-downcomer", Water, rect(down, -0.03*h, down+pipe, t.feed-0.05*h))
	fill("lift-riser", Water, []Point{pt(up-0.06*h, foot), pt(up+pipe, foot), pt(up+pipe, t.outlet), pt(up, t.outlet), pt(up, foot+pipe), pt(up-0.06*h, foot+pipe)})
	p.line("lift-header-wall", Lift, Thin, pt(t.x, t.feed+0.03*h), pt(t.x, t.feed-0.05*h), pt(down, t.feed-0.05*h), pt(down, -0.03*h))
	p.line("lift-header-right", Lift, Thin, pt(t.x+0.2*h, t.feed+0.03*h), pt(t.x+0.2*h, t.feed-0.05*h), pt(down+pipe, t.feed-0.05*h), pt(down+pipe, -0.03*h))
	p.line("lift-chamber-wall", Lift, Thin, pt(up-0.06*h, foot+pipe), pt(up-0.06*h, lip), pt(t.x+0.02*h, lip), pt(t.x+0.02*h, foot), pt(up+pipe, foot), pt(up+pipe, t.outlet))
	p.line("lift-riser-wall", Lift, Thin, pt(up-0.06*h, foot+pipe), pt(up, foot+pipe), pt(up, t.outlet))
	p.line("lift-tail", Lift, Thin, pt(up+pipe, t.outlet-0.02*h), pt(end, t.outlet-0.02*h))
	p.column(down, down+pipe)
	p.column(up, up+pipe)
	p.mark("level-feed", Lift, "header", t.x+0.15*h, t.feed, Right, 2)
	p.mark("level-outlet", Lift, "water out", up+pipe/2, t.outlet, Right, 1)
	p.mark("level-chamber", Lift, "chamber water", up-0.08*h, 0, Right, 3)
	p.span("dim-rise", Lift, "rise", end, t.outlet, up-0.06*h, 0, Right, 2)
	p.say("label-downcomer", Lift, "downcomer", down+pipe, 0.4*t.feed, Right, 3)
	p.spotted("downcomer", Lift, pt(down+pipe, 0.4*t.feed), Right)
	p.spotted("riser", Lift, pt(up+pipe, 0.7*t.outlet), Right)
	p.remark("the trompe is a sketch: only its levels are given, and its chamber stands level with the waste valve")
	air := pt(up-0.1*h, 0.14*h)
	p.line("lift-air", Lift, Outline, pt(air[0], lip), air)
	return air
}

// drawPulseAlone draws a ram with the booster on its delivery valve.
func (p *pen) drawPulseAlone(a around, r hydraulic) {
	p.drawRam(r)
	top := p.drawBoosterOn(a, r)
	p.measureRam(r, "water in")
	p.line("pulse-inlet", Pulse, Outline, pt(top[0]-0.1*r.h, top[1]+0.06*r.h), pt(top[0]-0.03*r.h, top[1]+0.06*r.h), pt(top[0]-0.03*r.h, top[1]))
	p.say("label-inlet", Pulse, "air of the trompe comes in", top[0]-0.1*r.h, top[1]+0.06*r.h, Left, 2)
	out := pt(top[0]+0.02*r.h, top[1]+0.1*r.h)
	p.line("pulse-outlet", Pulse, Outline, pt(out[0], top[1]), out)
	p.remark("the trompe is not described and not drawn")
	p.drawTrain(a, train{from: out, x: out[0] + 0.2*r.h, dir: 1, h: 0.6 * r.h, ponds: r.z, wet: r.wet})
}

// drawBoosterOn draws the chamber in which the pulses press air, and returns its top.
func (p *pen) drawBoosterOn(a around, r hydraulic) Point {
	stroke, rest := a.asked(pulseAt, "stroke_volume"), a.asked(pulseAt, "clearance_volume")
	share := 0.5
	if stroke+rest > 0 {
		share = 0.8 * stroke / (stroke + rest)
	}
	top := p.drawVessel(r, "pulse-chamber", Pulse, stroke+rest, share)
	side := sideOf(r.dir)
	p.say("label-booster", Pulse, "booster, stroke", top[0], top[1]-0.05*r.h, side, 2).with(Volume, stroke)
	if r.wet {
		p.say("label-boosted", Pulse, "air boosted", top[0], top[1], side, 1).with(Pressure, a.asked(pulseAt, "p2_gauge"))
		p.say("label-boosted-air", Pulse, "air taken", top[0], top[1], side, 2).with(FreeAir, a.answered(pulseAt, "free_air_Lmin")/60000)
	}
	p.spotted("air_vessel", Pulse, top, side)
	p.spotAir(Pulse, top)
	return top
}
