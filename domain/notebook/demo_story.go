package notebook

import (
	"context"
	"fmt"
	"time"

	"leat/domain"
)

// story is what the demo group lived through with one design: it was returned,
// mended and cleared, two machines were made from it, and each was tested.
type story struct {
	*Notebook // whose clock is the story's, and whose transactions are parts of one
	ctx       context.Context
	at        time.Time // now, in the story
	people    map[string]domain.Actor
	machines  map[string]demoMachine
	project   domain.ProjectID
	gauge     domain.InstrumentID
	keys      int
}

// storyDays is how long ago it all began.
const storyDays = 80

// storyMachines are those that it saves.
var storyMachines = []string{"bench-high", "bench-low"}

// newStory returns a story that is told within a transaction. Its people prove
// their signatures with the same password over and over, so that is hashed once.
func (l demoLoad) newStory(ctx context.Context, project domain.ProjectID) *story {
	s := &story{ctx: ctx, at: l.now(), people: l.people, machines: l.machines, project: project}
	n := *l.Notebook
	n.db, n.hasher = l.tx.Within(), l.hasher.remembering()
	n.clock = func() time.Time { return s.at }
	s.Notebook = &n
	return s
}

// daysAgo sets the story's clock to a morning before what is now outside of it.
func (s *story) daysAgo(now time.Time, days int) {
	s.at = now.Add(-time.Duration(days) * 24 * time.Hour)
}

func (s *story) key() string {
	s.keys++
	return fmt.Sprintf("demo-story-%d-%04d", s.project, s.keys)
}

func (s *story) proof() domain.Proof { return domain.Proof{Password: DemoPassword} }

// tell tells the story of the low rig, up to now.
func (s *story) tell(now time.Time) error {
	s.daysAgo(now, 72)
	d, err := s.lowRig()
	if err != nil {
		return fmt.Errorf("its check: %w", err)
	}
	if s.gauge, err = s.instruments(now); err != nil {
		return fmt.Errorf("its instruments: %w", err)
	}
	s.daysAgo(now, 60)
	if err := s.schoolRig(now, d); err != nil {
		return fmt.Errorf("the rig of the school: %w", err)
	}
	s.daysAgo(now, 30)
	if err := s.libraryRig(now, d); err != nil {
		return fmt.Errorf("the rig of the library: %w", err)
	}
	return nil
}

// lowRig has a design issued, returned with remarks, mended and cleared.
func (s *story) lowRig() (domain.DesignID, error) {
	tomasz, bram, petra := s.people[tomasz], s.people[bram], s.people[petra]
	d, _, err := s.StartDesign(s.ctx, tomasz, domain.StartDesign{Project: s.project, Title: "Low rig for the open day", Key: s.key()})
	if err != nil {
		return 0, err
	}
	first, err := s.issue(tomasz, d, "A", "bench-high", "For the open day, to stand in the hall. A little taller than the one in the lab.")
	if err != nil {
		return 0, err
	}
	stopper, _, err := s.RaiseRemark(s.ctx, bram, domain.RaiseRemark{
		Project: s.project, Design: d.ID, Letter: "A", Pin: domain.Pin{Kind: domain.OnInput, At: "/facts/riser_can_block"}, Weight: domain.Stopper, Key: s.key(),
		Text: "You say that the riser cannot block, and its outlet is drawn under the lid of the sink. A wet cloth on it is a valve. Either the outlet stands free, or the chamber has to be good for water up to the brim.",
	})
	if err != nil {
		return 0, err
	}
	if _, _, err := s.RaiseRemark(s.ctx, petra, domain.RaiseRemark{
		Project: s.project, Design: d.ID, Letter: "A", Pin: domain.Pin{Kind: domain.OnPart, At: "riser"}, Weight: domain.Note, Key: s.key(),
		Text: "A clear riser would show the children that the water comes back up by itself.",
	}); err != nil {
		return 0, err
	}
	s.at = s.at.Add(26 * time.Hour)
	if _, err = s.CheckDesign(s.ctx, bram, domain.CheckDesign{
		Project: s.project, Design: d.ID, Letter: "A", Version: first.Version, Outcome: domain.Return, Password: DemoPassword,
		Note: "The machine is sound. How it stands in the sink is not: see the stopper.",
	}); err != nil {
		return 0, err
	}
	s.at = s.at.Add(50 * time.Hour)
	return d.ID, s.mended(d.ID, stopper.ID)
}

// mended has the next letter drawn, the remark answered and laid to rest, and the
// letter cleared.
func (s *story) mended(id domain.DesignID, stopper domain.RemarkID) error {
	tomasz, bram := s.people[tomasz], s.people[bram]
	d, err := s.Design(s.ctx, tomasz, s.project, id)
	if err != nil {
		return err
	}
	if d, err = s.StartRevision(s.ctx, tomasz, domain.StartRevision{Project: s.project, Design: id, Version: d.Version}); err != nil {
		return err
	}
	if _, _, err := s.AnswerRemark(s.ctx, tomasz, domain.AnswerRemark{
		Project: s.project, Design: id, Remark: stopper, Key: s.key(),
		Text: "The riser now ends above the rim of the sink, in the open, with a wire cage over it. Nothing can lie on it.",
	}); err != nil {
		return err
	}
	check, err := s.issue(tomasz, d, "B", "bench-low", "Riser in the open, with a cage. As low as the one in the lab.")
	if err != nil {
		return err
	}
	s.at = s.at.Add(20 * time.Hour)
	if _, err := s.LayRemark(s.ctx, bram, domain.LayRemark{Project: s.project, Design: id, Remark: stopper}); err != nil {
		return err
	}
	_, err = s.CheckDesign(s.ctx, bram, domain.CheckDesign{
		Project: s.project, Design: id, Letter: "B", Version: check.Version, Outcome: domain.Clear, Password: DemoPassword,
		Note: "Looked at the sink, too. Clear.",
	})
	return err
}

// issue saves a machine under the draft and gives it to be checked.
func (s *story) issue(who domain.Actor, d domain.Design, letter, machine, note string) (domain.Check, error) {
	sheet, version, err := s.SaveSheet(s.ctx, who, domain.SaveSheet{
		Project: s.project, Design: d.ID, Letter: letter, Version: d.Version, Input: s.machines[machine].input, Note: note,
	})
	if err != nil {
		return domain.Check{}, err
	}
	return s.IssueRevision(s.ctx, who, domain.IssueRevision{Project: s.project, Design: d.ID, Letter: letter, Version: version, Sheet: sheet.Number, Note: note})
}

// instruments puts two gauges into the register, one of which is overdue, and
// returns the one that is good.
func (s *story) instruments(now time.Time) (domain.InstrumentID, error) {
	ines := s.people[ines]
	day := func(days int) *time.Time { return given(now.UTC().AddDate(0, 0, -days).Truncate(24 * time.Hour)) }
	good, _, _, err := s.AddInstrument(s.ctx, ines, domain.AddInstrument{
		Facts: domain.InstrumentFacts{
			Name: "Test gauge, 100 mm dial", Kind: domain.PressureGauge, Serial: "TW-07", Unit: "Pa", Low: 0, High: 60e3, Resolution: given(500.0), ClassPct: given(1.0), IntervalDays: 365,
			Note: "Belongs to the test box. Never on a ram.",
		},
		CalibratedOn: day(120), Calibration: "Against the water column in the stairwell of the school, 0 to 5.5 m.", Key: s.key(),
	})
	if err != nil {
		return 0, err
	}
	_, _, _, err = s.AddInstrument(s.ctx, ines, domain.AddInstrument{
		Facts: domain.InstrumentFacts{
			Name: "Workshop gauge", Kind: domain.PressureGauge, Serial: "none, green paint on the rim", Unit: "Pa", Low: 0, High: 1e6, ClassPct: given(2.5), IntervalDays: 365,
			Note: "For looking, not for testing.",
		},
		CalibratedOn: day(500), Calibration: "As bought.", Key: s.key(),
	})
	return good.ID, err
}

// schoolRig has a machine made whose first test fails and whose second is passed.
func (s *story) schoolRig(now time.Time, d domain.DesignID) error {
	b, err := s.made(d, "Rig of the school", "Thornwick school, entrance hall", s.people[tomasz], wanda)
	if err != nil {
		return err
	}
	if err := s.write(b, tomasz, "All joints cemented, the chamber welded on at the waterworks. Wanda held the pipes and says so.", false); err != nil {
		return err
	}
	s.daysAgo(now, 52)
	test := &demoTest{story: s, build: b, builder: tomasz, second: petra, leaks: true}
	if err := test.fails("H02", "A drop every few seconds at the foot of the riser, and the gauge followed it down."); err != nil {
		return fmt.Errorf("its first test: %w", err)
	}
	s.daysAgo(now, 50)
	if b, err = s.remade(b, "The joint at the foot of the riser cut out and made anew; the old one had not been pushed home."); err != nil {
		return err
	}
	s.daysAgo(now, 44)
	test = &demoTest{story: s, build: b, builder: tomasz, second: petra}
	if err := test.passes(); err != nil {
		return fmt.Errorf("its second test: %w", err)
	}
	return s.intoService(b, tomasz)
}

// libraryRig has a machine made and tested whose certificate lapses.
func (s *story) libraryRig(now time.Time, d domain.DesignID) error {
	b, err := s.made(d, "Rig of the library", "Lower Thornwick library, garden room", s.people[tomasz], "")
	if err != nil {
		return err
	}
	s.daysAgo(now, 21)
	test := &demoTest{story: s, build: b, builder: tomasz, second: wanda}
	if err := test.passes(); err != nil {
		return fmt.Errorf("its test: %w", err)
	}
	if err := s.intoService(b, tomasz); err != nil {
		return err
	}
	s.daysAgo(now, 4)
	if err := s.write(b, petra, "Somebody leaned a ladder against the riser. It did not break, but the joint at its foot weeps.", true); err != nil {
		return err
	}
	s.daysAgo(now, 3)
	_, err = s.remade(b, "Joint at the foot of the riser made anew after the ladder.")
	return err
}

// made begins a machine and says that it is built.
func (s *story) made(d domain.DesignID, title, place string, who domain.Actor, with string) (domain.Build, error) {
	b, _, err := s.StartBuild(s.ctx, who, domain.StartBuild{Project: s.project, Title: title, Design: d, Letter: "B", Place: place, Key: s.key()})
	if err != nil {
		return b, err
	}
	if with != "" {
		if b, err = s.AddBuilder(s.ctx, who, domain.AddBuilder{Project: s.project, Build: b.ID, Member: s.people[with].Account}); err != nil {
			return b, err
		}
	}
	s.at = s.at.Add(5 * 24 * time.Hour)
	return s.ChangeBuildState(s.ctx, who, domain.ChangeBuildState{Project: s.project, Build: b.ID, Version: b.Version, State: domain.Built, Reason: "Everything is in its place."})
}

// remade says that the second part, the riser, was renewed like for like.
func (s *story) remade(b domain.Build, note string) (domain.Build, error) {
	who := s.people[tomasz]
	b, err := s.Build(s.ctx, who, s.project, b.ID)
	if err != nil {
		return b, err
	}
	return s.ChangeBuild(s.ctx, who, domain.ChangeBuild{Project: s.project, Build: b.ID, Version: b.Version, Renewed: []string{"/parts/2/joint"}, Note: note})
}

func (s *story) intoService(b domain.Build, address string) error {
	s.at = s.at.Add(2 * time.Hour)
	b, err := s.Build(s.ctx, s.people[address], s.project, b.ID)
	if err != nil {
		return err
	}
	_, err = s.ChangeBuildState(s.ctx, s.people[address], domain.ChangeBuildState{Project: s.project, Build: b.ID, Version: b.Version, State: domain.InService, Reason: "Certificate on the wall beside it."})
	return err
}

func (s *story) write(b domain.Build, address, text string, incident bool) error {
	_, _, err := s.WriteEntry(s.ctx, s.people[address], domain.WriteEntry{Project: s.project, Build: &b.ID, Text: text, Incident: incident, Key: s.key()})
	return err
}
