package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// leastMouth is the share of ambient pressure below which the water at the
// mouths would cavitate.
const leastMouth = 0.3

// throatAt is the water between the air tubes, one unit.
type throatAt struct {
	v    float64 // m/s
	loss float64 // K, in velocity heads
	pm   float64 // pressure at the mouths of the air tubes, Pa
}

// throatFlow returns velocity, loss and mouth pressure when q in m³/s flows in
// all from a level zf in m:
//
//	v = q1/A_th,  K = k_in + f·l_b/D_h
//	p_m = p_a + ρ g (z_f − z_m) − k_sup q² − (1 + K)·ρ v²/2
//
// Valid for covered mouths and 0.3 p_a ≤ p_m.
//
// Source: Bernoulli's equation with losses; k_in as in table of coefficients.
func (m *machine) throatFlow(q, zf float64) throatAt {
	t := m.throatLoss(q)
	t.pm = m.pa + m.rho*m.g*(zf-m.in.Intake.MouthM) - m.kSupply*q*q - (1+t.loss)*m.rho*t.v*t.v/2
	return t
}

func (m *machine) throatLoss(q float64) throatAt {
	v := q / m.units / m.throat
	k := m.c.kIn
	if l := m.in.Intake.BundleLengthM; l > 0 {
		k += water.FrictionFactor(m.rho*v*m.throatDh/m.mu, m.wallTubesInThroat) * l / m.throatDh
	}
	return throatAt{v: v, loss: k}
}

// levelFor is the inlet level in m at which q gives the mouth pressure pm.
func (m *machine) levelFor(q, pm float64) float64 {
	t := m.throatLoss(q)
	return m.in.Intake.MouthM + (pm-m.pa+m.kSupply*q*q+(1+t.loss)*m.rho*t.v*t.v/2)/(m.rho*m.g)
}

// drawn is the air that one unit takes in.
type drawn struct {
	mass, speed float64 // moist, kg/s; speed in the tubes, m/s
	nO, nN      float64 // dry, mol/s
}

func (d drawn) n() float64 { return d.nO + d.nN }

// draw returns the air drawn at mouth pressure pm: none where p_2 = p_m + 4σ/ID
// reaches ambient, else the mass flow ṁ of
//
//	ṁ²·[(f L/ID + k_air + 2 ln(p_a/p_2))/A_t² + 1/port²] = (p_a² − p_2²)·ρ_a/p_a
//
// Valid for isothermal flow below half the speed of sound.
//
// Source: isothermal compressible pipe flow; k_air from the table of
// coefficients.
func (m *machine) draw(pm float64) drawn {
	p2 := pm + m.capillary
	if m.tubes == 0 || p2 >= m.pa {
		return drawn{}
	}
	drive := (m.pa - p2) * (m.pa + p2) * m.rhoAir / m.pa
	i := m.in.Intake
	fixed := (m.c.kAir + 2*math.Log(m.pa/p2)) / (m.tubes * m.tubes)
	port := 0.0
	if i.PortCdAM2 != nil {
		port = 1 / (*i.PortCdAM2 * *i.PortCdAM2)
	}
	friction := i.TubeLengthM / i.TubeBoreM / (m.tubes * m.tubes)
	reynolds := i.TubeBoreM / (m.tubes * m.muAirIn)
	excess := func(mass float64) float64 {
		f := water.FrictionFactor(mass*reynolds, m.wallTubes)
		return mass*mass*(f*friction+fixed+port) - drive
	}
	top := math.Sqrt(drive / fixed)
	mass, _ := root(surely(excess), 0, -drive, top, excess(top), 0)
	return m.intoCore(mass, pm)
}

// intoCore completes what is known of air from its mass flow.
func (m *machine) intoCore(mass, pm float64) drawn {
	n := mass / m.rhoAir * (m.pa - m.pva) / (air.R * m.tAir)
	return drawn{
		mass: mass, speed: m.tubeSpeed(mass, pm),
		nO: n * air.OxygenShare, nN: n * (1 - air.OxygenShare),
	}
}

func (m *machine) tubeSpeed(mass, pm float64) float64 {
	return mass / m.tubes / (m.rhoAir * pm / m.pa)
}
