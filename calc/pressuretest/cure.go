package pressuretest

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"leat/calc"
)

// CureIn is a cemented joint that waits for its test.
type CureIn struct {
	ODM      float64 `json:"od_m"`
	TempMinC float64 `json:"temp_min_c"`
	RHPct    float64 `json:"rh_pct"`
	TestPa   float64 `json:"p_test_pa"`
	FloorH   float64 `json:"floor_h"`
}

// CureOut is how long it waits.
type CureOut struct {
	TableH float64 `json:"table_h"`
	Hours  float64 `json:"hours"`
}

//go:embed data/cure.csv
var cureText string

// cureRow is one row of the table: two pressures with their hours, the second
// may be missing.
type cureRow struct {
	from, below float64 // °C
	odMax       float64 // m
	upTo        [2]float64
	hours       [2]float64
}

var cureRows = sync.OnceValues(func() ([]cureRow, error) { return readCure(cureText) })

func readCure(text string) (rows []cureRow, err error) {
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	at := map[string]int{}
	for i, name := range lines[0] {
		at[name] = i
	}
	for i, line := range lines[1:] {
		number := func(name string, unit float64) float64 {
			text := line[at[name]]
			if text == "" && strings.HasSuffix(name, "_2") {
				return 0
			}
			x, e := strconv.ParseFloat(text, 64)
			if e != nil && err == nil {
				err = fmt.Errorf("row %d: %s: %w", i+2, name, e)
			}
			return x * unit
		}
		rows = append(rows, cureRow{
			from: number("temp_from_c", 1), below: number("temp_below_c", 1), odMax: number("od_max_mm", 1e-3),
			upTo: [2]float64{number("test_up_to_bar", 1e5), number("test_up_to_bar_2", 1e5)}, hours: [2]float64{number("hours", 1), number("hours_2", 1)},
		})
	}
	return rows, err
}

const (
	hottestCure = 37.8 // °C, the end of the table, included in it
	coldCement  = 4.4  // °C
	dampAir     = 60.0 // %, relative humidity
)

// Cure answers how long a cemented joint waits before it is tested.
func Cure(in CureIn) (CureOut, []calc.Warning, *calc.Fault) {
	hours, fault := cureHours(in)
	if fault != nil {
		return CureOut{}, nil, fault
	}
	if in.RHPct > dampAir {
		hours *= 1.5
	}
	var warnings []calc.Warning
	if in.TempMinC < coldCement {
		warnings = append(warnings, calc.Warning{Code: "W_COLD_CEMENT", At: "/temp_min_c", Message: "Below 4.4 °C only cement that is made for the cold sets. Read its tin, or wait for a warmer day."})
	}
	return CureOut{TableH: hours, Hours: max(hours, in.FloorH)}, warnings, nil
}

// cureHours looks the table up. What is outside is refused.
func cureHours(in CureIn) (float64, *calc.Fault) {
	rows, err := cureRows()
	if err != nil {
		return 0, &calc.Fault{Code: calc.Bound, Message: "The table of curing times cannot be read: " + err.Error()}
	}
	warm, wide := false, false
	for _, r := range rows {
		if in.TempMinC < r.from || in.TempMinC >= r.below && (in.TempMinC != hottestCure || r.below != hottestCure) {
			continue
		}
		warm = true
		if in.ODM > r.odMax {
			continue
		}
		wide = true
		for i, most := range r.upTo {
			if most > 0 && in.TestPa <= most {
				return r.hours[i], nil
			}
		}
		break // the first row that is not narrower is the row of the pipe
	}
	switch {
	case !warm:
		return 0, &calc.Fault{Code: calc.Range, At: "/temp_min_c", Message: "The table of curing times goes from −17.8 to 37.8 °C. Cement on another day."}
	case !wide:
		return 0, &calc.Fault{Code: calc.Range, At: "/od_m", Message: "The table of curing times ends at pipe of 407 mm. Ask the maker of the cement."}
	}
	return 0, &calc.Fault{Code: calc.Range, At: "/p_test_pa", Message: "The table of curing times has no test pressure so high for this pipe. Ask the maker of the cement."}
}

const cureSource = "A cement trade's table of curing times for joints in iron pipe sizes, read; at least 24 h: common practice, no source"

var cure = calc.New(calc.Description{
	Name: "safety/cure", Answers: "how long cemented joints wait before a test",
	Words: []string{"cement", "glue", "solvent weld", "curing", "joint"},
	Inputs: []calc.Field{
		calc.Positive("/od_m", "m", "outside diameter of the pipe").Need(),
		calc.Signed("/temp_min_c", "°C", "coldest since the last joint was made").Need(),
		calc.Between("/rh_pct", "", 0, 100, "relative humidity, %").Need(),
		calc.Positive("/p_test_pa", "Pa", "test pressure, gauge").Need(),
		calc.AtLeast("/floor_h", "h", 24, "least time, or what the maker of the cement says").Preset("24"),
	},
	Outputs: []calc.Field{
		calc.Gives("/table_h", "h", "time of the table, half as much again in damp air", "row by temperature and diameter, column by test pressure; ·1.5 above 60 %", cureSource, "/od_m", "/temp_min_c", "/p_test_pa", "/rh_pct"),
		calc.Gives("/hours", "h", "how long to wait", "max(table; floor)", cureSource, "/table_h", "/floor_h"),
	},
	Equation: "hours = max(table(T, OD, p)·(1.5 above 60 % humidity); floor)",
	Validity: "PVC, CPVC and ABS of up to 407 mm outside, −17.8 to 37.8 °C. The maker of the cement comes first. Solvent makes people faint in pits and closed sheds, and it burns.",
	Sources:  []string{cureSource},
	Example:  []byte(`{"od_m": 0.063, "temp_min_c": 12, "rh_pct": 75, "p_test_pa": 300000}`),
}, CureIn{FloorH: 24}, Cure)
