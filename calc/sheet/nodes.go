package sheet

import (
	"slices"
	"strings"

	"leat/calc"
	"leat/calc/reckon"
)

// node is one named calculation in the chain of a sheet. Its inputs are the
// section of that name, and what earlier steps feed it.
type node struct {
	at    string // section; the name of the use within /uses/N where use is set
	use   string
	title string
	calc  string
	feeds []feed
	auto  bool // done without a section of its own, when all feeds are there
	hide  []string
}

// feed fills in an input that the builder left empty.
type feed struct {
	name string
	from string // in words: where the value comes from
	of   func(c *chain, at string) any
	free bool // the calculation can do without
}

// takes tells whether a name of the section is an input of the calculation;
// the others are sections below it.
func (n node) takes(name string) bool {
	d, _ := reckon.Describe(n.calc)
	return slices.ContainsFunc(d.Inputs, func(f calc.Field) bool { return f.At == "/"+name })
}

func number(at string) func(*chain, string) any {
	return func(c *chain, _ string) any { return c.number(at) }
}

func result(at, name string) func(*chain, string) any {
	return func(c *chain, _ string) any { return c.result(at, name) }
}

func fixed(x float64) func(*chain, string) any {
	return func(*chain, string) any { return x }
}

// The feeds that many steps share.
var (
	ambient  = feed{name: "p_atm", from: "the air pressure of the site", of: (*chain).ambient, free: true}
	siteAir  = []feed{{name: "p_free", from: "the air pressure of the site", of: (*chain).ambient, free: true}, {name: "T_free", from: "the air temperature of the site", of: (*chain).airK, free: true}}
	flow     = feed{name: "Q", from: "the flow of the source", of: (*chain).flow}
	fall     = feed{name: "H", from: "the fall of the source", of: number("/source/fall_m")}
	atWork   = feed{name: "p1", from: "the pressure that the machine delivers", of: (*chain).delivered}
	freeAir  = feed{name: "Q_free", from: "the free air that the machine delivers", of: (*chain).freeAir}
	kept     = feed{name: "p1", from: "the pressure in the receiver", of: (*chain).inReceiver}
	volume   = feed{name: "V", from: "the volume of the receiver", of: number("/receiver/tank/V")}
	onTheWay = feed{name: "p1", from: "the pressure at the end of the air line", of: (*chain).atUse}
)

// nodes is the chain, in the order of the water.
var nodes = []node{
	{at: "/source/vnotch", title: "Flow over the V-notch", calc: "system/vnotch"},
	{at: "/source/rect_weir", title: "Flow over the weir", calc: "system/rect_weir"},
	{at: "/source/bucket", title: "Flow by the bucket", calc: "system/bucket"},
	{at: "/source/orifice_water", title: "Flow through the opening", calc: "system/orifice_water"},
	{at: "/source/mains", title: "Hose or main", calc: "system/mains"},
	{at: "/source/rain_runoff", title: "Rain off the roof, at its heaviest", calc: "system/rain_runoff"},
	{at: "/source/gutter", title: "Gutter", calc: "system/gutter"},
	{at: "/source/downpipe", title: "Downpipe", calc: "system/downpipe"},
	{at: "/source/roof_energy", title: "What the roof gives in a year", calc: "system/roof_energy", feeds: []feed{{name: "drop", from: "the fall of the source", of: number("/source/fall_m")}}},
	{at: "/source/tank_balance", title: "Tank through the days", calc: "system/tank_balance"},
	{at: "/source/tank_drain", title: "Emptying the tank", calc: "system/tank_drain"},
	{at: "/source/residual", title: "What may be taken", calc: "system/residual", feeds: []feed{{name: "Q", from: "the flow of the source", of: (*chain).gauged}}},
	{at: "/supply_pipe", title: "Supply pipe", calc: "system/pipe_loss", feeds: []feed{{name: "Q", from: "the water that the machine takes", of: (*chain).waterTaken}}},

	{at: "/ram/wave_speed", title: "Pressure wave in the drive pipe", calc: "system/wave_speed", feeds: []feed{
		{name: "D", from: "the bore of the drive pipe", of: number("/ram/cycle/D")}, {name: "K_water", from: "the bulk modulus of water for strength", of: fixed(2.18e9)},
	}},
	{at: "/ram/cycle", title: "Ram, beat by beat", calc: "system/ram_cycle", feeds: []feed{
		fall, {name: "a", from: "the pressure wave in the drive pipe", of: result("/ram/wave_speed", "a"), free: true},
	}},
	{at: "/ram/band", title: "What rams of this kind reach", calc: "system/ram_band", auto: true, feeds: []feed{
		{name: "H", from: "the ram", of: (*chain).ramFall}, {name: "h", from: "the ram", of: number("/ram/cycle/h")}, {name: "Q", from: "the flow of the source", of: (*chain).flow, free: true},
	}},
	{at: "/ram/waste_valve", title: "Waste valve", calc: "system/waste_valve"},
	{at: "/lift", title: "Ram that lifts to a taller trompe", calc: "system/boost_lift", feeds: []feed{flow, fall, ambient}},
	{at: "/pulse", title: "Pulse booster", calc: "system/boost_pulse", hide: []string{"ram"}, feeds: []feed{
		{name: "ram", from: "the ram", of: (*chain).ramInput}, {name: "p_trompe_gauge", from: "the pressure that the trompe delivers", of: (*chain).trompeGauge}, ambient,
	}},

	{at: "/air_line", title: "Air line", calc: "system/air_pipe", hide: []string{"qm"}, feeds: append([]feed{atWork, freeAir}, siteAir...)},
	{at: "/receiver/tank", title: "Air kept in the receiver", calc: "system/exergy_tank", feeds: []feed{{name: "p", from: "the pressure in the receiver", of: (*chain).inReceiver}, ambient}},
	{at: "/receiver/everyday", title: "In everyday terms", calc: "system/everyday", auto: true, feeds: []feed{{name: "Wh", from: "the air in the receiver", of: result("/receiver/tank", "E_iso_Wh")}}},
	{at: "/receiver/fill", title: "Filling the receiver", calc: "system/fill_time", auto: true, feeds: []feed{
		volume, {name: "p1", from: "the air pressure of the site", of: (*chain).ambient}, {name: "p2", from: "the pressure in the receiver", of: (*chain).inReceiver},
		{name: "curve_p", from: "what the trompe delivers at each pressure", of: (*chain).curveP}, {name: "curve_q", from: "what the trompe delivers at each pressure", of: (*chain).curveQ}, ambient,
	}},
	{at: "/receiver/runtime", title: "How long the receiver lasts", calc: "system/runtime", feeds: []feed{volume, kept, {name: "p2", from: "the least pressure of use", of: number("/receiver/tank/p_min")}, ambient}},
	{at: "/receiver/condensate", title: "Water in the air", calc: "system/condensate", feeds: []feed{{name: "p", from: "the pressure in the receiver", of: (*chain).inReceiver}, ambient}},

	{use: "aeration", title: "Diffuser", calc: "system/aeration", feeds: []feed{
		{name: "Q_free_m3s", from: "the free air that the machine delivers", of: (*chain).freeAir}, {name: "p_avail_gauge", from: "the pressure at the end of the air line", of: (*chain).gaugeAtUse, free: true},
	}},
	{use: "airlift", title: "Airlift", calc: "system/airlift", feeds: []feed{freeAir, ambient}},
	{use: "orifice_air", title: "Nozzle", calc: "system/orifice_air", feeds: append([]feed{onTheWay, {name: "p2", from: "the air pressure of the site", of: (*chain).ambient, free: true}}, siteAir...)},
	{use: "forge", title: "Forge blast", calc: "system/forge"},
	{use: "tool_air", title: "Air tool", calc: "system/tool_air", feeds: []feed{{name: "p_gauge", from: "the pressure at the end of the air line", of: (*chain).gaugeAtUse}, ambient}},
}

// inputsOf declares the section of a node: the inputs of its calculation, with
// those that are fed no longer required. From there on places begin with at.
func (n node) inputsOf(at string) (fields []calc.Field) {
	d, _ := reckon.Describe(n.calc)
	for _, f := range d.Inputs {
		name := f.At[1:]
		top, _, nested := strings.Cut(name, "/")
		if slices.Contains(n.hide, top) {
			continue
		}
		for _, fed := range n.feeds {
			if fed.name == name && !nested {
				f.Required, f.Default = false, fed.from
				if fed.free && f.Default == "" {
					f.Default = fed.from
				}
			}
		}
		fields = append(fields, within(at, f))
	}
	return fields
}

// within moves a declared field below a section.
func within(at string, f calc.Field) calc.Field {
	f.At = at + f.At
	f.Or, f.With = below(at, f.Or), below(at, f.With)
	if f.Unless != "" {
		f.Unless = at + f.Unless
	}
	if f.When != nil {
		when := *f.When
		when.At = at + when.At
		f.When = &when
	}
	return f
}

func below(at string, pointers []string) []string {
	moved := make([]string, len(pointers))
	for i, p := range pointers {
		moved[i] = at + p
	}
	return moved
}
