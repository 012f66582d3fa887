package parts

import (
	"maps"
	"slices"
)

// Hundredths is money in hundredths of the group's currency.
type Hundredths int64

// Piece is a length of pipe that is needed.
type Piece struct {
	Key    string `json:"key"` // of the catalogue, or what the caller calls a pipe described by hand
	Length Tenths `json:"length_m"`
	Qty    int    `json:"qty"`
	For    string `json:"for"` // what it becomes, such as downcomer
}

// Item is pipe at hand: whole lengths or offcuts, all alike.
type Item struct {
	ID     int64       `json:"id"` // the caller's, to find it on the shelf
	Key    string      `json:"key"`
	Length Tenths      `json:"length_m"`
	Qty    int         `json:"qty"`
	Price  *Hundredths `json:"price,omitempty"` // of one; nil: unknown
}

// Stock is how a pipe is sold and cut.
type Stock struct {
	Length Tenths      `json:"length_m"` // 0: can't be bought
	Kerf   Tenths      `json:"kerf_m"`
	Trim   Tenths      `json:"trim_m"`          // cut off every bar first, at hand or bought
	Price  *Hundredths `json:"price,omitempty"` // of one; nil: unknown
}

// CutPlan says, for each key in its order, which pieces come from which bar.
type CutPlan struct {
	Keys []KeyPlan   `json:"keys"`
	Cost *Hundredths `json:"cost"` // of all that is to be bought; nil where a price is unknown
}

// KeyPlan is the plan for one pipe of the catalogue. Bars at hand stand before
// those to be bought.
type KeyPlan struct {
	Key      string      `json:"key"`
	Bars     []Bar       `json:"bars"`
	Buy      int         `json:"buy"`     // bars to be bought
	Stock    Tenths      `json:"stock_m"` // length of each of them
	Cost     *Hundredths `json:"cost"`
	Exact    bool        `json:"exact"`    // no plan buys less; and none that buys as little cuts into fewer bars
	Unplaced []Piece     `json:"unplaced"` // longer than any bar at hand or on sale
}

// Bar is one length of pipe with its cuts in their order.
// Length = all cuts + Waste + Offcut.
type Bar struct {
	Item   *int64      `json:"item"` // at hand; nil: to be bought
	Length Tenths      `json:"length_m"`
	Cuts   []CutPiece  `json:"cuts"`
	Waste  Tenths      `json:"waste_m"`  // trim and saw cuts
	Offcut Tenths      `json:"offcut_m"` // what remains in one piece
	Price  *Hundredths `json:"price,omitempty"`
}

// CutPiece is one piece out of a bar.
type CutPiece struct {
	Length Tenths `json:"length_m"`
	For    string `json:"for"`
}

// PlanCuts plans the cuts of all pieces: from what is at hand first, the rest
// from bars to be bought, as few as can be. Pieces that come out of no bar are
// in the plan as unplaced. Lengths and quantities of zero or less are not looked at. The
// caller sees to it that there are no more than [MostPieces].
func PlanCuts(wanted []Piece, atHand []Item, buy map[string]Stock) CutPlan {
	byKey := map[string][]Piece{}
	for _, p := range wanted {
		if p.Qty > 0 && p.Length > 0 {
			byKey[p.Key] = append(byKey[p.Key], p)
		}
	}
	var total Hundredths
	plan := CutPlan{Keys: []KeyPlan{}, Cost: &total}
	for _, key := range slices.Sorted(maps.Keys(byKey)) {
		k := planKey(key, byKey[key], itemsOf(atHand, key), buy[key])
		plan.Keys = append(plan.Keys, k)
		if k.Cost == nil {
			plan.Cost = nil
		} else {
			total += *k.Cost
		}
	}
	return plan
}

// itemsOf returns the items of a key one by one, the shortest first.
func itemsOf(items []Item, key string) (one []Item) {
	for _, it := range items {
		for range it.Qty {
			if it.Key == key && it.Length > 0 {
				one = append(one, it)
			}
		}
	}
	slices.SortStableFunc(one, func(a, b Item) int { return int(a.Length - b.Length) })
	return one
}

func planKey(key string, wanted []Piece, items []Item, buy Stock) KeyPlan {
	k := KeyPlan{Key: key, Stock: buy.Length, Bars: []Bar{}, Unplaced: []Piece{}}
	plan, exact, lengths := planBars(wanted, items, buy)
	k.Exact = exact
	names := namesOf(wanted)
	for i, item := range items {
		if pieces := lengths(plan.used[i]); len(pieces) > 0 {
			bar := cutBar(item.Length, buy, pieces, names)
			bar.Item, bar.Price = &item.ID, item.Price
			k.Bars = append(k.Bars, bar)
		}
	}
	for _, kinds := range plan.bought {
		bar := cutBar(buy.Length, buy, lengths(kinds), names)
		bar.Price = buy.Price
		k.Bars = append(k.Bars, bar)
	}
	for _, length := range lengths(plan.unplaced) {
		k.Unplaced = append(k.Unplaced, Piece{Key: key, Length: length, Qty: 1, For: names.next(length)})
	}
	k.Buy = len(plan.bought)
	k.Cost = cost(k.Buy, buy.Price)
	return k
}

func cost(n int, price *Hundredths) *Hundredths {
	total := Hundredths(0)
	switch {
	case n == 0:
		return &total
	case price == nil:
		return nil
	}
	total = Hundredths(n) * *price
	return &total
}

// cutBar lays out the pieces of one bar, the longest first. The last saw cut
// may fall off the end.
func cutBar(length Tenths, how Stock, pieces []Tenths, names names) Bar {
	bar := Bar{Length: length}
	left := length - how.Trim
	for _, p := range falling(pieces) {
		bar.Cuts = append(bar.Cuts, CutPiece{p, names.next(p)})
		left -= p + how.Kerf
	}
	bar.Offcut = max(0, left)
	bar.Waste = length - bar.Offcut
	for _, p := range pieces {
		bar.Waste -= p
	}
	return bar
}

// names holds what the pieces of each length become.
type names map[Tenths][]string

func namesOf(wanted []Piece) names {
	n := names{}
	for _, p := range wanted {
		for range p.Qty {
			n[p.Length] = append(n[p.Length], p.For)
		}
	}
	return n
}

func (n names) next(length Tenths) (name string) {
	name, n[length] = n[length][0], n[length][1:]
	return name
}
