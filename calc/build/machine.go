package build

import (
	"math"

	"leat/calc"
	"leat/calc/trompe"
)

// Machine is what a sheet knows that decides about its parts. Pressures are
// gauge and in Pa; a nil one is not known, or not of this machine.
type Machine struct {
	Trompe      *trompe.Input
	ShutOffPa   *float64 // of the supply, all taps shut
	RamMaxPa    *float64 // drive pipe: the waste valve shuts, the delivery blocked and the vessel waterlogged
	RamWorstPa  *float64 // the valve sticks, then slams at full speed
	RamStaticPa *float64
	RamSpeed    *float64 // m/s, at which the waste valve shuts
	LiftPa      *float64 // static head of the delivery pipe
	BoosterPa   *float64 // highest that a pulse booster reaches
	ReceiverPa  *float64
	ReceiverM3  *float64
	AirLineM3   *float64
}

// pressure is what a part must be good for, and why.
type pressure struct {
	top, low float64 // Pa, at its highest and its lowest point
	why      string
	known    bool
}

func weight(height float64) float64 { return calc.WaterDensity * calc.Gravity * max(0, height) }

// brim is the highest level that the water above can reach. A closed head under
// a hose counts with the height of its pressure.
func (m Machine) brim() (level float64, ok bool) {
	t := m.Trompe
	if t == nil {
		return 0, false
	}
	s := t.Supply
	switch s.Type {
	case trompe.HoseOpen:
		return s.LevelMaxM, true
	case trompe.HoseClosed:
		return s.ZM + s.StaticPa/(calc.WaterDensity*calc.Gravity), true
	}
	return s.LevelM, true
}

// held is the highest pressure of the gas in the chamber: of water up to the
// brim with the way out blocked, or up to the outlet where it cannot be.
func (m Machine) held(f Facts) pressure {
	brim, ok := m.brim()
	if !ok {
		return pressure{}
	}
	t := m.Trompe
	if f.RiserBlocks == nil || *f.RiserBlocks {
		p := weight(brim - t.Chamber.LipM)
		return pressure{p, p, "the way out of the water is blocked, and water stands to the brim", true}
	}
	p := weight(t.Riser.OutletM - t.Chamber.LipM)
	return pressure{p, p, "air escapes under the lip; the way out cannot be blocked", true}
}

// gas is the highest pressure of the air line and what hangs on it.
func (m Machine) gas(f Facts) pressure {
	p := m.held(f)
	for _, other := range []struct {
		pa  *float64
		why string
	}{{m.BoosterPa, "the pulse booster at a closed outlet"}, {m.ReceiverPa, "the pressure wanted in the receiver"}, {f.ReliefSetPa, "the relief valve opens only at this"}} {
		if other.pa != nil && (!p.known || *other.pa > p.low) {
			p = pressure{*other.pa, *other.pa, other.why, true}
		}
	}
	return p
}

// design returns what a part of this role must be good for.
func (m Machine) design(p Part, f Facts) pressure {
	d := m.byRole(p, f)
	if p.DesignPa != nil && (!d.known || *p.DesignPa > d.low) {
		d = pressure{*p.DesignPa, *p.DesignPa, "as you say", true}
	}
	return d
}

func (m Machine) byRole(p Part, f Facts) pressure {
	brim, ok := m.brim()
	water := func(top, low float64, why string) pressure {
		return pressure{weight(brim - top), weight(brim - low), why, ok}
	}
	const standing = "water stands to the brim, all stopped"
	switch p.Role {
	case SupplyPipe:
		if m.ShutOffPa != nil {
			return pressure{*m.ShutOffPa, *m.ShutOffPa, "the supply with all taps shut", true}
		}
		if ok {
			return water(brim, m.Trompe.Intake.MouthM, standing)
		}
	case Downcomer:
		if ok {
			return water(m.Trompe.Intake.MouthM, m.Trompe.Downcomer.OutletM, standing)
		}
	case Riser:
		if ok {
			return water(min(brim, m.Trompe.Riser.OutletM), m.Trompe.Chamber.LipM, "blocked at its top, and water stands to the brim")
		}
	case Chamber:
		if !ok {
			break
		}
		held := m.held(f)
		if low := weight(brim - m.floor()); low > held.low && (f.RiserBlocks == nil || *f.RiserBlocks) {
			held.low = low
		}
		return held
	case AirLine, Receiver:
		return m.gas(f)
	case DrivePipe, AirVessel:
		if m.RamMaxPa != nil {
			return pressure{*m.RamMaxPa, *m.RamMaxPa, "the waste valve shuts, with the delivery blocked and no air in the vessel", true}
		}
	case DeliveryPipe:
		if m.LiftPa != nil && m.RamMaxPa != nil {
			p := max(*m.LiftPa, *m.RamMaxPa)
			return pressure{p, p, "the delivery is shut while the ram beats, with no air in the vessel", true}
		}
	}
	return pressure{}
}

// floor is the lowest point of the chamber.
func (m Machine) floor() float64 {
	c := m.Trompe.Chamber
	if c.Kind == trompe.Horizontal {
		return min(c.FloorM, c.LipM)
	}
	return min(c.LipM, m.Trompe.Downcomer.OutletM)
}

// length is what the machine gives a part of this role, in m.
func (m Machine) length(role string) *float64 {
	t := m.Trompe
	if t == nil {
		return nil
	}
	given := func(x float64) *float64 { return &x }
	switch role {
	case Downcomer:
		if t.Downcomer.LengthM != nil {
			return t.Downcomer.LengthM
		}
		return given(t.Intake.MouthM - t.Downcomer.OutletM)
	case Riser:
		if t.Riser.LengthM != nil {
			return t.Riser.LengthM
		}
		return given(t.Riser.OutletM - t.Chamber.LipM)
	case Chamber:
		if t.Chamber.Kind == trompe.Horizontal {
			return given(t.Chamber.LengthM)
		}
	case AirLine:
		if t.Takeoff.LengthM > 0 {
			return given(t.Takeoff.LengthM)
		}
	}
	return nil
}

// gasVolume is all gas that could leave through one break, in m³: the whole
// chamber, counted empty of water, and what hangs on it; check valves do not
// divide it. ok is false where the chamber's volume is not known.
func (m Machine) gasVolume(f Facts, parts []Part) (volume float64, ok bool) {
	if f.GasM3 != nil {
		return *f.GasM3, true
	}
	for _, more := range []*float64{m.ReceiverM3, m.AirLineM3} {
		if more != nil {
			volume += *more
		}
	}
	if m.Trompe == nil {
		return volume, volume > 0
	}
	c := m.Trompe.Chamber
	area := c.PlanAreaM2
	if c.Kind != trompe.Plan {
		area = math.Pi / 4 * (c.BoreM*c.BoreM - c.InnerODM*c.InnerODM)
	}
	length := m.length(Chamber)
	for _, p := range parts {
		if p.Role == Chamber && p.LengthM != nil {
			length = p.LengthM
		}
	}
	if length == nil {
		return 0, false
	}
	return volume + area**length, true
}
