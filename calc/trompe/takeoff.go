package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// The delivery states.
const (
	atBlowOffLimit   = "at_blow_off_limit"
	delivering       = "delivering"
	blowOff          = "blow_off"
	flooded          = "flooded"
	closedBlowingOff = "closed_blowing_off"
)

// solver finds operating points of one machine and keeps those it found: the
// point depends on the chamber level only while that lies below the mouth of
// the downcomer.
type solver struct {
	*machine
	found []solved
}

type solved struct {
	setting
	point
	st Status
}

func (s *solver) at(zc float64, allUpRiser bool) (point, Status) {
	want := s.setting(zc, allUpRiser)
	for _, f := range s.found {
		if f.setting == want {
			return f.point, f.st
		}
	}
	p, st := want.operate()
	s.found = append(s.found, solved{want, p, st})
	return p, st
}

// working is an operating point with what the take-off makes of it.
type working struct {
	point
	zc    float64
	state string
	nD    float64 // delivered, all units, mol/s dry
}

// chamberPressure is the pressure in Pa of the air in the chamber with its
// water at zc.
func (m *machine) chamberPressure(p point, zc float64) float64 {
	return p.plip - m.rho*m.g*(zc-m.in.Chamber.LipM)
}

// reached is the molar flow of dry air that reaches the chamber, all units.
func (m *machine) reached(t *trial) float64 { return m.units * (t.end[atOxygen] + t.end[atRest]) }

func (m *machine) separated(t *trial) float64 { return m.reached(t) * t.eta }

// work finds the operating point together with the chamber level that the
// take-off brings about.
func (s *solver) work() (working, Status) {
	lip := s.in.Chamber.LipM
	t := s.in.Takeoff
	p, st := s.at(lip, s.shutUpRiser())
	if st != "" {
		return working{}, st
	}
	switch t.Mode {
	case ToReceiver, ToOpenAir:
		return s.deliver(p)
	case ValveShut:
		return working{p, lip, closedBlowingOff, 0}, ""
	default:
		return working{p, lip, atBlowOffLimit, s.separated(&p.trial)}, ""
	}
}

// deliver finds the chamber level at which the line passes all separated air:
// at the lip the rest blows off, at the highest level the chamber floods.
func (s *solver) deliver(atLip point) (working, Status) {
	lip, high := s.in.Chamber.LipM, s.in.Chamber.HighM
	excess := func(p point, zc float64) float64 {
		return s.linePressure(s.separated(&p.trial)) - s.chamberPressure(p, zc)
	}
	fLip := excess(atLip, lip)
	if fLip >= 0 {
		return working{atLip, lip, blowOff, min(s.lineFlow(s.chamberPressure(atLip, lip)), s.separated(&atLip.trial))}, ""
	}
	atHigh, st := s.at(high, false)
	if st != "" {
		return working{}, st
	}
	fHigh := excess(atHigh, high)
	if fHigh < 0 {
		return working{atHigh, high, flooded, s.separated(&atHigh.trial)}, ""
	}
	zc, st := root(func(z float64) (float64, Status) {
		p, st := s.at(z, false)
		if st != "" {
			return 0, st
		}
		return excess(p, z), ""
	}, lip, fLip, high, fHigh, 0)
	if st != "" {
		return working{}, st
	}
	p, st := s.at(zc, false)
	return working{p, zc, delivering, s.separated(&p.trial)}, st
}

// receiverPressure is the pressure at the far end of the air line, Pa.
func (m *machine) receiverPressure() float64 { return m.pa + m.in.Takeoff.ReceiverGaugePa }

// linePressure returns the chamber pressure in Pa that passes n in mol/s of dry
// air through the take-off line:
//
//	p_c² − p_rec² = ṁ²·(R/M)·T·[1/CdA² + (f L/d + k + 2 ln(p_c/p_rec))/A²]
//
// Valid for isothermal flow below half the speed of sound.
//
// Source: isothermal compressible pipe flow.
func (m *machine) linePressure(n float64) float64 {
	rec := m.receiverPressure()
	p := rec
	for range 200 {
		next := math.Sqrt(rec*rec + m.lineLoss(n, p/rec))
		if math.Abs(next-p) <= 1e-14*next {
			return next
		}
		p = next
	}
	return p
}

// lineLoss is the right side of [machine.linePressure], in Pa².
func (m *machine) lineLoss(n, ratio float64) float64 {
	t := m.in.Takeoff
	mass := air.MolarDry * n
	resistance := 0.0
	if t.ValveCdAM2 != nil {
		resistance = 1 / (*t.ValveCdAM2 * *t.ValveCdAM2)
	}
	if t.BoreM != nil {
		d, area := *t.BoreM, disc(*t.BoreM)
		f := water.FrictionFactor(mass*d/(area*m.muAirLine), water.Roughness(t.RoughnessM/d))
		resistance += (f*t.LengthM/d + t.K + 2*math.Log(ratio)) / (area * area)
	}
	return mass * mass * air.R / air.MolarDry * m.tWater * resistance
}

// lineFlow returns the dry air in mol/s that the take-off line passes from the
// chamber pressure pc in Pa, none where the receiver is not below it.
func (m *machine) lineFlow(pc float64) float64 {
	rec := m.receiverPressure()
	drive := pc*pc - rec*rec
	if drive <= 0 {
		return 0
	}
	excess := func(n float64) float64 { return m.lineLoss(n, pc/rec) - drive }
	high := 1.0
	for range 100 {
		if excess(high) > 0 {
			break
		}
		high *= 10
	}
	n, _ := root(surely(excess), 0, -drive, high, excess(high), 0)
	return n
}
