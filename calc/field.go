package calc

// Field declares one input or output of a calculation. The decoder, the
// description on the command line and the forms of the frontend are all made
// from the same declarations.
type Field struct {
	At       string   `json:"at"`                  // JSON Pointer, such as /downcomer/bore_m
	Kind     Kind     `json:"kind"`                // what may stand there
	Unit     string   `json:"unit,omitempty"`      // SI unit, empty for a pure number
	Low      *float64 `json:"low,omitempty"`       // least value
	High     *float64 `json:"high,omitempty"`      // greatest value
	AboveLow bool     `json:"above_low,omitempty"` // Low itself is not allowed
	BelowTop bool     `json:"below_top,omitempty"` // High itself is not allowed
	Gaps     bool     `json:"gaps,omitempty"`      // nothing, null and the text "NaN" say that nothing was measured
	Infinite bool     `json:"infinite,omitempty"`  // the text "inf" may stand there
	Default  string   `json:"default,omitempty"`   // in words or digits; empty: none
	Usual    string   `json:"usual,omitempty"`     // what most machines have, in Unit
	Required bool     `json:"required,omitempty"`  // within its group, and the choice that When names
	Choices  []string `json:"choices,omitempty"`   // for a Choice or Any; of a Text what it may be
	When     *When    `json:"when,omitempty"`      // only with this choice made
	Or       []string `json:"or,omitempty"`        // required only where none of these is given
	With     []string `json:"with,omitempty"`      // required only where one of these is given
	Unless   string   `json:"unless,omitempty"`    // where this is given, the field is not read
	Item     []Field  `json:"item,omitempty"`      // of Records: the fields of one, their At within it
	Empty    bool     `json:"empty,omitempty"`     // a list that may be given and empty
	About    string   `json:"about"`               // one line in a builder's words

	judge  Judge // of Records
	filled bool  // of Records: an entry without fields is as good as none

	// Of a coefficient.
	Uncertainty *float64 `json:"u,omitempty"` // standard uncertainty of the default

	// Of an output: where it comes from.
	Equation string   `json:"equation,omitempty"`
	Source   string   `json:"source,omitempty"`
	From     []string `json:"from,omitempty"` // JSON Pointers of the inputs, coefficients and outputs in the equation
}

// Kind is what a field holds.
type Kind string

// The kinds of field.
const (
	Number Kind = "number"
	Count  Kind = "count"  // a whole number
	Choice Kind = "choice" // one of a few words
	Group  Kind = "object" // fields below this one
	Text   Kind = "text"
	Flag   Kind = "flag" // true or false

	// Lists. Low and High of Numbers hold for each of them.
	Numbers Kind = "numbers"
	Texts   Kind = "texts"
	Records Kind = "records" // objects with the fields of Item
	List    Kind = "list"    // in results only

	// Rows is a list of rows, each a list of as many numbers. Low and High hold for each of
	// them; of NumbersOrRows, which is one or the other, for a list only.
	Rows          Kind = "rows"
	NumbersOrRows Kind = "numbers_or_rows"
	OneOrMany     Kind = "number_or_numbers" // one number for all, or one for each

	// Any is one of Choices or an object, whose fields stand below this one;
	// without choices the calculation reads it itself.
	Any Kind = "any"

	// Tolerances is an object from the JSON Pointer of a number field to the
	// half-width of its possible error, in the unit of the field.
	Tolerances Kind = "tolerances"
)

// When says which choice makes a field meaningful.
type When struct {
	At   string   `json:"at"` // JSON Pointer of a Choice or a Flag
	Is   []string `json:"is"`
	Else string   `json:"else,omitempty"` // the choice that counts when none is made
	Idle bool     `json:"idle,omitempty"` // with another choice the field may stand there and is not read
}
