package notebook

import (
	"context"
	_ "embed"
	"errors"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

// DemoPassword is the password of all invented people.
const DemoPassword = "falling-water-works"

// DemoPerson is one of the invented people of Thornwick Wheelhouse.
type DemoPerson struct {
	Name    string
	Address string
	About   string
	Roles   []domain.Role // beyond member
}

// DemoPeople lists the invented people, the keeper first.
func DemoPeople() []DemoPerson {
	return []DemoPerson{
		{"Ines Calloway", "ines@thornwick.example", "keeper: invites people and keeps the group's settings", []domain.Role{domain.Keeper}},
		{"Bram Oduya", "bram@thornwick.example", "steward and checker: the group's competent person for pressure", []domain.Role{domain.Steward, domain.Checker}},
		{"Petra Lindahl", "petra@thornwick.example", "member: wants air for the nursery pond", nil},
		{"Tomasz Reyes", "tomasz@thornwick.example", "checker: builds a bench rig with his school class", []domain.Role{domain.Checker}},
	}
}

// The machines of the demo.
var (
	//go:embed demo/pond.json
	pondMachine []byte
	//go:embed demo/bench.json
	benchMachine []byte
)

// demoProject is one project of the demo, with one design and one sheet.
type demoProject struct {
	address string // of who starts it
	start   domain.StartProject
	site    domain.SiteFacts
	design  string
	machine []byte
	note    string
}

func demoProjects() []demoProject {
	return []demoProject{{
		address: "tomasz@thornwick.example",
		start: domain.StartProject{
			Title: "Bench rig in the school lab", Key: "demo-bench-rig",
			Purpose: "A trompe small enough for a table, in clear pipe, so that a class can see the bubbles go down. Fed by the garden hose through an open header.",
		},
		site: domain.SiteFacts{
			Name: "Thornwick school, lab sink", Source: given(domain.Hose), FallM: given(1.7), FlowM3S: given(2.6e-4),
			Gauged: "9 L bucket from the hose, three fills: 34 s, 35 s, 35 s.", StaticPa: given(2.8e5),
			WaterC: given(13.0), AirC: given(19.0), AltitudeM: given(365.0),
			Note: "The header overflows into the sink. The hose must end above the water, never in it: nothing may run back into the mains.",
		},
		design: "Trompe on the bench", machine: benchMachine, note: "First guess, with the pipe that is in the cupboard.",
	}, {
		address: "petra@thornwick.example",
		start: domain.StartProject{
			Title: "Nursery pond air", Key: "demo-nursery-pond",
			Purpose: "Air for the fry in the nursery pond all through the summer nights, without a cable through the meadow. The water of the Cobbler's Weir is there anyway.",
		},
		site: domain.SiteFacts{
			Name: "Cobbler's Weir", Source: given(domain.Stream), FallM: given(2.6), FlowM3S: given(3.4e-3),
			Gauged: "Bucket of 20 L under the plank at the weir, five fills on a dry day in August: 5.7 s to 6.0 s.",
			WaterC: given(9.0), AirC: given(14.0), AltitudeM: given(340.0),
			Note: "The shaft goes down beside the old wheel pit. It has to be shored and covered before anyone works near it.",
		},
		design: "Garden trompe", machine: pondMachine, note: "Thirty tubes, chamber in the pit.",
	}}
}

func given[v any](value v) *v { return &value }

// LoadDemo fills an empty database with the invented group, all of it or
// nothing, and tells whether it did. It does nothing when there is any account
// already, and refuses on a server that doesn't show the demo.
func (n *Notebook) LoadDemo(ctx context.Context) (loaded bool, err error) {
	if !n.demo {
		return false, errors.New("notebook: the demo is loaded only by a server that shows it")
	}
	hash, err := n.hasher.hash(ctx, DemoPassword) // of invented people, who may share it
	if err != nil {
		return false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		loaded, err = n.loadDemo(tx, hash)
		return err
	})
	return loaded && err == nil, err
}

func (n *Notebook) loadDemo(tx *store.Tx, hash string) (bool, error) {
	if err := tx.LockAccounts(); err != nil {
		return false, err
	}
	if inhabited, err := tx.HasAccounts(); err != nil || inhabited {
		return false, err
	}
	actors := make(map[string]domain.Actor)
	for _, p := range DemoPeople() {
		id, err := tx.AddDemoAccount(domain.Account{Name: p.Name, Address: p.Address, Roles: p.Roles}, hash, n.now())
		if err != nil {
			return false, err
		}
		actors[p.Address] = domain.Actor{Account: id, Name: p.Name, Roles: append([]domain.Role{domain.Member}, p.Roles...)}
	}
	for _, d := range demoProjects() {
		if err := n.loadDemoProject(tx, actors[d.address], d); err != nil {
			return false, err
		}
	}
	return true, nil
}

func (n *Notebook) loadDemoProject(tx *store.Tx, who domain.Actor, d demoProject) error {
	p, _, err := n.startProject(tx, who, d.start)
	if err != nil {
		return err
	}
	if _, err = n.describeSite(tx, who, domain.DescribeSite{Project: p.ID, Version: p.Site.Version, Facts: d.site}); err != nil {
		return err
	}
	design, _, err := n.startDesign(tx, who, domain.StartDesign{Project: p.ID, Title: d.design, Key: d.start.Key})
	if err != nil {
		return err
	}
	_, _, err = n.saveSheet(tx, who, domain.SaveSheet{
		Project: p.ID, Design: design.ID, Letter: design.Revision.Letter, Version: design.Version,
		Input: sheet.Input{Trompe: d.machine}, Note: d.note,
	})
	return err
}
