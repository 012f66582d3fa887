package strength

import (
	"bytes"
	_ "embed" // the table
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"

	"leat/calc"
)

//go:embed data/derating.csv
var deratingCSV []byte

// Derating says how much of its rating a material keeps as its wall gets warm.
type Derating struct {
	Table   string
	TempsC  []float64 // rising
	Factors []float64
	Default bool // else a group chooses it only after reading the standard
	Source  string
}

// Last returns the temperature in °C above which nothing is allowed.
//
// Valid for every table.
//
// Source: the last row of the table.
func (d Derating) Last() float64 { return d.TempsC[len(d.TempsC)-1] }

var deratings = mustRead(deratingCSV)

func mustRead(text []byte) []Derating {
	all, err := readDeratings(text)
	if err != nil {
		panic(err)
	}
	return all
}

// Tables lists the names of all derating tables.
func Tables() (names []string) {
	for _, d := range deratings {
		names = append(names, d.Table)
	}
	return names
}

// DeratingOf returns the table of this name.
func DeratingOf(table string) (Derating, bool) {
	i := slices.IndexFunc(deratings, func(d Derating) bool { return d.Table == table })
	if i < 0 {
		return Derating{}, false
	}
	return deratings[i], true
}

// readDeratings reads lines of table, temp_c, factor, default, source; the
// rows of one table stand together.
func readDeratings(text []byte) (all []Derating, err error) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	for i, row := range rows[1:] {
		temp, errT := strconv.ParseFloat(row[1], 64)
		factor, errF := strconv.ParseFloat(row[2], 64)
		if errT != nil || errF != nil || factor <= 0 || factor > 1 || (row[3] != "yes" && row[3] != "no") || row[4] == "" {
			return nil, fmt.Errorf("derating.csv, line %d: %v", i+2, row)
		}
		if len(all) == 0 || all[len(all)-1].Table != row[0] {
			all = append(all, Derating{Table: row[0], Default: row[3] == "yes", Source: row[4]})
		}
		d := &all[len(all)-1]
		if n := len(d.TempsC); n > 0 && d.TempsC[n-1] >= temp {
			return nil, fmt.Errorf("derating.csv, line %d: temperatures of %s must rise", i+2, d.Table)
		}
		d.TempsC, d.Factors = append(d.TempsC, temp), append(d.Factors, factor)
	}
	return all, nil
}

// TemperatureFactor returns how much of its rating a part keeps at a wall
// temperature in °C; nothing above the last point of the table.
//
// Valid from −40 °C up to the last point.
//
// Source: the table's own, see its last column.
func (d Derating) TemperatureFactor(tempC float64) float64 {
	if tempC > d.Last() {
		return 0
	}
	return calc.Interpolate(tempC, d.TempsC, d.Factors)
}

func isPlastic(table string) bool { return table != "COPPER" && table != "STEEL" }
func isPE(table string) bool      { return table == "PE100" || table == "PE100-ASNZS" }
func isPVC(table string) bool     { return table == "PVC" || table == "PVC-U-EN1452" }
