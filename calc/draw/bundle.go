package draw

import (
	"fmt"
	"math"
	"sort"
)

// Bundle is the air tubes of one intake as seen from above. It stands beside
// the elevation at a scale of its own.
type Bundle struct {
	RoundM       float64  `json:"round_m"` // diameter of the circle around them, mostly the bore
	TubeBoreM    float64  `json:"tube_id_m"`
	TubeOutsideM float64  `json:"tube_od_m"`
	Count        int      `json:"count"`
	Fill         float64  `json:"fill"`  // share of the circle that the tubes take, 0 to 1
	Tubes        []Point  `json:"tubes"` // their middles, from the middle of the circle
	Notes        []string `json:"notes"`
}

// mostDrawn is how many tubes are drawn one by one; more could not be told apart.
const mostDrawn = 400

// drawBundle lays the tubes into the bore, each at its true size. Where the
// input gives the area of the throat, the tubes need not fit into the bore, and
// the circle is the one that holds tubes and throat.
func (e *elevation) drawBundle() {
	in := e.in.Intake
	n, od := int(in.NTubes), in.TubeOutsideM
	if n == 0 {
		return
	}
	b := Bundle{RoundM: e.in.Downcomer.BoreM, TubeBoreM: in.TubeBoreM, TubeOutsideM: od, Count: n, Tubes: []Point{}, Notes: []string{}}
	if in.ThroatAreaM2 != nil {
		b.RoundM = math.Sqrt(float64(n)*od*od + *in.ThroatAreaM2*4/math.Pi)
		b.Notes = append(b.Notes, "in a circle that holds the tubes and the water area given between them")
	}
	b.Fill = round(float64(n) * od * od / (b.RoundM * b.RoundM))
	if n > mostDrawn {
		b.Notes = append(b.Notes, "too many tubes to draw one by one")
	} else if b.Tubes = pack(n, b.RoundM/2, od/2); len(b.Tubes) < n {
		b.Notes = append(b.Notes, fmt.Sprintf("only %d of %d found a place in the patterns tried: lay them out before you buy", len(b.Tubes), n))
	}
	for i, t := range b.Tubes {
		b.Tubes[i] = Point{fine(t[0]), fine(t[1])}
	}
	e.Bundle = &b
}

// fine rounds to a hundredth of a millimetre.
func fine(x float64) float64 { return round(x*10) / 10 }

// pack places n circles of radius r in a circle of radius big, spread evenly,
// or as many as it can. It tries rings along the wall and rows set in triangles;
// a cleverer hand may place a few more.
func pack(n int, big, r float64) []Point {
	rings, rows := inRings(n, big, r), inRows(n, big, r)
	if len(rings) >= len(rows) && (n <= 12 || len(rows) < n) {
		return rings
	}
	return rows
}

// touch is the relative error up to which circles that touch do not overlap.
const touch = 1e-9

// inRings fills rings from the wall inward, the last of them with what is left.
func inRings(n int, big, r float64) []Point {
	at := []Point{}
	for radius := big - r; len(at) < n && radius >= -touch*big; radius -= 2 * r {
		left, most := n-len(at), 1
		if radius >= r*(1-touch) {
			most = int(math.Pi/math.Asin(math.Min(1, r/radius)) + touch)
		}
		if most == 1 {
			return append(at, Point{})
		}
		k := min(left, most)
		for i := range k {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(k))
			at = append(at, Point{radius * cos, radius * sin})
		}
	}
	return at
}

// inRows finds the widest spacing of a triangular lattice at which n circles
// fit, or takes the closest one.
func inRows(n int, big, r float64) []Point {
	tight := lattice(n, big-r, 2*r)
	if len(tight) < n {
		return tight
	}
	low, high := 2*r, 4*(big+r)/math.Sqrt(float64(n))
	for range 8 {
		mid := (low + high) / 2
		if wider := lattice(n, big-r, mid); len(wider) == n {
			low, tight = mid, wider
		} else {
			high = mid
		}
	}
	return tight
}

// lattice lists at most n points of a triangular lattice within a radius, those
// nearest to the middle, from the shift of the lattice that has most of them.
func lattice(n int, radius, step float64) []Point {
	const shifts = 4
	best := []Point{}
	for i := range shifts {
		for k := range shifts {
			at := shifted(radius, step, float64(i)/shifts, float64(k)/shifts)
			if len(at) > len(best) {
				best = at
			}
			if len(best) >= n {
				return best[:n]
			}
		}
	}
	return best
}

// shifted lists the points of one lattice within a radius, from the middle
// outward. The shifts are shares of its two sides.
func shifted(radius, step, a, b float64) []Point {
	at := []Point{}
	row := step * math.Sqrt(3) / 2
	most := int(radius/row) + 2
	for k := -most; k <= most; k++ {
		y := row * (float64(k) + b)
		for i := -2 * most; i <= 2*most; i++ {
			x := step * (float64(i) + a + (float64(k)+b)/2)
			if math.Hypot(x, y) <= radius*(1+touch) {
				at = append(at, Point{x, y})
			}
		}
	}
	sort.SliceStable(at, func(i, k int) bool { return math.Hypot(at[i][0], at[i][1]) < math.Hypot(at[k][0], at[k][1]) })
	return at
}
