package use

import (
	"math"

	"leat/calc"
)

// OrificeIn is a hole with compressed air before it.
type OrificeIn struct {
	P1    float64  `json:"p1"`   // Pa
	Area  *float64 `json:"area"` // m²
	D     float64  `json:"d"`    // m, where no area is given
	P2    float64  `json:"p2"`   // Pa
	T1    float64  `json:"T1"`   // K
	Cd    float64  `json:"Cd"`
	PFree float64  `json:"p_free"` // Pa
	TFree float64  `json:"T_free"` // K
}

// OrificeOut is the air that a hole lets out.
type OrificeOut struct {
	Choked    bool    `json:"choked"`
	Qm        float64 `json:"qm"`
	QFreeM3s  float64 `json:"Q_free_m3s"`
	QFreeLmin float64 `json:"Q_free_Lmin"`
	QFreeCfm  float64 `json:"Q_free_cfm"`
}

// CriticalRatio is the pressure behind over that before a nozzle, at and below
// which air leaves it with the speed of sound: (2/(γ + 1))^(γ/(γ − 1)).
var CriticalRatio = math.Pow(2/(calc.AirGamma+1), calc.AirGamma/(calc.AirGamma-1))

// NozzleFlow returns the mass flow of air in kg/s through a hole of an area in
// m², from p1 to p2, both in Pa absolute, at t1 in K before it:
//
//	q_m = C_d·A·p₁·√(γ/(R·T₁))·(2/(γ + 1))^((γ + 1)/(2·(γ − 1)))         p₂/p₁ up to 0.528
//	q_m = C_d·A·p₁·√(2·γ/((γ − 1)·R·T₁)·(r^(2/γ) − r^((γ + 1)/γ))), r = p₂/p₁   above
//
// Valid for p2 below p1 and dry air; C_d is 0.97 for a rounded nozzle, 0.65 for
// a sharp edge at a high ratio, 0.62 for a sharp edge below the speed of sound.
//
// Source: isentropic nozzle; coefficients from a table of discharge of air
// through an orifice, sheet 15-010504-002, read.
func NozzleFlow(cd, area, p1, p2, t1 float64) float64 {
	const g = calc.AirGamma
	r := p2 / p1
	if r <= CriticalRatio {
		return cd * area * p1 * math.Sqrt(g/(calc.AirR*t1)) * math.Pow(2/(g+1), (g+1)/(2*(g-1)))
	}
	// r^(2/g) − r^((g+1)/g), without cancelling where r is nearly 1
	drive := -math.Pow(r, 2/g) * math.Expm1((g-1)/g*math.Log(r))
	return cd * area * p1 * math.Sqrt(2*g/((g-1)*calc.AirR*t1)*drive)
}

// Orifice answers what air a hole, nozzle or leak lets out.
func Orifice(in OrificeIn) (OrificeOut, []calc.Warning, *calc.Fault) {
	if fault := backwards(in.P1, in.P2); fault != nil {
		return OrificeOut{}, nil, fault
	}
	area := math.Pi / 4 * in.D * in.D
	if in.Area != nil {
		area = *in.Area
	}
	mass := NozzleFlow(in.Cd, area, in.P1, in.P2, in.T1)
	free := FreeFlow(mass, in.PFree, in.TFree)
	return OrificeOut{
		Choked: in.P2/in.P1 <= CriticalRatio, Qm: mass,
		QFreeM3s: free, QFreeLmin: 60_000 * free, QFreeCfm: 60 / cubicFoot * free,
	}, nil, nil
}

const (
	nozzleSource = "Isentropic nozzle; coefficients from a table of discharge of air through an orifice, sheet 15-010504-002, read"
	idealGas     = "ideal gas"
)

var orifice = calc.New(calc.Description{
	Name: "system/orifice_air", Answers: "air that a nozzle, hole or leak lets out", Evidence: calc.OftenMeasured,
	Words: []string{"nozzle", "orifice", "leak", "blow gun", "jet", "choked"},
	Inputs: append([]calc.Field{
		inlet("pressure before the hole"),
		calc.Positive("/area", "m²", "area of the hole; or give its bore").NeedUnless("/d"),
		calc.Positive("/d", "m", "bore of the hole, where no area is given"),
		outlet(), inletK(),
		coefficient("0.62", "discharge coefficient: 0.97 rounded, 0.65 sharp at a high pressure, 0.62 sharp at a low one"),
	}, freeAir()...),
	Outputs: []calc.Field{
		calc.Gives("/choked", "", "the air leaves with the speed of sound, and less pressure behind brings no more", "p₂/p₁ up to 0.52828", nozzleSource, "/p1", "/p2").As(calc.Flag),
		calc.Gives("/qm", "kg/s", "mass flow", "choked: C_d·A·p₁·√(γ/(R·T₁))·(2/(γ + 1))^((γ + 1)/(2·(γ − 1))); else C_d·A·p₁·√(2·γ/((γ − 1)·R·T₁)·(r^(2/γ) − r^((γ + 1)/γ)))", nozzleSource,
			"/p1", "/p2", "/area", "/d", "/T1", "/Cd"),
		calc.Gives("/Q_free_m3s", "m³/s", "flow of free air", "Q = q_m·R·T/p of the free air", idealGas, "/qm", "/p_free", "/T_free"),
		calc.Gives("/Q_free_Lmin", "L/min", "flow of free air", "60000·Q", "unit", "/Q_free_m3s"),
		calc.Gives("/Q_free_cfm", "ft³/min", "flow of free air", "60·Q/0.028316846592", "unit", "/Q_free_m3s"),
	},
	Equation: "q_m = C_d·A·p₁·√(γ/(R·T₁))·(2/(γ + 1))^((γ + 1)/(2·(γ − 1))) where choked, else by r = p₂/p₁",
	Validity: "Dry air, within 0.8 % of the published table from 1 to 125 psi with C_d 1; the coefficient decides. " +
		"Never point a jet at people; a blow gun that can be held shut against something stays below 2 bar. Local rules come first.",
	Sources: []string{nozzleSource, "Limit for blow guns: 29 CFR 1910.242, from memory"},
	Example: []byte(`{"p1": 701325, "d": 0.002}`),
}, OrificeIn{P2: calc.Atmosphere, T1: room, Cd: 0.62, PFree: calc.Atmosphere, TFree: room}, Orifice)
