package build

import (
	"fmt"
	"math"

	"leat/calc/parts"
)

// Materials is what a machine is made of: the parts list, and the lengths of
// pipe to be cut for it.
type Materials struct {
	Rows   []parts.Row   `json:"rows"`
	Pieces []parts.Piece `json:"pieces"`
}

// List makes the parts list of a machine from its geometry: the length of each
// pipe between faces, and how far it goes into what it is joined to.
func List(m Machine, described []Part) Materials {
	list := []parts.Part{}
	wanted := []parts.Piece{}
	for i, p := range described {
		row, pieces := m.taken(i, p)
		list, wanted = append(list, row), append(wanted, pieces...)
	}
	if tubes, piece, ok := m.airTubes(); ok {
		list, wanted = append(list, tubes), append(wanted, piece)
	}
	return Materials{Rows: parts.List(list), Pieces: wanted}
}

// taken is one part with its lengths of pipe.
func (m Machine) taken(i int, p Part) (parts.Part, []parts.Piece) {
	n := int(p.Count) * m.times(p.Role)
	row := parts.Part{Role: p.Role, Key: p.Line, Described: p.Name, Material: p.Table, Qty: n, Cuts: []parts.Tenths{}}
	if row.Key == "" && row.Described == "" {
		row.Described = p.Role
	}
	end := parts.Joint{Kind: p.Joint, Thread: p.Thread, Mate: p.Into}
	row.Ends = []parts.Joint{end, end}
	length := p.LengthM
	if length == nil {
		length = m.length(p.Role)
	}
	if length == nil {
		return row, nil
	}
	cut := parts.InTenths(parts.CutBetweenFaces(*length, insertion(p), insertion(p)))
	if cut <= 0 {
		return row, nil
	}
	row.Cuts = append(row.Cuts, cut)
	key := p.Line
	if key == "" {
		key = row.Described
	}
	name := p.Name
	if name == "" {
		name = fmt.Sprintf("%s %d", p.Role, i+1)
	}
	return row, []parts.Piece{{Key: key, Length: cut, Qty: n, For: name}}
}

// times is how many of a part stand side by side in the machine.
func (m Machine) times(role string) int {
	if m.Trompe == nil {
		return 1
	}
	switch role {
	case Downcomer:
		return int(m.Trompe.NParallel)
	case Riser:
		return max(1, int(m.Trompe.Riser.Count))
	}
	return 1
}

// insertion is how far, in m, an end goes into its fitting; 0 where the maker
// of the fitting has to say.
func insertion(p Part) float64 {
	switch p.Joint {
	case "solvent":
		if line, ok := parts.Lookup(p.Line); ok {
			if socket, ok := parts.SocketOf(line); ok {
				return socket.DepthM
			}
		}
	case "threaded":
		if thread, ok := parts.ThreadNamed(p.Thread); ok {
			return max(0, thread.Insertion())
		}
	}
	return 0
}

// airTubes are the tubes of the intake.
func (m Machine) airTubes() (parts.Part, parts.Piece, bool) {
	if m.Trompe == nil || m.Trompe.Intake.NTubes == 0 {
		return parts.Part{}, parts.Piece{}, false
	}
	in := m.Trompe.Intake
	n := int(in.NTubes) * int(m.Trompe.NParallel)
	name := fmt.Sprintf("air tube %g x %g mm", mm(in.TubeOutsideM), mm(in.TubeBoreM))
	cut := parts.InTenths(in.TubeLengthM)
	return parts.Part{Role: "air_tubes", Described: name, Qty: n, Cuts: []parts.Tenths{cut}}, parts.Piece{Key: name, Length: cut, Qty: min(n, parts.MostPieces), For: "air tube"}, true
}

func mm(m float64) float64 { return math.Round(m*1e5) / 100 }

// SoldLength is how long a pipe mostly is sold, in m: 6 m of plastic and steel,
// 20 ft by American standards, 3 m of copper, tube in coils of 25 m. Common
// practice, no source; a group enters its own.
func SoldLength(key string) parts.Tenths {
	line, known := parts.Lookup(key)
	switch {
	case !known || line.GasClass == "flexible":
		return parts.InTenths(25)
	case line.Material == "copper":
		return parts.InTenths(3)
	case len(line.Standard) > 4 && line.Standard[:4] == "ASTM":
		return parts.InTenths(6.096)
	}
	return parts.InTenths(6)
}
