package draw

import "math"

// hydraulic is a ram where it stands. Fall, rise and the length of the drive pipe
// are true; the bodies are as large as can be seen.
type hydraulic struct {
	fall, rise, length, bore float64 // m; rise 0: it delivers air, no water
	x, z                     float64 // end of the drive pipe; level of the waste valve
	dir                      float64 // way of the water: 1 to the right, -1 to the left
	h                        float64 // the height that spacing is a share of
	part                     Part    // of drive pipe and body
	over                     float64 // how far the delivery pipe climbs over the rise
	reach                    float64 // from the body to where the delivery pipe climbs; 0: a little
	run                      float64 // from there to where it ends; 0: a little
	beside                   bool    // a trompe is drawn beside it
	wet                      bool
}

// The shares of the height that a ram is drawn with.
const (
	bodyWide  = 0.16
	bodyDeep  = 0.05
	tankWide  = 0.15
	mostDrive = 1.6 // a drive pipe that leads further sideways is cut
	besideOne = 0.6 // the same, where a trompe is drawn beside it
)

func (r hydraulic) at(x, z float64) Point { return pt(r.x+r.dir*x, r.z+z) }

// rect lists the corners of a rectangle in the ram's own places.
func (r hydraulic) rect(x0, z0, x1, z1 float64) []Point {
	return []Point{r.at(x0, z0), r.at(x1, z0), r.at(x1, z1), r.at(x0, z1)}
}

// mouth is where the drive pipe begins, a little under the water: the pipe is as
// long as given, unless it is too short to reach the water or too long to draw.
func (r hydraulic) mouth() (x, z float64, cut bool) {
	z = r.fall - math.Min(0.1*r.fall, 0.06*r.h)
	drop := z + r.foot()
	run := 0.0
	if r.length > drop {
		run = math.Sqrt(r.length*r.length - drop*drop)
	}
	most := mostDrive * r.h
	if r.beside {
		most = besideOne * r.h
	}
	if run > most {
		return -most, z, true
	}
	return -run, z, false
}

// foot is how far under the waste valve the drive pipe ends.
func (r hydraulic) foot() float64 { return bodyDeep * r.h / 2 }

func (p *pen) drawRam(r hydraulic) {
	p.drawBankOf(r)
	p.drawTank(r)
	p.drawDrivePipe(r)
	p.drawBody(r)
	if r.rise > 0 {
		p.drawDelivery(r)
	}
	p.remark("bodies, vessels and bores of the ram drawn larger than they are; where its parts stand sideways is chosen")
}

// drawBankOf hatches the slope under the drive pipe.
func (p *pen) drawBankOf(r hydraulic) {
	x, z, _ := r.mouth()
	t := 0.03 * r.h
	p.area("ram-bank", Site, Ground,
		r.at(x-tankWide*r.h-t, z-t), r.at(x, z-t), r.at(0, -bodyDeep*r.h), r.at((bodyWide+0.03)*r.h, -bodyDeep*r.h),
		r.at((bodyWide+0.03)*r.h, -bodyDeep*r.h-2*t), r.at(x-tankWide*r.h-t, -bodyDeep*r.h-2*t))
}

// tank is the water over the drive pipe, as a box in the drawing.
func (r hydraulic) tank() box {
	x, z, _ := r.mouth()
	a, b := r.at(x-tankWide*r.h, z-0.03*r.h), r.at(x, r.fall+0.03*r.h)
	return box{math.Min(a[0], b[0]), math.Max(a[0], b[0]), a[1], b[1]}
}

func (p *pen) drawTank(r hydraulic) {
	b, level := r.tank(), r.z+r.fall
	if r.wet {
		p.area("source-water", Source, Water, rect(b.x0, b.z0, b.x1, level)...)
		p.line("source-surface", Source, Thin, pt(b.x0, level), pt(b.x1, level))
	} else {
		p.area("source-dry", Source, Dry, rect(b.x0, b.z0, b.x1, b.z1)...)
	}
	p.line("source-tank", Source, Outline, pt(b.x0, b.z1), pt(b.x0, b.z0), pt(b.x1, b.z0), pt(b.x1, b.z1))
}

func (p *pen) drawDrivePipe(r hydraulic) {
	x, z, cut := r.mouth()
	p.line("ram-drive-pipe", r.part, Pipe, r.at(x, z), r.at(0, -r.foot()))
	t := 0.02 * r.h
	if cut {
		mid := (z - r.foot()) / 2
		for i, id := range []string{"ram-break-1", "ram-break-2"} {
			a := x/2 + float64(i)*1.6*t
			p.line(id, r.part, Break, r.at(a-t/2, mid-2*t), r.at(a+t/2, mid+2*t))
		}
		p.remark("drive pipe drawn shorter than it is")
	}
	if r.length < z+r.foot() {
		p.remark("the drive pipe is shorter than the fall: look at both again")
	}
	p.spotted("drive_pipe", r.part, r.at(x/2, (z-r.foot())/2), sideOf(-r.dir))
}

// sideOf is the side of the drawing that lies in a direction.
func sideOf(dir float64) Side {
	if dir < 0 {
		return Left
	}
	return Right
}

// drawBody draws the ram itself, with the waste valve on it.
func (p *pen) drawBody(r hydraulic) {
	h := r.h
	kind := Dry
	if r.wet {
		kind = Water
	}
	body := r.rect(0, -bodyDeep*h, bodyWide*h, 0)
	p.area("ram-body", r.part, kind, body...)
	p.line("ram-body-wall", r.part, Outline, append(body, body[0])...)
	w := r.waste()
	p.line("ram-waste-stem", r.part, Thin, w, pt(w[0], w[1]+0.05*h))
	p.fit("ram-waste-valve", r.part, Check, w)
	a, b := r.at(0, 0)[0], r.at(bodyWide*h/2, 0)[0]
	p.column(math.Min(a, b), math.Max(a, b))
	c := r.at(bodyWide*h, 0)[0]
	p.column(math.Min(b, c), math.Max(b, c))
}

func (r hydraulic) waste() Point { return r.at(0.25*bodyWide*r.h, 0) }

// seat is the middle of the delivery valve, under the vessel.
func (r hydraulic) seat() Point { return r.at(0.72*bodyWide*r.h, 0) }

// drawVessel draws what stands on the delivery valve, with a share of water in
// it, and returns its top. Its height is true where that can be seen.
func (p *pen) drawVessel(r hydraulic, id string, part Part, volume, water float64) Point {
	tall := math.Min(math.Max(height(volume), 0.15*r.h), 0.3*r.h)
	half, foot := 0.2*bodyWide*r.h, 0.02*r.h
	x := 0.72 * bodyWide * r.h
	if r.wet {
		p.area(id+"-air", part, Air, r.rect(x-half, foot+water*tall, x+half, foot+tall)...)
		p.area(id+"-water", part, Water, r.rect(x-half, 0, x+half, foot+water*tall)...)
	} else {
		p.area(id+"-dry", part, Dry, r.rect(x-half, 0, x+half, foot+tall)...)
	}
	p.line(id+"-wall", part, Outline, r.at(x-half, 0), r.at(x-half, foot+tall), r.at(x+half, foot+tall), r.at(x+half, 0))
	p.fit("ram-delivery-valve", r.part, Check, r.seat())
	return r.at(x, foot+tall)
}

// height is that of an upright vessel three times as tall as it is wide.
func height(volume float64) float64 { return 3 * math.Cbrt(4*volume/(3*math.Pi)) }

// drawDelivery draws the pipe up to where the water goes; its length is not known.
func (p *pen) drawDelivery(r hydraulic) {
	h := r.h
	x, z := bodyWide*h, -r.foot()
	up := x + r.climb()
	p.line("ram-delivery-pipe", r.part, Pipe, r.at(x, z), r.at(up, z), r.at(up, r.rise+r.over), r.at(up+r.spout(), r.rise+r.over))
	p.spotted("delivery_pipe", r.part, r.at(up, 0.5*r.rise), sideOf(r.dir))
}

func (r hydraulic) climb() float64 { return math.Max(r.reach, 0.1*r.h) }
func (r hydraulic) spout() float64 { return math.Max(r.run, 0.08*r.h) }

// end is where the delivery pipe lets its water go.
func (r hydraulic) end() Point { return r.at(bodyWide*r.h+r.climb()+r.spout(), r.rise+r.over) }

// measureRam marks the levels of a ram and writes what it takes and gives.
func (p *pen) measureRam(r hydraulic, waterWords string) {
	b, w := r.tank(), r.waste()
	near, far := sideOf(-r.dir), sideOf(r.dir)
	p.mark("level-source", Source, waterWords, (b.x0+b.x1)/2, r.z+r.fall, near, 1)
	p.mark("level-waste", r.part, "waste valve", w[0], r.z, near, 2)
	edge := b.x0
	if r.dir < 0 {
		edge = b.x1
	}
	p.span("dim-fall", Source, "fall", edge, r.z+r.fall, w[0], r.z, near, 1)
	x, z, _ := r.mouth()
	if r.bore > 0 { // else the length is a sketch too
		p.say("label-drive", r.part, "drive pipe", r.at(0.4*x, 0)[0], r.z+0.4*z-0.6*r.foot(), near, 2).with(Bore, r.bore)
		p.say("label-drive-length", r.part, "drive pipe, length", r.at(0.7*x, 0)[0], r.z+0.7*z-0.3*r.foot(), near, 2).with(Length, r.length)
	}
	if r.rise > 0 {
		e := r.end()
		p.mark("level-delivery", r.part, "delivery", e[0]-r.dir*0.03*r.h, r.z+r.rise, far, 1)
		p.span("dim-lift", r.part, "delivery height", e[0], r.z+r.rise, r.at(bodyWide*r.h, 0)[0], r.z, far, 1)
	}
}
