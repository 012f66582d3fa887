package draw

import (
	"math"

	"leat/calc/sheet"
	"leat/calc/trompe"
)

// Drawing is one elevation. Shapes stand in the order in which they are painted.
type Drawing struct {
	Frame      Frame       `json:"frame"`
	Columns    []Span      `json:"columns"` // spans of x to keep wide enough to see, from left to right, disjoint
	Shapes     []Shape     `json:"shapes"`
	Levels     []Level     `json:"levels"`
	Dimensions []Dimension `json:"dimensions"`
	Labels     []Label     `json:"labels"`
	Fittings   []Fitting   `json:"fittings"`
	Warnings   []Pin       `json:"warnings"`
	Notes      []string    `json:"notes"`  // where the drawing is not the whole machine, and cautions
	Bundle     *Bundle     `json:"bundle"` // null without air tubes
}

// Frame bounds everything drawn, in metres.
type Frame struct {
	X0 float64 `json:"x0"`
	Z0 float64 `json:"z0"`
	X1 float64 `json:"x1"`
	Z1 float64 `json:"z1"`
}

// Span is a stretch of x, in metres.
type Span struct {
	X0 float64 `json:"x0"`
	X1 float64 `json:"x1"`
}

// Point is x to the right and z upward, in metres, rounded to 0.1 mm.
type Point [2]float64

// Part names the part of the machine: a part of the trompe, or a section of the
// sheet.
type Part string

// The parts, in the order of the water.
const (
	Site      Part = "site"
	Supply    Part = "supply"
	Intake    Part = "intake"
	Downcomer Part = "downcomer"
	Chamber   Part = "chamber"
	Riser     Part = "riser"
	Takeoff   Part = "takeoff"

	Source     Part = "source"
	SupplyPipe Part = "supply_pipe"
	Ram        Part = "ram"
	Lift       Part = "lift"
	Pulse      Part = "pulse"
	AirLine    Part = "air_line"
	Receiver   Part = "receiver"
	Uses       Part = "uses"
)

// Kind says how a shape is drawn.
type Kind string

// The kinds of shape. The first six are areas, the others are lines.
const (
	Ground  Kind = "ground"  // diagonal hatch
	Water   Kind = "water"   // broken horizontal hatch
	Air     Kind = "air"     // dots
	Mixture Kind = "mixture" // both, the dots as dense as the void says
	Film    Kind = "film"    // water running down a wall
	Dry     Kind = "dry"     // the inside of a part with nothing in it
	Outline Kind = "outline" // heavy: a wall
	Thin    Kind = "thin"    // an edge that no input gives, or a surface
	Centre  Kind = "centre"  // chain line
	Tube    Kind = "tube"    // an air tube
	Hose    Kind = "hose"
	Pipe    Kind = "pipe"  // a pipe whose bore is not drawn
	Break   Kind = "break" // a stretch left out
)

// Shape is a closed area or an open line.
type Shape struct {
	ID     string   `json:"id"`
	Part   Part     `json:"part"`
	Kind   Kind     `json:"kind"`
	Points []Point  `json:"points"`
	Closed bool     `json:"closed"`
	Void   *float64 `json:"void,omitempty"` // share of air, of a Mixture
}

// Side says where a label had best stand.
type Side string

// The sides of a drawing.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Level is a level mark: a triangle on a surface or an edge.
type Level struct {
	ID    string  `json:"id"`
	Part  Part    `json:"part"`
	Text  string  `json:"text"`
	At    Point   `json:"at"`
	Side  Side    `json:"side"`
	Value float64 `json:"value"` // elevation, m
	Rank  int     `json:"rank"`  // 1: always shown; 3: first to go where room is short
}

// Dimension is a height between two levels.
type Dimension struct {
	ID    string  `json:"id"`
	Part  Part    `json:"part"`
	Text  string  `json:"text"`
	From  Point   `json:"from"` // the upper end
	To    Point   `json:"to"`   // the lower end
	Side  Side    `json:"side"`
	Value float64 `json:"value"` // m
	Rank  int     `json:"rank"`
}

// Quantity says what a label's value is, so that the browser can choose a unit.
type Quantity string

// The quantities of labels.
const (
	Bore     Quantity = "bore"     // m
	Length   Quantity = "length"   // m
	Area     Quantity = "area"     // m²
	Pressure Quantity = "pressure" // Pa, gauge
	Flow     Quantity = "flow"     // m³/s of water
	FreeAir  Quantity = "free_air" // m³/s of free air
	Volume   Quantity = "volume"   // m³
	Ratio    Quantity = "ratio"
)

// Label names a part or a state at a point.
type Label struct {
	ID       string   `json:"id"`
	Part     Part     `json:"part"`
	Text     string   `json:"text"`
	At       Point    `json:"at"`
	Side     Side     `json:"side"`
	Value    *float64 `json:"value,omitempty"`
	Quantity Quantity `json:"quantity,omitempty"`
	Rank     int      `json:"rank"`
}

// FittingKind says which sign a fitting has.
type FittingKind string

// The kinds of fitting.
const (
	Gauge FittingKind = "gauge" // a circle with a hand
	Valve FittingKind = "valve" // two triangles, tip to tip
	Shut  FittingKind = "shut"  // the same, filled

	Check    FittingKind = "check"    // a triangle against a bar: lets through one way, upward
	Nozzle   FittingKind = "nozzle"   // a pointed end
	Tool     FittingKind = "tool"     // a box
	Forge    FittingKind = "forge"    // a flame
	Diffuser FittingKind = "diffuser" // a dome
)

// Fitting is drawn as a sign of fixed size.
type Fitting struct {
	ID   string      `json:"id"`
	Part Part        `json:"part"`
	Kind FittingKind `json:"kind"`
	At   Point       `json:"at"`
}

// Pin fixes a warning to the part it is about.
type Pin struct {
	Code   string `json:"code"`
	Part   Part   `json:"part"`
	Text   string `json:"text"`             // two or three words
	Detail string `json:"detail,omitempty"` // what was found
	At     Point  `json:"at"`
	Side   Side   `json:"side"`
}

// Sheet draws the machine of a design sheet with what was calculated for it.
// Where there are no numbers the machine is drawn dry. An input that cannot be
// read as a machine gives a drawing without shapes.
func Sheet(in sheet.Input, rep sheet.Report) Drawing {
	a := read(in, rep)
	if a.kind == sheet.Ram || a.kind != sheet.Trompe && !given(in.Trompe) {
		return a.withoutTrompe()
	}
	machine, faults := trompe.Decode(in.Trompe)
	if len(faults) > 0 {
		return empty()
	}
	return drawn(machine, rep.Trompe, a)
}

// Machine draws one decoded trompe; res may be nil.
func Machine(in trompe.Input, res *trompe.Result) Drawing {
	return drawn(in, res, around{kind: sheet.Trompe})
}

func drawn(in trompe.Input, res *trompe.Result, a around) Drawing {
	e := elevation{pen: newPen(), in: in, around: a}
	if res != nil {
		e.num = res.Numbers
	}
	e.layOut()
	e.drawGround()
	e.drawShaft()
	e.drawSource()
	e.drawSupply()
	e.drawChamber()
	e.drawRiser()
	e.drawDowncomers()
	e.drawIntakes()
	e.drawTakeoff()
	e.drawBooster()
	e.drawAir()
	e.markLevels()
	e.dimension()
	e.label()
	e.drawBundle()
	if res != nil {
		e.pin(res)
	}
	e.spotParts()
	e.judge(a.judged)
	e.close()
	return e.Drawing
}

func empty() Drawing {
	return Drawing{
		Columns: []Span{}, Shapes: []Shape{}, Levels: []Level{}, Dimensions: []Dimension{},
		Labels: []Label{}, Fittings: []Fitting{}, Warnings: []Pin{}, Notes: []string{},
	}
}

// elevation is the drawing of a trompe in the making.
type elevation struct {
	pen
	around
	in  trompe.Input
	num *trompe.Numbers // nil: drawn dry
	layout
}

func (e *elevation) wet() bool { return e.num != nil }

func round(x float64) float64 {
	r := math.Round(x*1e4) / 1e4
	if r == 0 {
		return 0 // no negative zero in the JSON
	}
	return r
}

func pt(x, z float64) Point { return Point{round(x), round(z)} }
