package parts

// Count is a number of things that are bought by number, such as elbows.
type Count struct {
	Key string `json:"key"` // what the stock list calls them
	Qty int    `json:"qty"`
}

// CountPlan says how many of them are at hand and how many are to be bought.
type CountPlan struct {
	Key    string      `json:"key"`
	Qty    int         `json:"qty"`
	AtHand int         `json:"at_hand"` // of those that are needed
	Buy    int         `json:"buy"`
	Cost   *Hundredths `json:"cost"` // nil where the price is unknown
}

// PlanCounts takes what is at hand first and says what is left to buy. Items
// with a length are pipe and not looked at.
func PlanCounts(wanted []Count, atHand []Item, buy map[string]Stock) (plans []CountPlan) {
	have := map[string]int{}
	for _, item := range atHand {
		if item.Length == 0 && item.Qty > 0 {
			have[item.Key] += item.Qty
		}
	}
	for _, w := range wanted {
		p := CountPlan{Key: w.Key, Qty: w.Qty, AtHand: min(w.Qty, have[w.Key])}
		have[w.Key] -= p.AtHand
		p.Buy = w.Qty - p.AtHand
		p.Cost = cost(p.Buy, buy[w.Key].Price)
		plans = append(plans, p)
	}
	return plans
}
