package domain

import (
	"fmt"
	"regexp"
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
	if t.Version == FirstTemplate && inForce != FirstTemplate {
		t.State = ApprovalPast // nobody had to sign it
	}
}

// ProposeTemplate proposes another version of the test procedure.
type ProposeTemplate struct {
	Follows TemplateVersion // that was in force as it was read
	Body    string
	Why     string
	Key     string // made by the client; a retry with it makes no second version
}

// Validate trims the reason and finds all faults that show without the first
// version.
func (c *ProposeTemplate) Validate() error {
	_, found := procedure.Read([]byte(c.Body))
	faults := textFaults(found)
	if oddEscape.MatchString(c.Body) {
		faults = append(faults, Field{"/body", "text", "Write every sign as it is, not as an escape such as \\ud83d or \\u0000: not all of those can be kept."})
	}
	faults = append(faults, reason("/why", &c.Why)...)
	return Faulty(append(faults, clientKey("/client_key", c.Key)...))
}

// oddEscape finds escapes of half signs and of nothing, which JSON takes and the
// database does not.
var oddEscape = regexp.MustCompile(`\\u([dD][89a-fA-F]|0000)`)

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

// Fits refuses a text that gives another number than is next, one that guards
// less than the version that leat comes with, and what somebody changed first.
func (c *ProposeTemplate) Fits(next, inForce TemplateVersion) error {
	if c.Follows != inForce {
		return &Error{Kind: Stale, Code: "template-stale", Message: "Another version of the procedure took effect after you opened this. Nothing of yours was proposed: keep your text, look at what is in force now, and propose again from that."}
	}
	newer, _ := procedure.Read([]byte(c.Body))
	if given := TemplateVersion(newer.Version); given != next {
		return Faulty([]Field{{"/body", "version", fmt.Sprintf("The text says that it is version %d. The next one is %d: write \"version\": %d.", given, next, next)}})
	}
	return Faulty(textFaults(procedure.Weakens(procedure.First(), newer)))
}
