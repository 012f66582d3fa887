package parts

import "slices"

// cutting is a plan in kinds of pieces.
type cutting struct {
	used     [][]int // from each bar at hand
	bought   [][]int
	unplaced []int
}

// bars counts the bars that are cut into.
func (c cutting) bars() (n int) {
	for _, bar := range c.used {
		if len(bar) > 0 {
			n++
		}
	}
	return n + len(c.bought)
}

// cutter plans the pieces of one pipe: bars at hand of several lengths, then
// equal bars that are bought.
type cutter struct {
	*search
	items []Tenths // room in each bar at hand, rising
	used  [][]int  // kinds taken from each, in the try at hand
	best  cutting
}

// planBars returns a plan, whether no plan buys fewer bars or cuts into fewer,
// and what turns kinds of pieces into lengths.
func planBars(wanted []Piece, items []Item, buy Stock) (plan cutting, exact bool, lengths func([]int) []Tenths) {
	c := &cutter{}
	room := func(length Tenths) Tenths {
		if length <= buy.Trim {
			return 0
		}
		return length - buy.Trim + buy.Kerf
	}
	for _, item := range items {
		c.items = append(c.items, room(item.Length))
	}
	var pieces []Tenths
	for _, p := range wanted {
		pieces = append(pieces, slices.Repeat([]Tenths{p.Length}, p.Qty)...)
	}
	c.search = newSearch(room(buy.Length), buy.Kerf, pieces)
	longest := max(c.room, c.item(len(c.items)-1))
	hopeless := c.takeLonger(longest)
	exact = c.plain()
	if !exact && c.pieces <= fewPieces {
		exact = c.searchAll()
	}
	c.best.unplaced = append(hopeless, c.best.unplaced...)
	return c.best, exact, c.lengthsOf
}

// item returns the room in a bar at hand, none where there is no such bar.
func (c *cutter) item(i int) Tenths {
	if i < 0 || i >= len(c.items) {
		return 0
	}
	return c.items[i]
}

// takeLonger takes out the pieces that are longer than every bar.
func (c *cutter) takeLonger(room Tenths) (kinds []int) {
	for kind, size := range c.size {
		if size > room {
			kinds = append(kinds, slices.Repeat([]int{kind}, c.count[kind])...)
			c.pieces -= c.count[kind]
			c.sum -= size * Tenths(c.count[kind])
			c.count[kind] = 0
		}
	}
	return kinds
}

// plain fills what is at hand as full as can be, the shortest first, packs the
// rest into bars to be bought, and tells whether no plan is better.
func (c *cutter) plain() bool {
	f := filler{size: c.size, left: slices.Clone(c.count), steps: valueSteps}
	for _, size := range c.size {
		f.value = append(f.value, float64(size))
	}
	for _, room := range c.items {
		f.worthiest(room)
		c.best.used = append(c.best.used, f.best)
	}
	var rest []Tenths
	kindOf := map[Tenths]int{}
	for kind, n := range f.left {
		length := c.size[kind] - c.kerf
		kindOf[length] = kind
		if c.size[kind] > c.room {
			c.best.unplaced = append(c.best.unplaced, slices.Repeat([]int{kind}, n)...)
			continue
		}
		rest = append(rest, slices.Repeat([]Tenths{length}, n)...)
	}
	if len(rest) == 0 {
		return c.pieces == 0
	}
	p := Pack(c.room-c.kerf, c.kerf, rest)
	for _, bar := range p.Bars {
		var kinds []int
		for _, length := range bar {
			kinds = append(kinds, kindOf[length])
		}
		c.best.bought = append(c.best.bought, kinds)
	}
	return p.Exact && len(c.items) == 0
}
