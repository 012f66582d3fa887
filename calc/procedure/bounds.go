package procedure

import (
	"fmt"
	"math"
)

// Bounds are the least and the greatest value that a limit lets pass, nil where it
// has none that can be said so simply. They are for showing; [Expression.Holds]
// judges.
type Bounds struct {
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
	AboveLow bool     `json:"above_low"` // Low itself does not pass
	BelowTop bool     `json:"below_top"` // High itself does not pass
}

// Bounds returns the bounds that a limit sets to value.
func (e Expression) Bounds(names Names) Bounds {
	var b Bounds
	if e.root != nil {
		b.take(e.root, names)
	}
	return b
}

// take takes the bounds out of what must hold in any case.
func (b *Bounds) take(n *node, names Names) {
	switch n.op {
	case "and":
		b.take(n.args[0], names)
		b.take(n.args[1], names)
	case "compare":
		for i, op := range n.ops {
			b.pair(n.args[i], op, n.args[i+1], names)
		}
	}
}

var turned = map[string]string{"<": ">", "<=": ">=", ">": "<", ">=": "<=", "==": "=="}

func (b *Bounds) pair(left *node, op string, right *node, names Names) {
	if x, ok := left.of(names).Number(); ok && right.isValue() {
		b.set(turned[op], x)
		return
	}
	x, ok := right.of(names).Number()
	switch {
	case !ok:
	case left.isValue():
		b.set(op, x)
	case left.op == "abs" && left.args[0].op == "-" && left.args[0].args[0].isValue() && (op == "<" || op == "<="):
		if middle, ok := left.args[0].args[1].of(names).Number(); ok {
			b.set(op, middle+x)
			b.set(turned[op], middle-x)
		}
	}
}

func (n *node) isValue() bool { return n.op == "name" && n.name == "value" }

func (b *Bounds) set(op string, x float64) {
	if (op == "<" || op == "<=" || op == "==") && (b.High == nil || x <= *b.High) {
		b.High, b.BelowTop = &x, op == "<"
	}
	if (op == ">" || op == ">=" || op == "==") && (b.Low == nil || x >= *b.Low) {
		b.Low, b.AboveLow = &x, op == ">"
	}
}

// String says bounds in figures, rounded so that what is said passes; empty for
// none.
func (b Bounds) String() string {
	low, high := "", ""
	if b.Low != nil {
		low = map[bool]string{false: "at least ", true: "above "}[b.AboveLow] + figures(*b.Low, math.Ceil)
	}
	if b.High != nil {
		high = map[bool]string{false: "at most ", true: "below "}[b.BelowTop] + figures(*b.High, math.Floor)
	}
	if low != "" && high != "" {
		return low + " and " + high
	}
	return low + high
}

// figures rounds to four figures, up or down.
func figures(x float64, round func(float64) float64) string {
	if x == 0 {
		return "0"
	}
	scale := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(x))))
	near := math.Round(x * scale)
	if math.Abs(near-x*scale) > 1e-9*math.Abs(near) {
		near = round(x * scale)
	}
	return fmt.Sprintf("%.10g", near/scale)
}
