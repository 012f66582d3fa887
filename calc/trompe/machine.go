package trompe

import (
	"math"

	"leat/calc/air"
	"leat/calc/water"
)

// machine is an input with all that does not change while it is solved:
// properties of air and water, areas, walls.
type machine struct {
	in Input
	c  coefficients

	fine  accuracy // of what is answered, after a loose look
	slack float64  // relative error at which a root counts as found; 0: none

	units float64 // identical intakes and downcomers

	g, rho, mu, sigma          float64 // gravity; water
	tWater, tAir               float64 // K
	pv                         float64 // vapour pressure of the water, Pa
	pa, pva, rhoAir, muAirIn   float64 // ambient air
	muAirLine                  float64 // air at water temperature, in the take-off line
	henryO, henryN, difO, difN float64
	drift                      float64 // V, m/s
	rhoV                       float64 // density of saturated vapour, kg/m³
	capillary                  float64 // 4σ/ID, Pa

	throat, tubes, throatDh float64 // areas m², hydraulic diameter m
	bore, area              float64 // downcomer
	outletBore              float64
	length, drop, sin       float64
	wallTubesInThroat       float64 // Haaland's wall terms
	wallTubes, wallPipe     float64
	wallFilm                float64

	riserArea, riserDh, riserLength, riserSin, wallRiser float64
	plan                                                 float64 // separating area, m²
	available                                            float64 // flow of the source, +Inf when ample
	kSupply                                              float64
}

func newMachine(in Input) *machine {
	m := &machine{in: in, c: in.coefficients(), fine: tight, units: float64(in.NParallel)}
	m.setFluids()
	m.setPipes()
	m.setChamber()
	m.setSupply()
	return m
}

func (m *machine) setFluids() {
	s := m.in.Site
	m.g = s.Gravity
	m.rho, m.mu, m.sigma = water.Density(s.WaterC), water.Viscosity(s.WaterC), water.SurfaceTension(s.WaterC)
	m.pv = water.SaturationPressure(s.WaterC)
	m.tWater, m.tAir = s.WaterC+water.Kelvin, s.AirC+water.Kelvin
	m.pa = valueOr(s.AmbientPa, air.Atmosphere(s.AltitudeM))
	m.rhoAir, m.pva = air.Moist(m.pa, s.AirC, s.Humidity)
	m.muAirIn, m.muAirLine = air.Viscosity(s.AirC), air.Viscosity(s.WaterC)
	m.henryO, m.henryN = air.Henry(s.WaterC)
	m.difO, m.difN = air.Diffusivity(s.WaterC)
	m.drift = DriftVelocity(m.sigma, m.rho, m.g)
	m.rhoV = m.pv * air.MolarWater / (air.R * m.tWater)
}

func valueOr(given *float64, otherwise float64) float64 {
	if given != nil {
		return *given
	}
	return otherwise
}

func (m *machine) setPipes() {
	i, d, r := m.in.Intake, m.in.Downcomer, m.in.Riser
	m.bore, m.area = d.BoreM, disc(d.BoreM)
	m.throat = valueOr(i.ThroatAreaM2, m.area*(1-fill(m.in)))
	m.tubes = float64(i.NTubes) * disc(i.TubeBoreM)
	m.throatDh = 4 * m.throat / (math.Pi * (m.bore + float64(i.NTubes)*i.TubeOutsideM))
	m.capillary = 4 * m.sigma / i.TubeBoreM
	m.drop = i.MouthM - d.OutletM
	m.length = max(valueOr(d.LengthM, m.drop), m.drop)
	m.sin = m.in.slope()
	m.outletBore = valueOr(d.OutletBoreM, d.BoreM)
	m.wallTubesInThroat = water.Roughness(i.TubeRoughnessM / m.throatDh)
	m.wallTubes = water.Roughness(i.TubeRoughnessM / i.TubeBoreM)
	m.wallPipe = water.Roughness(d.RoughnessM / d.BoreM)
	m.wallFilm = water.Roughness(d.RoughnessM * math.Pi * d.BoreM / (4 * m.throat))

	rise := r.OutletM - m.in.Chamber.LipM
	m.riserLength = max(valueOr(r.LengthM, rise), rise)
	m.riserSin = rise / m.riserLength
	m.riserArea, m.riserDh = float64(r.Count)*disc(r.BoreM), r.BoreM
	if r.Kind == Annulus {
		m.riserArea, m.riserDh = disc(r.OuterBoreM)-disc(r.InnerODM), r.OuterBoreM-r.InnerODM
	}
	m.wallRiser = water.Roughness(r.RoughnessM / m.riserDh)
}

func disc(d float64) float64 { return math.Pi * d * d / 4 }

// setChamber works out the separating area at the mid level between lip and
// highest level.
func (m *machine) setChamber() {
	c := m.in.Chamber
	switch c.Kind {
	case Horizontal:
		h := min(max((c.LipM+c.HighM)/2-c.FloorM, 0), c.BoreM)
		m.plan = 2 * math.Sqrt(h*(c.BoreM-h)) * c.LengthM
	case Vertical:
		m.plan = disc(c.BoreM) - disc(c.InnerODM)
	case Plan:
		m.plan = c.PlanAreaM2
	}
}

func (m *machine) setSupply() {
	s := m.in.Supply
	m.available = math.Inf(1)
	switch s.Type {
	case Forebay:
		m.available, m.kSupply = valueOr(s.FlowMaxM3, m.available), s.KPaS2M6
	case HoseOpen:
		m.available = math.Sqrt(max(0, m.in.hoseLift()) / s.KPaS2M6)
	case HoseClosed:
		m.kSupply = s.KPaS2M6
	}
}

// supplyLevel is the water level over the intake when the source is ample; for
// a closed head it is the level to which the hose could lift without flow.
func (in Input) supplyLevel() float64 {
	switch s := in.Supply; s.Type {
	case HoseOpen:
		return s.LevelMaxM
	case HoseClosed:
		return s.ZM + s.StaticPa/(water.Density(in.Site.WaterC)*in.Site.Gravity)
	default:
		return s.LevelM
	}
}

// hoseLift is the pressure in Pa that an open hose has left at its end.
func (in Input) hoseLift() float64 {
	s := in.Supply
	return s.StaticPa + water.Density(in.Site.WaterC)*in.Site.Gravity*(s.ZM-valueOr(s.OutletM, s.LevelMaxM))
}

// leastSlope is the sine below which a downcomer is too flat for the model: 30°.
const leastSlope = 0.5 - 1e-12

// slope is the sine of the downcomer's angle to the horizontal.
func (in Input) slope() float64 {
	drop := in.Intake.MouthM - in.Downcomer.OutletM
	return min(1, drop/valueOr(in.Downcomer.LengthM, drop))
}

// noHead says that there is no fall to use: the water would not leave by the
// riser even if it met no resistance.
func (in Input) noHead() bool {
	level := in.supplyLevel()
	if level <= in.Riser.OutletM || (in.Supply.Type == HoseOpen && in.hoseLift() <= 0) {
		return true
	}
	return level-in.Riser.OutletM-max(0, in.Downcomer.OutletM-in.Chamber.LipM) <= 0
}
