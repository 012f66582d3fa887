package notebook

import (
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

// DemoPassword is the password of all invented people.
const DemoPassword = "falling-water-works"

// DemoCode is the code with which all invented people sign.
const DemoCode = "731942"

// The machines of the demo.
//
//go:embed demo/*.json
var demoFiles embed.FS

// LoadDemo fills an empty database with the invented group, all of it or
// nothing, and tells whether it did. It does nothing when there is any account
// already, and refuses on a server that doesn't show the demo.
func (n *Notebook) LoadDemo(ctx context.Context) (loaded bool, err error) {
	if !n.demo {
		return false, errors.New("notebook: the demo is loaded only by a server that shows it")
	}
	inhabited, err := read(ctx, n, (*store.Tx).HasAccounts)
	if err != nil || inhabited {
		return false, err
	}
	hash, err := n.hasher.hash(ctx, DemoPassword) // of invented people, who may share it
	if err != nil {
		return false, err
	}
	code, err := n.hasher.hash(ctx, DemoCode)
	if err != nil {
		return false, err
	}
	machines, err := n.demoMachines(ctx)
	if err != nil {
		return false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) (err error) {
		l := demoLoad{Notebook: n, tx: tx, machines: machines, people: make(map[string]domain.Actor)}
		loaded, err = l.group(ctx, hash, code)
		return err
	})
	return loaded && err == nil, err
}

// demoMachine is a machine of the demo with its answer.
type demoMachine struct {
	input  sheet.Input
	report sheet.Report
}

// demoMachines calculates each machine once, before the transaction that saves
// them: it takes a second or two.
func (n *Notebook) demoMachines(ctx context.Context) (map[string]demoMachine, error) {
	machines := make(map[string]demoMachine)
	for _, name := range storyMachines {
		text, err := demoFiles.ReadFile("demo/" + name + ".json")
		if err != nil {
			return nil, err
		}
		input, err := demoInput(text)
		if err != nil {
			return nil, fmt.Errorf("machine %s of the demo: %w", name, err)
		}
		machines[name] = demoMachine{input: input}
	}
	for _, p := range demoProjects() {
		for _, d := range p.designs {
			for _, save := range slices.Concat(d.letters...) {
				if _, done := machines[save.machine]; done {
					continue
				}
				m, err := n.demoMachine(ctx, save.machine)
				if err != nil {
					return nil, fmt.Errorf("machine %s of the demo: %w", save.machine, err)
				}
				machines[save.machine] = m
			}
		}
	}
	return machines, nil
}

func (n *Notebook) demoMachine(ctx context.Context, name string) (m demoMachine, err error) {
	text, err := demoFiles.ReadFile("demo/" + name + ".json")
	if err != nil {
		return m, err
	}
	if m.input, err = demoInput(text); err != nil {
		return m, err
	}
	if m.report, err = n.report(ctx, m.input); err != nil {
		return m, err
	}
	return m, domain.InputFaults(m.report.Faults)
}

// demoInput reads a machine: a whole sheet, or a trompe alone.
func demoInput(text []byte) (in sheet.Input, err error) {
	if err = json.Unmarshal(text, &in); err == nil && in.Trompe == nil && in.Ram == nil {
		in.Trompe = text
	}
	return in, err
}
