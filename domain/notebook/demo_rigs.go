package notebook

import (
	"time"

	"leat/domain"
)

// The machines of the story.
const (
	schoolRig  = "Rig of the school"
	libraryRig = "Rig of the library"
)

// demoRig is one of several machines that were made from one drawing.
type demoRig struct {
	title, design, place  string
	builder, with, second string  // addresses; with may be empty
	riser                 float64 // outlet as it was built, in m; 0: as drawn
	note                  string  // why
	run                   demoRun
}

// begin begins machines, one after the other.
func (s *story) begin(rigs []demoRig) error {
	for _, r := range rigs {
		s.at = s.at.Add(20 * time.Minute)
		if err := s.begun(domain.StartBuild{Design: s.designs[r.design], Letter: "A", Title: r.title, Place: r.place}, r.builder, r.with); err != nil {
			return err
		}
	}
	return nil
}

// begun begins a machine.
func (s *story) begun(start domain.StartBuild, builder, with string) error {
	start.Project, start.Key = s.project, s.key()
	who := s.people[builder]
	b, _, err := s.StartBuild(s.ctx, who, start)
	if err == nil && with != "" {
		b, err = s.AddBuilder(s.ctx, who, domain.AddBuilder{Project: s.project, Build: b.ID, Member: s.people[with].Account})
	}
	s.builds[start.Title] = b
	return err
}

// finish says of machines what came out otherwise than drawn, and that they are built.
func (s *story) finish(rigs []demoRig) error {
	for _, r := range rigs {
		s.at = s.at.Add(20 * time.Minute)
		if r.riser != 0 {
			change := domain.ChangeBuild{Differences: map[string]float64{"/trompe/riser/outlet_m": r.riser}, Note: r.note}
			if err := s.changed(r.title, r.builder, change); err != nil {
				return err
			}
		}
		if err := s.state(r.title, r.builder, domain.Built, "Everything is in its place."); err != nil {
			return err
		}
	}
	return nil
}

// test tests machines and puts them into service.
func (s *story) test(rigs []demoRig) error {
	for _, r := range rigs {
		if err := s.passes(r.title, r.builder, r.second); err != nil {
			return err
		}
	}
	return nil
}

func (s *story) passes(title, builder, second string) error {
	test := &demoTest{story: s, build: s.builds[title], builder: builder, second: second}
	if err := test.passes(); err != nil {
		return err
	}
	s.at = s.at.Add(20 * time.Minute)
	return s.state(title, builder, domain.InService, "Certificate on the wall beside it.")
}

func (s *story) changed(title, address string, change domain.ChangeBuild) error {
	b, err := s.Build(s.ctx, s.people[address], s.project, s.builds[title].ID)
	if err != nil {
		return err
	}
	change.Project, change.Build, change.Version = s.project, b.ID, b.Version
	s.builds[title], err = s.ChangeBuild(s.ctx, s.people[address], change)
	return err
}

func (s *story) state(title, address string, state domain.BuildState, reason string) error {
	b, err := s.Build(s.ctx, s.people[address], s.project, s.builds[title].ID)
	if err != nil {
		return err
	}
	s.builds[title], err = s.ChangeBuildState(s.ctx, s.people[address], domain.ChangeBuildState{Project: s.project, Build: b.ID, Version: b.Version, State: state, Reason: reason})
	return err
}

// remade says that the second part, the riser, was renewed like for like.
func (s *story) remade(title, note string) error {
	return s.changed(title, tomasz, domain.ChangeBuild{Renewed: []string{"/parts/2/joint"}, Note: note})
}

func (s *story) schoolBegun() error {
	return s.begun(domain.StartBuild{Design: s.designs[lowDesign], Letter: "B", Title: schoolRig, Place: "Thornwick school, entrance hall"}, tomasz, wanda)
}

func (s *story) schoolBuilt() error {
	if err := s.state(schoolRig, tomasz, domain.Built, "Everything is in its place."); err != nil {
		return err
	}
	return s.write(schoolRig, tomasz, "All joints cemented, the chamber welded on at the waterworks. Wanda held the pipes and says so.", false)
}

func (s *story) schoolFails() error {
	test := &demoTest{story: s, build: s.builds[schoolRig], builder: tomasz, second: petra, leaks: true}
	return test.fails("H02", "A drop every few seconds at the foot of the riser, and the gauge followed it down.")
}

func (s *story) schoolMended() error {
	return s.remade(schoolRig, "The joint at the foot of the riser cut out and made anew; the old one had not been pushed home.")
}

func (s *story) schoolPasses() error { return s.passes(schoolRig, tomasz, petra) }

func (s *story) libraryBegun() error {
	return s.begun(domain.StartBuild{Design: s.designs[lowDesign], Letter: "B", Title: libraryRig, Place: "Lower Thornwick library, garden room"}, tomasz, "")
}

func (s *story) libraryBuilt() error {
	return s.state(libraryRig, tomasz, domain.Built, "Everything is in its place.")
}

func (s *story) libraryPasses() error { return s.passes(libraryRig, tomasz, wanda) }

func (s *story) libraryLeans() error {
	return s.write(libraryRig, petra, "Somebody leaned a ladder against the riser. It did not break, but the joint at its foot weeps.", true)
}

func (s *story) libraryMended() error {
	return s.remade(libraryRig, "Joint at the foot of the riser made anew after the ladder.")
}
