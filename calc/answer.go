package calc

// Answer is what a named calculation gives back. Either OK holds and Result is
// the calculation's own result object, or it does not and Fault says why.
type Answer struct {
	OK       bool      `json:"ok"`
	Result   any       `json:"result,omitempty"`
	Fault    *Fault    `json:"fault,omitempty"`
	Faults   []Fault   `json:"faults,omitempty"` // all of them, when there is more than one
	Warnings []Warning `json:"warnings"`         // never nil
	Evidence Evidence  `json:"evidence,omitempty"`
}

// Refuse returns the answer to an input with faults, of which there must be at
// least one. The first is the fault of the answer.
func Refuse(faults []Fault) Answer {
	a := Answer{Fault: &faults[0], Warnings: []Warning{}}
	if len(faults) > 1 {
		a.Faults = faults
	}
	return a
}

// FaultCode says what kind of fault an input has.
type FaultCode string

// The fault codes, one set for all calculations.
const (
	Missing      FaultCode = "missing"       // a required field is not given
	NotANumber   FaultCode = "not_a_number"  // text, a list, or too large for a double
	Range        FaultCode = "range"         // outside what the field may hold
	UnknownValue FaultCode = "unknown_value" // not one of the choices
	UnknownField FaultCode = "unknown_field" // a name that the calculation does not have
	UnknownCalc  FaultCode = "unknown_calc"  // no calculation has this name
	Inconsistent FaultCode = "inconsistent"  // two fields contradict each other
	Unit         FaultCode = "unit"          // a unit of the wrong kind
	Infeasible   FaultCode = "infeasible"    // no solution exists for this input
	Bound        FaultCode = "bound"         // a physical bound broken: a defect of leat
)

// Fault is one thing that is wrong with an input.
type Fault struct {
	Code    FaultCode `json:"code"`
	At      string    `json:"at"`      // JSON Pointer (RFC 6901) into the input
	Message string    `json:"message"` // for a builder: what is wrong, what is right, what to try
}

// Error makes a Fault usable as an error.
func (f Fault) Error() string { return string(f.Code) + " at " + f.At + ": " + f.Message }

// Warning is something a builder must know about a result that stands.
type Warning struct {
	Code    string   `json:"code"`
	At      string   `json:"at,omitempty"` // JSON Pointer to the input it is about
	Message string   `json:"message"`
	Value   *float64 `json:"value,omitempty"` // what was found
	Limit   *float64 `json:"limit,omitempty"` // what it was compared with
}

// Evidence says how well an answer is supported.
type Evidence string

// The levels of evidence, strongest first.
const (
	OftenMeasured Evidence = "A" // arithmetic, or measured many times by many people
	BuiltMeasured Evidence = "B" // machines of this kind were built and measured
	CombinedParts Evidence = "C" // parts that are each proven, combined in a new way
	ModelOnly     Evidence = "D" // nothing but the model
)
