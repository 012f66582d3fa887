package search

import (
	"encoding/json"

	"leat/calc/trompe"
)

// Where levels lie in a lying chamber, as shares of its bore from the floor.
const (
	mouthShare = 0.30
	lipShare   = 0.45
	highShare  = 0.80
)

const (
	tubeLength = 0.5  // m
	bundle     = 0.05 // m that the tubes reach into the downcomer
)

// machine returns a candidate as the model wants it. Levels are in m from the
// tailwater.
func (s *Search) machine(i int) trompe.Input {
	c := s.list[i]
	return s.levelled(s.frames[c.frame], s.levels[c.level])
}

func (s *Search) levelled(f frame, l level) trompe.Input {
	in := s.base
	floor := -l.dug + (f.chamber.OuterM-f.chamber.BoreM)/2
	in.NParallel = trompe.Whole(f.units)
	in.Intake.MouthM = toMM(s.asked.FallM - f.over)
	in.Intake.NTubes, in.Intake.TubeBoreM, in.Intake.TubeOutsideM = trompe.Whole(f.count), f.tube.bore, f.tube.outer
	in.Downcomer.BoreM, in.Downcomer.OutletM = f.down.BoreM, toMM(floor+mouthShare*f.chamber.BoreM)
	in.Chamber = trompe.Chamber{
		Kind: trompe.Horizontal, BoreM: f.chamber.BoreM, LengthM: f.length, FloorM: toMM(floor),
		LipM: toMM(floor + lipShare*f.chamber.BoreM), HighM: toMM(floor + highShare*f.chamber.BoreM),
	}
	in.Riser.BoreM, in.Riser.OutletM = f.riser.BoreM, l.outlet
	return in
}

// baseOf is the machine before its pipes: the site and what is the same for
// all. Every candidate differs from it in measures that the grid keeps within
// what [trompe.Decode] takes.
func baseOf(a Asked) trompe.Input {
	in := trompe.Defaults()
	in.Site.AltitudeM, in.Site.AirC, in.Site.WaterC = a.AltitudeM, a.AirC, a.WaterC
	tailwater := 0.0
	in.Site.GroundM = &tailwater
	in.Supply = trompe.Supply{Type: trompe.Forebay, LevelM: a.FallM, FlowMaxM3: &a.FlowM3S}
	in.Intake.TubeLengthM, in.Intake.BundleLengthM = tubeLength, bundle
	in.Downcomer.KMinor, in.Riser.KMinor = 0.3, 1.5 // a plain end; entry and two bends: from memory
	in.Wanted = trompe.Wanted{GaugePa: unlessZero(a.GaugePa), FreeAirM3S: unlessZero(a.AirM3S)}
	return in
}

func unlessZero(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}

type object map[string]any

// text returns a machine as a sheet keeps it: without what is the usual value.
func text(in trompe.Input) (json.RawMessage, error) {
	i, d, c, r, site := in.Intake, in.Downcomer, in.Chamber, in.Riser, in.Site
	machine := object{
		"site":   object{"altitude_m": site.AltitudeM, "t_air_c": site.AirC, "t_water_c": site.WaterC, "ground_m": site.GroundM},
		"supply": object{"type": in.Supply.Type, "level_m": in.Supply.LevelM, "flow_max_m3s": in.Supply.FlowMaxM3},
		"intake": object{
			"mouth_m": i.MouthM, "n_tubes": i.NTubes, "tube_id_m": i.TubeBoreM, "tube_od_m": i.TubeOutsideM,
			"tube_length_m": i.TubeLengthM, "bundle_length_m": i.BundleLengthM,
		},
		"downcomer": object{"bore_m": d.BoreM, "outlet_m": d.OutletM, "k_minor": d.KMinor},
		"chamber":   object{"kind": c.Kind, "bore_m": c.BoreM, "length_m": c.LengthM, "floor_m": c.FloorM, "lip_m": c.LipM, "high_m": c.HighM},
		"riser":     object{"bore_m": r.BoreM, "outlet_m": r.OutletM, "k_minor": r.KMinor},
	}
	if in.NParallel > 1 {
		machine["n_parallel"] = in.NParallel
	}
	if in.Wanted.GaugePa != nil || in.Wanted.FreeAirM3S != nil {
		machine["wanted"] = in.Wanted
	}
	return json.Marshal(machine)
}
