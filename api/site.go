package api

import (
	"github.com/labstack/echo/v4"

	"leat/domain"
)

// siteFacts is what a site says, the same in request and answer.
type siteFacts struct {
	Name      string   `json:"name"`
	Source    *string  `json:"source"`
	FallM     *float64 `json:"fall_m"`
	FlowM3S   *float64 `json:"flow_m3s"`
	Gauged    string   `json:"gauged"`
	StaticPa  *float64 `json:"static_pa"`
	WaterC    *float64 `json:"t_water_c"`
	AirC      *float64 `json:"t_air_c"`
	AltitudeM *float64 `json:"altitude_m"`
	Note      string   `json:"note"`
}

func (f siteFacts) facts() domain.SiteFacts {
	return domain.SiteFacts{
		Name: f.Name, Source: (*domain.Source)(f.Source), FallM: f.FallM, FlowM3S: f.FlowM3S, Gauged: f.Gauged,
		StaticPa: f.StaticPa, WaterC: f.WaterC, AirC: f.AirC, AltitudeM: f.AltitudeM, Note: f.Note,
	}
}

type siteAnswer struct {
	Project domain.ProjectID `json:"project"`
	Version int64            `json:"version"`
	siteFacts
	ChangedAt *string         `json:"changed_at"`
	ChangedBy *personAnswer   `json:"changed_by"`
	Gauging   *gaugingAnswer  `json:"gauging"`
	Allowed   []domain.Action `json:"allowed_actions"`
}

func newSite(s domain.Site) siteAnswer {
	return siteAnswer{
		Project: s.Project, Version: s.Version,
		siteFacts: siteFacts{
			Name: s.Name, Source: (*string)(s.Source), FallM: s.FallM, FlowM3S: s.FlowM3S, Gauged: s.Gauged,
			StaticPa: s.StaticPa, WaterC: s.WaterC, AirC: s.AirC, AltitudeM: s.AltitudeM, Note: s.Note,
		},
		ChangedAt: instantOrNull(s.ChangedAt), ChangedBy: (*personAnswer)(s.ChangedBy), Gauging: gaugingOrNull(s.Gauging), Allowed: listed(s.Allowed),
	}
}

func (s *server) site(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	site, err := s.notebook.Site(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	setETag(c, site.Version)
	return ok(c, newSite(site))
}

func (s *server) describeSite(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	req, err := decode[siteFacts](c)
	if err != nil {
		return err
	}
	cmd := domain.DescribeSite{Project: id, Version: version, Facts: req.facts()}
	site, err := s.notebook.DescribeSite(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	setETag(c, site.Version)
	return ok(c, newSite(site))
}
