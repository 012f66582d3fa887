package units

// unit is one of the units that leat reads: how much of the SI unit it is.
type unit struct {
	name   string
	factor float64
}

// quantity is what some units measure; factors are to the SI unit named first.
type quantity struct {
	name, si string
	units    []unit
}

// The exact building blocks of the others.
const (
	gravity = 9.80665    // m/s²
	inch    = 0.0254     // m
	foot    = 12 * inch  // m
	pound   = 0.45359237 // kg
	minute  = 60         // s
	mmHg    = 133.322387415
	usGal   = 231 * inch * inch * inch // m³
	ukGal   = 4.54609e-3               // m³
	cubicFt = foot * foot * foot       // m³
	footLb  = foot * pound * gravity   // J
)

// quantities are exact by definition of the units, but for the conventional
// columns of water and mercury, which are agreed; NIST SP 811, appendix B, has
// them rounded, from memory.
var quantities = []quantity{
	{"pressure", "Pa", []unit{{"Pa", 1}, {"kPa", 1e3}, {"bar", 1e5}, {"mbar", 100}, {"atm", 101325}, {"psi", pound * gravity / (inch * inch)},
		{"mmH2O", gravity}, {"inH2O", 25.4 * gravity}, {"mH2O", 1000 * gravity}, {"ftH2O", 304.8 * gravity},
		{"kgf/cm2", 1e4 * gravity}, {"mmHg", mmHg}, {"inHg", 25.4 * mmHg}}},
	{"flow", "m3/s", []unit{{"m3/s", 1}, {"L/s", 1e-3}, {"L/min", 1e-3 / minute}, {"m3/h", 1.0 / 3600}, {"usgpm", usGal / minute},
		{"ukgpm", ukGal / minute}, {"cfm", cubicFt / minute}, {"cfs", cubicFt}}},
	{"length", "m", []unit{{"m", 1}, {"mm", 1e-3}, {"in", inch}, {"ft", foot}}},
	{"power", "W", []unit{{"W", 1}, {"kW", 1e3}, {"hp", 550 * footLb}, {"PS", 75 * gravity}}},
	{"energy", "J", []unit{{"J", 1}, {"Wh", 3600}, {"kWh", 3.6e6}, {"ftlbf", footLb}, {"Btu_IT", 1055.05585262}}},
	{"volume", "m3", []unit{{"m3", 1}, {"L", 1e-3}, {"usgal", usGal}, {"ukgal", ukGal}, {"ft3", cubicFt}}},
}

// find returns a unit by its name, and what it measures.
func find(name string) (u unit, of quantity, ok bool) {
	for _, q := range quantities {
		for _, u := range q.units {
			if u.name == name {
				return u, q, true
			}
		}
	}
	return unit{}, quantity{}, false
}

// names returns the units of a quantity, or of all.
func names(of ...quantity) (all []string) {
	for _, q := range of {
		for _, u := range q.units {
			all = append(all, u.name)
		}
	}
	return all
}
