package strength

import "leat/calc"

// Fields that several calculations have.

func ratingField(about string) calc.Field {
	return calc.Positive("/rating_pa", "Pa", about).Need()
}

// ring declares the wall of a pipe.
func ring() []calc.Field {
	return []calc.Field{
		calc.Positive("/od_m", "m", "outside diameter of the pipe").Need(),
		calc.Positive("/wall_m", "m", "least wall thickness").Need(),
	}
}

func modulus(about string) calc.Field {
	return calc.Positive("/e_pa", "Pa", about+": 3e9 for PVC-U, 1e9 for PE100, 2.2e9 for ABS, 1.17e11 for copper, 2.1e11 for steel").Need()
}

func poisson() calc.Field {
	return calc.Between("/nu", "", 0, 0.5, "how much the material narrows when stretched (Poisson's ratio): 0.4 for plastics, 0.3 for steel").Need()
}

func table() calc.Field {
	return calc.OneOf("/table", "table of derating with temperature that belongs to the material", Tables()...).Need()
}

func stiffness() calc.Field {
	return calc.Positive("/k_pa", "Pa", "bulk modulus of the water").Preset("2.18e9")
}

func density() calc.Field {
	return calc.Positive("/rho_kg_m3", "kg/m³", "density of the water").Preset("998.2")
}

func barometer() calc.Field {
	return calc.Positive("/p_atm_pa", "Pa", "pressure of the open air, absolute").Preset("101325")
}

// waterModulus is the bulk modulus of water at 20 °C in Pa, handbook value,
// from memory.
const waterModulus = 2.18e9

// hollow is the rule that two walls leave a bore.
func hollow[I any](ring func(I) (od, wall float64)) calc.Relation[I] {
	return calc.Relation[I]{At: "/wall_m", Of: []string{"/od_m", "/wall_m"}, Broken: func(in I) string {
		if od, wall := ring(in); 2*wall < od {
			return ""
		}
		return "Twice this wall is as much as the outside diameter, so there is no bore. Measure wall and outside diameter again; look for a slipped decimal point."
	}}
}

// SDR returns outside diameter over wall, a pure number.
//
// Valid for round pipe.
//
// Source: ISO 161-1, definition.
func SDR(od, wall float64) float64 { return od / wall }

func cube(x float64) float64 { return x * x * x }
