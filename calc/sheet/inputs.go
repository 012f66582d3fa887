package sheet

import (
	"leat/calc"
	"leat/calc/build"
)

// Section is one part of a sheet, as the builder sees it.
type Section struct {
	At    string `json:"at"`
	Title string `json:"title"`
	Calc  string `json:"calc,omitempty"` // the named calculation whose inputs it holds
}

// The kinds of source.
const (
	Stream = "stream"
	Main   = "main"
	Roof   = "roof"
	Tank   = "tank"
)

// Inputs declares what a sheet may hold beside its trompe.
func Inputs() []calc.Field { return inputs }

// Sections lists the parts of a sheet beside its trompe, in the order of the
// water; those of a use are within the use.
func Sections() []Section { return sections }

var (
	sections = listSections()
	inputs   = declare()
	form     = calc.NewForm(inputs)
)

func listSections() (all []Section) {
	for _, n := range nodes {
		if n.auto {
			continue // done by itself, when what it is fed is there
		}
		at := n.at
		if n.use != "" {
			at = "/uses/" + n.use
		}
		all = append(all, Section{at, n.title, n.calc})
	}
	return append(all, Section{At: "/parts", Title: "What it is built from"}, Section{At: "/facts", Title: "The place and the people"})
}

// Which choice of source a way of measuring it belongs to.
var sourceOf = map[string]string{
	"/source/vnotch": Stream, "/source/rect_weir": Stream, "/source/bucket": Stream, "/source/orifice_water": Stream, "/source/residual": Stream,
	"/source/mains": Main, "/source/rain_runoff": Roof, "/source/gutter": Roof, "/source/downpipe": Roof, "/source/roof_energy": Roof, "/source/tank_balance": Roof,
	"/source/tank_drain": Tank,
}

func declare() (fields []calc.Field) {
	fields = append(fields,
		calc.OneOf("/machine", "what is to be built", Trompe, Ram, Lift, Pulse).Preset(Trompe),
		calc.Part("/source", "where the water comes from, and how much there is"),
		calc.OneOf("/source/kind", "kind of source", Stream, Main, Roof, Tank).Need(),
		calc.Positive("/source/fall_m", "m", "fall from the water at the intake to where it leaves"),
		calc.Positive("/source/flow_m3s", "m³/s", "flow, where it is known already"),
	)
	for _, n := range nodes {
		if n.use == "" {
			fields = append(fields, n.section()...)
		}
	}
	fields = append(fields, useFields(), calc.RecordsOf("/parts", "what it is built from", build.PartFields()...).MayBeEmpty().Judged(build.KnownLine))
	return append(fields, build.FactFields("/facts")...)
}

// groups are the sections that only hold others.
var groups = map[string]string{"/ram/wave_speed": "/ram", "/receiver/tank": "/receiver"}

var groupAbout = map[string]string{"/ram": "hydraulic ram", "/receiver": "receiver for the air"}

func (n node) section() (fields []calc.Field) {
	if g := groups[n.at]; g != "" {
		fields = append(fields, calc.Part(g, groupAbout[g]))
	}
	part := calc.Part(n.at, n.title)
	if kind := sourceOf[n.at]; kind != "" {
		part = part.OnlyIf("/source/kind", "", kind)
	}
	return append(append(fields, part), n.inputsOf(n.at)...)
}

func useFields() calc.Field {
	var kinds []string
	var item []calc.Field
	for _, n := range nodes {
		if n.use == "" {
			continue
		}
		kinds = append(kinds, n.use)
		item = append(item, calc.Part("/"+n.use, n.title).OnlyIf("/kind", "", n.use))
		item = append(item, n.inputsOf("/"+n.use)...)
	}
	head := []calc.Field{calc.OneOf("/kind", "what the air is for", kinds...).Need(), calc.Words("/name", "what you call it")}
	return calc.RecordsOf("/uses", "what the air is for", append(head, item...)...).MayBeEmpty()
}
