package parts

import (
	_ "embed"
	"strings"
)

// Thread is one line of the table of pipe threads. Lengths are unknown for
// parallel threads.
type Thread struct {
	Standard    string   `json:"standard"`
	Designation string   `json:"designation"` // family and size, such as R 1/2
	MajorM      float64  `json:"major_m"`     // diameter over the thread; for NPT of the pipe
	PerInch     float64  `json:"tpi"`
	PitchM      float64  `json:"pitch_m"`
	FlankDeg    float64  `json:"flank_angle_deg"`
	Form        string   `json:"form"`
	GaugeM      *float64 `json:"gauge_length_m"`
	UsefulM     *float64 `json:"useful_length_m"`
	Source      string   `json:"source"`
}

//go:embed data/threads.csv
var threadsText string

var threads, threadsErr = readTable(threadsText, parseThread)

// Threads returns all lines of the table. It is not to be changed.
func Threads() []Thread { return threads }

// ThreadNamed returns the thread with this designation. Inside threads Rp and Rc
// have the diameter and pitch of R.
func ThreadNamed(designation string) (Thread, bool) {
	family, size, _ := strings.Cut(designation, " ")
	if family == "Rp" || family == "Rc" {
		family = "R"
	}
	for _, t := range threads {
		if t.Designation == family+" "+size {
			t.Designation = designation
			return t, true
		}
	}
	return Thread{}, false
}

// Insertion returns how far, in m, a pipe with this taper thread goes in: the
// useful length less one turn. It is zero for a parallel thread.
//
// Valid for taper threads made up by hand and wrench.
//
// Source: common practice, no source; useful lengths as the table says.
func (t Thread) Insertion() float64 {
	if t.UsefulM == nil {
		return 0
	}
	return *t.UsefulM - t.PitchM
}

// ThreadEnd is one side of a screwed joint.
type ThreadEnd struct {
	Thread  string `json:"thread"` // designation, such as Rp 1/2
	Plastic bool   `json:"plastic"`
}

// Reason is one thing that speaks against a joint.
type Reason struct {
	Code    string `json:"code"`
	Message string `json:"message"`
}

// MayScrew returns what speaks against screwing the outside thread into the
// inside one. Nothing: they go together.
//
// R goes into Rp and Rc, G into G, NPT into NPT, of one size.
func MayScrew(outside, inside ThreadEnd) (against []Reason) {
	out, known := ThreadNamed(outside.Thread)
	in, knownToo := ThreadNamed(inside.Thread)
	if !known || !knownToo {
		return []Reason{{"unknown_thread", "A joint names the thread of both sides, such as R 1/2 into Rp 1/2. Measure the outside diameter and count the turns over an inch."}}
	}
	outFamily, outSize, _ := strings.Cut(outside.Thread, " ")
	inFamily, inSize, _ := strings.Cut(inside.Thread, " ")
	switch mates := map[string]string{"R": "Rp Rc", "G": "G", "NPT": "NPT"}[outFamily]; {
	case mates == "":
		against = append(against, Reason{"no_outside_thread", outFamily + " is an inside thread only. Its counterpart is R."})
	case out.Standard != in.Standard && (outFamily == "NPT" || inFamily == "NPT"):
		against = append(against, Reason{"across_families", "Threads of 55° and of 60° start into each other in some sizes and then leak or split. Put an adaptor with both threads between them."})
	case !strings.Contains(" "+mates+" ", " "+inFamily+" "):
		against = append(against, Reason{"wrong_seal", outFamily + " does not seal in " + inFamily + ": R is tightened in its thread, G on a washer. Take R into Rp or Rc, or G into G."})
	}
	if outSize != inSize {
		against = append(against, Reason{"other_size", "The sizes differ: " + outside.Thread + " and " + inside.Thread + ". Put a reducer between them."})
	}
	if inside.Plastic && !outside.Plastic && out.Form != "parallel" {
		against = append(against, Reason{"plastic_over_taper", "A plastic socket splits on a metal taper thread. Take a plastic outside thread into a metal socket, or a union with a washer."})
	}
	return against
}

func parseThread(r row) (t Thread, err error) {
	t = Thread{
		Standard: r["standard"], Designation: r["designation"], Form: r["form"], Source: r["source"],
		MajorM: r.needed("major_or_pipe_od_mm", -3, &err), PerInch: r.needed("tpi", 0, &err),
		PitchM: r.needed("pitch_mm", -3, &err), FlankDeg: r.needed("flank_angle_deg", 0, &err),
		GaugeM: r.number("gauge_length_mm", -3, &err), UsefulM: r.number("useful_length_mm", -3, &err),
	}
	return t, err
}
