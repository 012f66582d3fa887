package notebook

import (
	"context"
	"math"
	"slices"

	"leat/calc/evidence"
	"leat/calc/gauge"
	"leat/domain"
	"leat/domain/store"
)

// RunPlan returns, for each quantity of a run that was predicted with an interval,
// how probably each instrument that could read it would decide; one instrument
// alone when it is named, 0 for all.
func (n *Notebook) RunPlan(ctx context.Context, who domain.Actor, ref domain.RunRef, instrument domain.InstrumentID) ([]domain.Planned, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Planned, error) {
		if _, err := tx.ReadAccess(who, ref.Project); err != nil {
			return nil, err
		}
		r, err := tx.Run(ref)
		if err != nil {
			return nil, err
		}
		v, err := n.machineOf(tx, r)
		if err != nil {
			return nil, err
		}
		register, err := tx.Instruments()
		if err != nil {
			return nil, err
		}
		today, err := tx.Today(n.now())
		if err != nil {
			return nil, err
		}
		if instrument != 0 {
			register = slices.DeleteFunc(register, func(i domain.Instrument) bool { return i.ID != instrument })
			if len(register) == 0 {
				return nil, domain.Missing("instrument")
			}
		}
		plan := []domain.Planned{}
		for _, p := range domain.FormOf(v, domain.Validity{}).Quantities {
			if !p.Promised() || p.U == nil || !(*p.U > 0) {
				continue
			}
			planned := domain.Planned{Predicted: p}
			for _, i := range register {
				if could, ok := couldDecide(p, r.Limits[p.Name], i); ok && i.Retired == nil {
					could.Unfit = i.Unfit(today)
					planned.Instruments = append(planned.Instruments, could)
				}
			}
			plan = append(plan, planned)
		}
		return plan, nil
	})
}

// couldDecide is what an instrument that shows the quantity itself could decide
// about it. What it reads in another unit hangs on figures that nobody knows
// before.
func couldDecide(p domain.Predicted, declared domain.RunLimits, i domain.Instrument) (domain.PlannedInstrument, bool) {
	reads := slices.ContainsFunc(gauge.Methods(), func(m gauge.Method) bool {
		return m.Reads(p.Name) && m.Unit == p.Unit && slices.Contains(m.Instrument, string(i.Kind))
	})
	u := limitsOf(i)
	if !reads || !(u > 0) || *p.Value < i.Low || *p.Value > i.High {
		return domain.PlannedInstrument{}, false
	}
	low, high := *p.Low, *p.High
	if far := farOff * math.Hypot(*p.U, u); declared.Low != nil || declared.High != nil {
		low = orElse(declared.Low, min(*p.Value, orElse(declared.High, *p.Value))-far)
		high = orElse(declared.High, max(*p.Value, low)+far)
	}
	chance, _, _ := evidence.PDecide(evidence.PDecideIn{Pred: *p.Value, UPred: *p.U, U: u, Lower: low, Upper: high, PMet: 0.95, PMiss: 0.975})
	return domain.PlannedInstrument{ID: i.ID, Name: i.Name, U: u, Met: chance.Met, Missed: chance.Missed, Decided: chance.Decided}, true
}

// farOff is how many standard uncertainties away a limit is that nobody declared.
const farOff = 1000

func orElse(v *float64, otherwise float64) float64 {
	if v == nil {
		return otherwise
	}
	return *v
}

// limitsOf is the standard uncertainty of an instrument by its class or accuracy
// and its resolution alone; NaN where nobody knows.
func limitsOf(i domain.Instrument) float64 {
	u := math.NaN()
	switch {
	case i.ClassPct != nil:
		u = evidence.ClassLimit(*i.ClassPct, i.High-i.Low)
	case i.Accuracy != nil:
		u = evidence.Accuracy{Absolute: *i.Accuracy}.U(0)
	}
	if i.Resolution == nil {
		return u
	}
	return math.Hypot(u, evidence.Resolution(*i.Resolution))
}
