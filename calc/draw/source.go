package draw

import (
	"math"

	"leat/calc/sheet"
)

// drawSource draws where the water comes from, left of the basin.
func (e *elevation) drawSource() {
	if e.kind == sheet.Lift && e.ram.fall > 0 {
		e.drawRamFeed(e.around, e.ram)
		return
	}
	b := e.basin
	into := pt(b.x0, b.z0+0.25*(b.z1-b.z0))
	if e.hosed() {
		into = e.tap()
		b.z1 = math.Max(b.z1, e.spout()+0.02*e.h)
	}
	e.drawFeed(e.around, b, e.h, e.wet())
	e.drawSupplyPipe(e.around, into, e.h)
}

// drawFeed draws a roof with its gutter, a measuring weir, a tank or a main that
// feeds a basin. Their places are chosen; heads are true.
func (p *pen) drawFeed(a around, b box, h float64, wet bool) {
	switch a.source {
	case sheet.Roof:
		p.drawRoof(a, b, h)
	case sheet.Stream:
		p.drawWeir(a, b, h, wet)
	case sheet.Tank:
		p.drawSourceTank(b, h, wet)
	}
}

// drawRamFeed draws what feeds the tank of a ram.
func (p *pen) drawRamFeed(a around, r hydraulic) {
	b := r.tank()
	p.drawFeed(a, b, r.h, r.wet)
	p.drawSupplyPipe(a, pt(b.x0, (b.z0+r.z+r.fall)/2), r.h)
}

// drawRoof draws the roof, its gutter and the downpipe that lets its water go
// over the basin.
func (p *pen) drawRoof(a around, b box, h float64) {
	x, z, r := b.x0-0.06*h, b.z1+0.2*h, 0.025*h
	p.line("source-roof", Source, Outline, pt(x-r, z+0.01*h), pt(x-0.32*h, z+0.16*h))
	p.line("source-wall", Source, Thin, pt(x-0.06*h, z+0.035*h), pt(x-0.06*h, z-0.16*h))
	p.line("source-gutter", Source, Outline, pt(x-r, z), pt(x-0.7*r, z-0.7*r), pt(x, z-r), pt(x+0.7*r, z-0.7*r), pt(x+r, z))
	p.line("source-downpipe", Source, Pipe, pt(x, z-r), pt(x, b.z1+0.05*h), pt(b.x0+0.05*h, b.z1+0.05*h), pt(b.x0+0.05*h, b.z1))
	roof := p.say("label-roof", Source, "roof", x-0.2*h, z+0.1*h, Left, 2)
	for _, at := range []string{"/source/roof_energy", "/source/rain_runoff"} {
		if plan := a.asked(at, "A_plan"); plan > 0 {
			roof.with(Area, plan)
		}
	}
	p.say("label-gutter", Source, "gutter", x-r, z, Left, 3)
	down := p.say("label-downpipe", Source, "downpipe", x, z-0.08*h, Left, 2)
	if bore := a.asked("/source/downpipe", "d_mm"); bore > 0 {
		down.with(Bore, bore/1000)
	}
	p.spotted("supply_pipe", Source, pt(x, z-0.08*h), Left)
	p.remark("roof, gutter and downpipe stand where there is room")
}

// drawWeir draws the plate over which the stream was measured, with its head.
func (p *pen) drawWeir(a around, b box, h float64, wet bool) {
	at, text := "/source/vnotch", "V-notch, head"
	if !a.has(at) {
		at, text = "/source/rect_weir", "weir, head"
	}
	head := math.Min(a.asked(at, "h"), 0.3*h)
	if head <= 0 {
		return
	}
	x, crest := b.x0-0.07*h, b.z1+0.01*h
	far, bed := x-0.24*h, crest-math.Max(0.06*h, head)
	if wet {
		p.area("source-pool", Source, Water, rect(far, bed, x, crest+head)...)
	}
	p.line("source-pool-surface", Source, Thin, pt(far, crest+head), pt(x-0.03*h, crest+head), pt(x, crest+0.8*head), pt(x+0.05*h, crest+0.4*head), pt(x+0.1*h, crest-0.03*h))
	p.line("source-bed", Source, Outline, pt(far, bed), pt(x, bed))
	p.line("source-plate", Source, Outline, pt(x, bed), pt(x, crest))
	p.say("label-weir", Source, text, x, crest+head/2, Left, 2).with(Length, a.asked(at, "h"))
	p.remark("the weir stands where there is room")
}

func (p *pen) drawSourceTank(b box, h float64, wet bool) {
	x1, z := b.x0-0.08*h, b.z1+0.08*h
	x0, top := x1-0.22*h, z+0.2*h
	if wet {
		p.area("source-store-water", Source, Water, rect(x0, z, x1, top-0.04*h)...)
	}
	p.line("source-store", Source, Outline, pt(x0, top), pt(x0, z), pt(x1, z), pt(x1, top))
	p.line("source-store-pipe", Source, Pipe, pt(x1, z+0.02*h), pt(b.x0+0.04*h, z+0.02*h), pt(b.x0+0.04*h, b.z1))
	p.fit("source-store-valve", Source, Valve, pt((x1+b.x0)/2, z+0.02*h))
	p.say("label-store", Source, "tank", x0, z+0.1*h, Left, 2)
	p.remark("the tank stands where there is room")
}

// drawSupplyPipe draws the pipe that brings the water, up to a point.
func (p *pen) drawSupplyPipe(a around, end Point, h float64) {
	if !a.has(pipeAt) {
		return
	}
	from := pt(end[0]-0.3*h, end[1])
	p.line("supply-pipe", SupplyPipe, Pipe, from, end)
	p.say("label-supply-pipe", SupplyPipe, "supply pipe", from[0]+0.1*h, from[1], Left, 2).with(Length, a.asked(pipeAt, "L"))
	p.spotted("supply_pipe", SupplyPipe, pt(from[0]+0.1*h, from[1]), Left)
}
