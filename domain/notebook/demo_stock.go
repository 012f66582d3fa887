package notebook

import (
	"fmt"

	"leat/domain"
)

// stock puts the stock list of Thornwick Wheelhouse into the notebook. The
// prices are invented.
func (l demoLoad) stock() error {
	for i, s := range demoStock() {
		who := l.people[s.address]
		permit, err := mayKeepStock(l.tx, who)
		if err != nil {
			return err
		}
		cmd := domain.RecordStock{Facts: s.facts, Key: fmt.Sprintf("demo-stock-%02d", i+1)}
		if err := cmd.Validate(); err != nil {
			return err
		}
		if _, _, err := l.tx.RecordStock(permit, cmd, l.now()); err != nil {
			return err
		}
	}
	return nil
}

type demoStockItem struct {
	address string
	facts   domain.StockFacts
}

func demoStock() []demoStockItem {
	const (
		pvc32 = "en-iso-1452-2/s5-sdr11/d32-pn20"
		pvc40 = "en-iso-1452-2/s6.3-sdr13.6/d40-pn16"
		pe110 = "iso-4427-2/pe100-sdr17/d110-pn10"
		tube  = "air tube 8 x 6 mm"
		valve = "ball valve 1/2"
	)
	piece := func(who, key string, length float64, quantity int, note string) demoStockItem {
		return demoStockItem{who, domain.StockFacts{Key: key, LengthM: &length, Quantity: &quantity, Note: note}}
	}
	sold := func(key string, length, kerf float64, price int64, note string) demoStockItem {
		return demoStockItem{ines, domain.StockFacts{Key: key, ForSale: true, LengthM: &length, KerfM: &kerf, Price: &price, Note: note}}
	}
	return []demoStockItem{
		piece(tomasz, pvc32, 1.26, 1, "Rack behind the door, one end cemented: cut it off first."),
		piece(tomasz, pvc32, 1.65, 1, "Rack behind the door."),
		piece(wanda, pvc40, 0.84, 2, "From the gutter, which was taken down again."),
		piece(bram, tube, 0.7, 1, "Drawer with the small things."),
		{bram, domain.StockFacts{Key: valve, Quantity: given(1), Note: "Brass, tried in spring."}},
		sold(pvc32, 3, 0.002, 790, "Sold in whole lengths only."),
		sold(pvc40, 3, 0.002, 940, ""),
		sold(pe110, 6, 0.003, 6840, "The waterworks may let a short length go for less: ask."),
		sold(tube, 5, 0, 410, "By the coil."),
		{ines, domain.StockFacts{Key: valve, ForSale: true, Price: given(int64(870))}},
	}
}
