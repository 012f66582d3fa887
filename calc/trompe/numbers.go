package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// freeAir turns a molar flow of dry air in mol/s into a volume flow of ambient
// air in m³/s: Q = n·R·T_a/(p_a − p_va).
//
// Valid for ideal gases.
//
// Source: ideal gas law; the vapour of the ambient air comes along.
func (m *machine) freeAir(n float64) float64 { return n * air.R * m.tAir / (m.pa - m.pva) }

// Reference states of dry air: pressure in Pa, temperature in K.
const (
	iso1217Pa, iso1217K = 100000.0, 293.15 // ISO 1217, displacement compressors
	iso2533Pa, iso2533K = 101325.0, 288.15 // ISO 2533, standard atmosphere
)

// numbers works out what is shown of an operating point.
func (s *solver) numbers(w working) *Numbers {
	m := s.machine
	t := &w.trial
	n := &Numbers{
		DeliveryState: w.state, Regime: w.regime,
		InletLevelM: t.zf, ChamberLevelM: w.zc, HeadM: t.zf - m.in.Riser.OutletM,
		WaterFlowM3S: t.q,
		FillFactor:   fill(m.in), ThroatVelocityMS: t.throat.v, AirTubeVelocityMS: t.air.speed,
		AlphaSat: m.c.alphaSat, BubbleD32M: t.d32, SeparationEff: t.eta, RiserVelocityMS: t.q / m.riserArea,
		PlungeLevelM: m.in.Intake.MouthM - t.h*m.sin, PartFullLengthM: t.h, FullBoreLengthM: m.length - t.h,
		PlungeVelocityMS: t.vs, SurplusPressurePa: w.spare,
	}
	s.airFlows(n, w)
	s.pressures(n, w)
	s.profile(n, t)
	s.power(n, w)
	s.airQuality(n, w)
	return n
}

func (s *solver) airFlows(n *Numbers, w working) {
	m := s.machine
	drawn, reached := m.units*w.air.n(), m.reached(&w.trial)
	n.FreeAirInducedM3S = m.freeAir(drawn)
	n.FreeAirDissolved = m.freeAir(drawn - reached)
	n.FreeAirCarriedM3S = m.freeAir(reached * (1 - w.eta))
	n.FreeAirM3S = m.freeAir(w.nD)
	n.FreeAirBlowOffM3S = max(0, m.freeAir(reached*w.eta-w.nD))
	n.AirISO1217M3S = w.nD * air.R * iso1217K / iso1217Pa
	n.AirISO2533M3S = w.nD * air.R * iso2533K / iso2533Pa
	n.AirWaterRatio = n.FreeAirInducedM3S / w.q
}

func (s *solver) pressures(n *Numbers, w working) {
	m := s.machine
	c := m.in.Chamber
	n.ChamberGaugePa = m.chamberPressure(w.point, w.zc) - m.pa
	n.BlowOffGaugePa = w.plip - m.pa
	n.StaticBlowOffPa = m.rho * m.g * (m.in.Riser.OutletM - c.LipM)
	n.LowestDeliveryPa = w.plip - m.pa - m.rho*m.g*(c.HighM-c.LipM)
	if mode := m.in.Takeoff.Mode; mode == ToReceiver || mode == ToOpenAir {
		gauge := m.in.Takeoff.ReceiverGaugePa
		n.ReceiverGaugePa = &gauge
	}
	n.MouthGaugePa, n.MixedGaugePa, n.OutletGaugePa = w.throat.pm-m.pa, w.p1-m.pa, w.pe-m.pa
}

// profile fills in the states at equal distances of the full-bore part, and
// the extremes over them.
func (s *solver) profile(n *Numbers, t *trial) {
	m := s.machine
	n.Profile = make([]Station, 0, len(t.at))
	n.JMinMS = math.Inf(1)
	for i, y := range t.at {
		x, _ := m.mix(y[atP], t.q/m.units, y[atOxygen], y[atRest])
		along := t.h + (m.length-t.h)*float64(i)/float64(len(t.at)-1)
		n.Profile = append(n.Profile, Station{
			ZM: m.in.Intake.MouthM - along*m.sin, GaugePa: y[atP] - m.pa,
			Void: x.void, JMS: x.j, GasMS: x.ug, WaterMS: x.ul, C0: x.c0,
		})
		n.VoidMax, n.JMinMS = max(n.VoidMax, x.void), min(n.JMinMS, x.j)
	}
	top, end := n.Profile[0], n.Profile[len(n.Profile)-1]
	n.VoidTop, n.JTopMS = top.Void, top.JMS
	if n.SurplusPressurePa > 0 && end.Void > 0 {
		n.DeeperAtLeastM = n.SurplusPressurePa / (m.rho * m.g * end.Void)
	}
}

// power fills in what the water gives and where it goes.
//
// Isothermal air power is p_a·Q·ln(p_c/p_a); the ideal bound on free air is
//
//	Q ≤ ρ g H q·(T_a/T)/[(p_a − p_va)·ln((p_c − p_v)/(p_a − p_v))]
//
// Valid for p_c above p_a.
//
// Source: isothermal compression of an ideal gas saturated with vapour.
func (s *solver) power(n *Numbers, w working) {
	m := s.machine
	pc := m.chamberPressure(w.point, w.zc)
	n.WaterPowerW = m.rho * m.g * w.q * n.HeadM
	n.AirPowerW = m.pa * n.FreeAirM3S * math.Log(pc/m.pa)
	if pc > m.pa {
		ideal := n.WaterPowerW * m.tAir / m.tWater / ((m.pa - m.pva) * math.Log((pc-m.pv)/(m.pa-m.pv)))
		n.IdealFreeAirM3S = &ideal
	}
	n.Efficiency = n.AirPowerW / n.WaterPowerW
	n.BudgetW = m.budget(w)
	n.BudgetHeadM = n.BudgetW.over(m.rho * m.g * w.q)
	n.BudgetClosure = math.Abs(n.BudgetW.sum()-n.WaterPowerW) / n.WaterPowerW
	n.SurplusFallM = n.BudgetHeadM.SurplusFall
}

// airQuality fills in oxygen and water vapour of the air in the chamber.
func (s *solver) airQuality(n *Numbers, w working) {
	m := s.machine
	pc := m.chamberPressure(w.point, w.zc)
	if reached := w.end[atOxygen] + w.end[atRest]; reached > 0 {
		share := w.end[atOxygen] / reached
		n.OxygenFractionDry = &share
	}
	if pc <= m.pv {
		return
	}
	ratio := m.pv / (pc - m.pv)
	grams := ratio * 1000 * air.MolarWater / air.MolarDry
	dew := water.DewPoint(m.pv * m.pa / pc)
	n.VapourMoleRatio, n.VapourGPerKgDry, n.DewPointC = &ratio, &grams, &dew
}
