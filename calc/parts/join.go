package parts

import (
	_ "embed"
	"fmt"
	"math"
)

// odTolerance is by how much, in m, outside diameters may differ in a plain joint.
const odTolerance = 0.3e-3 // common practice, no source

// OnePipe tells whether pipes of two outside diameters, in m, may be joined
// without an adaptor, and if not, why.
func OnePipe(a, b float64) (ok bool, why string) {
	if math.Abs(a-b) <= odTolerance+1e-9 {
		return true, ""
	}
	return false, fmt.Sprintf("Outside diameters of %.2f and %.2f mm do not fit each other: they may differ by 0.3 mm. Name the adaptor between them, or take pipe of one family.", 1000*a, 1000*b)
}

// Socket is how far a pipe goes into a solvent socket.
type Socket struct {
	Standard    string  `json:"standard"`
	Designation string  `json:"designation"`
	ODM         float64 `json:"od_m"`
	DepthM      float64 `json:"depth_m"`
	Source      string  `json:"source"`
}

//go:embed data/sockets.csv
var socketsText string

var sockets, socketsErr = readTable(socketsText, parseSocket)

// Sockets returns all sockets of the table. It is not to be changed.
func Sockets() []Socket { return sockets }

// SocketOf returns the socket of the fittings that are made for a pipe; none
// where the table has no such family or size. Then measure the fitting at hand.
func SocketOf(l Line) (Socket, bool) {
	standard := socketFamily(l)
	for _, s := range sockets {
		if ok, _ := OnePipe(s.ODM, l.ODM); ok && s.Standard == standard {
			return s, true
		}
	}
	return Socket{}, false
}

// socketFamily names the standard of the solvent sockets for a pipe. That pipe
// by SDR goes into Schedule 40 sockets is common practice, no source.
func socketFamily(l Line) string {
	switch {
	case l.Standard == "EN ISO 1452-2":
		return "ISO 727-1 / EN ISO 1452-3"
	case l.Standard == "ASTM D1785" && l.Series == "Schedule 80":
		return "ASTM D2467"
	case l.Standard == "ASTM D1785", l.Standard == "ASTM D2241":
		return "ASTM D2466"
	}
	return ""
}

func parseSocket(r row) (s Socket, err error) {
	s = Socket{
		Standard: r["standard"], Designation: r["designation"], Source: r["source"],
		ODM: r.needed("od_mm", -3, &err), DepthM: r.needed("socket_depth_mm", -3, &err),
	}
	return s, err
}
