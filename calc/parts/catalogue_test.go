package parts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTablesAreRead(t *testing.T) {
	for _, err := range []error{pipesErr, socketsErr, threadsErr} {
		require.NoError(t, err)
	}
	keys := map[string]bool{}
	for _, l := range Catalogue() {
		require.False(t, keys[l.Key], "%s stands twice", l.Key)
		keys[l.Key] = true
		found, ok := Lookup(l.Key)
		require.True(t, ok)
		require.Equal(t, l, found)
		if !l.PressureRated && l.RatingPa != nil {
			require.Zero(t, *l.RatingPa, "%s is no pressure pipe: its rating is 0 whatever the wall", l.Key)
		}
		if l.WallM != nil && l.IDM != nil { // the rule of the table: bore = OD less two walls
			require.InDelta(t, l.ODM-2**l.WallM, *l.IDM, 0.06e-3, l.Key)
		}
	}
	_, ok := Lookup("no/such/pipe")
	require.False(t, ok)
}

// Rows with a fault are refused, each for its own.
func TestBadRowsAreRefused(t *testing.T) {
	head := "standard,series,designation,od_mm,wall_mm,id_mm,rating_bar,pressure_rated,gas_rated,source,material,gas_class,sdr,note\n"
	for row, wrong := range map[string]string{
		"a,b,c,,2,,1,yes,no,s,PVC-U,brittle,,":      "od_mm is blank",
		"a,b,c,63,thin,,1,yes,no,s,PVC-U,brittle,,": "wall_mm",
		"a,b,c,63,2,,1,maybe,no,s,PVC-U,brittle,,":  "pressure_rated",
		"a,b,c,63,2,,1,yes,no,,PVC-U,brittle,,":     "source",
	} {
		_, err := readTable(head+row+"\n", parseLine)
		require.ErrorContains(t, err, wrong)
	}
}

// EN ISO 1452-2 d63 PN10: 63 × 3.0 mm, the table's own row; wall read in reprints of one series.
func TestLines(t *testing.T) {
	l, ok := Lookup("en-iso-1452-2/s10-sdr21/d63-pn10")
	require.True(t, ok)
	require.Equal(t, []float64{0.063, 0.003, 10e5}, []float64{l.ODM, *l.WallM, *l.RatingPa})
	require.False(t, l.GasRated)
	air, ok := Lookup("no-dimensional-standard-assumed/nylon-11-12/8x6")
	require.True(t, ok)
	require.Nil(t, air.RatingPa, "blank: unknown until the maker's figure is entered")
	drain, ok := Lookup("en-1401-1/sn8-sdr34/d125")
	require.True(t, ok)
	require.Zero(t, *drain.RatingPa)
	for _, l := range WithBore("PE100", 0.03, 0.05) {
		require.Equal(t, "PE100", l.Material)
		require.True(t, *l.IDM >= 0.03 && *l.IDM <= 0.05)
	}
	require.NotEmpty(t, WithBore("", 0.03, 0.05))
}

// PVC-U of 63 mm and 2 in pipe of 60.3 mm do not fit each other (specification, section 2).
func TestDiametersOfOneJoint(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		ok   bool
	}{{0.063, 0.0603, false}, {0.0603, 0.06032, true}, {0.06, 0.0603, true}, {0.06, 0.06031, false}} {
		ok, why := OnePipe(c.a, c.b)
		require.Equal(t, c.ok, ok)
		require.Equal(t, c.ok, why == "")
	}
}

// Metric sockets: L = 0.5 d + 6 mm, at least 12 mm (ISO 727-1, from memory); the
// table rounds to 0.1 mm. Inch sockets from memory of ASTM D2466 and D2467.
func TestSockets(t *testing.T) {
	for _, s := range Sockets() {
		if s.Standard == "ISO 727-1 / EN ISO 1452-3" {
			require.InDelta(t, math.Max(0.012, 0.5*s.ODM+0.006), s.DepthM, 0.06e-3, s.Designation)
		}
	}
	for key, depth := range map[string]float64{
		"en-iso-1452-2/s10-sdr21/d63-pn10":         0.0375,
		"astm-d1785/schedule-40/nps-2":             0.0294,
		"astm-d1785/schedule-80/nps-2":             0.0381,
		"en-1401-1/sn8-sdr34/d125":                 0, // no pressure socket
		"iso-4427-2/pe100-sdr11/d50-pn16":          0, // fused
		"no-dimensional-standard-assumed/ldpe/6x4": 0,
	} {
		l, ok := Lookup(key)
		require.True(t, ok, key)
		s, ok := SocketOf(l)
		require.Equal(t, depth != 0, ok, key)
		require.InDelta(t, depth, s.DepthM, 1e-9, key)
	}
}

// The rule of the specification, section 2: R into Rp and Rc, G into G, nothing
// across families, no plastic socket over a metal taper thread.
func TestScrewedJoints(t *testing.T) {
	metal := func(name string) ThreadEnd { return ThreadEnd{Thread: name} }
	plastic := func(name string) ThreadEnd { return ThreadEnd{name, true} }
	for _, c := range []struct {
		outside, inside ThreadEnd
		against         []string
	}{
		{metal("R 1/2"), metal("Rp 1/2"), nil},
		{metal("R 1"), metal("Rc 1"), nil},
		{metal("G 3/4"), metal("G 3/4"), nil},
		{metal("NPT 1/2"), metal("NPT 1/2"), nil},
		{plastic("R 1/2"), metal("Rp 1/2"), nil},
		{plastic("R 1/2"), plastic("Rp 1/2"), nil},
		{metal("G 3/4"), plastic("G 3/4"), nil},
		{metal("R 1/2"), plastic("Rp 1/2"), []string{"plastic_over_taper"}},
		{metal("NPT 1/2"), plastic("NPT 1/2"), []string{"plastic_over_taper"}},
		{metal("NPT 1/2"), plastic("Rp 3/4"), []string{"across_families", "other_size", "plastic_over_taper"}},
		{metal("G 1/2"), metal("Rp 1/2"), []string{"wrong_seal"}},
		{metal("R 1/2"), metal("G 1/2"), []string{"wrong_seal"}},
		{metal("R 1/2"), metal("R 1/2"), []string{"wrong_seal"}},
		{metal("Rp 1/2"), metal("Rp 1/2"), []string{"no_outside_thread"}},
		{metal("R 1/2"), metal("Rp 3/4"), []string{"other_size"}},
		{metal("1/2"), metal("Rp 1/2"), []string{"unknown_thread"}},
		{metal(""), metal(""), []string{"unknown_thread"}},
	} {
		var codes []string
		for _, r := range MayScrew(c.outside, c.inside) {
			require.NotEmpty(t, r.Message)
			codes = append(codes, r.Code)
		}
		require.Equal(t, c.against, codes, "%v into %v", c.outside, c.inside)
	}
}

// Useful length 13.2 mm (ISO 7-1, from memory) less a turn of 25.4/14 mm.
func TestInsertionOfThreads(t *testing.T) {
	r, ok := ThreadNamed("R 1/2")
	require.True(t, ok)
	require.InDelta(t, (13.2-25.4/14)/1000, r.Insertion(), 1e-7)
	for _, thread := range Threads() {
		require.InDelta(t, 25.4/thread.PerInch/1000, thread.PitchM, 0.0001e-3, thread.Designation)
	}
}
