package domain

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/calc"
	"leat/calc/procedure"
)

// TemplateVersion numbers the versions of the test procedure; the first ships
// with leat.
type TemplateVersion int

// FirstTemplate is the version that leat comes with. No later one may ask for
// less.
const FirstTemplate TemplateVersion = 1

// Template is one version of the test procedure. It never changes.
type Template struct {
	Version   TemplateVersion
	Follows   TemplateVersion // that was in force when it was proposed; 0 for the first
	Body      string          // JSON text; empty in a list
	Title     string
	ItemCount int
	Why       string
	By        *Person // nil for the first
	At        *time.Time
	Approvals Approvals
	State     ApprovalState
	Lacks     string   // what keeps it from taking effect, while it waits
	Allowed   []Action // what the reader may do
}

// Judge fills in what became of the version while another one is in force.
func (t *Template) Judge(inForce TemplateVersion) {
	t.State = t.Approvals.stateOf(int64(t.Version), int64(t.Follows), int64(inForce))
}

// ProposeTemplate proposes another version of the test procedure.
type ProposeTemplate struct {
	Follows TemplateVersion // that was in force as it was read
	Body    string
	Why     string
	Key     string // made by the client; a retry with it makes no second version
}

// templateMost is how long a procedure may be, in bytes: some six times the
// first one.
const templateMost = 256 << 10

// Validate trims the reason and finds all faults that show without the first
// version.
func (c *ProposeTemplate) Validate() error {
	var faults []Field
	switch _, err := c.version(); {
	case len(c.Body) > templateMost:
		faults = []Field{{"/body", "too_long", fmt.Sprintf("This has %d bytes; at most %d fit.", len(c.Body), templateMost)}}
	case err != nil:
		faults = []Field{{"/body", "text", "This isn’t the JSON text of a procedure: " + err.Error() + ". Begin with a copy of the version in force."}}
	}
	if faults == nil {
		_, found := procedure.Read([]byte(c.Body))
		faults = textFaults(found)
	}
	faults = append(faults, reason("/why", &c.Why)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// textFaults says what is wrong with a text, with the place in it.
func textFaults(found []calc.Fault) (faults []Field) {
	for _, f := range found {
		message := f.Message
		if f.At != "" {
			message = "At " + f.At + ": " + message
		}
		faults = append(faults, Field{"/body", string(f.Code), message})
	}
	return faults
}

// version is the number that the text itself gives.
func (c *ProposeTemplate) version() (TemplateVersion, error) {
	var head struct {
		Version TemplateVersion `json:"version"`
	}
	err := json.Unmarshal([]byte(c.Body), &head)
	return head.Version, err
}

// Fits refuses a text that gives another number than is next, one that asks for
// less than the first version, and what somebody changed first.
func (c *ProposeTemplate) Fits(next, inForce TemplateVersion, first Template) error {
	if c.Follows != inForce {
		return Outdated("template")
	}
	var faults []Field
	if given, err := c.version(); err == nil && given != next {
		faults = append(faults, Field{"/body", "version", fmt.Sprintf("The text says that it is version %d. The next one is %d: write \"version\": %d.", given, next, next)})
	}
	return Faulty(append(faults, weaker(first.Body, c.Body)...))
}

// weaker returns where a text asks for less than the first version.
func weaker(_, _ string) []Field { return nil }
