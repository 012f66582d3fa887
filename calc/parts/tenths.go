package parts

import (
	"encoding/json"
	"fmt"
	"math"
)

// Tenths is a length in tenths of a millimetre: what a tape shows and a saw can
// do. Cuts are planned in whole tenths, so that sums are exact.
type Tenths int64

// longest is the greatest length that the calculations take, in m. Sums over
// as many pieces as they take still fit.
const longest = 1e8

// InTenths returns the nearest whole number of tenths of a millimetre to a length in m.
func InTenths(metres float64) Tenths { return Tenths(math.Round(metres * 1e4)) }

// Metres returns the length in m.
//
// Valid for all lengths.
//
// Source: unit.
func (t Tenths) Metres() float64 { return float64(t) / 1e4 }

// MarshalJSON writes a length in m.
func (t Tenths) MarshalJSON() ([]byte, error) { return json.Marshal(t.Metres()) }

// UnmarshalJSON reads a length in m. What can't be a length is refused.
func (t *Tenths) UnmarshalJSON(text []byte) error {
	var metres float64
	if err := json.Unmarshal(text, &metres); err != nil {
		return err
	}
	if metres < 0 || metres > longest {
		return fmt.Errorf("%s m is no length of pipe", text)
	}
	*t = InTenths(metres)
	return nil
}

// over returns the ceiling of t over u.
func (t Tenths) over(u Tenths) int { return int((t + u - 1) / u) }
