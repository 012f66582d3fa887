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
			run: demoRun{"First water, evening class", "0.984 0.983 0.984", "1.024 1.026 1.025", "33.6 33.2 34.0 33.8 33.9", "94.7 92.4 91.0 92.5 93.0", "12 12.5 12", "19 19.5 19", "97320 97310 97330", 0},
		},
		{
			title: "Rig of the choir hall", design: classDesign, place: "Choir hall, kitchen", builder: tomasz, second: wanda, riser: 1.135, note: "The rim of the sink is 20 mm lower than in the workshop.",
			run: demoRun{"Choir hall, after the rehearsal", "0.961 0.960 0.959", "1.007 1.006 1.007", "33.5 32.9 38.4 33.5 33.2", "79.4 78.7 82.5 80.5 80.2", "11.5 12 11.5", "18 18.5 18", "96890 96880 96900", 3},
		},
		{
			title: "Rig of the bakery", design: classDesign, place: "Old bakery, scullery", builder: tomasz, second: petra,
			run: demoRun{"Bakery, hardly any air", "0.996 0.994 0.995", "1.028 1.026 1.028", "33.0 33.5 32.8 33.2 32.9", "247.2 243.6 253.9 241.5 248.7", "11.5 12 11.5", "18.5 19 18.5", "96890 96880 96900", 0},
		},
		{
			title: "Rig of the chapel", design: classDesign, place: "Chapel, vestry", builder: tomasz, with: wanda, second: petra, riser: 1.145, note: "Cut 10 mm short; left so.",
			run: demoRun{"Chapel, a warm evening", "0.972 0.972 0.973", "1.015 1.014 1.015", "33.0 33.0 32.7 33.4 33.2", "85.7 87.0 85.2 86.4 85.7", "12.5 13 12.5", "20 20.5 20", "97510 97500 97520", 0},
		},
	}
}

// fairRigs are four machines for the fairs of four villages.
func fairRigs() []demoRig {
	return []demoRig{
		{
			title: "Fair rig of Upper Thornwick", design: fairDesign, place: "Wheelhouse yard", builder: petra, with: ines, second: wanda,
			run: demoRun{"In the yard, before the fair", "0.958 0.959 0.958", "1.028 1.027 1.028", "32.8 32.4 32.1 32.1 32.2", "56.8 55.4 57.1 55.9 56.6", "11 11.5 11", "16 16.5 16", "97440 97430 97450", 0},
		},
		{
			title: "Fair rig of Lower Thornwick", design: fairDesign, place: "Wheelhouse yard", builder: petra, second: wanda, riser: 1.145, note: "The foot of the stand was planed down by 10 mm.",
			run: demoRun{"In the yard, second of the four", "0.944 0.945 0.944", "1.018 1.017 1.018", "32.5 33.0 33.3 33.1 32.8", "54.4 52.9 55.1 54.1 54.4", "11 11.5 11", "15.5 16 15.5", "97440 97430 97450", 0},
		},
		{
			title: "Fair rig of Cobbler's End", design: fairDesign, place: "Cobbler's End, village green", builder: petra, second: tomasz,
			run: demoRun{"On the green", "0.954 0.953 0.953", "1.026 1.026 1.027", "32.3 31.7 32.3 32.4 32.8", "52.0 52.8 52.9 51.9 52.1", "12 12.5 12", "17.5 18 17.5", "97110 97100 97120", 0},
		},
		{
			title: "Fair rig of Blackdrain", design: fairDesign, place: "Blackdrain, chapel yard", builder: petra, with: wanda, second: tomasz, riser: 1.125, note: "The ground slopes; the stand was cut to it.",
			run: demoRun{"Blackdrain, a hot afternoon", "0.915 0.916 0.917", "0.997 0.996 0.997", "32.3 31.9 32.3 32.7 32.4", "47.3 47.5 47.4 47.6 48.3", "13 13.5 13", "20.5 21 20.5", "96750 96740 96760", 0},
		},
	}
}

func (s *story) classMeasured() error {
	first := demoRun{"Open day, quiet hour", "0.988 0.988 0.987", "1.031 1.031 1.030", "33.0 33.3 32.7 33.1 32.9", "81.2 81.0 82.6 81.1 81.0", "12.5 13 12.5", "18.5 19 18.5", "97050 97040 97060", 0}
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
	run, err := s.judgedRun(libraryRig, demoRun{"Garden room, with the reading circle", "0.991 0.986 0.994", "1.021 1.012 1.026", "35.9 41.2 33.8 47.0 34.1", "88.4 131.2 79.5 102.6 84.0", "12 12.5 12", "19.5 20 19.5", "97180 97170 97190", 0}, petra, tomasz)
	if err != nil {
		return err
	}
	_, err = s.SetRunAside(s.ctx, s.people[bram], domain.SetRunAside{Run: run.Ref(), Reason: "Somebody stood on the hose now and then: the flow was never the same twice. Measure it again with the hose along the wall.", Proof: s.proof()})
	return err
}

// libraryUncertified is a run on a machine without a valid certificate: nothing of
// its air and pressure counts, and it was submitted all the same.
func (s *story) libraryUncertified() error {
	_, err := s.judgedRun(libraryRig, demoRun{"After the ladder", "0.992 0.994 0.995", "1.034 1.032 1.031", "33.4 33.1 33.3 33.4 33.1", "80.9 80.4 81.0 81.1 80.0", "12 12.5 12", "19 19.5 19", "97260 97250 97270", 0}, petra, wanda)
	return err
}

// schoolAgain is a run that waits to be confirmed.
func (s *story) schoolAgain() error {
	_, err := s.judgedRun(schoolRig, demoRun{"Once more, before the summer", "0.987 0.988 0.988", "1.031 1.030 1.030", "33.1 33.4 32.8 33.2 32.9", "80.6 81.8 81.3 80.9 82.0", "13 13.5 13", "19 19.5 19", "97400 97390 97410", 0}, wanda, tomasz)
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
