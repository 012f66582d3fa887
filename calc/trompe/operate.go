package trompe

import "math"

// How the water is limited.
const (
	headLimited = "head_limited"
	flowLimited = "flow_limited"
	hoseLimited = "hose"
)

// point is an operating point.
type point struct {
	trial
	regime   string
	multiple bool    // a second stable state exists
	spare    float64 // residual in Pa before any of the pipe runs part full
}

// leastSeal is how many bores must run full to hold the air back (judgement).
const leastSeal = 3

// operate finds the operating point: by head first, and where that asks for
// more than the source has, by the flow there is.
func (s setting) operate() (point, Status) {
	zf := s.in.supplyLevel()
	p, st := s.byHead(zf)
	switch {
	case s.in.Supply.Type == HoseClosed:
		p.regime = hoseLimited
		return p, st
	case math.IsInf(s.available, 1) || (st == "" && s.available >= p.q):
		p.regime = headLimited
		return p, st
	}
	limited, flowSt := s.byFlow(s.available, zf, st)
	limited.regime, limited.multiple = flowLimited, p.multiple
	return limited, flowSt
}

// byHead finds the flow that the level zf drives.
func (s setting) byHead(zf float64) (point, Status) {
	most, st := s.flowOfWater(zf)
	if st != "" {
		return point{}, st
	}
	upper, why := most*(1+1e-9), Status("")
	var known *float64
	sat, found, why := s.saturationFlow(zf, 0)
	if found && sat < most {
		t, st := s.trySaturated(sat, zf, 0, s.fine)
		if st == "" && t.residual > 0 {
			return s.surplusByHead(zf, sat, most, t.residual)
		}
		upper, why = sat, st
		if st == "" {
			known = &t.residual
		}
	}
	look := scan{
		try:  func(q float64, acc accuracy) (trial, Status) { return s.try(q, zf, acc) },
		xs:   row(0.03*upper, upper, 48),
		last: known, fine: s.fine, slack: s.slack,
	}
	look.run()
	if len(look.roots) == 0 {
		if why != "" {
			return point{}, why
		}
		return point{}, look.why()
	}
	t, st := s.try(look.roots[len(look.roots)-1], zf, s.fine)
	return point{trial: t, multiple: len(look.roots) > 1}, st
}

// flowOfWater is the flow without any air, the most there can be.
func (s setting) flowOfWater(zf float64) (float64, Status) {
	residual := func(q float64) float64 { return s.withoutAir(q, zf) }
	low := 0.0
	fLow := s.rho * s.g * (zf - s.in.Riser.OutletM - (s.in.Downcomer.OutletM - s.seal))
	if fLow <= 0 {
		return 0, NoHead
	}
	high := s.units * s.throat * math.Sqrt(2*fLow/s.rho)
	fHigh := residual(high)
	for range 200 {
		if fHigh <= 0 {
			break
		}
		low, fLow = high, fHigh
		high *= 2
		fHigh = residual(high)
	}
	if fHigh > 0 || math.IsNaN(fHigh) {
		return 0, NoOperatingPoint
	}
	return root(surely(residual), low, fLow, high, fHigh, 0)
}

func (s setting) surplusByHead(zf, sat, most, spare float64) (point, Status) {
	t, st := s.partFull(spare, func(h float64) (trial, Status) {
		q, found, st := s.saturationFlow(zf, h)
		if !found {
			return trial{}, or(st, Cavitation)
		}
		return s.trySaturated(q, zf, h, s.fine)
	})
	p := point{trial: t, spare: spare}
	if st == "" && s.in.Intake.PortCdAM2 != nil {
		p.multiple = s.fullBoreAbove(zf, sat, most)
	}
	return p, st
}

func or(st, otherwise Status) Status {
	if st != "" {
		return st
	}
	return otherwise
}

// partFull finds the part-full length that takes up the pressure to spare. at
// makes the trial with a given length.
func (s setting) partFull(spare float64, at func(h float64) (trial, Status)) (trial, Status) {
	most := s.length - leastSeal*s.bore
	if most <= 0 {
		return trial{}, OutOfRange
	}
	t, st := at(most)
	if st != "" {
		return t, st
	}
	if t.residual > 0 {
		return t, OutOfRange
	}
	residual := func(h float64) (float64, Status) {
		t, st := at(h)
		return t.residual, st
	}
	h, st := root(residual, 0, spare, most, t.residual, s.slack*most)
	if st != "" {
		return t, st
	}
	return at(h)
}

// fullBoreAbove says whether a machine in surplus could also run full, primed
// by a throttled air port: a full-bore root above the flow of saturation.
func (s setting) fullBoreAbove(zf, sat, most float64) bool {
	before := math.NaN()
	for _, q := range row(sat, most, 49)[1:] {
		t, st := s.try(q, zf, loose)
		spare, satSt := s.airToSpare(q, zf, 0)
		if st != "" || satSt != "" || spare >= 0 || q >= s.available {
			before = math.NaN()
			continue
		}
		if before > 0 && t.residual <= 0 {
			return true
		}
		before = t.residual
	}
	return false
}

// byFlow finds the inlet level at which the machine takes the flow q, no higher
// than zf. why is the status that the search by head ended with.
func (s setting) byFlow(q, zf float64, why Status) (point, Status) {
	mouth := s.in.Intake.MouthM
	low := mouth
	var known *float64
	sat, found, _ := s.saturationLevel(q, 0)
	if found && sat >= mouth && sat <= zf {
		low = sat
		t, st := s.trySaturated(q, sat, 0, s.fine)
		if st == "" && t.residual > 0 {
			return s.surplusByFlow(q, t.residual)
		}
		if st == "" {
			known = &t.residual
		}
	}
	if found && sat > zf {
		return point{}, or(why, Starved)
	}
	look := scan{
		try:  func(z float64, acc accuracy) (trial, Status) { return s.try(q, z, acc) },
		xs:   row(zf, low, 33),
		last: known, fine: s.fine, slack: s.slack,
	}
	look.run()
	if len(look.roots) == 0 {
		return point{}, or(why, Starved)
	}
	t, st := s.try(q, look.roots[0], s.fine)
	return point{trial: t}, st
}

func (s setting) surplusByFlow(q, spare float64) (point, Status) {
	t, st := s.partFull(spare, func(h float64) (trial, Status) {
		z, found, st := s.saturationLevel(q, h)
		if !found {
			return trial{}, or(st, Cavitation)
		}
		return s.trySaturated(q, z, h, s.fine)
	})
	if st == "" && t.zf < s.in.Intake.MouthM {
		st = Starved
	}
	return point{trial: t, spare: spare}, st
}
