package logger

import (
	"bytes"
	"math"
	"strconv"
)

// powers are those of ten that a float64 holds exactly.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// scanned is the number at the start of a cell.
type scanned struct {
	value float64
	size  int  // bytes that belong to it; 0: none
	mark  byte // the point or comma in it
}

// scan reads the number at the start of a cell. Numbers of up to 15 digits,
// which is what loggers write, are exact by one multiplication or division; the
// standard library reads the others.
func scan(cell []byte) (n scanned) {
	i, negative := 0, false
	if i < len(cell) && (cell[i] == '-' || cell[i] == '+') {
		negative = cell[i] == '-'
		i++
	}
	var mantissa uint64
	digits, exponent := 0, 0
	for ; i < len(cell); i++ {
		c := cell[i]
		if c-'0' > 9 {
			if n.mark != 0 || c != '.' && c != ',' {
				break
			}
			n.mark = c
			continue
		}
		digits++
		if mantissa < 1e17 {
			mantissa = mantissa*10 + uint64(c-'0')
			if n.mark != 0 {
				exponent--
			}
		}
	}
	if digits == 0 {
		return scanned{}
	}
	power, size := scanPower(cell[i:])
	n.size = i + size
	exponent += power
	switch {
	case mantissa >= 1<<53 || exponent < -22 || exponent > 22:
		n.value = slowNumber(cell[:n.size])
		return n
	case exponent < 0:
		n.value = float64(mantissa) / powers[-exponent]
	default:
		n.value = float64(mantissa) * powers[exponent]
	}
	if negative {
		n.value = -n.value
	}
	return n
}

// scanPower reads an exponent such as e-3, and how many bytes it takes.
func scanPower(cell []byte) (power, size int) {
	if len(cell) < 2 || cell[0]|0x20 != 'e' {
		return 0, 0
	}
	i, sign := 1, 1
	if cell[1] == '-' || cell[1] == '+' {
		sign = 44 - int(cell[1]) // '+' is 43, '-' 45
		i++
	}
	first := i
	for ; i < len(cell) && cell[i]-'0' <= 9; i++ {
		power = min(power*10+int(cell[i]-'0'), 10_000)
	}
	if i == first {
		return 0, 0
	}
	return sign * power, i
}

// slowNumber is NaN where it is too large.
func slowNumber(text []byte) float64 {
	x, err := strconv.ParseFloat(string(bytes.Replace(text, []byte{','}, []byte{'.'}, 1)), 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

func isNumber(text string) bool { return text != "" && scan([]byte(text)).size == len(text) }

// cut takes the first cell off a line. Quotes around it are taken off.
func (r *reader) cut(line []byte) (cell, rest []byte, more bool) {
	if len(line) > 0 && line[0] == '"' {
		for end := 1; end < len(line); end++ {
			if line[end] != '"' {
				continue
			}
			if end+1 == len(line) {
				return line[1:end], nil, false
			}
			if line[end+1] == r.separator {
				return line[1:end], line[end+2:], true
			}
		}
	}
	for i, c := range line {
		if c == r.separator {
			return trim(line[:i]), line[i+1:], true
		}
	}
	return trim(line), nil, false
}

func trim(cell []byte) []byte {
	for len(cell) > 0 && cell[0] == ' ' {
		cell = cell[1:]
	}
	for len(cell) > 0 && cell[len(cell)-1] == ' ' {
		cell = cell[:len(cell)-1]
	}
	return cell
}
