package domain

import (
	"time"

	"leat/calc/parts"
)

// StockItemID names a line of the stock list.
type StockItemID int64

// StockItem is one line of the group's stock list: something on the shelf, or
// how something is sold.
type StockItem struct {
	ID        StockItemID
	Version   int64
	ChangedAt time.Time
	ChangedBy Person
	StockFacts
}

// StockFacts are what members enter. KerfM and TrimM belong to pipe for sale.
type StockFacts struct {
	Key      string // of the pipe catalogue, or a name
	ForSale  bool
	LengthM  *float64 // m, of one; nil: it goes by number
	Quantity *int     // on the shelf; nil: for sale
	KerfM    *float64 // m, width of the saw cut; nil: nobody said
	TrimM    *float64 // m, cut off every bar first
	Price    *int64   // of one, in hundredths of the group's money; nil: unknown
	Note     string
}

// RecordStock adds a line to the stock list.
type RecordStock struct {
	Facts StockFacts
	Key   string // made by the client; a retry with it makes no second line
}

// CorrectStock replaces what a line says.
type CorrectStock struct {
	Item    StockItemID
	Version int64 // of the line, as it was read
	Facts   StockFacts
}

// RemoveStock takes a line out.
type RemoveStock struct {
	Item    StockItemID
	Version int64
}

// StockMost is how many lines the list takes: enough for a shed, and few enough
// to plan with all of them.
const StockMost = 1000

const (
	stockKeyMost  = 200
	stockNoteMost = 500
	priceMost     = 100_000_000 // hundredths
)

// Validate trims the texts and finds all faults.
func (c *RecordStock) Validate() error {
	return Faulty(append(c.Facts.faults(), clientKey("/client_key", c.Key)...))
}

// Validate trims the texts and finds all faults.
func (c *CorrectStock) Validate() error { return Faulty(c.Facts.faults()) }

func (f *StockFacts) faults() []Field {
	faults := line("/key", &f.Key, 1, stockKeyMost)
	faults = append(faults, f.lengthFaults()...)
	faults = append(faults, f.quantityFaults()...)
	if f.Price != nil && (*f.Price < 0 || *f.Price > priceMost) {
		faults = append(faults, Field{"/price", "range", "This must lie between 0 and 1000000. Leave it empty if it isn't known."})
	}
	return append(faults, prose("/note", &f.Note, stockNoteMost)...)
}

func (f *StockFacts) lengthFaults() []Field {
	faults := within("/length_m", f.LengthM, 0.001, 1000, "m")
	if _, pipe := parts.Lookup(f.Key); pipe && f.LengthM == nil {
		faults = append(faults, Field{"/length_m", "missing", "This is a line of the pipe catalogue. Type how long one piece is."})
	}
	if f.ForSale && f.LengthM != nil {
		faults = append(faults, within("/kerf_m", f.KerfM, 0, 0.1, "m")...)
		return append(faults, within("/trim_m", f.TrimM, 0, 1, "m")...)
	}
	const unused = "Saw cut and trim belong to pipe that is for sale in lengths. Leave this empty."
	if f.KerfM != nil {
		faults = append(faults, Field{"/kerf_m", "not_used", unused})
	}
	if f.TrimM != nil {
		faults = append(faults, Field{"/trim_m", "not_used", unused})
	}
	return faults
}

func (f *StockFacts) quantityFaults() []Field {
	switch q := f.Quantity; {
	case f.ForSale && q != nil:
		return []Field{{"/quantity", "not_used", "Of what is for sale there is as much as is wanted. Leave this empty."}}
	case !f.ForSale && q == nil:
		return []Field{{"/quantity", "missing", "Type how many there are."}}
	case q != nil && (*q < 1 || *q > 1000):
		return []Field{{"/quantity", "range", "This must be a whole number from 1 to 1000. When none is left, take the line out."}}
	}
	return nil
}

// StockFull returns the Conflict of a list that takes no more lines.
func StockFull() error {
	return &Error{Kind: Conflict, Code: "stock-full", Message: "The stock list holds 1000 lines and takes no more. Nothing was saved: take out what is used up, or put equal pieces on one line."}
}
