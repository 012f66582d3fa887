package sheet

// Sentence is a number that a belief should meet before glue does. {0}, {1} ...
// in the text stand for the values.
type Sentence struct {
	At     string  `json:"at"` // section of the sheet that it is about
	Text   string  `json:"text"`
	Values []Value `json:"values"`
}

// Value is a number with its SI unit.
type Value struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// say writes the sentences of a sheet.
func (c *chain) say() {
	for _, s := range sayings {
		if values := s.values(c); values != nil {
			c.rep.Sentences = append(c.rep.Sentences, Sentence{s.at, s.text, values})
		}
	}
}

type saying struct {
	at, text string
	values   func(c *chain) []Value
}

var sayings = []saying{
	{"/source/roof_energy", "A whole year of rain on this roof gives {0} at the foot of the fall, {1} on average day and night. A phone takes about {2} to charge. Rain shows how the machine works; it does not drive a workshop.",
		func(c *chain) []Value {
			year, mean := c.result("/source/roof_energy", "E_year_J"), c.result("/source/roof_energy", "P_mean_W")
			return values(quantity(year, "J"), quantity(mean, "W"), &Value{phoneCharge, "J"})
		}},
	{"/source/roof_energy", "In the storm that you named the roof gives {0} in all; when it stops, so does the air.",
		func(c *chain) []Value { return values(quantity(c.result("/source/roof_energy", "E_storm_J"), "J")) }},
	{"/source/mains", "A cubic metre from this main holds {0} and is drinking water that somebody pays for. Never join it to a machine without the backflow protection that your water company asks for: an air gap is the usual one.",
		func(c *chain) []Value {
			wh, ok := c.result("/source/mains", "Wh_per_m3").(float64)
			if !ok {
				return nil
			}
			return []Value{{wh * 3600, "J"}}
		}},
	{"/source/mains", "The gauge with the tap shut says nothing of the pressure in the chamber: with the water running it falls, and most power comes at {0}.",
		func(c *chain) []Value { return values(quantity(c.result("/source/mains", "Q_maxpower"), "m³/s")) }},
	{"/ram/cycle", "A ram makes no energy. Of {0} that runs into it, {1} is lifted; the rest leaves at its foot.",
		func(c *chain) []Value {
			lifted, ok := c.result("/ram/cycle", "q").(float64)
			waste, ok2 := c.result("/ram/cycle", "Q_waste").(float64)
			if !ok || !ok2 {
				return nil
			}
			return []Value{{lifted + waste, "m³/s"}, {lifted, "m³/s"}}
		}},
	{"/lift", "Lifting never adds energy: the air has {0}, a trompe straight in the fall would give {1}. What the lift buys is pressure; a deeper chamber buys it too.",
		func(c *chain) []Value {
			return values(quantity(c.result("/lift", "P_air_W"), "W"), quantity(c.result("/lift", "P_air_direct_W"), "W"))
		}},
	{"/pulse", "Nobody has published a measurement of such a booster. The model gives {0} of free air; the truth may be a third or three times that. Make the chamber adjustable, design for {1} absolute, and fit a relief valve.",
		func(c *chain) []Value {
			lmin, ok := c.result("/pulse", "free_air_Lmin").(float64)
			if !ok {
				return nil
			}
			return values(&Value{lmin / 60000, "m³/s"}, quantity(c.result("/pulse", "p_joukowsky"), "Pa"))
		}},
	{"/receiver/tank", "Full, this receiver holds at most {0}: {1} phone charges. Through a tool a tenth to a third of that is left.",
		func(c *chain) []Value {
			return values(quantity(c.result("/receiver/tank", "E_iso_J"), "J"), quantity(c.result("/receiver/everyday", "phone_charges"), ""))
		}},
	{"/trompe", "{0} of the fall is surplus: the pipe cannot carry more air than it does, so this height is lost as splash. A longer downcomer, more tubes, or a smaller pipe would use it.",
		func(c *chain) []Value {
			t := c.rep.Trompe
			if t == nil || t.Numbers == nil || t.SurplusFallM <= 0 {
				return nil
			}
			return []Value{{t.SurplusFallM, "m"}}
		}},
}

// phoneCharge is common practice, no source: 15 Wh.
const phoneCharge = 15 * 3600.0

func quantity(v any, unit string) *Value {
	x, ok := v.(float64)
	if !ok {
		return nil
	}
	return &Value{x, unit}
}

// values returns nil where any of them is not there.
func values(given ...*Value) (all []Value) {
	for _, v := range given {
		if v == nil {
			return nil
		}
		all = append(all, *v)
	}
	return all
}
