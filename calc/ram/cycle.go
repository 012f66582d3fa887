package ram

import (
	"cmp"
	"math"

	"leat/calc"
	"leat/calc/pipe"
)

// CycleIn is a ram with its drive pipe.
type CycleIn struct {
	Fall        float64  `json:"H"`      // m
	Rise        float64  `json:"h"`      // m
	L           float64  `json:"L"`      // m
	D           float64  `json:"D"`      // m
	A           *float64 `json:"a"`      // m/s; nil: of the wall
	Wall        float64  `json:"wall"`   // m
	EWall       float64  `json:"E_wall"` // Pa
	VClose      *float64 `json:"V_close"`
	VCloseRatio float64  `json:"V_close_ratio"`
	Rho         float64  `json:"rho"`
	Nu          float64  `json:"nu"`
	Eps         float64  `json:"eps"`
	KDrive      float64  `json:"K_drive"`
	KWaste      float64  `json:"K_waste_valve"`
	KDelivery   float64  `json:"K_delivery_valve"`
	TClose      float64  `json:"t_close"`
	Recoil      float64  `json:"recoil_factor"`
	Ripple      float64  `json:"ripple"`
}

// CycleOut is what a ram does in a beat and over time, in SI units but for the names that say otherwise.
type CycleOut struct {
	Area      float64 `json:"A"`
	VInf      float64 `json:"V_inf"`
	M         float64 `json:"M"`
	VClose    float64 `json:"V_close"`
	TAccel    float64 `json:"t_accel"`
	TPump     float64 `json:"t_pump"`
	TRecoil   float64 `json:"t_recoil"`
	Period    float64 `json:"T"`
	BPM       float64 `json:"bpm"`
	WasteBeat float64 `json:"vol_waste_beat"`
	LiftBeat  float64 `json:"vol_delivered_beat"`
	Q         float64 `json:"q"`
	QLmin     float64 `json:"q_Lmin"`
	Waste     float64 `json:"Q_waste"`
	WasteLmin float64 `json:"Q_waste_Lmin"`
	DriveLmin float64 `json:"Q_drive_Lmin"`
	EtaD      float64 `json:"eta_daubuisson"`
	EtaR      float64 `json:"eta_rankine"`
	KEBeat    float64 `json:"KE_beat_J"`
	EInBeat   float64 `json:"E_in_beat_J"`
	Joukowsky float64 `json:"dh_joukowsky"`
	A         float64 `json:"a"`
	PMax      float64 `json:"p_max_gauge"`
	PWorst    float64 `json:"p_worst_gauge"`
	PTest     float64 `json:"p_test_gauge"`
	LOverD    float64 `json:"L_over_D"`
	LOverH    float64 `json:"L_over_H"`
	AirMin    float64 `json:"airvessel_air_min"`
	AirRipple float64 `json:"airvessel_air_ripple"`
}

// Cycle answers what a ram does, beat by beat: a rigid column of water that
// the fall speeds up, one elastic step when the waste valve shuts, and a rigid
// column that the lift brings to rest.
func Cycle(in CycleIn) (CycleOut, []calc.Warning, *calc.Fault) {
	fault := cmp.Or(notAbove(in.Fall, in.Rise), pipe.Rough(in.Eps, in.D))
	if fault != nil {
		return CycleOut{}, nil, fault
	}
	out := in.column()
	if fault := cmp.Or(in.neverShuts(out), in.noPumping(out)); fault != nil {
		return CycleOut{}, nil, fault
	}
	in.beat(&out)
	in.overTime(&out)
	in.strength(&out)
	return out, in.warnings(out), nil
}

// column works out the water in the drive pipe with the waste valve open.
func (in CycleIn) column() CycleOut {
	const g = calc.Gravity
	out := CycleOut{Area: math.Pi * in.D * in.D / 4, LOverD: in.L / in.D, LOverH: in.L / in.Fall}
	out.VInf = TerminalSpeed(g, in.Fall, in.L, in.D, in.Eps, in.Nu, in.KDrive+in.KWaste)
	out.M = 2 * g * in.Fall / (out.VInf * out.VInf)
	out.VClose = in.VCloseRatio * out.VInf
	if in.VClose != nil {
		out.VClose = *in.VClose
	}
	if in.A != nil {
		out.A = *in.A
	} else {
		out.A = pipe.WaveSpeed(pipe.BulkModulus, in.Rho, 1, in.EWall, in.D, in.Wall)
	}
	out.Joukowsky = out.A * out.VClose / g
	return out
}

// beat works out one beat. Its speed after the elastic step is above zero.
func (in CycleIn) beat(out *CycleOut) {
	const g = calc.Gravity
	above := in.Rise - in.Fall
	v := out.VClose - g*above/out.A
	re := pipe.Reynolds(math.Max(v/2, 0.001), in.D, in.Nu)
	m := in.KDrive + in.KDelivery + pipe.Friction(re, in.Eps/in.D)*in.L/in.D
	out.TAccel = AccelerationTime(g, in.L, in.Fall, out.VInf, out.VClose)
	out.TPump = PumpingTime(g, in.L, m, v, above)
	out.TRecoil = in.L * in.Recoil * g * above / out.A / (g * in.Fall)
	out.Period = out.TAccel + in.TClose + out.TPump + out.TRecoil
	out.WasteBeat = WasteVolume(out.Area, in.L, out.M, out.VClose, out.VInf) + out.Area*out.VClose*in.TClose/2
	out.LiftBeat = PumpedVolume(g, out.Area, in.L, m, v, above)
	out.KEBeat = in.Rho * out.Area * in.L * out.VClose * out.VClose / 2
	out.EInBeat = in.Rho * g * in.Fall * (out.WasteBeat + out.LiftBeat)
}

func (in CycleIn) overTime(out *CycleOut) {
	out.BPM = 60 / out.Period
	out.Q, out.Waste = out.LiftBeat/out.Period, out.WasteBeat/out.Period
	out.QLmin, out.WasteLmin, out.DriveLmin = perMinute*out.Q, perMinute*out.Waste, perMinute*(out.Q+out.Waste)
	out.EtaD = DAubuisson(out.Q, out.Q+out.Waste, in.Fall, in.Rise)
	out.EtaR = Rankine(out.Q, out.Waste, in.Fall, in.Rise)
}

// strength works out what the parts must bear, and the air that softens the beats.
func (in CycleIn) strength(out *CycleOut) {
	static := in.Rho * calc.Gravity * in.Fall
	out.PMax = static + in.Rho*out.A*out.VClose
	out.PWorst = static + in.Rho*out.A*out.VInf
	out.PTest = 1.5 * out.PWorst
	out.AirRipple = 1.2 * out.LiftBeat * (1 - out.TPump/out.Period) / in.Ripple
	out.AirMin = math.Max(20*out.LiftBeat, out.AirRipple)
}
