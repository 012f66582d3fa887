package evidence

import (
	"math/big"
	"strconv"
	"strings"
)

// Shown is a value and its uncertainty as they are written.
type Shown struct {
	Value, U string
	Exponent int // power of ten of the last place that is kept
}

// Show rounds a standard uncertainty to so many significant digits and the value
// to the same place, half to even, on the shortest decimal text that gives each
// number back. Where rounding carries, 0.0996 to 0.10, the digits stay as many.
//
// u is above 0 and finite, digits 1 to 15.
//
// Source: JCGM 100:2008, 7.2.6, from memory.
func Show(value, u float64, digits int) Shown {
	d := decimalOf(u)
	place := d.scale + len(d.digits.String()) - digits
	if len(d.round(place).String()) > digits {
		place++
	}
	return Shown{decimalOf(value).text(place), d.text(place), place}
}

// decimal is digits·10^scale, exactly, with the sign apart.
type decimal struct {
	negative bool
	digits   *big.Int
	scale    int
}

// decimalOf takes the shortest text that gives the number back.
func decimalOf(x float64) decimal {
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', -1, 64), "e")
	mantissa, negative := strings.CutPrefix(mantissa, "-")
	whole, fraction, _ := strings.Cut(mantissa, ".")
	scale, _ := strconv.Atoi(exponent) // as FormatFloat writes it
	digits, _ := new(big.Int).SetString(whole+fraction, 10)
	return decimal{negative, digits, scale - len(fraction)}
}

// round is how often 10^place is in the decimal, half to even.
func (d decimal) round(place int) *big.Int {
	if d.scale >= place {
		return new(big.Int).Mul(d.digits, powerOfTen(d.scale-place))
	}
	step := powerOfTen(place - d.scale)
	n, rest := new(big.Int).QuoRem(d.digits, step, new(big.Int))
	half := rest.Lsh(rest, 1).Cmp(step)
	if half > 0 || half == 0 && n.Bit(0) == 1 {
		n.Add(n, big.NewInt(1))
	}
	return n
}

// text writes the decimal with its last figure at a place, zeros up to the
// point, and no minus before zero.
func (d decimal) text(place int) string {
	n := d.round(place)
	text := n.String()
	switch {
	case n.Sign() == 0 && place >= 0:
		return "0"
	case place >= 0:
		text += strings.Repeat("0", place)
	default:
		text = strings.Repeat("0", max(0, 1-place-len(text))) + text
		text = text[:len(text)+place] + "." + text[len(text)+place:]
	}
	if d.negative && n.Sign() != 0 {
		return "-" + text
	}
	return text
}

func powerOfTen(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}
