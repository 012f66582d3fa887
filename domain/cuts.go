package domain

import (
	"cmp"

	"leat/calc/build"
	"leat/calc/parts"
)

// Saw is how pipe is cut where the stock list does not say.
type Saw struct {
	Kerf parts.Tenths
	Trim parts.Tenths
}

// Cuts is what a sheet needs, held against the stock list: what is at hand,
// what is to be bought, and which piece comes out of which bar. It is worked
// out whenever somebody asks and stored nowhere.
type Cuts struct {
	Rows   []parts.Row
	Plan   []PipeCuts
	Counts []parts.CountPlan
	Cost   Cost
	Barred []string // parts that may not be built as they are
}

// PipeCuts is the plan for one pipe, with how it is bought and cut.
type PipeCuts struct {
	parts.KeyPlan
	Saw
	Price  *parts.Hundredths // of one bar to be bought; nil: unknown
	Listed bool              // the stock list says how it is sold
}

// Cost is what is to be bought costs, as far as prices are known.
type Cost struct {
	Known    parts.Hundredths
	Unpriced []string // keys of what is to be bought and has no price
}

// PlanCuts holds materials against the stock list. Pipe of which the list does
// not say how it is sold is bought as such pipe mostly is, at an unknown price.
// It returns a Conflict when there are more pieces than a plan takes.
func PlanCuts(m build.Materials, stock []StockItem, saw Saw) (Cuts, error) {
	n := 0
	for _, p := range m.Pieces {
		n += p.Qty
	}
	if n > parts.MostPieces {
		return Cuts{}, &Error{Kind: Conflict, Code: "too-many-pieces", Message: "This sheet asks for more than 10000 pieces of pipe, more than can be planned. Correct the numbers of its parts and save it anew."}
	}
	atHand, offers := shelf(stock)
	buy := map[string]parts.Stock{}
	listed := map[string]bool{}
	for _, p := range m.Pieces {
		buy[p.Key], listed[p.Key] = howSold(p.Key, offers, saw)
	}
	c := Cuts{Rows: m.Rows, Plan: []PipeCuts{}}
	for _, k := range parts.PlanCuts(m.Pieces, atHand, buy).Keys {
		how := buy[k.Key]
		c.Plan = append(c.Plan, PipeCuts{k, Saw{how.Kerf, how.Trim}, how.Price, listed[k.Key]})
		c.Cost.add(k.Key, k.Cost)
	}
	c.Counts = parts.PlanCounts(byNumber(m.Rows), atHand, soldByNumber(offers))
	for _, count := range c.Counts {
		c.Cost.add(count.Key, count.Cost)
	}
	return c, nil
}

func (c *Cost) add(key string, cost *parts.Hundredths) {
	if cost == nil {
		c.Unpriced = append(c.Unpriced, key)
		return
	}
	c.Known += *cost
}

// shelf splits the list into what is there and how things are sold.
func shelf(stock []StockItem) (atHand []parts.Item, offers map[string]StockItem) {
	offers = map[string]StockItem{}
	for _, s := range stock {
		if s.ForSale {
			offers[s.Key] = s
			continue
		}
		item := parts.Item{ID: int64(s.ID), Key: s.Key, Qty: *s.Quantity, Price: (*parts.Hundredths)(s.Price)}
		if s.LengthM != nil {
			item.Length = parts.InTenths(*s.LengthM)
		}
		atHand = append(atHand, item)
	}
	return atHand, offers
}

// howSold says how a pipe is bought and cut, and whether the list says so. Saw
// cut and trim of the list win over those of the reader.
func howSold(key string, offers map[string]StockItem, saw Saw) (parts.Stock, bool) {
	how := parts.Stock{Length: build.SoldLength(key), Kerf: saw.Kerf, Trim: saw.Trim}
	offer, listed := offers[key]
	if !listed || offer.LengthM == nil {
		return how, false
	}
	how.Length, how.Price = parts.InTenths(*offer.LengthM), (*parts.Hundredths)(offer.Price)
	if offer.KerfM != nil {
		how.Kerf = parts.InTenths(*offer.KerfM)
	}
	if offer.TrimM != nil {
		how.Trim = parts.InTenths(*offer.TrimM)
	}
	return how, true
}

func soldByNumber(offers map[string]StockItem) map[string]parts.Stock {
	buy := map[string]parts.Stock{}
	for key, offer := range offers {
		if offer.LengthM == nil {
			buy[key] = parts.Stock{Price: (*parts.Hundredths)(offer.Price)}
		}
	}
	return buy
}

// byNumber are the rows that are bought by number: parts that are no lengths of
// pipe, and fittings. What joints use up is bought by the tin.
func byNumber(rows []parts.Row) (counts []parts.Count) {
	for _, r := range rows {
		if r.Kind == parts.FittingRow || r.Kind == parts.PartRow && len(r.Cuts) == 0 {
			counts = append(counts, parts.Count{Key: cmp.Or(r.Key, r.Name), Qty: r.Qty})
		}
	}
	return counts
}
