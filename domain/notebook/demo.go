package notebook

import (
	"context"
	"embed"
	"errors"
	"fmt"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

// DemoPassword is the password of all invented people.
const DemoPassword = "falling-water-works"

// The machines of the demo.
//
//go:embed demo/*.json
var demoMachines embed.FS

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
	site, err := n.describeSite(tx, who, domain.DescribeSite{Project: p.ID, Version: p.Site.Version, Facts: d.site})
	if err != nil {
		return err
	}
	for i, design := range d.designs {
		key := fmt.Sprintf("%s-%d", d.start.Key, i+1)
		if err := n.loadDemoDesign(tx, who, domain.StartDesign{Project: p.ID, Title: design.title, Key: key}, site.Gauging.ID, design.saves); err != nil {
			return err
		}
	}
	return nil
}

func (n *Notebook) loadDemoDesign(tx *store.Tx, who domain.Actor, start domain.StartDesign, gauging domain.GaugingID, saves []demoSave) error {
	design, _, err := n.startDesign(tx, who, start, nil)
	if err != nil {
		return err
	}
	version := design.Version
	for _, save := range saves {
		machine, err := demoMachines.ReadFile("demo/" + save.machine + ".json")
		if err != nil {
			return err
		}
		in := sheet.Input{Trompe: machine}
		report, err := sheet.RunWithIntervals(in, n.draws)
		if err != nil {
			return err
		}
		if _, version, err = n.saveSheet(tx, who, domain.SaveSheet{
			Project: start.Project, Design: design.ID, Letter: design.Revision.Letter, Version: version, Input: in, Gauging: &gauging, Note: save.note,
		}, report); err != nil {
			return fmt.Errorf("machine %s of the demo: %w", save.machine, err)
		}
	}
	return nil
}
