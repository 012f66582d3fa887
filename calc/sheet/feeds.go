package sheet

import (
	"leat/calc"
	"leat/calc/air"
	"leat/calc/trompe"
)

// ambient returns the pressure of the open air at the site, in Pa absolute.
func (c *chain) ambient(string) any {
	if c.machine == nil {
		return calc.Atmosphere
	}
	if p := c.machine.Site.AmbientPa; p != nil {
		return *p
	}
	return air.Atmosphere(c.machine.Site.AltitudeM)
}

// airK returns the temperature of the site's air in K.
func (c *chain) airK(string) any {
	if c.machine == nil {
		return nil
	}
	return c.machine.Site.AirC + calc.Kelvin
}

// gauged returns the flow of the source as it was measured, in m³/s.
func (c *chain) gauged(string) any {
	return first(c.number("/source/flow_m3s"), c.result("/source/vnotch", "Q_m3s"), c.result("/source/rect_weir", "Q_m3s"), c.result("/source/bucket", "Q_m3s"),
		c.result("/source/orifice_water", "Q_m3s"), c.number("/source/mains/Q"), c.result("/source/mains", "Q_maxpower"), c.result("/source/rain_runoff", "Q_m3s"))
}

// flow returns what may be used of it.
func (c *chain) flow(at string) any {
	return first(c.result("/source/residual", "Q_usable"), c.gauged(at))
}

func (c *chain) waterTaken(at string) any {
	if t := c.rep.Trompe; t != nil && t.Numbers != nil {
		return t.WaterFlowM3S
	}
	if l, ok := c.result("/ram/cycle", "Q_drive_Lmin").(float64); ok {
		return l / 60000
	}
	return c.flow(at)
}

func (c *chain) ramFall(string) any {
	return first(c.number("/ram/cycle/H"), c.number("/source/fall_m"))
}

// ramInput is what the ram's own step was asked.
func (c *chain) ramInput(string) any {
	for _, s := range c.rep.Steps {
		if s.At == "/ram/cycle" && s.Lacks == "" {
			return s.Input
		}
	}
	return nil
}

func (c *chain) trompeGauge(string) any {
	if t := c.rep.Trompe; t != nil && t.Numbers != nil {
		return t.ChamberGaugePa
	}
	return nil
}

// delivered returns the pressure at the machine's outlet, in Pa absolute.
func (c *chain) delivered(at string) any {
	if gauge, ok := c.gaugeDelivered().(float64); ok {
		return gauge + c.ambient(at).(float64)
	}
	return nil
}

// freeAir returns what the machine delivers, in m³/s of the site's air.
func (c *chain) freeAir(string) any {
	if v, ok := c.result("/pulse", "free_air_Lmin").(float64); ok {
		return v / 60000
	}
	if t := c.rep.Trompe; t != nil && t.Numbers != nil {
		if t.FreeAirM3S <= 0 {
			return nil
		}
		return t.FreeAirM3S
	}
	return c.result("/lift", "Q_free_m3s")
}

// inReceiver is the highest pressure that the receiver is to have, in Pa
// absolute: as typed, else what arrives.
func (c *chain) inReceiver(at string) any { return first(c.number("/receiver/tank/p"), c.atUse(at)) }

// atUse returns the pressure at the end of the air line, in Pa absolute.
func (c *chain) atUse(at string) any { return first(c.result("/air_line", "p2"), c.delivered(at)) }

func (c *chain) gaugeAtUse(at string) any {
	if p, ok := c.atUse(at).(float64); ok {
		return p - c.ambient(at).(float64)
	}
	return nil
}

// curve returns the free air that the trompe gives against each pressure in
// the receiver, in Pa absolute and m³/s. Below the lowest pressure of the window
// the chamber keeps its own level, and the air is what it is there.
func (c *chain) curve() (p, q []float64) {
	t := c.rep.Trompe
	if t == nil || t.Numbers == nil {
		return nil, nil
	}
	pa := c.ambient("").(float64)
	for _, d := range t.DeliveryCurve {
		if at := d.GaugePa + pa; len(p) == 0 || at > p[len(p)-1] {
			p, q = append(p, at), append(q, d.FreeAirM3S)
		}
	}
	if len(p) > 0 && p[0] > pa {
		p, q = append([]float64{pa}, p...), append([]float64{q[0]}, q...)
	}
	return p, q
}

func (c *chain) curveP(string) any {
	if p, _ := c.curve(); len(p) > 1 {
		return p
	}
	return nil
}

func (c *chain) curveQ(string) any {
	if _, q := c.curve(); len(q) > 1 {
		return q
	}
	return nil
}

// gist sums the sheet up.
func (c *chain) gist() *Gist {
	g := &Gist{Machine: c.kind(), Status: trompe.NoOperatingPoint}
	working := map[string]string{Ram: "/ram/cycle", Lift: "/lift", Pulse: "/pulse"}[g.Machine]
	if working == "" {
		g.Status = c.rep.Trompe.Status
	} else if c.results[working] != nil {
		g.Status = trompe.OK
	}
	if c.results[working] != nil || c.rep.Trompe != nil && c.rep.Trompe.Numbers != nil {
		g.WaterM3S = numeric(c.waterTaken(""))
	}
	if g.Machine != Ram {
		g.GaugePa, g.FreeAirM3S = numeric(c.gaugeDelivered()), numeric(c.freeAir(""))
	}
	g.LiftedM3S = numeric(first(c.result("/ram/cycle", "q"), c.result("/lift", "q")))
	return g
}

// gaugeDelivered returns the gauge pressure at the machine's outlet in Pa.
func (c *chain) gaugeDelivered() any {
	if p := c.result("/pulse", "p2"); p != nil {
		return p.(float64) - c.ambient("").(float64)
	}
	return first(c.trompeGauge(""), c.result("/lift", "p2_gauge"))
}
