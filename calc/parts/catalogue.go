package parts

import (
	_ "embed"
	"errors"
	"slices"
	"strings"
)

// Line is one pipe or tube of the catalogue. A blank wall or rating is unknown:
// it has to be measured, or read on the pipe.
type Line struct {
	Key           string   `json:"key"` // stable: standard/series/designation
	Standard      string   `json:"standard"`
	Series        string   `json:"series"`
	Designation   string   `json:"designation"`
	ODM           float64  `json:"od_m"`
	WallM         *float64 `json:"wall_m"`    // the least that the standard allows
	IDM           *float64 `json:"id_m"`      // nominal: OD less two walls
	RatingPa      *float64 `json:"rating_pa"` // gauge, for water at 20 or 23 °C; 0: not a pressure pipe
	PressureRated bool     `json:"pressure_rated"`
	GasRated      bool     `json:"gas_rated"` // necessary for gas, never sufficient
	Source        string   `json:"source"`
	Material      string   `json:"material"`
	GasClass      string   `json:"gas_class"`
	SDR           *float64 `json:"sdr"`
	Note          string   `json:"note"`
}

//go:embed data/pipes.csv
var pipesText string

var (
	pipes, pipesErr = readTable(pipesText, parseLine)
	pipeAt          = places(pipes)
)

// Catalogue returns all lines, in the order of the table. It is not to be changed.
func Catalogue() []Line { return pipes }

// Lookup returns the line with this key.
func Lookup(key string) (Line, bool) {
	i, ok := pipeAt[key]
	if !ok {
		return Line{}, false
	}
	return pipes[i], true
}

// WithBore returns the lines of a material, or of all where it is empty, whose
// nominal bore is known and from low to high, in m, the narrowest first.
func WithBore(material string, low, high float64) (lines []Line) {
	for _, l := range pipes {
		if (material == "" || l.Material == material) && l.IDM != nil && *l.IDM >= low && *l.IDM <= high {
			lines = append(lines, l)
		}
	}
	slices.SortStableFunc(lines, func(a, b Line) int {
		switch {
		case *a.IDM < *b.IDM:
			return -1
		case *a.IDM > *b.IDM:
			return 1
		}
		return 0
	})
	return lines
}

func parseLine(r row) (l Line, err error) {
	l = Line{
		Standard: r["standard"], Series: r["series"], Designation: r["designation"],
		ODM: r.needed("od_mm", -3, &err), WallM: r.number("wall_mm", -3, &err), IDM: r.number("id_mm", -3, &err),
		RatingPa: r.number("rating_bar", 5, &err), PressureRated: r.yes("pressure_rated", &err), GasRated: r.yes("gas_rated", &err),
		Source: r["source"], Material: r["material"], GasClass: r["gas_class"], SDR: r.number("sdr", 0, &err), Note: r["note"],
	}
	l.Key = slug(l.Standard) + "/" + slug(l.Series) + "/" + slug(l.Designation)
	if err == nil && (l.Source == "" || l.Material == "" || l.GasClass == "") {
		err = errors.New("source, material or gas class is blank")
	}
	return l, err
}

// slug keeps letters, digits and points of a name, in lower case, with a dash
// for each stretch of anything else.
func slug(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return r != '.' && (r < '0' || r > '9') && (r < 'a' || r > 'z')
	})
	return strings.Join(words, "-")
}

func places(lines []Line) map[string]int {
	at := map[string]int{}
	for i, l := range lines {
		at[l.Key] = i
	}
	return at
}
