package notebook

import (
	"embed"
	"encoding/json"
	"strings"
	"sync"
)

// The verdicts of the demo, each under the digest of what it was worked out from.
//
//go:embed demo/worked/*.json
var workedFiles embed.FS

// demoWorked reads what was worked out for the demo. The program that has it wrote
// it, so what can't be read is a defect.
var demoWorked = sync.OnceValue(func() map[string]json.RawMessage {
	known := map[string]json.RawMessage{}
	files, err := workedFiles.ReadDir("demo/worked")
	for _, f := range files {
		var text []byte
		if text, err = workedFiles.ReadFile("demo/worked/" + f.Name()); err != nil {
			break
		}
		known[strings.TrimSuffix(f.Name(), ".json")] = text
	}
	if err != nil {
		panic(err)
	}
	return known
})
