package trompe

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"

	"leat/calc"
)

// Solve finds out whether a machine works, and all its numbers if it does. The
// error is not nil only when leat itself is at fault: a number that is none.
func Solve(in Input) (Result, error) {
	res := solve(in)
	if res.Numbers == nil {
		return res, nil
	}
	if at := notFinite(reflect.ValueOf(*res.Numbers)); at != "" {
		return Result{}, fmt.Errorf("trompe: %w", calc.Fault{Code: calc.Bound, Message: at + " is not a number; this is a defect of leat"})
	}
	return res, nil
}

func solve(in Input) Result {
	if in.slope() < leastSlope {
		return fails(OutOfRange, "The downcomer is flatter than 30° to the horizontal; bubbles would gather at its crown. Make it steeper.")
	}
	if in.noHead() {
		return fails(NoHead, "")
	}
	s, w, st := settle(newMachine(in))
	if st != "" {
		return fails(st, "")
	}
	n := s.numbers(w)
	n.DeliveryCurve = s.window()
	return s.judge(w, n)
}

// settle finds the operating point of a machine that has a head.
func settle(m *machine) (s *solver, w working, st Status) {
	s = &solver{machine: m}
	w, st = s.work()
	if st == "" {
		st = s.withStations(&w)
	}
	return s, w, st
}

// Trial solves a machine for its interval: the numbers alone, without delivery
// window and warnings, or nil when it has no operating point, or its measures
// do not fit together.
func Trial(in Input) *Numbers {
	if in.slope() < leastSlope || in.noHead() || len(misfits(in, nil)) > 0 {
		return nil
	}
	m := newMachine(in)
	m.fine, m.slack = brief, 1e-9
	s, w, st := settle(m)
	if st != "" {
		return nil
	}
	n := s.numbers(w)
	if notFinite(reflect.ValueOf(*n)) != "" {
		return nil
	}
	return n
}

// fails is the result of a machine without an operating point.
func fails(st Status, message string) Result {
	if message == "" {
		message = messages[st]
	}
	return Result{Status: st, Evidence: failEvidence[st], Message: message, Warnings: []calc.Warning{}}
}

var failEvidence = map[Status]calc.Evidence{
	NoHead:           calc.OftenMeasured,
	Starved:          calc.BuiltMeasured,
	NotCarried:       calc.CombinedParts,
	Blocked:          calc.CombinedParts,
	Cavitation:       calc.CombinedParts,
	NoOperatingPoint: calc.CombinedParts,
	Choked:           calc.ModelOnly,
	OutOfRange:       calc.ModelOnly,
}

const profileStations = 11

// withStations works the operating point out once more, with the states along
// the downcomer and the integrals of the budget.
func (s *solver) withStations(w *working) Status {
	t, st := s.setting(w.zc, s.shutUpRiser()).belowAt(w.trial, s.fine, profileStations)
	w.trial = t
	return st
}

// window is the delivery window: five levels from the highest to the lip with
// the valve open, then the lip again, where all air escapes.
func (s *solver) window() []Delivery {
	lip, high := s.in.Chamber.LipM, s.in.Chamber.HighM
	curve := []Delivery{}
	for _, zc := range row(high, lip, 5) {
		p, st := s.at(zc, false)
		if st != "" {
			continue
		}
		curve = append(curve, Delivery{zc, s.chamberPressure(p, zc) - s.pa, p.q, s.freeAir(s.separated(&p.trial))})
	}
	if p, st := s.at(lip, false); st == "" {
		curve = append(curve, Delivery{lip, s.chamberPressure(p, lip) - s.pa, p.q, 0})
	}
	return curve
}

// notFinite returns the name of a number that is NaN or infinite.
func notFinite(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return "a value"
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return notFinite(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			if at := notFinite(v.Index(i)); at != "" {
				return at
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if at := notFinite(v.Field(i)); at != "" {
				return v.Type().Field(i).Name
			}
		}
	}
	return ""
}

// Calculate answers the named calculation "trompe": JSON text in, answer out.
func Calculate(raw json.RawMessage) (calc.Answer, error) {
	in, faults := Decode(raw)
	if len(faults) > 0 {
		return calc.Refuse(faults), nil
	}
	res, err := Solve(in)
	if err != nil {
		return calc.Answer{}, err
	}
	return calc.Answer{OK: true, Result: res, Warnings: res.Warnings, Evidence: res.Evidence}, nil
}
