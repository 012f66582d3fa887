package parts

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Joint is how one end of a part is joined.
type Joint struct {
	Kind    string `json:"kind"`    // solvent, fusion, threaded and so on; empty: an open end
	Fitting string `json:"fitting"` // what the end goes into, such as elbow 90° 63 mm; empty: the next part itself
	At      string `json:"at"`      // which of them: ends at one place share one fitting
	Thread  string `json:"thread"`  // of a threaded end, such as R 1/2
	Mate    string `json:"mate"`    // thread of the other side, such as Rp 1/2
	Sealant string `json:"sealant"` // what seals a taper thread
}

// Part is something that a machine is made of.
type Part struct {
	Role      string   `json:"role"`      // such as downcomer
	Key       string   `json:"key"`       // of the catalogue; empty: described by hand
	Described string   `json:"described"` // where it is not in the catalogue
	Material  string   `json:"material"`  // of what is described by hand
	Qty       int      `json:"qty"`
	Cuts      []Tenths `json:"cuts"` // lengths of pipe in each; none: no pipe
	Ends      []Joint  `json:"ends"` // of each
}

// Row is one line of a parts list.
type Row struct {
	Kind   string   `json:"kind"` // part, fitting or consumable
	Role   string   `json:"role"`
	Key    string   `json:"key"`
	Name   string   `json:"name"`
	Qty    int      `json:"qty"` // of a consumable: for how many joints
	Cuts   []Tenths `json:"cuts"`
	Joints []string `json:"joints"` // at each end, in words
	Note   string   `json:"note"`
}

// The kinds of rows.
const (
	PartRow       = "part"
	FittingRow    = "fitting"
	ConsumableRow = "consumable"
)

// List returns the parts list: every part, the fittings that the joints ask
// for, and what the joints use up.
func List(list []Part) (rows []Row) {
	t := tally{places: map[string]bool{}}
	for _, p := range list {
		rows = append(rows, p.row())
		for _, j := range p.Ends {
			t.fitting(j, p.Qty)
			t.consumed(j, p)
		}
	}
	t.oneSealant()
	slices.SortStableFunc(t.rows, func(a, b Row) int { return -cmp.Compare(a.Kind, b.Kind) })
	return append(rows, t.rows...)
}

func (p Part) row() Row {
	r := Row{Kind: PartRow, Role: p.Role, Key: p.Key, Name: p.Described, Qty: p.Qty, Cuts: p.Cuts}
	line, known := Lookup(p.Key)
	switch {
	case known:
		r.Name = line.Standard + ", " + line.Series + ", " + line.Designation
		r.Note = line.Note
	case p.Key != "":
		r.Note = "The catalogue has no line with this key. Choose another, or describe the part."
	}
	for _, j := range p.Ends {
		r.Joints = append(r.Joints, j.words())
	}
	return r
}

func (p Part) material() string {
	if line, ok := Lookup(p.Key); ok {
		return line.Material
	}
	return cmp.Or(p.Material, "the pipe at hand")
}

// words says what a joint is, such as threaded R 1/2 into Rp 1/2.
func (j Joint) words() string {
	if j.Kind == "" {
		return "open"
	}
	s := strings.ReplaceAll(j.Kind, "_", " ")
	if j.Thread != "" || j.Mate != "" {
		s += " " + cmp.Or(j.Thread, "unknown thread") + " and " + cmp.Or(j.Mate, "unknown thread")
	}
	if j.Fitting != "" {
		s += ", " + j.Fitting
	}
	return s
}

// tally counts what joints ask for.
type tally struct {
	rows   []Row
	places map[string]bool // fittings that are counted
}

func (t *tally) add(kind, name string, n int, note string) {
	i := slices.IndexFunc(t.rows, func(r Row) bool { return r.Kind == kind && r.Name == name })
	if i < 0 {
		i = len(t.rows)
		t.rows = append(t.rows, Row{Kind: kind, Name: name, Note: note})
	}
	t.rows[i].Qty += n
}

// fitting counts the fitting of a joint; at a place that has a name, once.
func (t *tally) fitting(j Joint, n int) {
	if j.Fitting == "" {
		return
	}
	if j.At != "" {
		place := j.Fitting + "\x00" + j.At
		if t.places[place] {
			return
		}
		t.places[place] = true
		n = 1
	}
	t.add(FittingRow, j.Fitting, n, "")
}

const sealant = "thread sealant: "

func (t *tally) consumed(j Joint, p Part) {
	switch {
	case j.Kind == "solvent":
		t.add(ConsumableRow, "solvent cement for "+p.material(), p.Qty, "Read on the tin how many joints it does.")
		t.add(ConsumableRow, "cleaner for "+p.material(), p.Qty, "As the maker of the cement says.")
	case j.Kind == "threaded" && strings.HasPrefix(j.Thread+j.Mate, "G "):
		t.add(ConsumableRow, "washer for "+cmp.Or(j.Thread, j.Mate), p.Qty, "A parallel thread seals on its washer.")
	case j.Kind == "threaded":
		note := ""
		if j.Sealant == "" {
			note = "State which kind: one kind for the whole machine."
		}
		t.add(ConsumableRow, sealant+cmp.Or(j.Sealant, "kind not stated"), p.Qty, note)
	}
}

// oneSealant notes where sealants of several kinds are stated.
func (t *tally) oneSealant() {
	var kinds []int
	for i, r := range t.rows {
		if strings.HasPrefix(r.Name, sealant) {
			kinds = append(kinds, i)
		}
	}
	for _, i := range kinds {
		if len(kinds) > 1 {
			t.rows[i].Note = fmt.Sprintf("%d kinds of sealant are in this list. Settle on one.", len(kinds))
		}
	}
}
