package evidence

import (
	"encoding/json"
	"math"

	"leat/calc"
)

const (
	gum43   = "JCGM 100:2008, 4.3, from memory"
	gum5    = "JCGM 100:2008, 5.1 and 5.2, from memory"
	gumG    = "JCGM 100:2008, annex G, from memory"
	gauge11 = "EN 837-1:1996, table 11 (read)"
	area    = "VDI/VDE 3513-2, as a maker's page quotes it (read)"
)

// component is a line of a budget as it is given: what is known about one error.
type component struct {
	Kind     string        `json:"kind"`
	Name     *string       `json:"name"`
	Sens     float64       `json:"sens"`
	Nu       calc.Freedom  `json:"nu"`
	Source   string        `json:"source"`
	Readings calc.Readings `json:"readings"`

	U            calc.Reading `json:"u"`
	Delta        calc.Reading `json:"delta"`
	A            calc.Reading `json:"a"`
	Dist         string       `json:"dist"`
	Beta         float64      `json:"beta"`
	ClassPercent calc.Reading `json:"class_percent"`
	Span         calc.Reading `json:"span"`
	PctReading   calc.Reading `json:"pct_reading"`
	PctFS        calc.Reading `json:"pct_fs"`
	FS           calc.Reading `json:"fs"`
	Abs          calc.Reading `json:"abs"`
	G            calc.Reading `json:"G"`
	QG           calc.Reading `json:"qG"`
	Certified    calc.Reading `json:"U"`
	K            *float64     `json:"k"`
	P            float64      `json:"p"`
	PerYear      calc.Reading `json:"per_year"`
	Years        calc.Reading `json:"years"`
}

// UnmarshalJSON fills in what counts where nothing is given.
func (c *component) UnmarshalJSON(text []byte) error {
	type plain component
	all := plain{Sens: 1, Nu: calc.Freedom(math.Inf(1)), Dist: RectangularShape}
	err := json.Unmarshal(text, &all)
	*c = component(all)
	return err
}

// line evaluates a component. value is what the budget is about, NaN if it is missing.
func (c component) line(value float64) Line {
	l := Line{Name: c.Kind, Sens: c.Sens, Nu: float64(c.Nu), Source: c.Source}
	if c.Name != nil {
		l.Name = *c.Name
	}
	switch c.Kind {
	case "readings":
		r := TypeA(c.Readings)
		l.U, l.Nu = r.U, float64(r.Nu)
	case "standard":
		l.U = float64(c.U)
	case "resolution":
		l.U = Resolution(float64(c.Delta))
	case "limits":
		l.U = Limits(float64(c.A), c.Dist, c.Beta)
	case "class":
		l.U = ClassLimit(float64(c.ClassPercent), float64(c.Span))
	case "spec":
		l.U = Accuracy{float64(c.PctReading), float64(c.PctFS), float64(c.FS), float64(c.Abs)}.U(value)
	case "variable_area":
		l.U = VariableArea(value, float64(c.FS), float64(c.G), float64(c.QG))
	case "certificate":
		k := CoverageFactor(c.P, l.Nu)
		if c.K != nil {
			k = *c.K
		}
		l.U = float64(c.Certified) / k
	case "drift":
		l.U = Drift(float64(c.PerYear), float64(c.Years))
	}
	return l
}

// componentFields declares a component: what all have, then what each kind has.
func componentFields() calc.Field {
	gap := func(f calc.Field, kinds ...string) calc.Field { return f.Gappy().OnlyIf("/kind", "", kinds...) }
	return calc.RecordsOf("/components", "what may be wrong, one entry for each cause",
		calc.OneOf("/kind", "what is known about it", "readings", "standard", "resolution", "limits", "class", "spec", "variable_area", "certificate", "drift").Need(),
		calc.Words("/name", "name of this line").Preset("its kind"),
		calc.Signed("/sens", "", "how much the result changes with it").Preset("1"),
		calc.Positive("/nu", "", "degrees of freedom: how sure its size is").OrInfinite().Preset("inf"),
		calc.Words("/source", "lines with the same source are the same error"),
		gap(calc.ListOf(calc.Signed("/readings", "", "repeated readings")).Need().MayBeEmpty(), "readings"),
		gap(calc.AtLeast("/u", "", 0, "standard uncertainty"), "standard"),
		gap(calc.AtLeast("/delta", "", 0, "step of the display, or smallest step read"), "resolution"),
		gap(calc.AtLeast("/a", "", 0, "half-width between the limits"), "limits"),
		calc.OneOf("/dist", "what is likely between the limits", RectangularShape, TriangularShape, ArcsineShape, TrapezoidalShape).Preset(RectangularShape).OnlyIf("/kind", "", "limits"),
		calc.Between("/beta", "", 0, 1, "width of the top of a trapezoid over that of its base").OnlyIf("/kind", "", "limits"),
		gap(calc.AtLeast("/class_percent", "%", 0, "accuracy class"), "class"),
		gap(calc.Positive("/span", "", "from the lower to the upper end of the scale"), "class"),
		gap(calc.AtLeast("/pct_reading", "%", 0, "% of the reading").Preset("0"), "spec"),
		gap(calc.AtLeast("/pct_fs", "%", 0, "% of the full scale").Preset("0"), "spec"),
		gap(calc.Positive("/fs", "", "full scale"), "spec", "variable_area"),
		gap(calc.AtLeast("/abs", "", 0, "a fixed part").Preset("0"), "spec"),
		gap(calc.AtLeast("/G", "%", 0, "error limit, % of the reading"), "variable_area"),
		gap(calc.Positive("/qG", "%", "from where up that limit holds, % of the full scale"), "variable_area"),
		gap(calc.AtLeast("/U", "", 0, "expanded uncertainty of the certificate"), "certificate"),
		calc.Positive("/k", "", "coverage factor of the certificate").NeedUnless("/p").OnlyIf("/kind", "", "certificate"),
		calc.Inside("/p", "", 0, 1, "level of the certificate, read where no factor is given").Unread("/k").OnlyIf("/kind", "", "certificate"),
		gap(calc.Signed("/per_year", "", "drift per year"), "drift"),
		gap(calc.AtLeast("/years", "", 0, "years since the calibration"), "drift"),
	).Need().Filled().Judged(trapezoidHasTop)
}

func trapezoidHasTop(_ map[string]any, list []any, i int) []calc.Fault {
	entry, _ := list[i].(map[string]any)
	if entry["dist"] != TrapezoidalShape || entry["beta"] != nil {
		return nil
	}
	return []calc.Fault{{Code: calc.Missing, At: "/beta", Message: "Of a trapezoid give the width of the top over that of the base, from 0 (a triangle) to 1 (a rectangle)."}}
}

type budgetIn struct {
	Components []component  `json:"components"`
	Value      calc.Reading `json:"value"`
	P          float64      `json:"p"`
}

type budgetOut struct {
	U        *float64      `json:"u"`
	NuEff    *calc.Freedom `json:"nu_eff"`
	NuUsed   *calc.Freedom `json:"nu_used"`
	K        *float64      `json:"k"`
	Expanded *float64      `json:"U"`
	Lines    []budgetLine  `json:"lines"`
	Missing  []string      `json:"missing"`
	Status   string        `json:"status"`
}

type budgetLine struct {
	Name string       `json:"name"`
	U    *float64     `json:"u"`
	Nu   calc.Freedom `json:"nu"`
}

func budgetOf(in budgetIn) (budgetOut, []calc.Warning, *calc.Fault) {
	lines := make([]Line, len(in.Components))
	shown := make([]budgetLine, len(lines))
	for i, c := range in.Components {
		lines[i] = c.line(float64(in.Value))
		shown[i] = budgetLine{lines[i].Name, calc.OrNull(lines[i].Size()), calc.Freedom(lines[i].Nu)}
	}
	b := Combine(lines, in.P)
	ok := b.Status == OK
	freedom := func(nu float64) *calc.Freedom {
		if !ok {
			return nil
		}
		f := calc.Freedom(nu)
		return &f
	}
	there := ok || b.Status == AllZero
	return budgetOut{number(there, b.U), freedom(b.NuEff), freedom(b.NuUsed), number(ok, b.K), number(there, b.Expanded), shown, b.Missing, b.Status}, nil, nil
}

var budget = calc.New(calc.Description{
	Name: "evidence/budget", Answers: "how well a value is known: all its causes of error, one under the other, added up",
	Words: []string{"uncertainty", "budget", "error", "class", "calibration", "certificate", "resolution", "coverage factor", "GUM"},
	Inputs: []calc.Field{
		componentFields(),
		calc.Signed("/value", "", "the value that the budget is about: where an error goes with the reading").Gappy(),
		calc.Inside("/p", "", 0, 1, "level").Preset("0.95"),
	},
	Outputs: []calc.Field{
		calc.Gives("/u", "", "combined standard uncertainty; none where a line cannot be evaluated", "u = √Σ(c·u)²", gum5, "/lines"),
		calc.Gives("/nu_eff", "", "effective degrees of freedom", "ν = u⁴/Σ((c·u)⁴/ν)", gumG, "/lines", "/u"),
		calc.Gives("/nu_used", "", "degrees of freedom that are used", "∞ from 1000 up, else rounded to one decimal, then down, at least 1", gumG, "/nu_eff"),
		calc.Gives("/k", "", "coverage factor", "Student's t at (1 + p)/2", gumG, "/nu_used", "/p"),
		calc.Gives("/U", "", "expanded uncertainty", "U = k·u", gum5, "/k", "/u"),
		calc.Gives("/lines", "", "each line: its name, |c|·u and its degrees of freedom", "readings s/√n; limits a/√3, a/√6, a/√2 or a·√((1 + β²)/6); resolution δ/√12; class c·span/(100·√3); certificate U/k; drift d·t/√3", gum43+"; "+gauge11+"; "+area, "/components", "/value").As(calc.List),
		calc.Gives("/missing", "", "lines that cannot be evaluated", "names", gum43, "/lines").As(calc.List),
		calc.Gives("/status", "", "state: ok, incomplete or zero", "incomplete where a line cannot be evaluated; zero where all are zero", gum43, "/lines").As(calc.Text),
	},
	Equation: "u² = Σ(c·u)², ν = u⁴/Σ((c·u)⁴/ν), U = k·u",
	Validity: "Lines that have nothing to do with each other, except those of one source, which are added with their sign. An uncertainty is never given without its level.",
	Sources:  []string{gum43, gum5, gumG, gauge11, area, "limits of data sheets and drift: common practice, no source"},
	Example: []byte(`{"value": 3.2, "components": [{"kind": "readings", "name": "repeats", "readings": [3.1, 3.2, 3.3]}, {"kind": "class", "class_percent": 1.6, "span": 10},
		{"kind": "resolution", "delta": 0.1}]}`),
}, budgetIn{P: Level}, budgetOf)
