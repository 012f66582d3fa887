package parts

import "slices"

// planSteps bounds the search over bars at hand.
const planSteps = 3_000_000

// searchAll tries every way to use the bars at hand, and tells whether the best
// plan is now known for sure.
func (c *cutter) searchAll() bool {
	c.steps = planSteps
	c.used = make([][]int, len(c.items))
	c.tryItem(0, 0)
	return c.steps > 0 && len(c.best.unplaced) == 0
}

// tryItem tries every way to fill the bars at hand from this one on, of which
// cuts are cut into so far: full, or not touched.
func (c *cutter) tryItem(i, cuts int) {
	if c.steps <= 0 || !c.promising(i, cuts) {
		return
	}
	if i == len(c.items) {
		c.buyRest(cuts)
		return
	}
	outer := c.bar
	c.bar = nil
	c.fill(0, c.items[i], func() bool {
		if len(c.bar) > 0 {
			c.used[i] = slices.Clone(c.bar)
			c.tryItem(i+1, cuts+1)
			c.used[i] = nil
		}
		return false
	})
	c.bar = outer
	next := i
	for next < len(c.items) && c.items[next] == c.items[i] {
		next++
	}
	c.tryItem(next, cuts)
}

// promising tells whether the pieces left may still end in a better plan.
func (c *cutter) promising(i, cuts int) bool {
	rest := c.sum
	for _, room := range c.items[i:] {
		rest -= room
	}
	buy, open := 0, 0
	if rest > 0 {
		if c.room == 0 {
			return false
		}
		buy = rest.over(c.room)
	}
	if c.sum > 0 {
		open = c.sum.over(max(c.room, c.item(len(c.items)-1)))
	}
	return c.better(buy, cuts+max(buy, open))
}

// better tells whether a plan that places everything is better than the best.
func (c *cutter) better(buy, cuts int) bool {
	if len(c.best.unplaced) > 0 {
		return true
	}
	return buy < len(c.best.bought) || buy == len(c.best.bought) && cuts < c.best.bars()
}

// buyRest cuts what is left from as few bought bars as can be.
func (c *cutter) buyRest(cuts int) {
	n := 0
	if c.sum > 0 {
		n = c.sum.over(c.room)
	}
	for ; n <= c.pieces && c.better(n, cuts+n) && c.steps > 0; n++ {
		c.bars = nil
		if c.fits(n) {
			c.best = cutting{used: slices.Clone(c.used), bought: slices.Clone(c.bars)}
			return
		}
	}
}
