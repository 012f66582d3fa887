package trompe

// messages say in a builder's words what a status means and what to try.
var messages = map[Status]string{
	OK:               "The machine works with the downcomer running full of water and bubbles.",
	Surplus:          "The machine works, but the fall is larger than this pipe can use: its upper part runs part full, and part of the fall is wasted.",
	NoInduction:      "Water runs through, but no air is drawn in.",
	NoHead:           "There is no fall to use: the water must stand higher than the outlet of the riser, by more than the machine itself holds back. Lower the outlet, or raise the water.",
	NoOperatingPoint: "No flow of water balances this machine. Look at the levels first, then at the bores.",
	Blocked:          "Air would fill the downcomer and block it: too much air for the water. Use fewer or narrower air tubes, or more water.",
	NotCarried:       "The water falls too slowly to carry bubbles down: they would rise against it. Use a narrower downcomer or more water.",
	Choked:           "The mixture would reach the speed of its own pressure waves in the downcomer. Use a wider downcomer or less fall.",
	Cavitation:       "The water at the air tubes would be under so strong a vacuum that it boils. Use more or wider air tubes.",
	Starved:          "The source gives too little water to keep the mouths of the air tubes covered. Use a narrower downcomer, more tubes, or find more water.",
	OutOfRange:       "Less than three bores of the downcomer would run full: nothing would hold the air back. Raise the riser's outlet, or deepen the machine.",
}

const messagePacked = "Bubbles would be packed closer than they can be; the numbers shown do not hold. Use more water, fewer air tubes, or a narrower downcomer."
