package calc

import (
	"encoding/json"
	"fmt"
)

// Canonical writes JSON text in one way whatever its order of names, spacing
// and spelling of numbers: names sorted, numbers as the shortest text of their
// double. Digests and seeds are made over it.
//
// It follows RFC 8785 but for names with characters beyond the basic plane,
// which leat has none of.
func Canonical(raw json.RawMessage) ([]byte, error) {
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		return nil, fmt.Errorf("calc: canonical form: %w", err)
	}
	return json.Marshal(v)
}
