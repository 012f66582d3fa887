package domain

import (
	"cmp"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"leat/calc/build"
	"leat/calc/procedure"
)

// Certified is everything that a certificate holds, as it is kept, signed and
// printed. Pressures are gauge.
type Certified struct {
	Record       RecordEnd          `json:"record"` // where the record of signed acts ended before
	Project      string             `json:"project"`
	Tag          int                `json:"tag"`
	Title        string             `json:"title"`
	Site         string             `json:"site"` // with the count of its moves
	Design       string             `json:"design"`
	Letter       string             `json:"letter"`
	Revision     string             `json:"revision_digest"`
	BuildVersion int                `json:"build_version"`
	Differences  map[string]float64 `json:"differences"`
	Renewed      map[string]int     `json:"renewed"`
	Pressure     string             `json:"pressure_hash"`
	DesignPa     float64            `json:"p_design_pa"` // the highest of all parts under test
	WorkingBar   *float64           `json:"p_work_bar"`
	HotC         *float64           `json:"t_hot_c"`
	ColdC        *float64           `json:"t_cold_c"`
	Fluids       []string           `json:"fluids"`
	Test         CertifiedTest      `json:"test"`
	Gas          string             `json:"gas_decision"`
	Parts        []CertifiedPart    `json:"parts"`
	Signatures   []CertifiedSign    `json:"signatures"`
	Builders     []string           `json:"builders"`
	Photos       []CertifiedPhoto   `json:"photos"`
	Deviations   []string           `json:"deviations"`
	IssuedBy     string             `json:"issued_by"`
	IssuedAt     string             `json:"issued_at"`
	ExpiresOn    string             `json:"expires_on"`
	Limits       []string           `json:"limits_of_use"`
}

// RecordEnd is where the record of signed acts ended.
type RecordEnd struct {
	Number int64  `json:"number"`
	Digest string `json:"digest"`
}

// CertifiedTest is the test that a certificate stands on.
type CertifiedTest struct {
	Number       int                        `json:"number"`
	Title        string                     `json:"title"`
	Template     TemplateVersion            `json:"template_version"`
	Method       string                     `json:"method"`
	Medium       string                     `json:"medium"`
	LowPa        float64                    `json:"p_test_low_pa"` // at the lowest point
	StartedAt    string                     `json:"started_at"`
	EndedAt      string                     `json:"ended_at"`
	Verdict      string                     `json:"verdict"`
	Gauge        procedure.Value            `json:"gauge"` // from the register, with its height above the lowest point where that was entered
	Relief       map[string]procedure.Value `json:"relief"`
	ExclusionM   procedure.Value            `json:"exclusion_m"`
	ExclusionAir procedure.Value            `json:"exclusion_air_m"`
	Rules        procedure.Rules            `json:"rules"`
	Readings     []CertifiedEntry           `json:"readings"`
}

// CertifiedEntry is what was recorded for one item.
type CertifiedEntry struct {
	Item     string           `json:"item"`
	Title    string           `json:"title"`
	Recorded procedure.Values `json:"recorded"`
	At       string           `json:"at"`
}

// CertifiedPart is one part of the machine, as it was judged.
type CertifiedPart struct {
	Name       string   `json:"name"`
	Role       string   `json:"role"`
	Line       string   `json:"line"` // of the catalogue
	Marking    string   `json:"marking"`
	Verdict    string   `json:"verdict"`
	DesignPa   *float64 `json:"p_design_pa"`
	AllowPa    *float64 `json:"allow_pa"`
	Conditions []string `json:"conditions"`
}

// CertifiedSign is one signature under the test.
type CertifiedSign struct {
	Item string    `json:"item"`
	Role string    `json:"role"`
	Who  AccountID `json:"who"`
	Name string    `json:"name"`
	At   string    `json:"at"`
	How  SignedBy  `json:"how"`
}

// CertifiedPhoto is a picture of the test.
type CertifiedPhoto struct {
	Item   string  `json:"item"`
	File   float64 `json:"file"`
	Digest string  `json:"digest"`
}

// Certify gathers what a certificate on a test of a build holds.
func Certify(project string, b Build, t Test, c Certificate, head RecordHead) Certified {
	recorded, fixed := t.Attempt().Recorded(), t.Basis.Fixed
	hash, _ := fixed["revision_hash"].Text()
	gas, _ := fixed["gas_decision"].Text()
	body := Certified{
		Record: RecordEnd{head.Number, head.Sum.String()}, Project: project, Tag: b.Tag, Title: b.Title, Site: c.Site, Design: b.DesignTitle, Letter: b.Letter, Revision: hash,
		BuildVersion: t.BuildVersion, Differences: b.Now.Differences, Renewed: b.Now.Renewed, Pressure: hex.EncodeToString(t.Pressure[:]),
		WorkingBar: numberOf(fixed["p_work_bar"]), HotC: numberOf(fixed["t_design_c"]), ColdC: t.Basis.Test.ColdC, Fluids: []string{"water"}, Gas: gas,
		Parts: []CertifiedPart{}, Signatures: []CertifiedSign{}, Builders: []string{}, Photos: []CertifiedPhoto{}, Deviations: []string{},
		IssuedBy: c.IssuedBy.Name, IssuedAt: c.IssuedAt.Format(time.RFC3339), ExpiresOn: c.ExpiresOn.Format(time.DateOnly),
	}
	if air, _ := fixed["has_gas_parts"].Yes(); air {
		body.Fluids = append(body.Fluids, "air")
	}
	body.Test = certifiedTest(t, recorded)
	body.parts(b)
	for _, s := range t.Signatures {
		body.Signatures = append(body.Signatures, CertifiedSign{s.Item, s.Role, s.Who.ID, s.Who.Name, s.At.Format(time.RFC3339), s.How})
	}
	for _, p := range b.Builders {
		body.Builders = append(body.Builders, p.Name)
	}
	body.photos(t)
	body.deviations(b, t)
	body.limits()
	return body
}

func numberOf(v procedure.Value) *float64 {
	if x, ok := v.Number(); ok {
		return &x
	}
	return nil
}

func certifiedTest(t Test, recorded procedure.Values) CertifiedTest {
	c := CertifiedTest{
		Number: t.Number, Title: t.Title, Template: t.Template, Method: "hydrostatic", Medium: "water", LowPa: t.Basis.Test.LowPa,
		StartedAt: t.StartedAt.Format(time.RFC3339), Gauge: recorded["gauge"], Rules: t.Basis.Rules, Readings: []CertifiedEntry{},
		Relief:     map[string]procedure.Value{"kind": recorded["relief_kind"], "set_bar": recorded["relief_set"], "bore_mm": recorded["relief_bore"]},
		ExclusionM: recorded["zone_radius"], ExclusionAir: recorded["air_zone"],
	}
	c.Verdict, _ = recorded["drop_verdict"].Text()
	if t.EndedAt != nil {
		c.EndedAt = t.EndedAt.Format(time.RFC3339)
	}
	for _, e := range t.Entries {
		if task, err := t.Item(e.Item); err == nil && e.Outcome == procedure.Met {
			c.Readings = append(c.Readings, CertifiedEntry{e.Item, task.Title, e.Values, e.At.Format(time.RFC3339)})
		}
	}
	return c
}

func (c *Certified) parts(b Build) {
	if b.Now.Report.Build == nil {
		return
	}
	var given []build.Part
	_ = json.Unmarshal(b.Now.Input.Parts, &given) // it was calculated with
	for i, p := range b.Now.Report.Build.Parts {
		part := CertifiedPart{Name: p.Name, Role: p.Role, Verdict: p.Verdict, DesignPa: p.DesignPa, AllowPa: p.AllowPa, Conditions: []string{}}
		if i < len(given) {
			part.Line, part.Marking = given[i].Line, given[i].Marking
		}
		if p.DesignPa != nil {
			c.DesignPa = max(c.DesignPa, *p.DesignPa)
		}
		for _, s := range p.Conditions {
			part.Conditions = append(part.Conditions, s.Text)
		}
		c.Parts = append(c.Parts, part)
	}
}

func (c *Certified) photos(t Test) {
	for _, e := range t.Entries {
		task, err := t.Item(e.Item)
		if err != nil || e.Outcome != procedure.Met {
			continue
		}
		for _, f := range task.Fields {
			if f.Kind == procedure.Photo {
				c.photosOf(e.Item, e.Values[f.Name])
			}
		}
	}
}

func (c *Certified) photosOf(item string, v procedure.Value) {
	if entries, ok := v.List(); ok {
		for _, entry := range entries {
			c.photosOf(item, entry)
		}
		return
	}
	if file, ok := v.Number(); ok {
		digest, _ := v.Field("digest").Text()
		c.Photos = append(c.Photos, CertifiedPhoto{item, file, digest})
	}
}

// deviations are what differs from the drawing, and from a test without a hitch.
func (c *Certified) deviations(b Build, t Test) {
	for _, at := range slices.Sorted(maps.Keys(b.Now.Differences)) {
		c.Deviations = append(c.Deviations, fmt.Sprintf("As built: %s is %.6g.", at, b.Now.Differences[at]))
	}
	for _, e := range t.Entries {
		switch {
		case e.Outcome == procedure.Attempt:
			c.Deviations = append(c.Deviations, fmt.Sprintf("%s, refused at %s: %s", e.Item, e.At.Format(time.RFC3339), e.Why))
		case e.Paper != nil:
			c.Deviations = append(c.Deviations, fmt.Sprintf("%s was signed on paper at %s, and entered at %s.", e.Item, e.Paper.At.Format(time.RFC3339), e.At.Format(time.RFC3339)))
		}
	}
}

// limits says the limits of use in words.
func (c *Certified) limits() {
	say := func(format string, args ...any) { c.Limits = append(c.Limits, fmt.Sprintf(format, args...)) }
	if c.WorkingBar != nil {
		say("Not above %.3g bar, gauge.", *c.WorkingBar)
	}
	if c.HotC != nil {
		say("No wall hotter than %.3g °C, the sun on it included.", *c.HotC)
	}
	if c.ColdC != nil {
		say("Not colder than %.3g °C. Drain it before frost.", *c.ColdC)
	}
	if len(c.Fluids) == 1 {
		say("Water only: no air or other gas under pressure.")
	} else {
		say("Water and air only. The air is not for breathing.")
	}
	for _, p := range c.Parts {
		for _, text := range p.Conditions {
			say("%s: %s", cmp.Or(p.Name, strings.ReplaceAll(p.Role, "_", " ")), text)
		}
	}
	say("Only as it stands: a changed or renewed part, a remade joint, another place, an incident or a test that fails ends this at once.")
	say("This is no permit. Local law, the makers’ instructions and licensed practice come first where they are stricter.")
}
