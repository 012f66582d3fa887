package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type stockFacts struct {
	Key      string   `json:"key"`
	ForSale  bool     `json:"for_sale"`
	LengthM  *float64 `json:"length_m"`
	Quantity *int     `json:"quantity"`
	KerfM    *float64 `json:"kerf_m"`
	TrimM    *float64 `json:"trim_m"`
	Price    *int64   `json:"price"`
	Note     string   `json:"note"`
}

type recordStockRequest struct {
	Key       string   `json:"key"`
	ForSale   bool     `json:"for_sale"`
	LengthM   *float64 `json:"length_m"`
	Quantity  *int     `json:"quantity"`
	KerfM     *float64 `json:"kerf_m"`
	TrimM     *float64 `json:"trim_m"`
	Price     *int64   `json:"price"`
	Note      string   `json:"note"`
	ClientKey string   `json:"client_key"`
}

func (r recordStockRequest) command() domain.RecordStock {
	facts := domain.StockFacts{
		Key: r.Key, ForSale: r.ForSale, LengthM: r.LengthM, Quantity: r.Quantity, KerfM: r.KerfM, TrimM: r.TrimM, Price: r.Price, Note: r.Note,
	}
	return domain.RecordStock{Facts: facts, Key: r.ClientKey}
}

type stockItem struct {
	ID      domain.StockItemID `json:"id"`
	Version int64              `json:"version"`
	stockFacts
	ChangedAt string       `json:"changed_at"`
	ChangedBy personAnswer `json:"changed_by"`
}

func newStockItem(i domain.StockItem) stockItem {
	return stockItem{i.ID, i.Version, stockFacts(i.StockFacts), instant(i.ChangedAt), newPerson(i.ChangedBy)}
}

type stockList struct {
	Items []stockItem `json:"items"`
}

const stockPath = "/api/v1/stock"

func (s *server) stock(c echo.Context, who domain.Actor) error {
	list, err := s.notebook.Stock(c.Request().Context(), who)
	if err != nil {
		return err
	}
	a := stockList{Items: []stockItem{}}
	for _, i := range list {
		a.Items = append(a.Items, newStockItem(i))
	}
	return ok(c, a)
}

func (s *server) recordStock(c echo.Context, who domain.Actor) error {
	req, err := decode[recordStockRequest](c)
	if err != nil {
		return err
	}
	item, now, err := s.notebook.RecordStock(c.Request().Context(), who, req.command())
	if err != nil {
		return err
	}
	return made(c, now, stockPath, newStockItem(item))
}

func (s *server) correctStock(c echo.Context, who domain.Actor) error {
	id, version, err := pathStock(c)
	if err != nil {
		return err
	}
	req, err := decode[stockFacts](c)
	if err != nil {
		return err
	}
	item, err := s.notebook.CorrectStock(c.Request().Context(), who, domain.CorrectStock{Item: id, Version: version, Facts: domain.StockFacts(req)})
	if err != nil {
		return err
	}
	setETag(c, item.Version)
	return ok(c, newStockItem(item))
}

func (s *server) removeStock(c echo.Context, who domain.Actor) error {
	id, version, err := pathStock(c)
	if err != nil {
		return err
	}
	if err := s.notebook.RemoveStock(c.Request().Context(), who, domain.RemoveStock{Item: id, Version: version}); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

// pathStock reads the id of a line and the version that it was read in.
func pathStock(c echo.Context) (domain.StockItemID, int64, error) {
	id, err := pathID(c, "item", "line of the stock list")
	if err != nil {
		return 0, 0, err
	}
	version, err := ifMatch(c)
	return domain.StockItemID(id), version, err
}
