package api

import (
	"math"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

type runPlan struct {
	Quantities []planned `json:"quantities"`
}

type planned struct {
	Name        string           `json:"name"`
	Title       string           `json:"title"`
	Unit        string           `json:"unit"`
	Predicted   float64          `json:"predicted"`
	UPredicted  float64          `json:"u_predicted"`
	Low         *float64         `json:"low"`
	High        *float64         `json:"high"`
	Instruments []planInstrument `json:"instruments"`
}

type planInstrument struct {
	Instrument domain.InstrumentID `json:"instrument"`
	Name       string              `json:"name"`
	U          float64             `json:"u"`
	Met        float64             `json:"p_met"`
	Missed     float64             `json:"p_missed"`
	Decided    float64             `json:"p_decided"`
	Unfit      string              `json:"unfit"`
}

func (s *server) runPlan(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	instrument, err := queryNumber(c, "instrument", math.MaxInt64)
	if err != nil {
		return err
	}
	plan, err := s.notebook.RunPlan(c.Request().Context(), who, ref, domain.InstrumentID(instrument))
	if err != nil {
		return err
	}
	a := runPlan{Quantities: []planned{}}
	for _, p := range plan {
		q := planned{p.Name, p.Title, p.Unit, *p.Value, *p.U, p.Low, p.High, []planInstrument{}}
		for _, i := range p.Instruments {
			q.Instruments = append(q.Instruments, planInstrument{i.ID, i.Name, i.U, i.Met, i.Missed, i.Decided, i.Unfit})
		}
		a.Quantities = append(a.Quantities, q)
	}
	return ok(c, a)
}
