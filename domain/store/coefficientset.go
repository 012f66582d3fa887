package store

import (
	"fmt"

	"leat/calc/trompe"
)

// SetInForce returns the set of coefficients that is calculated with: the newest
// that was learned here with this version of the calculation, or set 0.
func (tx *Tx) SetInForce() (*trompe.Set, error) {
	bodies, err := all[string](tx, "SELECT body FROM coefficient_sets WHERE name <> '0' AND name NOT IN (SELECT set_name FROM import_sets) ORDER BY name::int DESC")
	if err != nil {
		return nil, err
	}
	for _, body := range bodies {
		set, err := trompe.ParseSet([]byte(body))
		if err != nil {
			return nil, fmt.Errorf("store: a set of coefficients: %w", err)
		}
		if set.Usable() == nil {
			return set, nil
		}
	}
	zero, _ := trompe.SetZero()
	return zero, nil
}

// CoefficientSet returns the text of a set of coefficients.
func (tx *Tx) CoefficientSet(name string) ([]byte, error) {
	body, err := one[string](tx, "set of coefficients", "SELECT body FROM coefficient_sets WHERE name = ?", name)
	return []byte(body), err
}
