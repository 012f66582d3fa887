package trompe

import (
	"fmt"
	"math"

	"leat/calc"
)

// Limits that warnings compare with, and where they come from.
const (
	voidBubbly     = 0.25   // bubbly to slug, Taitel et al. 1980, from memory
	voidPacked     = 0.52   // closest packing, Taitel et al. 1980, from memory
	sealSettled    = 10     // bores a plunge needs to settle: judgement
	taylorFactor   = 0.35   // Davies and Taylor, from memory
	steepEnough    = 0.87   // sine of 60°; air pockets: Wisner et al. 1975, Pothof 2011
	riserRule      = 0.7    // of the drop: common practice, no source
	smallMachine   = 20.0   // m of drop up to which that rule holds
	fillLeast      = 0.60   // trade practice, no source
	fillMost       = 0.80   // trade practice, no source
	wellSeparated  = 0.95   // judgement
	riserFast      = 3.0    // m/s, judgement
	suction        = 0.9    // of ambient
	pressureMost   = 1.6e6  // Pa, end of the drift-flux data
	boreLeast      = 0.016  // m, drift-flux data
	boreMost       = 3.5    // m
	boreData       = 0.1023 // m, largest bore of the data
	packingSlack   = 1e-9
	slowestFactor  = 2
	taylorHeadroom = 1.1
)

// judge gives the status, its evidence and the warnings of a machine that has
// an operating point.
func (s *solver) judge(w working, n *Numbers) Result {
	r := Result{Numbers: n, Status: OK, Evidence: calc.BuiltMeasured}
	gas := n.FreeAirInducedM3S > 0
	short := n.PartFullLengthM > 0 && n.FullBoreLengthM < sealSettled*s.bore
	blowing := w.state == blowOff || w.state == closedBlowingOff
	switch {
	case n.VoidMax > voidPacked+packingSlack:
		r.Status, r.Evidence = OutOfRange, calc.ModelOnly
	case n.PartFullLengthM > 0 && (short || blowing):
		r.Status, r.Evidence = Surplus, calc.ModelOnly
	case n.PartFullLengthM > 0:
		r.Status, r.Evidence = Surplus, calc.CombinedParts
	case !gas:
		r.Status, r.Evidence = NoInduction, calc.OftenMeasured
	case n.VoidMax > voidBubbly:
		r.Evidence = calc.CombinedParts
	}
	r.Message = messages[r.Status]
	if r.Status == OutOfRange {
		r.Message = messagePacked
	}
	r.Warnings = s.warnings(w, n, gas, short)
	return r
}

// Works tells whether a machine with these numbers has the status [OK].
func (n *Numbers) Works() bool {
	return n.VoidMax <= voidPacked+packingSlack && n.PartFullLengthM == 0 && n.FreeAirInducedM3S > 0
}

type rule struct {
	on           bool
	code, at     string
	value, limit float64
	message      string
}

func (s *solver) warnings(w working, n *Numbers, gas, short bool) []calc.Warning {
	list := []calc.Warning{}
	for _, r := range append(s.flowRules(w, n, gas, short), s.machineRules(w, n)...) {
		if !r.on {
			continue
		}
		warning := calc.Warning{Code: r.code, At: r.at, Message: r.message}
		if !math.IsNaN(r.limit) {
			warning.Value, warning.Limit = &r.value, &r.limit
		}
		list = append(list, warning)
	}
	return list
}

// flowRules are about what happens inside the downcomer.
func (s *solver) flowRules(w working, n *Numbers, gas, short bool) []rule {
	none := math.NaN()
	packed := n.VoidMax > voidPacked+packingSlack
	taylor := taylorHeadroom * taylorFactor * math.Sqrt(s.g*s.bore)
	slowest := slowestFactor * s.c.kV * s.drift
	topWater := n.Profile[0].WaterMS
	return []rule{
		{n.PartFullLengthM > 0, "W_SURPLUS", "/riser/outlet_m", n.SurplusFallM, 0, s.surplusText(w, n)},
		{short, "W_SHORT_SEAL", "/downcomer/outlet_m", n.FullBoreLengthM, sealSettled * s.bore,
			fmt.Sprintf("Only %.2f m of the downcomer runs full, less than %d bores: the plunge may reach the chamber and blow through. Lengthen it, or raise the riser's outlet.", n.FullBoreLengthM, sealSettled)},
		{!gas, "E_NO_INDUCTION", "/intake/mouth_m", none, none,
			"No air is drawn in: the mouths lie too deep under the water or the throat is too wide. Raise the mouths, or fill more of the bore with tubes."},
		{packed, "E_VOID", "/downcomer", n.VoidMax, voidPacked,
			"Bubbles would be packed closer than they can be: these numbers do not hold. Use more water, fewer air tubes, or a narrower downcomer."},
		{!packed && n.VoidMax > voidBubbly, "W_VOID", "/downcomer", n.VoidMax, voidBubbly,
			fmt.Sprintf("At %.0f %% air by volume, small bubbles begin to join into slugs. Machines ran beyond this, but expect surging.", 100*n.VoidMax)},
		{gas && n.JMinMS < slowest, "W_CARRY", "/downcomer/bore_m", n.JMinMS, slowest,
			fmt.Sprintf("The mixture falls at only %.2f m/s; below %.2f m/s bubbles may hang or turn back. A narrower downcomer makes it faster.", n.JMinMS, slowest)},
		{n.VoidMax > voidBubbly && topWater < taylor, "W_SLUG_HOLD", "/downcomer/bore_m", topWater, taylor,
			"A long bubble could stand still in the downcomer and hold the water back. A narrower downcomer carries it away."},
		{w.multiple, "W_MULTIPLE", "/intake/port_cda_m2", none, none,
			"The machine has two steady states and may jump between them; the one reached from a standing start is shown where it is known."},
		{n.MouthGaugePa+s.pa < suction*s.pa, "W_SUCTION", "/intake/port_cda_m2", n.MouthGaugePa + s.pa, suction * s.pa,
			"The air tubes are under strong suction: they are too few, too narrow, or throttled."},
	}
}

func (s *solver) surplusText(w working, n *Numbers) string {
	text := fmt.Sprintf("The fall is larger than this pipe can use. The upper part of the downcomer will run part full, and about %.2f m of the fall is wasted. "+
		"A deeper separator with a taller riser would turn it into pressure: at least %.1f m deeper would use it all. "+
		"How much air goes under is uncertain here, by about 40 %% either way.", n.SurplusFallM, n.DeeperAtLeastM)
	if s.available > w.q && s.in.Intake.PortCdAM2 == nil {
		text += " There is water to spare: partly closing a common air port may prime the whole pipe, which then takes more water and more air."
	}
	return text
}

// machineRules are about sizes, levels and what is wanted.
func (s *solver) machineRules(w working, n *Numbers) []rule {
	c, wanted := s.in.Chamber, s.in.Wanted
	rise, drop := s.in.Riser.OutletM-c.LipM, n.InletLevelM-c.LipM
	blowing := w.state == blowOff || w.state == closedBlowingOff
	none := math.NaN()
	outside := s.bore < boreLeast || s.bore > boreMost
	edge := boreMost
	if s.bore < boreLeast {
		edge = boreLeast
	}
	pc := s.chamberPressure(w.point, w.zc)
	return []rule{
		{s.sin < steepEnough, "W_INCLINED", "/downcomer/length_m", s.sin, steepEnough,
			"The downcomer leans more than 30° from plumb: air may gather along its crown and run back up."},
		{rise > riserRule*drop && drop < smallMachine, "W_RISER_TALL", "/riser/outlet_m", rise, riserRule * drop,
			"The riser is taller than seven tenths of the drop. Small machines then draw little air: lower the outlet or deepen the chamber."},
		{s.in.Intake.ThroatAreaM2 == nil && (n.FillFactor < fillLeast || n.FillFactor > fillMost), "W_FILL", "/intake/n_tubes", n.FillFactor, nearest(n.FillFactor, fillLeast, fillMost),
			fmt.Sprintf("The air tubes fill %.0f %% of the bore; 60 to 80 %% is usual.", 100*n.FillFactor)},
		{n.SeparationEff < wellSeparated, "W_CHAMBER", "/chamber", n.SeparationEff, wellSeparated,
			fmt.Sprintf("The chamber is small for this flow: %.0f %% of the air goes up the riser with the water. Give it more surface.", 100*(1-n.SeparationEff))},
		{n.RiserVelocityMS > riserFast, "W_RISER_FAST", "/riser/bore_m", n.RiserVelocityMS, riserFast,
			fmt.Sprintf("The water leaves through the riser at %.1f m/s. A wider riser wastes less of the fall.", n.RiserVelocityMS)},
		{s.in.Downcomer.OutletM > c.LipM, "W_MOUTH_HIGH", "/downcomer/outlet_m", s.in.Downcomer.OutletM, c.LipM,
			"The downcomer ends above the lip: near blow-off it will pour into air instead of water. Lengthen it to below the lip."},
		{pc > pressureMost, "W_PRESSURE", "/riser/outlet_m", pc, pressureMost, "The pressure is above anything that the bubble model was measured at."},
		{outside, "W_SCALE", "/downcomer/bore_m", s.bore, edge, "The bore is far outside anything that the bubble model was measured in."},
		{!outside && s.bore > boreData, "I_SCALE", "/downcomer/bore_m", s.bore, boreData,
			"The bore is wider than the 102 mm up to which the bubble model was measured."},
		{w.state == flooded, "W_FLOODED", "/takeoff/receiver_gauge_pa", none, none,
			"The receiver takes air at so low a pressure that water rises to the air outlet: water would enter the air line. Throttle the take-off, or fit a float valve."},
		{blowing, "W_BLOW_OFF", "/takeoff/receiver_gauge_pa", none, none,
			"Air blows off under the riser's lip, in gulps: flow and pressure pulse, and these numbers are means."},
		{wanted.GaugePa != nil && n.BlowOffGaugePa < valueOr(wanted.GaugePa, 0), "W_PRESSURE_SHORT", "/wanted/gauge_pa", n.BlowOffGaugePa, valueOr(wanted.GaugePa, 0),
			fmt.Sprintf("The machine reaches %.3f bar at most, less than the %.3f bar wanted. A taller riser gives more pressure, and less air.", n.BlowOffGaugePa/1e5, valueOr(wanted.GaugePa, 0)/1e5)},
		{wanted.FreeAirM3S != nil && n.FreeAirM3S < valueOr(wanted.FreeAirM3S, 0), "W_FLOW_SHORT", "/wanted/free_air_m3s", n.FreeAirM3S, valueOr(wanted.FreeAirM3S, 0),
			fmt.Sprintf("The machine delivers %.3g L/min of free air, less than the %.3g L/min wanted.", n.FreeAirM3S*6e4, valueOr(wanted.FreeAirM3S, 0)*6e4)},
	}
}

func nearest(x, low, high float64) float64 {
	if x < low {
		return low
	}
	return high
}
