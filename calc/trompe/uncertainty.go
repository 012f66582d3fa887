package trompe

import (
	"math"
	"reflect"

	"leat/calc"
)

// Uncertainty is what is known about how far the numbers of a result may be off.
type Uncertainty struct {
	Status  string              `json:"status"` // ok, too_many_failed or no_valid_trial
	Draws   int                 `json:"draws"`
	Failed  int                 `json:"failed"` // draws without an operating point
	Seed    string              `json:"seed"`   // hexadecimal; the same seed gives the same interval
	Set     string              `json:"set"`    // name of the coefficient set
	Outputs map[string]Interval `json:"outputs"`
	Ranking []Share             `json:"ranking"` // never nil
}

// Interval is the symmetric 95 % interval of one output, in its unit. Low and
// High are null when too many draws failed.
type Interval struct {
	Mean   float64  `json:"mean"`
	U      float64  `json:"u"` // standard uncertainty
	Low    *float64 `json:"low"`
	High   *float64 `json:"high"`
	Coarse bool     `json:"coarse,omitempty"` // not settled to one digit of U
}

// Share is how much of the variance of an output one unknown makes.
type Share struct {
	Output string  `json:"output"`
	Input  string  `json:"input"` // JSON Pointer: a coefficient, or a measure with a tolerance
	Share  float64 `json:"share"` // 0 to 1
	Rough  bool    `json:"rough"` // a squared correlation: the answer is far from a plane
}

// Value is one number of a result, by its name: free_air_delivered_m3s, or
// budget_head_m/slip for a part.
type Value struct {
	Name string
	X    float64 // NaN where it has no meaning for the machine
}

// Values lists every number of a result that has an interval: all but the
// lists, and the budget in metres of fall alone.
func (n *Numbers) Values() []Value { return values(nil, "", reflect.ValueOf(*n)) }

func values(list []Value, group string, v reflect.Value) []Value {
	for i := range v.NumField() {
		name := group + tagName(v.Type().Field(i))
		switch f := v.Field(i); {
		case f.Kind() == reflect.Float64:
			list = append(list, Value{name, f.Float()})
		case f.Kind() == reflect.Pointer && f.IsNil():
			list = append(list, Value{name, math.NaN()})
		case f.Kind() == reflect.Pointer:
			list = append(list, Value{name, f.Elem().Float()})
		case name == "budget_head_m":
			list = values(list, name+"/", f)
		}
	}
	return list
}

// FailedTrials is the warning that more than 1 % of the draws have no operating
// point.
func FailedTrials(u Uncertainty) calc.Warning {
	share, limit := float64(u.Failed)/float64(u.Draws), 0.01
	return calc.Warning{
		Code: "W_FAILED_TRIALS", Value: &share, Limit: &limit,
		Message: "With some values of what is not known for sure this machine does not start. The intervals hold for those with which it does.",
	}
}
