package pipe

import "leat/calc"

// WaveIn is a pipe wall and the water in it.
type WaveIn struct {
	D      float64 `json:"D"`       // m
	Wall   float64 `json:"wall"`    // m
	EWall  float64 `json:"E_wall"`  // Pa
	KWater float64 `json:"K_water"` // Pa
	Rho    float64 `json:"rho"`     // kg/m³
	C1     float64 `json:"c1"`
}

// WaveOut is the speed of a pressure wave.
type WaveOut struct {
	A float64 `json:"a"`
}

// BulkModulus is that of water at 20 °C, in Pa, to 2 %; handbook value, from memory.
const BulkModulus = 2.19e9

// Wave answers how fast a pressure wave runs in a full pipe.
func Wave(in WaveIn) (WaveOut, []calc.Warning, *calc.Fault) {
	return WaveOut{WaveSpeed(in.KWater, in.Rho, in.C1, in.EWall, in.D, in.Wall)}, nil, nil
}

const korteweg = "Korteweg and Joukowsky, as in C. S. Martin, Waterhammer potential in pumps and systems, equation 1; moduli from memory"

var wave = calc.New(calc.Description{
	Name: "system/wave_speed", Answers: "speed of a pressure wave in a pipe, for water hammer and rams", Evidence: calc.OftenMeasured,
	Words: []string{"water hammer", "wave", "ram", "drive pipe", "celerity"},
	Inputs: []calc.Field{
		bore,
		calc.Positive("/wall", "m", "thickness of the wall").Need(),
		calc.Positive("/E_wall", "Pa", "modulus of the wall: steel 200e9, copper 120e9, PVC 2.4e9 to 3.5e9, PE 0.7e9 to 1.2e9").Need(),
		calc.Positive("/K_water", "Pa", "bulk modulus of the water").Preset("2190000000"),
		calc.Positive("/rho", "kg/m³", "density of the water").Preset("998.2"),
		calc.Positive("/c1", "", "how the pipe is held: 1 where it may move freely").Preset("1"),
	},
	Outputs: []calc.Field{
		calc.Gives("/a", "m/s", "speed of the wave", "a = √(K/ρ)/√(1 + c₁·(K/E)·(D/e))", korteweg, "/K_water", "/rho", "/c1", "/E_wall", "/D", "/wall"),
	},
	Equation: "a = √(K/ρ)/√(1 + c₁·(K/E)·(D/e))",
	Validity: "Thin wall, full pipe, water without bubbles. Air in the water makes the wave far slower.",
	Sources:  []string{korteweg},
	Example:  []byte(`{"D": 0.0525, "wall": 0.0039, "E_wall": 200e9}`),
}, WaveIn{KWater: BulkModulus, Rho: calc.WaterDensity, C1: 1}, Wave)
