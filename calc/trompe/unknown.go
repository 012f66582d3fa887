package trompe

import (
	"maps"
	"reflect"
	"slices"
	"strings"
)

// Unknown is something about a machine that is known up to a spread: a
// coefficient of the model, or a measure with a tolerance.
type Unknown struct {
	At        string  // JSON Pointer into the input, such as /params/k_v or /riser/outlet_m
	Best      float64 // in the unit of the field
	U         float64 // a coefficient: standard uncertainty of a normal distribution
	Low, High float64 // a coefficient: where that distribution is cut off
	Half      float64 // a measure: half-width of a rectangular distribution
	Nu        float64 // a measured condition: degrees of freedom of U; 0 for a coefficient, whose distribution is normal
}

// Unknowns lists what is not known about a machine, the coefficients first, in
// the order of their set, then the measures by their path. What the builder gave
// as a coefficient is known up to its tolerance.
func (in Input) Unknowns() []Unknown {
	var all []Unknown
	for _, c := range in.Set().Coefficients {
		if !c.known(in) && c.U > 0 {
			all = append(all, Unknown{At: "/params/" + c.Name, Best: c.bestFor(in), U: c.U, Low: c.Low, High: c.most()})
		}
	}
	for _, at := range slices.Sorted(maps.Keys(in.Tolerances)) {
		if half := in.Tolerances[at]; half > 0 {
			all = append(all, Unknown{At: at, Best: in.at(at), Half: half})
		}
	}
	return all
}

// With returns the machine with these values of its unknowns.
func (in Input) With(unknowns []Unknown, values []float64) Input {
	in.Params = maps.Clone(in.Params)
	if in.Params == nil {
		in.Params = map[string]float64{}
	}
	for i, u := range unknowns {
		in.put(u.At, values[i])
	}
	return in
}

// at returns the number at a path that [Decode] has let through.
func (in Input) at(pointer string) float64 {
	if name, ok := strings.CutPrefix(pointer, "/params/"); ok {
		return in.Params[name]
	}
	v := in.place(pointer)
	if v.Kind() == reflect.Pointer {
		return v.Elem().Float()
	}
	return v.Float()
}

// put replaces the number at a path. A pointer is replaced too, never written
// through: the machine it came with keeps its own.
func (in *Input) put(pointer string, x float64) {
	if name, ok := strings.CutPrefix(pointer, "/params/"); ok {
		in.Params[name] = x
		return
	}
	v := in.place(pointer)
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.ValueOf(&x))
		return
	}
	v.SetFloat(x)
}

// place finds the field of a path by the names in its tags.
func (in *Input) place(pointer string) reflect.Value {
	v := reflect.ValueOf(in).Elem()
	for _, name := range strings.Split(pointer[1:], "/") {
		of := v.Type()
		i := 0
		for tagName(of.Field(i)) != name {
			i++
		}
		v = v.Field(i)
	}
	return v
}

// tagName is the name of a field in JSON.
func tagName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}
