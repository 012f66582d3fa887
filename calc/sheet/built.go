package sheet

import (
	"encoding/json"
	"math"

	"leat/calc"
	"leat/calc/build"
	"leat/calc/trompe"
)

// judge answers whether the machine may be built, once somebody has described a
// part of it. With changes, it also looks for what would be allowed instead of
// what is not.
func (c *chain) judge(changes bool) error {
	parts, facts, err := c.described()
	if err != nil || len(parts) == 0 {
		return err
	}
	machine := c.strained()
	rep, err := build.Judge(machine, facts, c.limits, parts)
	if err == nil && changes {
		var free *float64
		if q, ok := c.freeAir("").(float64); ok {
			free = &q
		}
		err = build.Sheet{Machine: machine, Facts: facts, Limits: c.limits, Parts: parts, Air: free}.Nearest(&rep)
	}
	materials := build.List(machine, parts)
	c.rep.Build, c.rep.Materials = &rep, &materials
	return err
}

// described reads the parts and facts, which are checked already.
func (c *chain) described() (parts []build.Part, facts build.Facts, err error) {
	facts = build.Facts{ReliefKd: 0.6, Humidity: 70}
	text, err := json.Marshal(map[string]any{"parts": c.given["parts"], "facts": c.given["facts"]})
	if err != nil {
		return nil, facts, err
	}
	var read struct {
		Parts []json.RawMessage `json:"parts"`
		Facts *build.Facts      `json:"facts"`
	}
	read.Facts = &facts
	if err = json.Unmarshal(text, &read); err != nil {
		return nil, facts, err
	}
	for _, raw := range read.Parts {
		p := build.Part{Count: 1}
		if err = json.Unmarshal(raw, &p); err != nil {
			return nil, facts, err
		}
		parts = append(parts, p)
	}
	return parts, facts, nil
}

// strained is the machine as far as it decides about its parts. Pressures are
// gauge.
func (c *chain) strained() build.Machine {
	m := build.Machine{Trompe: c.machine, RamSpeed: numeric(c.result("/ram/cycle", "V_close")),
		RamMaxPa: numeric(c.result("/ram/cycle", "p_max_gauge")), RamWorstPa: numeric(c.result("/ram/cycle", "p_worst_gauge"))}
	head := func(v any) *float64 {
		if h, ok := v.(float64); ok {
			p := calc.WaterDensity * calc.Gravity * h
			return &p
		}
		return nil
	}
	m.RamStaticPa, m.LiftPa = head(c.ramFall("")), head(c.number("/ram/cycle/h"))
	m.ShutOffPa = numeric(c.number("/source/mains/p_static_gauge"))
	if c.machine != nil && c.machine.Supply.Type != trompe.Forebay {
		m.ShutOffPa = &c.machine.Supply.StaticPa
	}
	ambient := c.ambient("").(float64)
	gauge := func(v any) *float64 {
		if p, ok := v.(float64); ok {
			p -= ambient
			return &p
		}
		return nil
	}
	m.BoosterPa = gauge(first(c.result("/pulse", "p_deadend"), c.result("/pulse", "p2")))
	if m.ReceiverM3 = numeric(c.number("/receiver/tank/V")); m.ReceiverM3 != nil {
		m.ReceiverPa = gauge(c.inReceiver(""))
	}
	bore, ok := c.number("/air_line/D").(float64)
	length, ok2 := c.number("/air_line/L").(float64)
	if ok && ok2 {
		volume := math.Pi / 4 * bore * bore * length
		m.AirLineM3 = &volume
	}
	return m
}

func numeric(v any) *float64 {
	if x, ok := v.(float64); ok {
		return &x
	}
	return nil
}
