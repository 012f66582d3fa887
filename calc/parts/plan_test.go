package parts_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/parts"
)

func price(n parts.Hundredths) *parts.Hundredths { return &n }

// randomPlan makes a list of pieces, what is at hand and what can be bought, of
// two pipes, small enough for every way to be tried.
func randomPlan(rng *rand.Rand, pieces int) (wanted []parts.Piece, atHand []parts.Item, buy map[string]parts.Stock) {
	buy = map[string]parts.Stock{}
	for _, key := range []string{"a", "b"} {
		length := parts.Tenths(10 + rng.IntN(90))
		buy[key] = parts.Stock{Length: length, Kerf: parts.Tenths(rng.IntN(3)), Trim: parts.Tenths(rng.IntN(3)), Price: price(parts.Hundredths(rng.IntN(900)))}
		for range 1 + rng.IntN(pieces) {
			wanted = append(wanted, parts.Piece{Key: key, Length: parts.Tenths(1 + rng.IntN(int(length-3))), Qty: 1, For: key})
		}
		for range rng.IntN(4) {
			atHand = append(atHand, parts.Item{ID: rng.Int64N(99), Key: key, Length: parts.Tenths(1 + rng.IntN(int(length))), Qty: rng.IntN(3)})
		}
	}
	return wanted, atHand, buy
}

// requireSound demands that each piece is cut once, that no bar is overfull,
// that no item is used more often than it is there, and that all lengths are accounted for.
func requireSound(t *testing.T, wanted []parts.Piece, atHand []parts.Item, buy map[string]parts.Stock, plan parts.CutPlan) {
	left := map[parts.Piece]int{}
	for _, p := range wanted {
		n := p.Qty
		p.Qty = 1
		left[p] += n
	}
	items := map[parts.Item]int{}
	for _, item := range atHand {
		n := item.Qty
		item.Qty, item.Price = 1, nil
		items[item] += n
	}
	for _, k := range plan.Keys {
		bought := 0
		for _, bar := range k.Bars {
			sum := bar.Waste + bar.Offcut
			var cuts parts.Tenths
			for _, c := range bar.Cuts {
				sum += c.Length
				cuts += c.Length + buy[k.Key].Kerf
				left[parts.Piece{Key: k.Key, Length: c.Length, Qty: 1, For: c.For}]--
			}
			require.NotEmpty(t, bar.Cuts)
			require.Equal(t, bar.Length, sum)
			require.LessOrEqual(t, cuts+buy[k.Key].Trim, bar.Length+buy[k.Key].Kerf)
			require.GreaterOrEqual(t, bar.Waste, parts.Tenths(0))
			if bar.Item == nil {
				bought++
				require.Equal(t, buy[k.Key].Length, bar.Length)
				continue
			}
			item := parts.Item{ID: *bar.Item, Key: k.Key, Length: bar.Length, Qty: 1}
			items[item]--
			require.GreaterOrEqual(t, items[item], 0, "an item is used that is not there")
		}
		require.Equal(t, k.Buy, bought)
		for _, p := range k.Unplaced {
			left[p]--
		}
	}
	for p, n := range left {
		require.Zero(t, n, "%v", p)
	}
}

// fewestBought tries to put every piece into every bar: at hand, or a bought one.
func fewestBought(pieces []parts.Tenths, atHand []parts.Tenths, buy parts.Stock) (bought, cut int) {
	bought, cut = len(pieces)+1, 0
	room := append([]parts.Tenths{}, atHand...)
	for i := range room {
		room[i] += buy.Kerf - buy.Trim
	}
	fresh := slices.Clone(room)
	var try func(i int)
	try = func(i int) {
		if i == len(pieces) {
			touched := 0
			for b := range room {
				if b >= len(fresh) || room[b] < fresh[b] {
					touched++
				}
			}
			if n := len(room) - len(fresh); n < bought || n == bought && touched < cut {
				bought, cut = n, touched
			}
			return
		}
		for b := range room {
			if room[b] >= pieces[i]+buy.Kerf {
				room[b] -= pieces[i] + buy.Kerf
				try(i + 1)
				room[b] += pieces[i] + buy.Kerf
			}
		}
		room = append(room, buy.Length-buy.Trim-pieces[i])
		try(i + 1)
		room = room[:len(room)-1]
	}
	try(0)
	return bought, cut
}

// Expected: all ways to put few pieces into bars, tried one by one.
func TestFewPiecesAreBoughtAndCutBest(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 3))
	for i := range 400 {
		wanted, atHand, buy := randomPlan(rng, 5)
		plan := parts.PlanCuts(wanted, atHand, buy)
		requireSound(t, wanted, atHand, buy, plan)
		for _, k := range plan.Keys {
			var pieces, bars []parts.Tenths
			for _, p := range wanted {
				if p.Key == k.Key {
					pieces = append(pieces, p.Length)
				}
			}
			for _, item := range atHand {
				if item.Key == k.Key {
					bars = append(bars, slices.Repeat([]parts.Tenths{item.Length}, item.Qty)...)
				}
			}
			bought, cut := fewestBought(pieces, bars, buy[k.Key])
			require.True(t, k.Exact, "seed 43, 3, case %d", i)
			require.Equal(t, [2]int{bought, cut}, [2]int{k.Buy, len(k.Bars)}, "seed 43, 3, case %d: %v from %v and %+v", i, pieces, bars, buy[k.Key])
			require.Equal(t, *buy[k.Key].Price*parts.Hundredths(k.Buy), *k.Cost)
		}
	}
}

// Whatever the number of pieces, all lengths are accounted for.
func TestManyPiecesAreAllAccountedFor(t *testing.T) {
	rng := rand.New(rand.NewPCG(44, 3))
	for range 30 {
		wanted, atHand, buy := randomPlan(rng, 60)
		requireSound(t, wanted, atHand, buy, parts.PlanCuts(wanted, atHand, buy))
	}
}

func TestWhatComesOutOfNoBar(t *testing.T) {
	wanted := []parts.Piece{{"a", 40, 2, "riser"}, {"a", 20, 1, "stub"}, {"b", 10, 1, "vent"}, {"c", 0, 1, "nothing"}}
	atHand := []parts.Item{{ID: 7, Key: "a", Length: 45, Qty: 1, Price: price(150)}}
	buy := map[string]parts.Stock{"a": {Length: 30, Price: price(1250)}}
	plan := parts.PlanCuts(wanted, atHand, buy)
	requireSound(t, wanted[:3], atHand, buy, plan)
	require.Len(t, plan.Keys, 2)
	a := plan.Keys[0]
	require.Equal(t, []parts.Piece{{"a", 40, 1, "riser"}}, a.Unplaced, "one comes out of the bar at hand")
	require.False(t, a.Exact)
	require.Equal(t, 1, a.Buy)
	require.Equal(t, price(1250), plan.Cost)
	require.Equal(t, []parts.Piece{{"b", 10, 1, "vent"}}, plan.Keys[1].Unplaced, "nobody sells it")
	buy["a"] = parts.Stock{Length: 30}
	require.Nil(t, parts.PlanCuts(wanted, atHand, buy).Cost, "the price is not known")
}

func TestLengthsTravelInMetres(t *testing.T) {
	text, err := json.Marshal(parts.Piece{"a", 20970, 1, "riser"})
	require.NoError(t, err)
	require.JSONEq(t, `{"key": "a", "length_m": 2.097, "qty": 1, "for": "riser"}`, string(text))
	var back parts.Piece
	require.NoError(t, json.Unmarshal(text, &back))
	require.Equal(t, parts.Tenths(20970), back.Length)
	require.Error(t, json.Unmarshal([]byte(`{"length_m": -1}`), &back))
	require.Error(t, json.Unmarshal([]byte(`{"length_m": "1"}`), &back))
}

func TestCounts(t *testing.T) {
	atHand := []parts.Item{{ID: 1, Key: "elbow", Qty: 3}, {ID: 2, Key: "elbow", Length: 5, Qty: 9}}
	plans := parts.PlanCounts([]parts.Count{{"elbow", 2}, {"elbow", 2}, {"tee", 1}}, atHand, map[string]parts.Stock{"elbow": {Price: price(240)}})
	require.Equal(t, []parts.CountPlan{{"elbow", 2, 2, 0, price(0)}, {"elbow", 2, 1, 1, price(240)}, {"tee", 1, 0, 1, nil}}, plans)
}

// A demo machine's order of magnitude: pieces of one pipe, a shelf of offcuts.
func BenchmarkPlanWithOffcuts(b *testing.B) {
	rng := rand.New(rand.NewPCG(45, 3))
	var wanted []parts.Piece
	var atHand []parts.Item
	for range 20 {
		wanted = append(wanted, parts.Piece{Key: "a", Length: parts.Tenths(3000 + rng.IntN(25000)), Qty: 1})
	}
	for range 12 {
		atHand = append(atHand, parts.Item{Key: "a", Length: parts.Tenths(4000 + rng.IntN(20000)), Qty: 1})
	}
	for b.Loop() {
		parts.PlanCuts(wanted, atHand, map[string]parts.Stock{"a": {Length: 60000, Kerf: 30}})
	}
}
