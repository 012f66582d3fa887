package build

import (
	"leat/calc/parts"
	"leat/calc/strength"
)

// stiffness is how a wall gives, by derating table.
type stiffness struct{ short, long, nu float64 }

// moduli in Pa: short for shocks, long for a load that stands. PVC short term
// and long term read; PE100, ABS, copper and steel from memory.
var moduli = map[string]stiffness{
	"PVC":          {3.0e9, 1.5e9, 0.4},
	"PVC-U-EN1452": {3.0e9, 1.5e9, 0.4},
	"PE100":        {1.0e9, 0.2e9, 0.4},
	"PE100-ASNZS":  {1.0e9, 0.2e9, 0.4},
	"ABS":          {2.2e9, 2.2e9 / 2, 0.4},
	"COPPER":       {117e9, 117e9, 0.34},
	"STEEL":        {210e9, 210e9, 0.3},
}

// tables is the derating table of a material of the catalogue.
var tables = map[string]string{"PVC-U": "PVC", "PVC-Sch": "PVC", "CPVC": "PVC", "PE100": "PE100", "ABS": "ABS", "PA": "PA", "copper": "COPPER", "steel": "STEEL"}

// line is what is known of the wall and the rating of a part.
type line struct {
	odM, wallM float64 // 0: not known
	boreM      float64
	ratingPa   float64 // 0: none
	gasClass   string
	table      string
	gasRated   bool
}

// ringOf takes a part from the catalogue, or from what was measured and read.
// Measures of the builder win; a rating by hand counts with its marking only,
// and never above that of the catalogue.
func ringOf(p Part) line {
	var l line
	if c, ok := parts.Lookup(p.Line); ok {
		l = line{odM: c.ODM, wallM: valueOf(c.WallM), boreM: valueOf(c.IDM), gasClass: c.GasClass, table: tables[c.Material], gasRated: c.GasRated}
		if c.PressureRated {
			l.ratingPa = valueOf(c.RatingPa)
		}
	}
	if p.Line == "" {
		l.gasClass, l.table = p.GasClass, p.Table
	}
	if l.table == "" {
		l.table = p.Table
	}
	if p.ODM != nil {
		l.odM = *p.ODM
	}
	if p.WallM != nil {
		l.wallM = *p.WallM
	}
	if p.RatingPa != nil && p.Marking != "" && l.gasClass != strength.NonPressure && (l.ratingPa == 0 || *p.RatingPa < l.ratingPa) {
		l.ratingPa = *p.RatingPa
	}
	if l.boreM == 0 && l.wallM > 0 {
		l.boreM = l.odM - 2*l.wallM
	}
	return l
}

func valueOf(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}
