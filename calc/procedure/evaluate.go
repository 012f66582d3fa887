package procedure

import (
	"cmp"
	"math"
	"time"
)

// Evaluate answers an expression. What is not known, or makes no sense, is
// unknown: a name that nobody supplies, a text against a number, a division by
// nothing, an entry that a list does not have. Where it makes no difference it is
// passed over: no and unknown is no, yes or unknown is yes.
func (e Expression) Evaluate(names Names) Value { return e.root.of(names) }

// Holds answers a limit. known is false where something in it is not.
func (e Expression) Holds(names Names) (yes, known bool) { return e.Evaluate(names).Yes() }

// Applies answers the condition of an item or a record: what is not known counts
// as yes, and so does no condition.
func (e Expression) Applies(names Names) bool {
	yes, known := e.Holds(names)
	return !e.Given() || !known || yes
}

func (n *node) of(names Names) Value {
	if n == nil {
		return Value{}
	}
	switch n.op {
	case "value":
		return n.value
	case "name":
		return names[n.name]
	case ".":
		return n.args[0].of(names).Field(n.name)
	case "[":
		return entryOf(n.args[0].of(names), n.args[1].of(names))
	case "and", "or":
		return joined(n.op == "or", n.args[0].of(names), n.args[1].of(names))
	case "not":
		if yes, ok := n.args[0].of(names).Yes(); ok {
			return Yes(!yes)
		}
		return Value{}
	case "compare":
		return n.compare(names)
	case "len":
		return lengthIn(n.args[0].of(names))
	}
	return n.arithmetic(names)
}

func entryOf(in, at Value) Value {
	entries, ok := in.List()
	i, number := at.Number()
	if !ok || !number || i != math.Trunc(i) || i < 0 || i >= float64(len(entries)) {
		return Value{}
	}
	return entries[int(i)]
}

func lengthIn(v Value) Value {
	switch v.kind {
	case aList:
		return Number(float64(len(v.list)))
	case aText:
		return Number(float64(len([]rune(v.text))))
	}
	return Value{}
}

// joined is and, or or: decides is the answer that one side can give alone.
func joined(decides bool, a, b Value) Value {
	for _, v := range []Value{a, b} {
		if yes, ok := v.Yes(); ok && yes == decides {
			return Yes(decides)
		}
	}
	if a.kind != aFlag || b.kind != aFlag {
		return Value{}
	}
	return Yes(!decides)
}

// compare is a chain: every pair must hold. One that does not is a no, whatever
// the others are.
func (n *node) compare(names Names) Value {
	result := Yes(true)
	left := n.args[0].of(names)
	for i, op := range n.ops {
		right := n.args[i+1].of(names)
		result = joined(false, result, compared(op, left, right))
		left = right
	}
	return result
}

func compared(op string, a, b Value) Value {
	order, ordered, ok := ordering(a, b)
	if !ok || !ordered && op != "==" && op != "!=" {
		return Value{}
	}
	switch op {
	case "<":
		return Yes(order < 0)
	case "<=":
		return Yes(order <= 0)
	case ">":
		return Yes(order > 0)
	case ">=":
		return Yes(order >= 0)
	case "==":
		return Yes(order == 0)
	}
	return Yes(order != 0)
}

// alike is by how much two numbers may differ, of themselves, and count as equal:
// 0.7 + 0.1 is 0.8 to people.
const alike = 1e-12

// ordering compares two values of one kind; ordered is false where they can only
// be equal or not. Texts have an order where both are dates.
func ordering(a, b Value) (order int, ordered, ok bool) {
	x, isX := a.Number()
	y, isY := b.Number()
	switch {
	case isX && isY:
		if math.Abs(x-y) <= alike*max(math.Abs(x), math.Abs(y)) {
			return 0, true, true
		}
		return cmp.Compare(x, y), true, true
	case a.kind == aText && b.kind == aText:
		before, err := time.Parse(time.DateOnly, a.text)
		after, err2 := time.Parse(time.DateOnly, b.text)
		if err == nil && err2 == nil {
			return before.Compare(after), true, true
		}
		return different(a.text == b.text), false, true
	case a.kind == aFlag && b.kind == aFlag:
		return different(a.yes == b.yes), false, true
	}
	return 0, false, false
}

func different(same bool) int {
	if same {
		return 0
	}
	return 1
}

// arithmetic answers what is worked out of numbers alone.
func (n *node) arithmetic(names Names) Value {
	x := make([]float64, len(n.args))
	for i, arg := range n.args {
		v, ok := arg.of(names).Number()
		if !ok {
			return Value{}
		}
		x[i] = v
	}
	switch n.op {
	case "+":
		return Number(x[0] + x[1])
	case "-":
		return Number(x[0] - x[1])
	case "*":
		return Number(x[0] * x[1])
	case "/":
		return Number(x[0] / x[1]) // by nothing: unknown
	case "negative":
		return Number(-x[0])
	case "abs":
		return Number(math.Abs(x[0]))
	}
	best := x[0]
	for _, other := range x[1:] {
		if n.op == "min" {
			best = min(best, other)
		} else {
			best = max(best, other)
		}
	}
	return Number(best)
}
