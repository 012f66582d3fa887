package notebook

import (
	"context"
	"fmt"
	"time"

	"leat/calc/confront"
	"leat/domain"
)

// story is what the demo group lived through: designs that were returned, mended
// and cleared, machines that were made, tested and measured, and what was learned
// from them.
type story struct {
	*Notebook // whose clock is the story's, and whose transactions are parts of one
	ctx       context.Context
	at        time.Time // now, in the story
	people    map[string]domain.Actor
	machines  map[string]demoMachine
	projects  map[string]domain.ProjectID    // by their keys
	project   domain.ProjectID               // of which it tells
	designs   map[string]domain.DesignID     // by their titles
	builds    map[string]domain.Build        // by their titles, as they were last touched
	tools     map[string]domain.InstrumentID // by their names
	set       domain.SetProposalID           // that was proposed last
	keys      int
}

// storyDays is how long ago it all began.
const storyDays = 80

// storyMachines are those that it saves.
var storyMachines = []string{"bench-high", "bench-low", "class", "fair"}

// demoDraws is how many draws a verdict of the demo takes: no more than it must, since
// whoever looks around does not want to wait.
var demoDraws = confront.Draws{Batch: confront.Usual.Batch, Most: 2}

// chapter is what happened on one day.
type chapter struct {
	daysAgo int
	project string // key of the project that it is about; empty: none
	what    string
	tell    func(s *story) error
}

// The projects that the story is about.
const (
	labProject  = "demo-bench-rig"
	fairProject = "demo-fair"
)

// chapters lists all that happened, in the order of the days: so does the record.
func chapters() []chapter {
	return []chapter{
		{instrumentsDay, "", "instruments", (*story).instruments},
		{72, labProject, "low rig checked", (*story).lowRig},
		{67, fairProject, "rig for the fairs checked", (*story).fairRig},
		{66, labProject, "class rig checked", (*story).classRig},
		{60, labProject, "rig of the school begun", (*story).schoolBegun},
		{58, fairProject, "rigs for the fairs begun", func(s *story) error { return s.begin(fairRigs()) }},
		{57, labProject, "class rigs begun", func(s *story) error { return s.begin(classRigs()) }},
		{55, labProject, "rig of the school built", (*story).schoolBuilt},
		{53, fairProject, "rigs for the fairs built", func(s *story) error { return s.finish(fairRigs()) }},
		{52, labProject, "rig of the school tested", (*story).schoolFails},
		{50, labProject, "rig of the school mended", (*story).schoolMended},
		{49, fairProject, "rigs for the fairs tested", func(s *story) error { return s.test(fairRigs()) }},
		{46, labProject, "class rigs built", func(s *story) error { return s.finish(classRigs()) }},
		{44, labProject, "rig of the school tested again", (*story).schoolPasses},
		{42, labProject, "class rigs tested", func(s *story) error { return s.test(classRigs()) }},
		{38, labProject, "class rigs measured", (*story).classMeasured},
		{36, "", "a set proposed too early", (*story).proposesEarly},
		{33, fairProject, "rigs for the fairs measured", (*story).fairMeasured},
		{30, labProject, "rig of the library begun", (*story).libraryBegun},
		{25, labProject, "rig of the library built", (*story).libraryBuilt},
		{21, labProject, "rig of the library tested", (*story).libraryPasses},
		{18, labProject, "rig of the library measured", (*story).libraryMeasured},
		{14, "", "a set proposed", (*story).proposes},
		{13, "", "a set adopted", (*story).adopts},
		{4, labProject, "ladder", (*story).libraryLeans},
		{3, labProject, "rig of the library mended", (*story).libraryMended},
		{2, labProject, "rig of the library measured without a certificate", (*story).libraryUncertified},
		{1, labProject, "rig of the school measured again", (*story).schoolAgain},
	}
}

// newStory returns a story that is told within a transaction. Its people prove
// their signatures with the same password over and over, so that is hashed once.
func (l demoLoad) newStory(ctx context.Context) *story {
	s := &story{
		ctx: ctx, at: l.now(), people: l.people, machines: l.machines, projects: map[string]domain.ProjectID{},
		designs: map[string]domain.DesignID{}, builds: map[string]domain.Build{}, tools: map[string]domain.InstrumentID{},
	}
	n := *l.Notebook
	n.db, n.hasher, n.judged = l.tx.Within(), l.hasher.remembering(), demoDraws
	n.clock = func() time.Time { return s.at }
	s.Notebook = &n
	return s
}

// tell tells it all, up to now.
func (s *story) tell(now time.Time) error {
	for _, c := range chapters() {
		s.at = now.Add(-time.Duration(c.daysAgo) * 24 * time.Hour)
		s.project = s.projects[c.project]
		if err := c.tell(s); err != nil {
			return fmt.Errorf("the story of the demo, %s: %w", c.what, err)
		}
	}
	return nil
}

func (s *story) key() string {
	s.keys++
	return fmt.Sprintf("demo-story-%04d", s.keys)
}

func (s *story) proof() domain.Proof { return domain.Proof{Password: DemoPassword} }

func (s *story) write(title, address, text string, incident bool) error {
	id := s.builds[title].ID
	_, _, err := s.WriteEntry(s.ctx, s.people[address], domain.WriteEntry{Project: s.project, Build: &id, Text: text, Incident: incident, Key: s.key()})
	return err
}
