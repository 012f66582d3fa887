package draw

import (
	"fmt"

	"leat/calc"
	"leat/calc/trompe"
)

// where says which part a warning is about, and its two or three words.
type where struct {
	part Part
	text string
}

var pins = map[string]where{
	"W_SURPLUS":        {Downcomer, "fall wasted"},
	"W_SHORT_SEAL":     {Downcomer, "short seal"},
	"W_VOID":           {Downcomer, "near slugs"},
	"E_VOID":           {Downcomer, "too much air"},
	"W_CARRY":          {Downcomer, "water slow"},
	"W_SLUG_HOLD":      {Downcomer, "slugs may hang"},
	"W_INCLINED":       {Downcomer, "pipe leans"},
	"W_RISER_TALL":     {Riser, "riser tall"},
	"W_FILL":           {Intake, "tube fill"},
	"W_CHAMBER":        {Chamber, "air carried off"},
	"W_RISER_FAST":     {Riser, "riser fast"},
	"W_MOUTH_HIGH":     {Downcomer, "mouth over lip"},
	"W_SUCTION":        {Intake, "strong suction"},
	"W_PRESSURE":       {Chamber, "high pressure"},
	"W_FLOODED":        {Chamber, "chamber floods"},
	"W_BLOW_OFF":       {Chamber, "air blows off"},
	"W_PRESSURE_SHORT": {Riser, "pressure short"},
	"W_FLOW_SHORT":     {Takeoff, "air short"},
	"W_MULTIPLE":       {Intake, "two states"},
	"E_NO_INDUCTION":   {Intake, "draws no air"},
	"W_SCALE":          {Downcomer, "size unproven"},
	"I_SCALE":          {Downcomer, "beyond the data"},
}

// pin fixes each warning to its part. A code not known here goes to the
// downcomer with its own name, so that none is lost.
func (e *elevation) pin(res *trompe.Result) {
	for _, w := range res.Warnings {
		to, ok := pins[w.Code]
		if !ok {
			to = where{Downcomer, w.Code}
		}
		at, side := e.place(to.part, w.Code)
		e.Warnings = append(e.Warnings, Pin{Code: w.Code, Part: to.part, Text: to.text, Detail: found(w), At: at, Side: side})
	}
}

func found(w calc.Warning) string {
	if w.Code == "W_VOID" && w.Value != nil {
		return fmt.Sprintf("void %.2f", *w.Value)
	}
	return ""
}

// place is the point of a part at which a warning stands.
func (e *elevation) place(part Part, code string) (Point, Side) {
	mouth, out := e.in.Intake.MouthM, e.in.Downcomer.OutletM
	switch part {
	case Intake:
		return pt(e.axis(0, mouth), mouth), Right
	case Chamber:
		return pt((e.room.x0+e.room.x1)/2, e.room.z1), Left
	case Riser:
		return pt(e.rise.x1, e.rise.z1-0.2*(e.rise.z1-e.rise.z0)), Right
	case Takeoff:
		return e.gauge(), Right
	default:
		share := 0.9 // bubbles are largest in number at the top
		if code == "W_MOUTH_HIGH" || code == "W_SHORT_SEAL" {
			share = 0.1
		}
		z := out + share*(mouth-out)
		return pt(e.axis(e.units-1, z)+e.wide/2, z), Right
	}
}
