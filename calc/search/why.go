package search

import (
	"leat/calc/water"
)

// Sentence is text in which {0}, {1} ... stand for values.
type Sentence struct {
	Text   string  `json:"text"`
	Values []Value `json:"values"`
}

// Value is a number in SI units and what it is of, which says how a builder
// would write it.
type Value struct {
	Value float64 `json:"value"`
	Of    string  `json:"of"`
}

// What values are of.
const (
	ofWater    = "water"    // m³/s
	ofAir      = "air"      // m³/s, free air
	ofPressure = "pressure" // Pa, gauge
	ofHeight   = "height"   // m
	ofBore     = "bore"     // m
	ofPlastic  = "plastic"  // m³
)

func say(text string, values ...Value) Sentence { return Sentence{text, append([]Value{}, values...)} }

// why says in one sentence what a proposal has that the first one lacks.
func (s *Search) why(p Proposal, before []Proposal) Sentence {
	if len(before) == 0 {
		return s.whyFirst(p)
	}
	first := before[0]
	for _, gain := range []struct {
		is    bool
		text  string
		value Value
	}{
		{p.WallM3 < 0.9*first.WallM3, "Needs {0} of plastic less than the first", Value{first.WallM3 - p.WallM3, ofPlastic}},
		{p.DugM < first.DugM, "Lies {0} higher than the first", Value{first.DugM - p.DugM, ofHeight}},
		{p.GaugePa > 1.05*first.GaugePa, "Reaches {0} more than the first", Value{p.GaugePa - first.GaugePa, ofPressure}},
		{p.WaterM3S < 0.9*first.WaterM3S, "Leaves {0} more in the stream than the first", Value{first.WaterM3S - p.WaterM3S, ofWater}},
	} {
		if gain.is {
			return airBeside(gain.text+", and gives {1} of air ", first, p, gain.value)
		}
	}
	return airBeside("The next best with other pipes: it gives {0} of air ", first, p)
}

// airBeside ends a sentence with the air of a proposal beside that of another.
func airBeside(text string, first, p Proposal, values ...Value) Sentence {
	less := first.FreeAirM3S - p.FreeAirM3S
	if less < 0 {
		return say(text+"more.", append(values, Value{-less, ofAir})...)
	}
	return say(text+"less.", append(values, Value{less, ofAir})...)
}

func (s *Search) whyFirst(p Proposal) Sentence {
	air, gauge := Value{p.FreeAirM3S, ofAir}, Value{p.GaugePa, ofPressure}
	switch {
	case s.asked.Wish == LeastPipe:
		return say("The least plastic of all that give the air you want: {0}, for {1} of air at {2}.", Value{p.WallM3, ofPlastic}, air, gauge)
	case s.asked.Wish == LeastDigging && p.DugM == 0:
		return say("It needs no hole at all, and gives {0} of air at {1}.", air, gauge)
	case s.asked.Wish == LeastDigging:
		return say("The shallowest hole of all that give the air you want: {0}, for {1} of air at {2}.", Value{p.DugM, ofHeight}, air, gauge)
	case s.asked.GaugePa > 0:
		return say("The most air of all that reach {0}: {1}.", Value{s.asked.GaugePa, ofPressure}, air)
	default:
		return say("The most air of all: {0}, at {1}. If you need more pressure, say how much: it costs air.", air, gauge)
	}
}

// lacking says why nothing can be proposed, and what would be needed.
func (s *Search) lacking(b *Best) *Sentence {
	narrow := s.family.lines[0]
	least := slowest * disc(narrow.BoreM)
	var w Sentence
	switch {
	case s.asked.FlowM3S < least:
		w = say("{0} of water is too little to drag air down: even in the narrowest pipe here, {1} inside, it takes {2}. A tank that fills slowly and is let run for some minutes would give that.",
			Value{s.asked.FlowM3S, ofWater}, Value{narrow.BoreM, ofBore}, Value{least, ofWater})
	case s.Count() == 0:
		w = say("With {0} of fall and {1} of digging there is no room for a machine: its chamber must lie at least {2} below the outlet, and its air tubes above the chamber. Dig deeper, or find more fall.",
			Value{s.asked.FallM, ofHeight}, Value{s.asked.DepthM, ofHeight}, Value{leastRise, ofHeight})
	case b.Working == 0:
		w = say("None of the machines that fit would run well: {0} of fall does not drive them, or more is wasted than used. More depth to dig helps with much fall, more fall with little.", Value{s.asked.FallM, ofHeight})
	case b.gauge < s.asked.GaugePa:
		w = say("The highest pressure that any machine reaches here is {0}, and you want {1}. Pressure is height of water: about {2} more of depth or fall would give it.",
			Value{b.gauge, ofPressure}, Value{s.asked.GaugePa, ofPressure}, Value{s.deeper(s.asked.GaugePa - b.gauge), ofHeight})
	case s.asked.GaugePa > 0:
		w = say("The most air that any machine gives here at {0} or more is {1}, and you want {2}. "+airIsPaid+" So does less pressure.",
			Value{s.asked.GaugePa, ofPressure}, Value{b.air, ofAir}, Value{s.asked.AirM3S, ofAir})
	default:
		w = say("The most air that any machine gives here is {0}, and you want {1}. "+airIsPaid, Value{b.air, ofAir}, Value{s.asked.AirM3S, ofAir})
	}
	return &w
}

const airIsPaid = "Air is paid for with water times fall: more of either gives more."

// deeper is the height of still water in m that makes a pressure in Pa.
func (s *Search) deeper(pa float64) float64 {
	return pa / (water.Density(s.asked.WaterC) * 9.80665)
}
