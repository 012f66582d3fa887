package strength

import (
	"slices"

	"leat/calc"
)

// GasIn is a part that may hold gas. Pressure and volume are those of the worst
// case: the highest that relief or blow-off allows, and all gas that could leave
// through one break.
type GasIn struct {
	GasClass     string    `json:"gas_class"`
	PPa          float64   `json:"p_pa"`
	VGasM3       float64   `json:"v_gas_m3"`
	Location     string    `json:"location"`
	ODM          float64   `json:"od_m"`
	TempC        float64   `json:"temp_c"` // coldest
	AllowPa      float64   `json:"allow_pa"`
	Joint        string    `json:"joint"`
	GasStatement bool      `json:"gas_statement"`
	Vessel       bool      `json:"vessel"`
	Certified    bool      `json:"certified"`
	Config       GasConfig `json:"config"`
}

// GasConfig is what a group may set, within bounds.
type GasConfig struct {
	PLowPa        float64 `json:"p_low_pa"`
	PBrittleMaxPa float64 `json:"p_brittle_max_pa"`
	ELowJ         float64 `json:"e_low_j"`
	EBrittleMaxJ  float64 `json:"e_brittle_max_j"`
	ECompetentJ   float64 `json:"e_competent_j"`
	PVHomeJ       float64 `json:"pv_home_j"`
}

// DefaultGasConfig is what counts where a group has set nothing.
var DefaultGasConfig = GasConfig{PLowPa: 10000, PBrittleMaxPa: 50000, ELowJ: 79, EBrittleMaxJ: 79, ECompetentJ: 1356, PVHomeJ: 5000}

// GasOut is the decision. Its lists are never nil.
type GasOut struct {
	Decision   string  `json:"decision"`
	Reasons    Codes   `json:"reasons"`
	Conditions Codes   `json:"conditions"`
	Flags      Codes   `json:"flags"`
	EJ         float64 `json:"e_j"`
	PVBarL     float64 `json:"pv_bar_l"`
}

// Pressures that laws and the rules name, gauge, and the widest pipe that is no
// vessel by itself.
const (
	halfBar   = 50000.0  // Pa
	psi15     = 103421.0 // Pa
	wideOD    = 0.152    // m
	brittleAt = 5.0      // °C, below which brittle plastic gets no gas
)

// gasPart is a part while it is judged.
type gasPart struct {
	GasIn
	e, pv        float64 // J
	low, exposed bool
}

// Gas decides whether a part may hold gas. It runs all rules and collects all
// reasons, in a fixed order.
func Gas(in GasIn) (GasOut, []calc.Warning, *calc.Fault) {
	out := GasOut{Decision: Allowed, Reasons: Codes{}, Conditions: Codes{}, Flags: Codes{}}
	if in.PPa == 0 {
		return out, nil, nil
	}
	if in.ODM > wideOD && in.PPa > halfBar {
		in.Vessel = true
	}
	part := gasPart{
		GasIn: in, low: in.PPa <= in.Config.PLowPa, exposed: in.Location == Exposed,
		e: IsentropicEnergy(in.PPa, in.VGasM3, calc.AirGamma, calc.Atmosphere), pv: in.PPa * in.VGasM3,
	}
	out.EJ, out.PVBarL, out.Flags = part.e, part.pv/barLitre, part.flags()
	if out.Reasons = part.reasons(); len(out.Reasons) > 0 {
		out.Decision = NotAllowed
	} else if out.Conditions = part.conditions(); len(out.Conditions) > 0 {
		out.Decision = Conditional
	}
	return out, nil, nil
}

func (g gasPart) reasons() Codes {
	c := Codes{}
	c.add(JointUnrestrained, g.Joint == PushRing && !g.low)
	switch g.GasClass {
	case Brittle:
		g.brittle(&c)
	case Ductile, Flexible:
		c.add(NoGasStatement, !g.low && !g.GasStatement)
		c.add(OverRating, g.PPa > g.AllowPa)
	case Metal:
		c.add(OverRating, g.PPa > g.AllowPa)
	default: // not made for pressure, or a class that nobody knows
		c.add(NonpressurePart, !g.low)
		c.add(EnergyOverLow, g.low && g.exposed && g.e > g.Config.ELowJ)
	}
	c.add(UncertifiedVessel, g.bareVessel() && (g.pv > g.Config.PVHomeJ || !slices.Contains([]string{Ductile, Flexible, Metal}, g.GasClass)))
	return c
}

func (g gasPart) brittle(c *Codes) {
	c.add(BrittleOverLimit, g.PPa > g.Config.PBrittleMaxPa)
	c.add(BrittleExposed, !g.low && g.exposed)
	c.add(BrittleCold, !g.low && g.TempC < brittleAt)
	c.add(EnergyOverBrittle, !g.low && g.e > g.Config.EBrittleMaxJ)
	c.add(EnergyOverLow, g.low && g.exposed && g.e > g.Config.ELowJ)
	c.add(OverRating, g.PPa > g.AllowPa)
}

// bareVessel tells whether it is a vessel at more than half a bar that nobody
// has certified.
func (g gasPart) bareVessel() bool { return g.Vessel && g.PPa > halfBar && !g.Certified }

func (g gasPart) conditions() Codes {
	c := Codes{}
	switch g.GasClass {
	case Brittle:
		c.add(KeepClear, true)
		c.add(NoPneumaticTest, true)
		c.add(CompetentPerson, !g.low)
		c.add(ReliefRequired, !g.low)
		c.add(ShatterGuard, !g.low)
	case Ductile, Flexible, Metal:
		c.add(ReliefRequired, !g.low)
		c.add(ImpactAndUVGuard, g.GasClass == Ductile && g.exposed && !g.low)
		c.add(WhipRestraint, g.GasClass == Flexible && g.PPa > halfBar)
		c.add(CompetentPerson, g.e > g.Config.ECompetentJ)
	default:
		c.add(RestrainJoints, true)
		c.add(KeepClear, true)
	}
	c.add(CompetentPerson, g.bareVessel())
	c.add(InspectionAccess, g.Vessel && g.Location == Buried)
	return c
}

// flags are legal notes; they never block by themselves.
func (g gasPart) flags() Codes {
	c := Codes{}
	c.add(OverHalfBar, g.PPa > halfBar)
	c.add(Over15PSI, g.PPa > psi15)
	c.add(Over50BarL, g.pv > 50*barLitre)
	c.add(Over250BarL, g.pv > 250*barLitre)
	c.add(BuriedReceiver, g.Vessel && g.Location == Buried)
	return c
}
