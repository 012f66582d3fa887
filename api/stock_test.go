package api

import (
	"encoding/csv"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

const pe63 = "iso-4427-2/pe100-sdr11/d63-pn16"

// facts is a number of offcuts of 1.5 m on the shelf.
func facts(quantity int) map[string]any {
	return map[string]any{"key": pe63, "for_sale": false, "length_m": 1.5, "quantity": quantity, "kerf_m": nil, "trim_m": nil, "price": nil, "note": "behind the door"}
}

// shelved is the request that puts two of them on the list.
func shelved(key string) map[string]any {
	f := facts(2)
	f["client_key"] = key
	return f
}

// stocked returns the path of a new line.
func (b *bundle) stocked() string {
	b.Helper()
	a := b.as(b.crew).get(stockPath)
	items, _ := a.at("items").([]any)
	made := b.as(b.crew).post(stockPath, shelved(fmt.Sprintf("stocked-%d-%d", len(items), b.stockCount())))
	require.Equal(b, 201, made.Code, made.Body.String())
	return fmt.Sprintf("%s/%d", stockPath, made.number("id"))
}

// stockCount makes keys that were never used.
func (b *bundle) stockCount() (n int) {
	require.NoError(b, b.db.DB.SQL.QueryRow("SELECT nextval(pg_get_serial_sequence('stock_items', 'id'))").Scan(&n))
	return n
}

func TestStockListIsKeptByEveryMember(t *testing.T) {
	t.Parallel()
	b := setup(t)
	first := b.as(b.member).post(stockPath, shelved("stock-0001"))
	require.Equal(t, 201, first.Code, first.Body.String())
	again := b.as(b.member).post(stockPath, shelved("stock-0001"))
	require.Equal(t, 200, again.Code)
	require.JSONEq(t, first.Body.String(), again.Body.String())

	path := fmt.Sprintf("%s/%d", stockPath, first.number("id"))
	fewer := facts(1)
	fewer["price"] = 250
	changed := b.as(b.crew).ifMatch(`"1"`).put(path, fewer)
	require.Equal(t, 200, changed.Code, changed.Body.String())
	require.Equal(t, `"2"`, changed.etag())
	require.Equal(t, "Petra", changed.at("changed_by", "name"))
	require.Equal(t, "stock-stale", b.as(b.member).ifMatch(`"1"`).put(path, facts(2)).code())
	require.Equal(t, "stock-stale", b.as(b.member).ifMatch(`"1"`).send("DELETE", path, "", "").code())
	items, _ := b.as(b.keeper).get(stockPath).at("items").([]any)
	require.Equal(t, []any{changed.at()}, items)
	require.Equal(t, 204, b.as(b.member).ifMatch(`"2"`).send("DELETE", path, "", "").Code)
	require.Equal(t, "not-found", b.as(b.member).ifMatch(`"2"`).send("DELETE", path, "", "").code())
	require.Equal(t, []any{}, b.as(b.keeper).get(stockPath).at("items"))
}

func TestStockListSaysAllFaultsAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, c := range []struct {
		change   map[string]any
		pointers []string
	}{
		{map[string]any{"key": " ", "quantity": nil, "price": -1, "note": strings.Repeat("x", 501)}, []string{"/key", "/quantity", "/price", "/note"}},
		{map[string]any{"length_m": nil}, []string{"/length_m"}}, // a pipe of the catalogue has one
		{map[string]any{"length_m": 0, "quantity": 0, "kerf_m": 0.002, "trim_m": 0}, []string{"/length_m", "/kerf_m", "/trim_m", "/quantity"}},
		{map[string]any{"for_sale": true, "kerf_m": 0.2, "trim_m": 2}, []string{"/kerf_m", "/trim_m", "/quantity"}},
	} {
		req := shelved("stock-0002")
		maps.Copy(req, c.change)
		a := b.as(b.member).post(stockPath, req)
		require.Equal(t, "invalid", a.code())
		var pointers []string
		for _, f := range problemIn(t, a.ResponseRecorder).Fields {
			pointers = append(pointers, f.Pointer)
		}
		require.Equal(t, c.pointers, pointers)
	}
	require.Equal(t, []any{}, b.as(b.keeper).get(stockPath).at("items"))
}

func TestOneThingIsSoldInOneWay(t *testing.T) {
	t.Parallel()
	b := setup(t)
	require.Equal(t, 201, b.as(b.member).post(stockPath, sold(pe63, 3.0, 1250, "stock-0003")).Code)
	require.Equal(t, "offer-there", b.as(b.crew).post(stockPath, sold(pe63, 6.0, nil, "stock-0004")).code())
	require.Equal(t, 201, b.as(b.crew).post(stockPath, sold("elbow 90° 63 mm", nil, 320, "stock-0005")).Code)
}

// sold says how something is sold.
func sold(key string, length, price any, client string) map[string]any {
	return map[string]any{"key": key, "for_sale": true, "length_m": length, "quantity": nil, "kerf_m": nil, "trim_m": nil, "price": price, "note": "", "client_key": client}
}

func TestOneOfTwentyCorrectionsOfALineWins(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.stocked()
	var mu sync.Mutex
	var all sync.WaitGroup
	codes := map[int]int{}
	for range 20 {
		all.Go(func() {
			a := send(b.h, "PUT", path, `{"key":"elbow","for_sale":false,"length_m":null,"quantity":3,"kerf_m":null,"trim_m":null,"price":null,"note":""}`,
				"Authorization", "Bearer "+b.crew.token, "If-Match", `"1"`, "Content-Type", plainJSON)
			mu.Lock()
			defer mu.Unlock()
			codes[a.Code]++
		})
	}
	all.Wait()
	require.Equal(t, map[int]int{200: 1, 412: 19}, codes)
}

func TestStockListTakesAThousandLines(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.fillStock(999)
	require.Equal(t, 201, b.as(b.member).post(stockPath, shelved("stock-0006")).Code)
	require.Equal(t, "stock-full", b.as(b.member).post(stockPath, shelved("stock-0007")).code())
	require.Equal(t, 200, b.as(b.member).post(stockPath, shelved("stock-0006")).Code, "a retry makes no new one")
}

func (b *bundle) fillStock(lines int) {
	b.db.exec(`INSERT INTO stock_items (key, for_sale, quantity, note, recorded_by, recorded_at, changed_by, changed_at, client_key, version)
		SELECT 'tee', false, 1, '', $1::bigint, now(), $1::bigint, now(), 'filled-' || lpad(n::text, 4, '0'), 1 FROM generate_series(1, $2::int) n`, b.crew.id, lines)
}

// withPipes saves a sheet that asks for three lengths of pipe and two valves.
func (b *bundle) withPipes(count int) string {
	b.Helper()
	m := machine(b)
	m["input"].(map[string]any)["parts"] = []any{
		map[string]any{"role": "other", "name": "long", "line": pe63, "length_m": 1.4, "count": count},
		map[string]any{"role": "other", "name": "short", "line": pe63, "length_m": 0.9},
		map[string]any{"role": "other", "name": "=ball valve", "count": 2},
	}
	m["input"].(map[string]any)["facts"] = map[string]any{"t_hot_c": 30, "t_cold_c": 2}
	a := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), m)
	require.Equal(b, 201, a.Code, a.Body.String())
	return a.Header().Get("Location") + "/cuts"
}

// airTube is what the bench machine takes its air through.
const airTube = "air tube 8 x 6 mm"

// of finds the plan of one pipe.
func (a cutsAnswer) of(key string) pipeCuts {
	return a.Plan[slices.IndexFunc(a.Plan, func(k pipeCuts) bool { return k.Key == key })]
}

// Worked out by hand: of two pieces of 1.4 m and one of 0.9 m, offcuts of 1.5 m
// and of 1 m give one each, the third comes out of a bar of 2 m. A saw cut of
// 3 mm is in each.
func TestCutsUseWhatIsAtHandFirst(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.withPipes(2)
	before := b.as(b.member).get(path)
	require.Equal(t, 200, before.Code, before.Body.String())
	var none, some cutsAnswer
	before.read(&none)
	require.Equal(t, 1, none.of(pe63).Buy)
	require.InDelta(t, 6, none.of(pe63).Stock.Metres(), 0, "as such pipe mostly is sold")
	require.False(t, none.of(pe63).Listed)
	require.Equal(t, []string{airTube, pe63, "=ball valve"}, none.Cost.Unpriced)
	require.Contains(t, none.Barred, "=ball valve", "nothing is known of what it holds")

	long, short, valve := facts(1), facts(1), facts(1)
	short["length_m"] = 1.0
	valve["key"], valve["length_m"] = "=ball valve", nil
	for i, f := range []map[string]any{long, short, valve} {
		f["client_key"] = fmt.Sprintf("stock-001%d", i)
		require.Equal(t, 201, b.as(b.member).post(stockPath, f).Code)
	}
	offer := sold(pe63, 2.0, 1250, "stock-0020")
	offer["trim_m"] = 0.01
	require.Equal(t, 201, b.as(b.member).post(stockPath, offer).Code)
	require.Equal(t, 201, b.as(b.member).post(stockPath, sold("=ball valve", nil, 899, "stock-0021")).Code)

	b.as(b.member).get(path + "?kerf_m=0.003&trim_m=0.5").read(&some)
	plan := some.of(pe63)
	require.InDelta(t, 0.003, plan.Kerf.Metres(), 0)
	require.InDelta(t, 0.01, plan.Trim.Metres(), 0, "the list knows better")
	var lengths, offcuts []float64
	for _, bar := range plan.Bars {
		require.Len(t, bar.Cuts, 1)
		lengths, offcuts = append(lengths, bar.Length.Metres()), append(offcuts, bar.Offcut.Metres())
	}
	require.Equal(t, []float64{1, 1.5, 2}, lengths)
	require.InDeltaSlice(t, []float64{1 - 0.01 - 0.9 - 0.003, 1.5 - 0.01 - 1.4 - 0.003, 2 - 0.01 - 1.4 - 0.003}, offcuts, 1e-9)
	require.Equal(t, 1, plan.Buy)
	require.Nil(t, plan.Bars[2].Item)
	require.Equal(t, 1, some.Counts[0].AtHand)
	require.EqualValues(t, 1250+899, some.Cost.Known)
	require.Equal(t, []string{airTube}, some.Cost.Unpriced)
}

func TestListsAsCSV(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.withPipes(2)
	for as, want := range map[string][]string{
		"parts.csv": {"part", "other", pe63, "ISO 4427-2, PE100 SDR11, d63 PN16", "2", "1400.0", "2.8000", "open; open", ""},
		"cuts.csv":  {pe63, "1", "to buy", "6000.0", "1400.0; 1400.0; 900.0", "long; long; short", "2300.0", "0.0", ""},
	} {
		a := b.as(b.member).get(path + "?as=" + as)
		require.Equal(t, 200, a.Code, a.Body.String())
		require.Equal(t, `attachment; filename="A.1-`+as+`"`, a.Header().Get("Content-Disposition"))
		rows, err := csv.NewReader(a.Body).ReadAll()
		require.NoError(t, err)
		i := slices.IndexFunc(rows, func(row []string) bool { return slices.Contains(row, pe63) })
		want[len(want)-1] = rows[i][len(want)-1] // a note of the catalogue, or no price
		require.Equal(t, want, rows[i])
		if as == "parts.csv" {
			require.Equal(t, "'=ball valve", rows[3][3], "no formula for a spreadsheet")
		}
	}
}

func TestCutsRefuseWhatCannotBePlanned(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, query := range []string{"?as=xml", "?kerf_m=-1", "?kerf_m=NaN", "?trim_m=2", "?kerf_m=", "?kerf_m=0&kerf_m=0"} {
		require.Equal(t, "malformed-query", b.as(b.member).get(b.saved()+"/cuts"+query).code(), query)
	}
	require.Equal(t, []any{}, b.as(b.member).get(b.saved()+"/cuts").at("rows"), "no parts described, nothing needed")
	require.Equal(t, "not-found", b.as(b.member).get(b.sheetsURL()+"/9/cuts").code())
}

// tooManyPieces asks for the cuts of a sheet with 11000 pieces of pipe.
func (b *bundle) tooManyPieces() *reply {
	b.Helper()
	many := make([]any, 11)
	for i := range many {
		many[i] = map[string]any{"role": "other", "line": pe63, "length_m": 1, "count": 1000}
	}
	m := machine(b)
	m["input"].(map[string]any)["parts"] = many
	m["input"].(map[string]any)["facts"] = map[string]any{"t_hot_c": 30, "t_cold_c": 2}
	a := b.as(b.crew).ifMatch(b.version(b.designURL())).post(b.sheetsURL(), m)
	require.Equal(b, 201, a.Code, a.Body.String())
	return b.as(b.member).get(a.Header().Get("Location") + "/cuts")
}
