package trompe_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/trompe"
	"leat/calc/water"
)

// plant is a row of testdata/plants.csv, which names its source and says
// whether the source was read or is quoted from memory.
type plant map[string]string

func plants(t *testing.T) map[string]plant {
	t.Helper()
	file, err := os.Open("testdata/plants.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	list := map[string]plant{}
	for _, row := range rows[1:] {
		p := plant{}
		for i, name := range rows[0] {
			p[name] = row[i]
		}
		list[p["id"]] = p
	}
	return list
}

func (p plant) number(t *testing.T, name string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(p[name], 64)
	require.NoError(t, err, "%s of %s", name, p["id"])
	return x
}

// mill is an old plant as far as it is published, with assumed submergence and
// chamber area: old riveted steel, a riser of twice the area, ample tubes.
func mill(head, bore, gaugePa, submergence, chamberM2, throat float64) trompe.Input {
	in, _ := trompe.Decode([]byte(`{}`))
	rise := gaugePa / (water.Density(12) * 9.80665)
	in.Supply = trompe.Supply{Type: trompe.Forebay, LevelM: head}
	in.Intake.MouthM = head - submergence
	in.Intake.NTubes, in.Intake.TubeBoreM, in.Intake.TubeOutsideM, in.Intake.TubeLengthM = trompe.Whole(1500*bore*bore), 0.015, 0.018, 1
	in.Intake.ThroatAreaM2 = &throat
	in.Downcomer.BoreM, in.Downcomer.OutletM, in.Downcomer.RoughnessM = bore, -rise-0.5, 2e-4
	in.Chamber = trompe.Chamber{Kind: trompe.Plan, PlanAreaM2: chamberM2, LipM: -rise, HighM: -rise + 1}
	in.Riser.BoreM, in.Riser.OutletM, in.Riser.RoughnessM = 1.5*bore, 0, 1e-3
	return in
}

// matched sets the throat so that the quantity reaches its published value, by
// the narrowest throat that does.
func matched(t *testing.T, make func(throat float64) trompe.Input, bore, want float64, quantity func(*trompe.Numbers) float64) *trompe.Numbers {
	t.Helper()
	reach := func(throat float64) (*trompe.Numbers, bool) {
		res, err := trompe.Solve(make(throat))
		require.NoError(t, err)
		return res.Numbers, res.Numbers != nil && quantity(res.Numbers) >= want
	}
	low, high := 0.0, 0.02*bore*bore
	for _, ok := reach(high); !ok; _, ok = reach(high) {
		low, high = high, high*1.03
		require.Less(t, high, 0.785*bore*bore, "no throat reaches %v", want)
	}
	for range 50 {
		if _, ok := reach((low + high) / 2); ok {
			high = (low + high) / 2
		} else {
			low = (low + high) / 2
		}
	}
	best, _ := reach(high)
	require.InEpsilon(t, want, quantity(best), 1e-6)
	return best
}

// line is one row of the printed table; the difference from what is published,
// in per cent, has to lie between low and high.
type line struct {
	p         plant
	what      string
	predicted float64
	published float64
	low, high float64
}

// TestPlants prints predicted against published. It is a weak check: no plant
// is published with its intake drawn, so the throat is set to match one flow
// and the rest compared; submergence, tubes, riser and chamber are assumed. The
// bands are what is claimed, no more: about 10 to 15 % on air and efficiency,
// 3 % on pressure, and a factor of two on lost oxygen.
func TestPlants(t *testing.T) {
	all := plants(t)
	var table []line
	add := func(id, what string, predicted, published, low, high float64) {
		table = append(table, line{all[id], what, predicted, published, low, high})
	}
	magog, cobalt := all["P11"], all["P06"]
	for _, sub := range []float64{0.3, 0.6} {
		for _, chamber := range []float64{15, 40} {
			n := matched(t, func(throat float64) trompe.Input {
				return mill(magog.number(t, "head_m"), magog.number(t, "downcomer_bore_m"), 1000*magog.number(t, "delivery_kPa_gauge"), sub, chamber, throat)
			}, 1.118, magog.number(t, "water_m3_per_s"), func(n *trompe.Numbers) float64 { return n.WaterFlowM3S })
			setting := fmt.Sprintf(", submergence %.1f m, chamber %.0f m²", sub, chamber)
			add("P11", "free air m³/s"+setting, n.FreeAirM3S, magog.number(t, "free_air_m3_per_s"), -5, 12)
			add("P11", "efficiency"+setting, n.Efficiency, magog.number(t, "efficiency_percent")/100, -5, 12)
		}
	}
	for _, id := range []string{"P09", "P10"} {
		p := all[id]
		n := matched(t, func(throat float64) trompe.Input {
			return mill(p.number(t, "head_m"), p.number(t, "downcomer_bore_m"), 1000*all["P08"].number(t, "delivery_kPa_gauge"), 2.5, 200, throat)
		}, 1.524, p.number(t, "free_air_m3_per_s"), func(n *trompe.Numbers) float64 { return n.FreeAirM3S })
		add(id, "efficiency", n.Efficiency, p.number(t, "efficiency_percent")/100, -14, 0)
	}
	in, faults := trompe.Decode(workedCases(t)[2].Input) // the mine-class plant: flare and throat assumed
	require.Empty(t, faults)
	res, err := trompe.Solve(in)
	require.NoError(t, err)
	add("P05", "efficiency, flare assumed", res.Efficiency, all["P05"].number(t, "efficiency_percent")/100, -21, -5)
	add("P01", "free air m³/s, flare assumed", res.FreeAirM3S, all["P01"].number(t, "free_air_m3_per_s"), -15, 15)
	kept := 0.2095 - *res.OxygenFractionDry
	add("P06", "oxygen lost", kept, 0.2095-cobalt.number(t, "oxygen_percent_vol")/100, -60, 0)
	hydrostatic := func(id, what string, rise float64, published float64, low, high float64) {
		add(id, what, water.Density(10)*9.80665*rise/1000, published, low, high)
	}
	hydrostatic("P04", "static pressure kPa, drop less head", all["P04"].number(t, "drop_m")-cobalt.number(t, "head_m"), all["P04"].number(t, "delivery_kPa_gauge"), -3, 3)
	hydrostatic("P08", "static pressure kPa, drop less head", all["P08"].number(t, "drop_m")-all["P09"].number(t, "head_m"), all["P08"].number(t, "delivery_kPa_gauge"), -3, 3)
	hydrostatic("P15", "static pressure kPa, riser taken as plumb", all["P15"].number(t, "riser_rise_m"), all["P15"].number(t, "delivery_kPa_gauge"), -4, 1)
	print := fmt.Sprintf("%-4s %-32s %-52s %10s %10s %7s  %s\n", "row", "plant", "quantity", "predicted", "published", "diff %", "published figure")
	for _, l := range table {
		diff := 100 * (l.predicted/l.published - 1)
		print += fmt.Sprintf("%-4s %-32s %-52s %10.4g %10.4g %+7.1f  %s\n", l.p["id"], l.p["plant"], l.what, l.predicted, l.published, diff, l.p["basis"])
	}
	t.Log("\n" + print)
	for _, l := range table {
		diff := 100 * (l.predicted/l.published - 1)
		require.True(t, diff >= l.low && diff <= l.high, "%s %s: %+.1f %% is outside %v to %v %%", l.p["id"], l.what, diff, l.low, l.high)
	}
}

// The rule of built small machines, 0.30 of free air a volume of water from 4 ft
// of fall up (testdata/plants.csv P18, read). It is not independent: the
// saturation void was set with it. What is tested is its wording, one ratio for
// all heads.
func TestSmallMachinesKeepOneRatioForAllHeads(t *testing.T) {
	p := plants(t)["P18"]
	published := p.number(t, "free_air_m3_per_s") / p.number(t, "water_m3_per_s")
	for _, feet := range []float64{4, 6, 8, 10} {
		in, _ := trompe.Decode([]byte(`{}`))
		const bore = 0.104
		throat, q := 0.35*math.Pi/4*bore*bore, 0.0079 // near 1 m/s
		head := feet * 0.3048
		in.Site.AltitudeM = 200
		in.Supply = trompe.Supply{Type: trompe.Forebay, LevelM: 1 + head + 0.6, FlowMaxM3: &q}
		in.Intake.MouthM, in.Intake.NTubes = 1+head-0.25, 26
		in.Intake.TubeBoreM, in.Intake.TubeOutsideM, in.Intake.TubeLengthM, in.Intake.ThroatAreaM2 = 0.013, 0.016, 0.4, &throat
		in.Downcomer.BoreM, in.Downcomer.KMinor = bore, 0.3
		in.Chamber = trompe.Chamber{Kind: trompe.Plan, PlanAreaM2: 0.5, LipM: 0.05, HighM: 0.1}
		in.Riser.BoreM, in.Riser.OutletM = 0.152, 1.05
		res, err := trompe.Solve(in)
		require.NoError(t, err)
		require.NotNil(t, res.Numbers, "%v ft: %s", feet, res.Status)
		t.Logf("%v ft: %s, air to water %.3f, published rule %.2f", feet, res.Status, res.AirWaterRatio, published)
		require.InDelta(t, published, res.AirWaterRatio, 0.04)
	}
}
