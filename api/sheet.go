package api

import (
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"leat/calc"
	"leat/calc/draw"
	"leat/calc/sheet"
	"leat/domain"
)

type saveSheetRequest struct {
	Input   sheet.Input       `json:"input"`
	Gauging *domain.GaugingID `json:"gauging,omitempty"`
	Note    string            `json:"note,omitempty"`
}

type previewRequest struct {
	Input sheet.Input `json:"input"`
}

type previewAnswer struct {
	Report  sheet.Report  `json:"report"`
	Drawing *draw.Drawing `json:"drawing"`
}

// sheetHead is a sheet in a list.
type sheetHead struct {
	Letter      string            `json:"letter"`
	Number      int               `json:"number"`
	Note        string            `json:"note"`
	CalcVersion string            `json:"calc_version"`
	Set         string            `json:"coefficient_set"`
	Gauging     *domain.GaugingID `json:"gauging"`
	SavedAt     string            `json:"saved_at"`
	SavedBy     personAnswer      `json:"saved_by"`
	Answer      sheetGist         `json:"answer"`
}

type sheetGist struct {
	Machine        string   `json:"machine"`
	Status         string   `json:"status"`
	ChamberGaugePa *float64 `json:"chamber_gauge_pa"`
	FreeAirM3S     *float64 `json:"free_air_delivered_m3s"`
	WaterFlowM3S   *float64 `json:"water_flow_m3s"`
	LiftedM3S      *float64 `json:"lifted_m3s"`
	WarningCount   int      `json:"warning_count"`
}

func newSheetHead(h domain.SheetHead) sheetHead {
	return sheetHead{h.Letter, h.Number, h.Note, h.CalcVersion, h.CoefficientSet, h.Gauging, instant(h.SavedAt), newPerson(h.SavedBy), newGist(h.Answer)}
}

func newGist(a domain.SheetAnswer) sheetGist {
	return sheetGist{a.Machine, a.Status, a.ChamberGaugePa, a.FreeAirM3S, a.WaterFlowM3S, a.LiftedM3S, a.WarningCount}
}

type sheetAnswer struct {
	sheetHead
	Input   sheet.Input  `json:"input"`
	Report  sheet.Report `json:"report"`
	Drawing draw.Drawing `json:"drawing"`
}

func newSheet(s domain.Sheet) sheetAnswer {
	return sheetAnswer{newSheetHead(s.SheetHead), s.Input, s.Report, draw.Sheet(s.Input, s.Report)}
}

func sheetPath(project domain.ProjectID, design domain.DesignID, letter string, number int) string {
	return fmt.Sprintf("%s/revisions/%s/sheets/%d", designPath(project, design), letter, number)
}

// sheetsMost is how far the numbers of sheets go in the database.
const sheetsMost = math.MaxInt32

func (s *server) sheets(c echo.Context, who domain.Actor) error {
	project, design, letter, err := pathRevision(c)
	if err != nil {
		return err
	}
	p, err := page(c, sheetsMost)
	if err != nil {
		return err
	}
	list, err := s.notebook.Sheets(c.Request().Context(), who, project, design, letter, p)
	if err != nil {
		return err
	}
	return ok(c, newList(list, p, newSheetHead, func(h domain.SheetHead) int64 { return int64(h.Number) }))
}

func (s *server) saveSheet(c echo.Context, who domain.Actor) error {
	project, design, letter, err := pathRevision(c)
	if err != nil {
		return err
	}
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decode[saveSheetRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.SaveSheet{Project: project, Design: design, Letter: letter, Version: version, Input: req.Input, Gauging: req.Gauging, Note: req.Note}
	saved, version, err := s.notebook.SaveSheet(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	setETag(c, version)
	return made(c, true, sheetPath(project, design, letter, saved.Number), newSheet(saved))
}

func (s *server) sheet(c echo.Context, who domain.Actor) error {
	project, design, letter, number, err := pathSheet(c)
	if err != nil {
		return err
	}
	saved, err := s.notebook.Sheet(c.Request().Context(), who, project, design, letter, number)
	if err != nil {
		return err
	}
	return ok(c, newSheet(saved))
}

// pathSheet reads what names a sheet.
func pathSheet(c echo.Context) (domain.ProjectID, domain.DesignID, string, int, error) {
	project, design, letter, err := pathRevision(c)
	if err != nil {
		return 0, 0, "", 0, err
	}
	number, err := pathID(c, "number", "sheet")
	if err == nil && number > sheetsMost {
		err = domain.Missing("sheet")
	}
	return project, design, letter, int(number), err
}

type sheetForm struct {
	Sections []sheet.Section `json:"sections"`
	Inputs   []calc.Field    `json:"inputs"`
}

// describeSheet tells what a sheet may hold beside its trompe.
func (s *server) describeSheet(c echo.Context, _ domain.Actor) error {
	return ok(c, sheetForm{sheet.Sections(), sheet.Inputs()})
}

func (s *server) preview(c echo.Context, who domain.Actor) error {
	req, err := decode[previewRequest](c)
	if err != nil {
		return err
	}
	report, err := s.notebook.Preview(c.Request().Context(), who, req.Input)
	if err != nil {
		return err
	}
	a := previewAnswer{Report: report}
	if len(report.Faults) == 0 {
		drawing := draw.Sheet(req.Input, report)
		a.Drawing = &drawing
	}
	return ok(c, a)
}
