package search

import (
	"math"
	"slices"
)

// What the grid is made of. It is a choice of machines worth trying, not a
// limit of what works; what is tried is judged by the model alone.
const (
	mostUnits  = 3
	mostTubes  = 60 // that anybody cares to cut and bundle: judgement
	leastTubes = 4
	slowest    = 0.45 // m/s of water in the downcomer: twice the drift of bubbles, as W_CARRY has it
	fastest    = 1.6  // m/s, beyond which the throat eats more fall than it gives: judgement
	leastRise  = 0.5  // m from lip to outlet
	throatLoss = 0.2  // k_in of the coefficients, to place the mouths
	shallowest = 0.08 // m of water over the mouths: judgement, vortices
	separator  = 25.0 // m² of water surface per m³/s: 0.95 of 2 mm bubbles and larger part, Deutsch form
	longest    = 6.0  // m, a stock length
	digSteps   = 6    // from no hole to the deepest
	riseSteps  = 6    // of raising the outlet; four times as many where no hole can be dug
	highest    = 0.85 // of the fall, kept as height of the outlet
	mostFill   = 0.72 // of the bore by air tubes; 0.6 to 0.8 is usual: trade practice, no source
)

var (
	shares = []float64{1, 0.6, 0.35, 0.2} // of the water
	risers = []float64{1.5, 0.8}          // m/s in the riser, the narrowest pipe that keeps to it
	fills  = []float64{0.60, 0.65, 0.70}  // of the bore by air tubes, at least
	vessel = []float64{0.32, 0.21}        // m outside, the widest pipe below it for the chamber
)

// tube is a size of air tube, in m.
type tube struct{ outer, bore float64 }

// tubes are common soft and hard tubes: sizes from memory.
var tubes = []tube{{0.006, 0.004}, {0.008, 0.006}, {0.010, 0.008}, {0.012, 0.010}, {0.016, 0.013}}

// bundles tells whether so many tubes can lie side by side in a bore of which
// they take this share: a dozen or more can take 0.72, fewer 0.66 (seven more).
// Three and fewer are not tried.
//
// Source: densest known packings of equal circles in a circle, from memory.
func bundles(n int, share float64) bool { return share <= 0.66 || share <= mostFill && n >= 12 }

// frame is a machine without its levels.
type frame struct {
	water   float64 // m³/s that it is made for
	down    Line
	units   int
	tube    tube
	count   int     // air tubes a unit
	over    float64 // m of water over the mouths
	riser   Line
	chamber Line
	length  float64 // m of the chamber
}

// level is how deep the chamber lies and how high the water leaves, in m from
// the tailwater.
type level struct{ dug, outlet float64 }

type candidate struct{ frame, level uint32 }

func (s *Search) build() {
	s.frames = s.allFrames()
	s.levels = s.allLevels()
	for f := range s.frames {
		for l := range s.levels {
			if s.fits(s.frames[f], s.levels[l]) {
				s.list = append(s.list, candidate{uint32(f), uint32(l)})
			}
		}
	}
}

func (s *Search) allLevels() (list []level) {
	digs, rises := digSteps, riseSteps
	if s.asked.DepthM == 0 {
		digs, rises = 1, 4*riseSteps
	}
	for i := range digs {
		for j := range rises {
			dug := s.asked.DepthM * float64(i) / (digSteps - 1)
			list = append(list, level{toMM(dug), toMM(highest * s.asked.FallM * float64(j) / float64(rises-1))})
		}
	}
	return list
}

func (s *Search) allFrames() (list []frame) {
	most := s.capacity()
	for _, share := range shares {
		water := min(s.asked.FlowM3S, most) * share
		for units := 1; units <= mostUnits; units++ {
			for _, down := range s.family.lines {
				v := water / float64(units) / disc(down.BoreM)
				if v < slowest || v > fastest {
					continue
				}
				list = append(list, s.withWater(frame{water: water, down: down, units: units})...)
			}
		}
	}
	return list
}

// capacity is the most water that the widest pipes of the family take.
func (s *Search) capacity() float64 {
	widest := disc(s.family.lines[len(s.family.lines)-1].BoreM)
	return min(mostUnits*fastest, risers[0]) * widest
}

// withWater adds riser, chamber and air tubes in every way to the downcomers.
func (s *Search) withWater(f frame) (list []frame) {
	for _, riser := range s.riserLines(f.water) {
		for _, chamber := range s.chamberLines() {
			f.riser, f.chamber = riser, chamber
			f.length = chamberLength(f)
			if f.length > longest || f.down.OuterM > 0.8*chamber.BoreM {
				continue
			}
			list = append(list, withTubes(f)...)
		}
	}
	return list
}

func (s *Search) riserLines(water float64) (list []Line) {
	for _, speed := range risers {
		i := slices.IndexFunc(s.family.lines, func(l Line) bool { return disc(l.BoreM)*speed >= water })
		if i >= 0 && !slices.Contains(list, s.family.lines[i]) {
			list = append(list, s.family.lines[i])
		}
	}
	return list
}

func (s *Search) chamberLines() (list []Line) {
	for _, most := range vessel {
		for _, l := range slices.Backward(s.family.lines) {
			if l.OuterM <= most {
				if !slices.Contains(list, l) {
					list = append(list, l)
				}
				break
			}
		}
	}
	return list
}

// chamberLength is what the bubbles need to part from the water, and the pipes
// to stand in it, in half metres.
func chamberLength(f frame) float64 {
	surface := separator * f.water / f.chamber.BoreM
	stand := float64(f.units)*f.down.OuterM + f.riser.OuterM + 0.3
	return math.Ceil(2*max(surface, stand, 1)) / 2
}

func withTubes(f frame) (list []frame) {
	for _, t := range tubes {
		last := 0
		room := f.down.BoreM * f.down.BoreM / (t.outer * t.outer)
		for _, fill := range fills {
			n := int(math.Ceil(fill * room))
			if n < leastTubes || n > mostTubes || n == last || !bundles(n, float64(n)/room) {
				continue
			}
			last = n
			f.tube, f.count = t, n
			f.over = overMouth(f)
			list = append(list, f)
		}
	}
	return list
}

// overMouth is how much water over the mouths drives the machine's water
// through the throat, with a tenth to spare, in m.
func overMouth(f frame) float64 {
	free := disc(f.down.BoreM) - float64(f.count)*disc(f.tube.outer)
	v := f.water / float64(f.units) / free
	return max(shallowest, math.Ceil(100*1.1*(1+throatLoss)*v*v/(2*9.81))/100)
}

// fits tells whether the pipes go together at these levels. What does not fit
// is no machine and is not counted.
func (s *Search) fits(f frame, l level) bool {
	in := s.levelled(f, l)
	top := -l.dug + f.chamber.OuterM
	mouth, outlet := in.Intake.MouthM, in.Downcomer.OutletM
	return l.outlet >= max(in.Chamber.LipM+leastRise, top) && mouth > top && mouth-outlet >= 5*f.down.BoreM && s.asked.FallM-l.outlet > 0.05
}

func disc(d float64) float64 { return math.Pi * d * d / 4 }

func toMM(x float64) float64 { return math.Round(x*1000) / 1000 }
