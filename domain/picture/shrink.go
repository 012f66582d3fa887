package picture

import (
	"image"
	"image/color"
	"math"
)

// shrunk returns a picture whose longer side is at most so many pixels. Each new
// pixel is the mean of the area that it covers, by how much it covers of each
// old one; a picture that is small enough stays as it is.
func shrunk(m image.RGBA64Image, side int) *image.NRGBA {
	size := m.Bounds().Size()
	w, h := fitted(size.X, size.Y, side)
	columns, rows := spans(size.X, w), spans(size.Y, h)
	to := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y, row := range rows {
		for x, column := range columns {
			to.SetNRGBA(x, y, mean(m, column, row))
		}
	}
	return to
}

// fitted returns the size with the longer side at most so long, never 0.
func fitted(w, h, side int) (int, int) {
	long := max(w, h)
	if long <= side {
		return w, h
	}
	scale := float64(side) / float64(long)
	return max(1, int(math.Round(float64(w)*scale))), max(1, int(math.Round(float64(h)*scale)))
}

// span is the old pixels that lie under a new one in one direction, from the
// first on, and which part of it each has.
type span struct {
	first int
	parts []float64
}

// spans divides the old pixels among the new ones.
func spans(from, to int) []span {
	list := make([]span, to)
	width := float64(from) / float64(to)
	for i := range list {
		left, right := float64(i)*width, min(float64(i+1)*width, float64(from))
		s := span{first: int(left)}
		for p := s.first; p < from && float64(p) < right; p++ {
			covered := min(right, float64(p+1)) - max(left, float64(p))
			s.parts = append(s.parts, covered/(right-left))
		}
		list[i] = s
	}
	return list
}

// mean returns the mean of an area. See-through pixels count for their colour as
// much as they can be seen.
func mean(m image.RGBA64Image, column, row span) color.NRGBA {
	at := m.Bounds().Min
	var r, g, b, a float64
	for j, high := range row.parts {
		for i, wide := range column.parts {
			c, part := m.RGBA64At(at.X+column.first+i, at.Y+row.first+j), high*wide
			r, g, b, a = r+part*float64(c.R), g+part*float64(c.G), b+part*float64(c.B), a+part*float64(c.A)
		}
	}
	if a == 0 {
		return color.NRGBA{}
	}
	return color.NRGBA{channel(r / a), channel(g / a), channel(b / a), channel(a / math.MaxUint16)}
}

func channel(part float64) uint8 { return uint8(min(part, 1)*math.MaxUint8 + 0.5) }
