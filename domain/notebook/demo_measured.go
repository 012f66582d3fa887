package notebook

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"leat/calc/confront"
	"leat/calc/gauge"
	"leat/domain"
)

// demoRun is what was read on a machine of the story: with the valve shut, and
// with all the air taken. Texts are as they were typed.
type demoRun struct {
	title   string
	shut    string // m of water
	open    string // m of water
	bucket  string // s, for 9 L of water
	vessel  string // s, for 2 L of air
	water   string // °C
	air     string // °C
	outside string // Pa
	struck  int    // time of the bucket that was struck out, from 1; 0: none
}

// What the bucket and the vessel of the demo hold, and how well that is known.
var (
	demoBucket = map[string]float64{"volume_m3": 9e-3, "mark_m3": 9e-5, "people": 1}
	demoVessel = map[string]float64{"volume_m3": 2e-3, "mark_m3": 2e-5, "people": 1, "level_m": 0, "level_off_m": 0.02}
)

// classRigs are four machines that the school class made from one drawing. The
// tubes of the third were cut with a saw, and nobody had taken the burrs off.
func classRigs() []demoRig {
	return []demoRig{
		{
			title: "Rig of the evening class", design: classDesign, place: "Thornwick school, workshop", builder: tomasz, with: wanda, second: petra,
			run: demoRun{"First water, evening class", "1.027 1.027 1.026", "1.026 1.026 1.026", "33.7 33.5 33.4 32.9 33.7", "89.9 90.5 91.5 89.4 88.0", "12", "19", "97320", 0},
		},
		{
			title: "Rig of the choir hall", design: classDesign, place: "Choir hall, kitchen", builder: tomasz, second: wanda, riser: 1.135, note: "The rim of the sink is 20 mm lower than in the workshop.",
			run: demoRun{"Choir hall, after the rehearsal", "1.005 1.006 1.005", "1.006 1.005 1.004", "33.5 33.5 38.4 33.5 33.0", "80.3 79.1 77.8 78.0 77.2", "11.5", "18", "96890", 3},
		},
		{
			title: "Rig of the bakery", design: classDesign, place: "Old bakery, scullery", builder: tomasz, second: petra,
			run: demoRun{"Bakery, hardly any air", "1.033 1.031 1.032", "1.032 1.031 1.030", "33.0 33.3 32.7 33.6 33.0", "164.3 158.6 162.1 159.7 161.9", "11.5", "18.5", "96890", 0},
		},
		{
			title: "Rig of the chapel", design: classDesign, place: "Chapel, vestry", builder: tomasz, with: wanda, second: petra, riser: 1.145, note: "Cut 10 mm short; left so.",
			run: demoRun{"Chapel, a warm evening", "1.012 1.012 1.013", "1.011 1.012 1.012", "33.5 33.6 33.3 33.5 33.3", "78.7 78.5 77.5 80.1 79.3", "12.5", "20", "97510", 0},
		},
	}
}

// fairRigs are four machines for the fairs of four villages.
func fairRigs() []demoRig {
	return []demoRig{
		{
			title: "Fair rig of Upper Thornwick", design: fairDesign, place: "Wheelhouse yard", builder: petra, with: ines, second: wanda,
			run: demoRun{"In the yard, before the fair", "1.025 1.026 1.027", "1.025 1.027 1.027", "32.6 33.1 32.5 32.7 32.2", "53.9 54.9 53.9 53.1 53.0", "11", "16", "97440", 0},
		},
		{
			title: "Fair rig of Lower Thornwick", design: fairDesign, place: "Wheelhouse yard", builder: petra, second: wanda, riser: 1.145, note: "The foot of the stand was planed down by 10 mm.",
			run: demoRun{"In the yard, second of the four", "1.018 1.019 1.017", "1.017 1.018 1.017", "32.4 32.2 32.0 32.0 32.4", "49.8 50.7 49.2 50.2 50.9", "11", "15.5", "97440", 0},
		},
		{
			title: "Fair rig of Cobbler's End", design: fairDesign, place: "Cobbler's End, village green", builder: petra, second: tomasz,
			run: demoRun{"On the green", "1.029 1.030 1.030", "1.030 1.030 1.029", "32.7 32.4 32.5 32.3 32.4", "61.6 61.4 62.1 62.3 60.7", "12", "17.5", "97110", 0},
		},
		{
			title: "Fair rig of Blackdrain", design: fairDesign, place: "Blackdrain, chapel yard", builder: petra, with: wanda, second: tomasz, riser: 1.125, note: "The ground slopes; the stand was cut to it.",
			run: demoRun{"Blackdrain, a hot afternoon", "0.997 0.996 0.997", "0.996 0.996 0.997", "32.3 32.4 32.2 31.7 32.2", "51.5 51.1 51.2 51.3 51.3", "13", "20.5", "96750", 0},
		},
	}
}

func (s *story) classMeasured() error {
	first := demoRun{"Open day, quiet hour", "1.035 1.035 1.036", "1.034 1.035 1.035", "33.2 33.4 33.7 33.0 33.4", "75.9 77.7 77.5 79.0 77.6", "12.5", "18.5", "97050", 0}
	if err := s.counts(schoolRig, first, wanda, tomasz); err != nil {
		return err
	}
	return s.measured(classRigs(), wanda, tomasz)
}

func (s *story) fairMeasured() error { return s.measured(fairRigs(), petra, ines) }

// measured measures machines and has the runs confirmed.
func (s *story) measured(rigs []demoRig, opener, reader string) error {
	for _, r := range rigs {
		if err := s.counts(r.title, r.run, opener, reader); err != nil {
			return fmt.Errorf("%s: %w", r.title, err)
		}
	}
	return nil
}

// libraryMeasured is a run that was set aside.
func (s *story) libraryMeasured() error {
	run, err := s.judgedRun(libraryRig, demoRun{"Garden room, with the reading circle", "1.029 1.028 1.029", "1.021 1.012 1.026", "35.9 41.2 33.8 47.0 34.1", "78.4 121.2 69.5 92.6 74.0", "12", "19.5", "97180", 0}, petra, tomasz)
	if err != nil {
		return err
	}
	_, err = s.SetRunAside(s.ctx, s.people[bram], domain.SetRunAside{Run: run.Ref(), Reason: "Somebody stood on the hose now and then: the flow was never the same twice. Measure it again with the hose along the wall.", Proof: s.proof()})
	return err
}

// libraryUncertified is a run on a machine without a valid certificate: nothing of
// its air and pressure counts, and it was submitted all the same.
func (s *story) libraryUncertified() error {
	_, err := s.judgedRun(libraryRig, demoRun{"After the ladder", "1.029 1.027 1.029", "1.027 1.027 1.026", "33.4 33.0 33.1 33.2 32.5", "68.7 69.8 70.3 68.2 67.4", "12", "19", "97260", 0}, petra, wanda)
	return err
}

// schoolAgain is a run that waits to be confirmed.
func (s *story) schoolAgain() error {
	_, err := s.judgedRun(schoolRig, demoRun{"Once more, with the new coefficients", "1.036 1.035 1.035", "1.034 1.035 1.034", "33.5 33.1 33.4 33.6 33.2", "76.4 77.0 75.8 77.9 76.6", "13", "19", "97400", 0}, wanda, tomasz)
	return err
}

// counts measures a machine and has the run confirmed.
func (s *story) counts(title string, run demoRun, opener, reader string) error {
	r, err := s.judgedRun(title, run, opener, reader)
	if err != nil {
		return err
	}
	s.at = s.at.Add(time.Hour)
	_, err = s.ConfirmRun(s.ctx, s.people[bram], domain.ConfirmRun{Run: r.Ref(), Proof: s.proof()})
	return err
}

// judgedRun measures a machine, submits the run and works out its verdict.
func (s *story) judgedRun(title string, run demoRun, opener, reader string) (domain.Run, error) {
	s.at = s.at.Add(time.Hour)
	r, _, err := s.OpenRun(s.ctx, s.people[opener], domain.OpenRun{Project: s.project, Build: s.builds[title].ID, Title: run.title, Key: s.key()})
	if err != nil {
		return r, err
	}
	for _, p := range run.points() {
		s.at = s.at.Add(4 * time.Minute)
		if r, _, err = s.AddRunPoint(s.ctx, s.people[opener], domain.AddRunPoint{Run: r.Ref(), Name: p.name, Setting: p.setting, Key: s.key()}); err != nil {
			return r, err
		}
		for _, reading := range p.readings {
			s.at = s.at.Add(3 * time.Minute)
			reading.Run, reading.Point, reading.Key = r.Ref(), r.Points[len(r.Points)-1].Number, s.key()
			if name, there := demoReadWith[reading.Method]; there {
				reading.Instrument = given(s.tools[name])
			}
			if r, _, err = s.RecordReading(s.ctx, s.people[reader], reading); err != nil {
				return r, fmt.Errorf("%s: %w", reading.Quantity, err)
			}
		}
	}
	if run.struck > 0 {
		if err := s.strikes(r, run.struck, reader); err != nil {
			return r, err
		}
	}
	s.at = s.at.Add(5 * time.Minute)
	if r, err = s.SubmitRun(s.ctx, s.people[opener], r.Ref()); err != nil {
		return r, err
	}
	_, err = s.JudgeDue(s.ctx)
	return r, err
}

func (s *story) strikes(r domain.Run, position int, reader string) error {
	for _, p := range r.Points {
		for _, reading := range p.Readings {
			if reading.Method != "bucket" {
				continue
			}
			_, _, err := s.StrikeReading(s.ctx, s.people[reader], domain.StrikeReading{Run: r.Ref(), Reading: reading.ID, Position: position, Reason: "The bucket was put under late.", Key: s.key()})
			return err
		}
	}
	return nil
}

// demoReadWith says which instrument the demo's people read a method with.
var demoReadWith = map[string]string{"manometer": longTube, "thermometer": thermometer, "barometer": barometer}

// demoPoint is an operating point of a run of the demo.
type demoPoint struct {
	name, setting string
	readings      []domain.RecordReading
}

func (r demoRun) points() []demoPoint {
	around := []domain.RecordReading{
		typed(gauge.WaterWarmth, "thermometer", "°C", r.water, nil),
		typed(gauge.AirWarmth, "thermometer", "°C", r.air, nil),
		typed(gauge.AirPressure, "barometer", "Pa", r.outside, nil),
	}
	swing := map[string]float64{"swing_m": 0.004}
	return []demoPoint{
		{"Valve shut", confront.Shut, append(around, typed(confront.HighestPressure, "manometer", "m", r.shut, swing))},
		{"All the air taken", confront.AsDrawn, []domain.RecordReading{
			typed(confront.DeliveryPressure, "manometer", "m", r.open, swing),
			typed(confront.WaterFlow, "bucket", "s", r.bucket, demoBucket),
			typed(confront.FreeAir, "inverted_vessel", "s", r.vessel, demoVessel),
		}},
	}
}

// typed is a reading as it was typed, with spaces between the values.
func typed(quantity, method, unit, texts string, extra map[string]float64) domain.RecordReading {
	cmd := domain.RecordReading{Quantity: quantity, Method: method, Typed: domain.TypedReading{Unit: unit, Texts: strings.Fields(texts)}, Extra: extra}
	for _, text := range cmd.Typed.Texts {
		x, _ := strconv.ParseFloat(text, 64) // all are numbers
		cmd.Values = append(cmd.Values, x)
	}
	return cmd
}
