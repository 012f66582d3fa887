package calc

// These declare fields. A declaration reads as a sentence:
//
//	calc.Positive("/h", "m", "head over the notch").Need()

// Between declares a number from low to high, both included.
func Between(at, unit string, low, high float64, about string) Field {
	return Field{At: at, Kind: Number, Unit: unit, Low: &low, High: &high, About: about}
}

// AtLeast declares a number of low or more.
func AtLeast(at, unit string, low float64, about string) Field {
	return Field{At: at, Kind: Number, Unit: unit, Low: &low, About: about}
}

// Positive declares a number above zero.
func Positive(at, unit, about string) Field { return Above(at, unit, 0, about) }

// Above declares a number above low.
func Above(at, unit string, low float64, about string) Field {
	f := AtLeast(at, unit, low, about)
	f.AboveLow = true
	return f
}

// Share declares a number above 0 and up to 1.
func Share(at, about string) Field {
	f := Between(at, "", 0, 1, about)
	f.AboveLow = true
	return f
}

// Signed declares a number of any sign.
func Signed(at, unit, about string) Field {
	return Field{At: at, Kind: Number, Unit: unit, About: about}
}

// Whole numbers from low to high are declared by Counted.
func Counted(at string, low, high float64, about string) Field {
	f := Between(at, "", low, high, about)
	f.Kind = Count
	return f
}

// OneOf declares a choice.
func OneOf(at, about string, choices ...string) Field {
	return Field{At: at, Kind: Choice, Choices: choices, About: about}
}

// OneOfOrPart declares a choice, beside which an object may be given; the fields
// of that follow in the table.
func OneOfOrPart(at, about string, choices ...string) Field {
	return OneOf(at, about, choices...).As(Any)
}

// YesNo declares a flag.
func YesNo(at, about string) Field { return Field{At: at, Kind: Flag, Default: "false", About: about} }

// Words declares free text.
func Words(at, about string) Field { return Field{At: at, Kind: Text, About: about} }

// Inside declares a number between low and high, neither included.
func Inside(at, unit string, low, high float64, about string) Field {
	f := Between(at, unit, low, high, about)
	f.AboveLow, f.BelowTop = true, true
	return f
}

// ListOf declares a list of numbers like this one.
func ListOf(number Field) Field { number.Kind = Numbers; return number }

// RowsOf declares rows of numbers like this one: a matrix.
func RowsOf(number Field) Field { number.Kind = Rows; return number }

// RecordsOf declares a list of objects with these fields; the At of each is
// within the object.
func RecordsOf(at, about string, fields ...Field) Field {
	return Field{At: at, Kind: Records, Item: fields, About: about}
}

// Part declares an object; its fields follow in the table.
func Part(at, about string) Field { return Field{At: at, Kind: Group, About: about} }

// Gives declares a number among the outputs, with the equation and the source
// behind it, and the pointers of the inputs and outputs in the equation.
func Gives(at, unit, about, equation, source string, from ...string) Field {
	return Field{At: at, Kind: Number, Unit: unit, About: about, Equation: equation, Source: source, From: from}
}

// As returns the field with another kind: an output that is no number.
func (f Field) As(kind Kind) Field { f.Kind = kind; return f }

// Need makes a field required.
func (f Field) Need() Field { f.Required = true; return f }

// NeedUnless makes a field required where none of these is given.
func (f Field) NeedUnless(others ...string) Field { f.Required, f.Or = true, others; return f }

// NeedWith makes a field required where one of these is given.
func (f Field) NeedWith(others ...string) Field { f.Required, f.With = true, others; return f }

// Unread leaves a field alone where the other is given.
func (f Field) Unread(other string) Field { f.Unless = other; return f }

// Preset says what counts when nothing is given.
func (f Field) Preset(words string) Field { f.Default = words; return f }

// Usually says what most machines have, in the unit of the field.
func (f Field) Usually(words string) Field { f.Usual = words; return f }

// OnlyIf gives a field a meaning only with one of these choices made; preset is
// the choice that counts when none is made.
func (f Field) OnlyIf(choice, preset string, is ...string) Field {
	f.When = &When{At: choice, Is: is, Else: preset}
	return f
}

// ReadIf is [Field.OnlyIf], but with another choice the field may stand there.
func (f Field) ReadIf(choice, preset string, is ...string) Field {
	f = f.OnlyIf(choice, preset, is...)
	f.When.Idle = true
	return f
}

// MayBeEmpty allows a list without entries.
func (f Field) MayBeEmpty() Field { f.Empty = true; return f }

// Judged adds a rule about each entry of a list of objects.
func (f Field) Judged(rule Judge) Field { f.judge = rule; return f }

// Filled demands of each entry of a list of objects that it is not empty.
func (f Field) Filled() Field { f.filled = true; return f }

// Gappy lets a number, or numbers of a list, be missing. A field without a
// default then need not be there.
func (f Field) Gappy() Field { f.Gaps = true; return f }

// OrInfinite allows the text "inf".
func (f Field) OrInfinite() Field { f.Infinite = true; return f }

// Most bounds a field from above, the bound included.
func (f Field) Most(high float64) Field { f.High = &high; return f }
