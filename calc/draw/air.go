package draw

import (
	"fmt"
	"math"

	"leat/calc/sheet"
)

// train is the way of the air from the machine to what it is for. No input says
// where these stand; how deep air is let into water is true.
type train struct {
	from  Point   // where the machine gives its air
	x     float64 // from where there is room beside the machine
	dir   float64 // 1 to the right, -1 to the left
	h     float64 // the height that spacing is a share of
	ponds float64 // level of open water
	long  float64 // how far its parts reach, as a share of h
	wet   bool
}

// mostUses is how many uses an elevation shows.
const mostUses = 3

const (
	useWide  = 0.17 // shares of the height
	tankRoom = 0.28
)

func (a around) supplied() bool { return a.has(lineAt) || a.has(receiverAt) || len(a.uses) > 0 }

// end is how far a train reaches sideways.
func (t train) end() float64 { return t.x + t.dir*t.long*t.h }

// reachOfAir is how far what stands at the air line reaches, as a share of the height.
func (a around) reachOfAir() float64 {
	long := (float64(min(len(a.uses), mostUses)) + 0.3) * useWide
	if a.has(receiverAt) {
		long += tankRoom
	}
	return long
}

// layOutAir finds the room beside the machine to which its air leads.
func (e *elevation) layOutAir() {
	e.air = train{from: pt(e.takeoffEnd(), e.takeoffLevel()), dir: 1, h: e.h, long: e.reachOfAir(), wet: e.wet()}
	e.air.x = e.rightmost() + 0.05*e.h
	if e.leftward() {
		e.air.dir, e.air.x = -1, e.leftmost()-0.05*e.h
	}
	e.air.ponds = e.air.from[1] - 0.05*e.h
	if e.kind == sheet.Pulse && e.ram.fall > 0 {
		r := e.ram
		x, _, _ := r.mouth()
		seat := r.seat()
		e.air.from = pt(seat[0]+0.02*r.h, r.z+r.fall+0.12*r.h)
		e.air.x = r.at(x-(tankWide+0.05)*r.h, 0)[0]
		e.air.ponds = r.z
		e.air.wet = r.wet
	}
	if e.groundNear() {
		e.air.ponds = math.Min(*e.in.Site.GroundM, e.air.ponds)
	}
}

func (e *elevation) drawAir() {
	if e.supplied() {
		e.drawTrain(e.around, e.air)
	}
}

// drawTrain draws the air line, the receiver and the uses.
func (p *pen) drawTrain(a around, t train) {
	if !a.supplied() {
		return
	}
	part := Takeoff
	if a.has(lineAt) {
		part = AirLine
	} else if a.has(receiverAt) {
		part = Receiver
	} else {
		part = Uses
	}
	z := t.from[1]
	p.line("air-line", part, Outline, t.from, pt(t.x, z))
	if a.has(lineAt) {
		mid := pt(t.x, z)
		p.say("label-air-line", AirLine, "air line", mid[0], mid[1], sideOf(t.dir), 2).with(Length, a.asked(lineAt, "L"))
		p.spotted("air_line", AirLine, mid, sideOf(t.dir))
	}
	x := t.x
	if a.has(receiverAt) {
		x = p.drawTankOf(a, t)
	}
	p.drawUses(a, t, x)
}

// drawTankOf draws the receiver, lying, and returns its far end.
func (p *pen) drawTankOf(a around, t train) float64 {
	volume, z := a.asked(receiverAt, "V"), t.from[1]
	long := math.Min(math.Max(height(volume), 0.12*t.h), 0.26*t.h)
	if long != height(volume) {
		p.remark("receiver not to scale")
	}
	half, near, far := long/6, t.x+t.dir*0.02*t.h, t.x+t.dir*(0.02*t.h+long)
	body := rect(math.Min(near, far), z-half, math.Max(near, far), z+half)
	kind := Dry
	if t.wet {
		kind = Air
	}
	p.line("receiver-inlet", Receiver, Outline, pt(t.x, z), pt(near, z))
	p.area("receiver-body", Receiver, kind, body...)
	p.line("receiver-wall", Receiver, Outline, append(body, body[0])...)
	p.say("label-receiver", Receiver, "receiver", (near+far)/2, z+half, sideOf(t.dir), 2).with(Volume, volume)
	p.spotted("receiver", Receiver, pt((near+far)/2, z+half), sideOf(t.dir))
	return far
}

// drawUses hangs each use on the line that leads on, with its sign.
func (p *pen) drawUses(a around, t train, x float64) {
	drawn := min(len(a.uses), mostUses)
	if len(a.uses) > drawn {
		p.remark(fmt.Sprintf("%d of %d uses drawn", drawn, len(a.uses)))
	}
	z := t.from[1]
	for i, u := range a.uses[:drawn] {
		at := pt(x+t.dir*(float64(i)+0.7)*useWide*t.h, z)
		begin := x
		if i > 0 {
			begin = x + t.dir*(float64(i)-0.3)*useWide*t.h
		}
		name := fmt.Sprintf("use-%d", i+1)
		p.line(name+"-line", Uses, Outline, pt(begin, z), at)
		p.drawUse(a, t, name, fmt.Sprintf("/uses/%d/%s", i, u.Kind), u, at)
	}
}

var signs = map[string]FittingKind{"orifice_air": Nozzle, "forge": Forge, "tool_air": Tool}

var useWords = map[string]string{"aeration": "diffuser", "airlift": "airlift", "orifice_air": "nozzle", "forge": "forge", "tool_air": "air tool"}

func (p *pen) drawUse(a around, t train, name, section string, u use, at Point) {
	text := useWords[u.Kind]
	if u.Name != "" {
		text = brief(u.Name)
	}
	side := sideOf(t.dir)
	switch u.Kind {
	case "aeration":
		depth := a.asked(section, "depth")
		end := p.drawPond(t, name, at, depth)
		p.fit(name+"-sign", Uses, Diffuser, end)
		p.say("label-"+name, Uses, text+", under water", end[0], end[1], side, 2).with(Length, depth)
	case "airlift":
		depth, lift := a.asked(section, "submergence"), a.asked(section, "lift")
		end := p.drawPond(t, name, at, depth)
		half, top := math.Max(a.asked(section, "D")/2, 0.004*t.h), t.ponds+math.Min(lift, 0.5*t.h)
		c := end[0] + t.dir*0.03*t.h
		p.line(name+"-left", Uses, Outline, pt(c-half, end[1]-0.02*t.h), pt(c-half, top))
		p.line(name+"-right", Uses, Outline, pt(c+half, end[1]-0.02*t.h), pt(c+half, top))
		p.column(c-half, c+half)
		p.say("label-"+name, Uses, text+", lifts", c, top, side, 2).with(Length, lift)
	default:
		end := pt(at[0], at[1]+0.08*t.h)
		p.line(name+"-drop", Uses, Outline, at, end)
		p.fit(name+"-sign", Uses, signs[u.Kind], end)
		label := p.say("label-"+name, Uses, text, end[0], end[1], side, 2)
		if bore := a.asked(section, "d"); u.Kind == "orifice_air" && bore > 0 {
			label.with(Bore, bore)
		}
	}
}

// drawPond draws open water with a line that leads down into it, and returns the
// end of that line. Water deeper than the machine is tall is drawn shallower.
func (p *pen) drawPond(t train, name string, at Point, depth float64) Point {
	if most := 1.2 * t.h; depth > most {
		depth = most
		p.remark("water at " + useWordsOf(name) + " drawn shallower than it is")
	}
	end, half, floor := pt(at[0], t.ponds-depth), 0.08*t.h, t.ponds-depth-0.05*t.h
	p.area(name+"-pond", Uses, Water, rect(at[0]-half, floor, at[0]+half, t.ponds)...)
	p.line(name+"-surface", Uses, Thin, pt(at[0]-half, t.ponds), pt(at[0]+half, t.ponds))
	p.line(name+"-bed", Uses, Thin, pt(at[0]-half, t.ponds), pt(at[0]-half, floor), pt(at[0]+half, floor), pt(at[0]+half, t.ponds))
	p.line(name+"-drop", Uses, Outline, at, end)
	return end
}

func useWordsOf(name string) string { return "use " + name[len("use-"):] }

// spotParts pins verdicts on the parts of the trompe, where nothing better is drawn.
func (e *elevation) spotParts() {
	put := func(role string, part Part) {
		if _, drawn := e.spots[role]; !drawn || role == "chamber" {
			at, side := e.place(part, "")
			e.spotted(role, part, at, side)
		}
	}
	for role, part := range map[string]Part{"downcomer": Downcomer, "chamber": Chamber, "riser": Riser, "air_line": Takeoff, "receiver": Takeoff} {
		put(role, part)
	}
	if _, drawn := e.spots["supply_pipe"]; !drawn {
		e.spotted("supply_pipe", Supply, pt(e.basin.x0, (e.basin.z0+e.level)/2), Left)
	}
}
