package logger_test

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/calc/logger"
)

// Files here are invented. Numbers are converted by hand with the exact factors:
// 1 bar = 100000 Pa, 1 psi = 6894.757 Pa, 0 °C = 273.15 K, 1 L/min = 1/60000 m³/s.

func read(t *testing.T, text string, asked logger.Asked) (logger.Series, logger.Report) {
	t.Helper()
	s, report, err := logger.Read(strings.NewReader(text), asked)
	require.NoError(t, err)
	return s, report
}

// faults returns code, line and column of each fault.
func faults(t *testing.T, text string, asked logger.Asked) (all []string) {
	t.Helper()
	s, _, err := logger.Read(strings.NewReader(text), asked)
	require.Error(t, err, text)
	require.Empty(t, s.Time, "nothing half read")
	var found logger.Faults
	require.True(t, errors.As(err, &found))
	for _, f := range found {
		all = append(all, fmt.Sprintf("%s %d %d", f.Code, f.Line, f.Column))
		require.NotEmpty(t, f.Message)
		require.Contains(t, err.Error(), f.Message)
	}
	return all
}

func TestReadInSI(t *testing.T) {
	s, report := read(t, "\xef\xbb\xbft [s],p_bar,Air (°C),\"Flow, in [L/min]\",valve [1]\r\n0,1.5,20,60,0\r\n0.5,-1.25e-1,-0.5,6,1\r\n# changed the battery\r\n\r\n1,NaN,,---,1\r\n", logger.Asked{})
	require.Equal(t, []float64{0, 0.5, 1}, s.Time)
	require.True(t, s.Start.IsZero())
	var got []string
	for _, c := range s.Channels {
		got = append(got, c.Name+" "+c.Unit+" "+c.FileUnit)
	}
	require.Equal(t, []string{"p Pa bar", "Air K °C", "Flow, in m3/s L/min", "valve 1 1"}, got)
	for c, want := range [][]float64{{150_000, -12_500}, {293.15, 272.65}, {0.001, 0.0001}, {0, 1}} {
		require.InDeltaSlice(t, want, s.Channels[c].Values[:2], 1e-9)
	}
	require.True(t, math.IsNaN(s.Channels[0].Values[2]))
	require.Equal(t, []int{1, 1, 1, 0}, []int{report.Channels[0].Missing, report.Channels[1].Missing, report.Channels[2].Missing, report.Channels[3].Missing})
	require.Equal(t, 3, report.Rows)
	require.Equal(t, ",", report.Separator)
	require.InDelta(t, 0.5, report.MedianStep, 0)
	require.False(t, report.Dated)
	_, report = read(t, "t,x [1]\n0,1\n", logger.Asked{})
	require.Equal(t, fmt.Sprintf("%x", sha256.Sum256([]byte("t,x [1]\n0,1\n"))), report.Digest, "the digest is that of the bytes as they came")
}

func TestUnitsThatLoggersWrite(t *testing.T) {
	for unit, want := range map[string]float64{
		"Pa": 3, "kPa": 3000, "hPa": 300, "mbar": 300, "bar": 3e5, "MPa": 3e6, "psi": 20684.271879504, "barg": 3e5, "psia": 20684.271879504, "bar abs": 3e5, "bar(g)": 3e5,
		"°C": 276.15, "C": 276.15, "degC": 276.15, "K": 3, "°F": 257.03888888888888, "L/min": 5e-5, "l/min": 5e-5, "L/s": 3e-3, "m3/h": 3.0 / 3600, "m³/h": 3.0 / 3600, "m3/s": 3,
		"m": 3, "mm": 0.003, "cm": 0.03, "%": 0.03, "1": 3, "1/min": 0.05,
	} {
		s, _ := read(t, "time [s];x ["+unit+"]\n0;3\n", logger.Asked{})
		require.InEpsilon(t, want, s.Channels[0].Values[0], 1e-12, unit)
		counted := map[string]string{"barg": "gauge", "bar(g)": "gauge", "psia": "absolute", "bar abs": "absolute"}[unit]
		require.Equal(t, counted, s.Channels[0].Counted, unit)
	}
}

// A unit is in the heading or asked for; nothing else is taken for one.
func TestUnitsAreNeverGuessed(t *testing.T) {
	const file = "time,p_in,Tank (north),level_m\n0,1.5,2,3\n"
	require.Equal(t, []string{"unit_missing 1 2", "unit_missing 1 3", "unit_missing 1 4"}, faults(t, file, logger.Asked{}))
	s, _ := read(t, file, logger.Asked{Units: map[string]string{"p_in": "bar", "Tank (north)": "psi"}, Without: []string{"level_m"}})
	require.Len(t, s.Channels, 2)
	require.InDelta(t, 150_000, s.Channels[0].Values[0], 1e-9)
	require.InDelta(t, 13789.514586336, s.Channels[1].Values[0], 1e-6)
	require.Equal(t, []string{"unit_unknown 1 2"}, faults(t, "t,x [furlong]\n0,1\n", logger.Asked{}))
	require.Equal(t, []string{"unit_unknown 1 2"}, faults(t, "t,x [BAR]\n0,1\n", logger.Asked{}))
	require.Equal(t, []string{"unit_unknown 2 1"}, faults(t, "t [fortnights],x [bar]\n0,1\n", logger.Asked{}))
}

func TestSeparatorsAndDecimalCommas(t *testing.T) {
	for _, c := range []struct {
		text      string
		separator string
		comma     bool
	}{
		{"t [s];p, tank [bar]\n0,5;1,25\n", ";", true},
		{"t [s]\tp [bar]\n0.5\t1.25\n", "\t", false},
		{"t [s]\tp;x [bar]\n0,5\t1,25\n", "\t", true},
		{"t [s],p [bar]\n0.5,\"1.25\"\n", ",", false},
	} {
		s, report := read(t, c.text, logger.Asked{})
		require.Equal(t, []float64{0.5}, s.Time, c.text)
		require.InDelta(t, 125_000, s.Channels[0].Values[0], 1e-9, c.text)
		require.Equal(t, c.separator, report.Separator)
		require.Equal(t, c.comma, report.DecimalComma)
	}
	require.Equal(t, []string{"decimal_comma 3 0"}, faults(t, "t [s],p [bar],T [K]\n0,1,2\n1,1,5,293,2\n", logger.Asked{}))
	require.Equal(t, []string{"decimal_comma 2 2"}, faults(t, "t [s],p [bar]\n0,\"1,5\"\n", logger.Asked{}))
	require.Equal(t, []string{"decimal_mixed 3 2"}, faults(t, "t [s];p [bar]\n0;1,5\n1;1.5\n", logger.Asked{}))
	require.Equal(t, []string{"decimal_mixed 2 2"}, faults(t, "t [s];p [Pa]\n0;101.325,5\n", logger.Asked{}))
	require.Equal(t, []string{"row_too_long 2 0"}, faults(t, "t [s];p [Pa]\n0;1;2\n", logger.Asked{}))
	s, _ := read(t, "t [s];p [Pa];\n0;1;\n1;2;\n", logger.Asked{})
	require.Len(t, s.Channels, 1, "a separator at the end of each line is no column")
}

// A million is far more than units may be mixed in: the first is told, with its
// place.
func TestMixedUnitsAndSecondHeaders(t *testing.T) {
	require.Equal(t, []string{"unit_mixed 3 2"}, faults(t, "t [s],p [bar]\n0,1.5\n1,150 kPa\n", logger.Asked{}))
	require.Equal(t, []string{"unit_mixed 2 2"}, faults(t, "t [s],T [°C]\n0,20°C\n", logger.Asked{}))
	require.Equal(t, []string{"second_header 3 0"}, faults(t, "t [s],p [bar]\n0,1.5\nt [s],p [bar]\n0,1\n", logger.Asked{}))
	require.Equal(t, []string{"second_header 3 2"}, faults(t, "t [s],p [bar]\n0,1.5\ntime,[kPa]\n0,150\n", logger.Asked{}))
	require.Equal(t, []string{"second_header 2 1"}, faults(t, "t [s],p [bar]\n[s],[bar]\n0,150\n", logger.Asked{}))
	require.Equal(t, []string{"second_header 3 1"}, faults(t, "t [s],p [bar]\n0,1.5\nt [s],p [kPa]\n0,150\n", logger.Asked{}))
	require.Equal(t, []string{"second_header 3 2"}, faults(t, "t [s],p [bar]\n0,1.5\nclock,tank_psi\n0,150\n", logger.Asked{}))
	_, report := read(t, "t [s],p [bar]\n0,1.5\n1,12 volts\n2,1e\n3,0x10\n", logger.Asked{})
	require.Equal(t, 3, report.Channels[0].Missing, "other text is a bad cell")

	// Units that stand in a column of their own, which is left out.
	units := func(second string) string { return "t [s],p [bar],unit\n0,1.5,bar\n1,1.5,bar\n2,150," + second + "\n" }
	beside := logger.Asked{Without: []string{"unit"}}
	require.Equal(t, []string{"unit_mixed 4 3"}, faults(t, units("kPa"), beside))
	require.Equal(t, []string{"unit_mixed 4 3"}, faults(t, units("bar g"), beside), "from another zero")
	for _, note := range []string{"bar", "h", "ok", "", "7"} {
		_, report = read(t, units(note), beside)
		require.Equal(t, 3, report.Rows, note)
	}
}

// Seconds or milliseconds since 1970, without a unit: neither is taken for granted.
func TestLargeTimesNeedAUnit(t *testing.T) {
	const file = "time,p [bar]\n1777629600000,1\n1777629601000,1\n"
	require.Equal(t, []string{"unit_missing 2 1"}, faults(t, file, logger.Asked{}))
	for unit, step := range map[string]float64{"ms": 1, "s": 1000} {
		s, _ := read(t, file, logger.Asked{Units: map[string]string{"time": unit}})
		require.InDelta(t, step, s.Time[1]-s.Time[0], 1e-6)
	}
}

func TestTimes(t *testing.T) {
	utc := func(text string) time.Time {
		at, err := time.Parse(time.RFC3339Nano, text)
		require.NoError(t, err)
		return at.UTC()
	}
	s, report := read(t, "time,p [bar]\n2026-02-28T23:59:59.5Z,1\n2026-03-01 00:00:00+00:00,1\n2026-03-01T01:00:01.25+01:00,1\n2026-02-28 20:00:02-0400,1\n", logger.Asked{})
	require.Equal(t, utc("2026-02-28T23:59:59.5Z"), s.Start)
	require.InDeltaSlice(t, []float64{0, 0.5, 1.75, 2.5}, s.Time, 1e-9)
	require.True(t, report.Dated)

	const bare = "time;p [bar]\n2024-02-29T12:00;1\n2024-02-29T12:01:00,5;1\n"
	require.Equal(t, []string{"zone_missing 2 1"}, faults(t, bare, logger.Asked{}))
	s, _ = read(t, bare, logger.Asked{Zone: time.FixedZone("", 3600)})
	require.Equal(t, utc("2024-02-29T11:00:00Z"), s.Start)
	require.InDeltaSlice(t, []float64{0, 60.5}, s.Time, 1e-9)
	s, _ = read(t, "Date (UTC);p [bar]\n2024-02-29T12:00;1\n", logger.Asked{})
	require.Equal(t, utc("2024-02-29T12:00:00Z"), s.Start)

	s, _ = read(t, "n [1],t_min,p [bar]\n1,1.5,1\n2,2,1\n", logger.Asked{Time: "t_min"})
	require.Equal(t, []float64{90, 120}, s.Time)
	require.Equal(t, []string{"not_there 1 0"}, faults(t, "t,p [bar]\n0,1\n", logger.Asked{Time: "clock"}))
	require.Equal(t, []string{"time_mixed 3 1"}, faults(t, "t,p [bar]\n0,1\n2026-01-01T00:00Z,1\n", logger.Asked{}))
	require.Equal(t, []string{"time_mixed 3 1"}, faults(t, "t,p [bar]\n2026-01-01T00:00Z,1\n5,1\n", logger.Asked{}))
}

// The calendar of the standard library is the other party here.
func TestDatesAreThoseOfTheCalendar(t *testing.T) {
	zone, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	for day := time.Date(1899, 12, 25, 7, 8, 9, 0, zone); day.Year() < 2105; day = day.AddDate(0, 0, 37) {
		s, _ := read(t, "t,p [bar]\n"+day.Format("2006-01-02T15:04:05")+",1\n", logger.Asked{Zone: zone})
		require.Equal(t, day.Unix(), s.Start.Unix(), day)
		s, _ = read(t, "t,p [bar]\n"+day.Format("2006-01-02T15:04:05-0700")+",1\n", logger.Asked{})
		require.Equal(t, day.Unix(), s.Start.Unix(), day)
	}
	for _, bad := range []string{"2026-02-29T00:00Z", "2026-13-01T00:00Z", "2026-00-01T00:00Z", "2026-01-01T24:00Z", "2026-01-01T00:60Z", "2026-01-01T00:00:61Z", "01.02.2026 10:00:00", "2026-01-01T00:00 CET", "2026-01-01"} {
		require.Equal(t, []string{"no_rows 0 0"}, faults(t, "t;p [bar]\n"+bad+";1\n", logger.Asked{}), bad)
	}
}

// Numbers are those that the standard library reads.
func TestNumbersAreThoseOfTheStandardLibrary(t *testing.T) {
	for _, text := range []string{"0", "-0.0", "+1", "1.", ".5", "3.14159265358979", "0.1", "123456789012345678", "1e22", "1e23", "1.7976931348623157e308", "4.9e-324", "-2.5E-7", "0.30000000000000004", "00012.50", "9007199254740993"} {
		var want float64
		_, err := fmt.Sscanf(strings.TrimSuffix(text, "."), "%g", &want)
		require.NoError(t, err)
		s, _ := read(t, "t,x [1]\n0,"+text+"\n", logger.Asked{})
		require.InDelta(t, want, s.Channels[0].Values[0], 0, text)
	}
	for _, text := range []string{"inf", "-Inf", "1e999", "", "-", ".", "e5", "1 2", "0x1p3"} {
		_, report := read(t, "t,x [1]\n0,"+text+"\n", logger.Asked{})
		require.Equal(t, 1, report.Channels[0].Missing, text)
	}
}

func TestRowsOutOfOrder(t *testing.T) {
	s, report := read(t, "t,x [1]\n3,30\n1,10\n2,20\n1,11\nno time,99\n5,\n5,50\n4\n7,70", logger.Asked{})
	require.Equal(t, []float64{1, 2, 3, 4, 5, 7}, s.Time)
	x := s.Channels[0].Values
	require.Equal(t, []float64{10, 20, 30}, x[:3], "of two rows at one time the first stays")
	require.True(t, math.IsNaN(x[3]) && math.IsNaN(x[4]))
	require.Equal(t, []int{2, 3, 3, 1, 6, 0}, []int{report.Duplicates, report.OutOfOrder, report.FirstOutOfOrder, report.Untimed, report.FirstUntimed, report.BrokenOff})
	s, _ = read(t, "t,x [1]\n2026-01-01T00:00:01Z,1\n2026-01-01T00:00:00.5Z,0\n", logger.Asked{})
	require.Equal(t, 500_000_000, s.Start.Nanosecond())
	require.InDeltaSlice(t, []float64{0, 0.5}, s.Time, 1e-9)

	s, report = read(t, "t,x [1],y [1]\n0,1,2\n1,1", logger.Asked{})
	require.Equal(t, []float64{0}, s.Time, "the last line may have lost digits")
	require.Equal(t, 3, report.BrokenOff)
}

func TestFilesThatAreNone(t *testing.T) {
	require.Equal(t, []string{"no_header 0 0"}, faults(t, "", logger.Asked{}))
	require.Equal(t, []string{"no_header 1 0"}, faults(t, "hello\n", logger.Asked{}))
	require.Equal(t, []string{"no_header 1 1"}, faults(t, "0,1.5\n1,1.5\n", logger.Asked{}))
	require.Equal(t, []string{"no_rows 0 0"}, faults(t, "t,p [bar]\n", logger.Asked{}))
	require.Equal(t, []string{"not_text 1 0"}, faults(t, "PK\x03\x04\x00\x00,\xff\n", logger.Asked{}))
	require.Equal(t, []string{"not_text 1 0"}, faults(t, "t,p [bar]\r0,1\r1,2\r", logger.Asked{}), "lines that end with a carriage return alone")
	require.Equal(t, []string{"not_text 1 0"}, faults(t, "t,p [bar]"+strings.Repeat("\r0,1", 1<<14), logger.Asked{}))
	require.Equal(t, []string{"not_text 3 0"}, faults(t, "t,p [bar]\r\n0,1\r\n1,2\r2,3\r\n", logger.Asked{}))
	require.Equal(t, []string{"name_twice 1 3"}, faults(t, "t,p [bar],p [bar]\n0,1,1\n", logger.Asked{}))
	require.Equal(t, []string{"too_large 1 0"}, faults(t, "t"+strings.Repeat(",x", 64)+"\n", logger.Asked{}))
	require.Equal(t, []string{"too_large 2 0"}, faults(t, "t,x [1]\n0,"+strings.Repeat("1", 1<<16)+"\n", logger.Asked{}))
	_, _, err := logger.Read(brokenPipe{}, logger.Asked{})
	require.ErrorIs(t, err, errBroken)
}

var errBroken = errors.New("broken")

type brokenPipe struct{}

func (brokenPipe) Read([]byte) (int, error) { return 0, errBroken }

// endless is a file without end.
type endless struct{ line, rest string }

func (e *endless) Read(b []byte) (n int, err error) {
	for n < len(b) {
		if e.rest == "" {
			e.rest = e.line
		}
		size := copy(b[n:], e.rest)
		n, e.rest = n+size, e.rest[size:]
	}
	return n, nil
}

// Specification of evidence, section 2.1: at most 50 MB and 1e6 rows.
func TestLimits(t *testing.T) {
	for _, c := range []struct {
		line string
		at   int
	}{
		{"2026-01-01T00:00:00Z,1\n", 1_000_002},
		{strings.Repeat("x", 9_999) + "\n", 5001},
	} {
		in := &counted{Reader: io.MultiReader(strings.NewReader("t,x [1]\n"), &endless{line: c.line})}
		_, _, err := logger.Read(in, logger.Asked{})
		var found logger.Faults
		require.True(t, errors.As(err, &found))
		require.Equal(t, logger.TooLarge, found[0].Code)
		require.Equal(t, c.at, found[0].Line)
		require.LessOrEqual(t, in.bytes, logger.MostBytes+1<<17, "no more is read")
	}
}

type counted struct {
	io.Reader
	bytes int
}

func (c *counted) Read(b []byte) (n int, err error) {
	n, err = c.Reader.Read(b)
	c.bytes += n
	return n, err
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{"t,p [bar]\n0,1\n1,2\n", "t [s];p_bar\r\n0,5;1,5\n", "time\tx [°C]\n2026-01-01T00:00:00.5Z\t20\n2026-01-01T00:00Z\t\"2\"\"1\"\n", "\xef\xbb\xbf#\n\"a\",\"b\"\n\"", "t,x [1]\n1e308,1\n-1e308,1e-400\n"} {
		f.Add(seed, "bar")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		s, report, err := logger.Read(strings.NewReader(text), logger.Asked{Zone: time.UTC, Units: map[string]string{"x": unit}})
		if err != nil {
			var found logger.Faults
			require.True(t, errors.As(err, &found) && len(found) > 0 && len(found) <= logger.MostColumns)
			return
		}
		require.LessOrEqual(t, len(s.Time), len(text))
		require.Len(t, report.Digest, 64)
		for i, x := range s.Time {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0) || i > 0 && x <= s.Time[i-1], "times increase")
		}
		for c := range s.Channels {
			require.Len(t, s.Channels[c].Values, len(s.Time))
			for _, x := range s.Channels[c].Values {
				require.False(t, math.IsInf(x, 0))
			}
			times, values := s.Reduced(c, s.All(), logger.MostPoints)
			require.Len(t, values, len(times))
		}
		s.Pieces(s.All())
	})
}

// Specification of evidence, section 2.1: more than 30 equal samples where those
// beside vary.
func TestStuckSensors(t *testing.T) {
	var text strings.Builder
	text.WriteString("t [s],moving [K],coarse [°C],valve [1],short [1]\n")
	next := noise()
	for i := range 400 {
		moving, short := 300+next(), next()
		if i >= 100 && i < 131 || i >= 369 {
			moving = 301
		}
		if i >= 100 && i < 130 {
			short = 7
		}
		fmt.Fprintf(&text, "%d,%.4f,%.1f,1,%.4f\n", i, moving, 20+0.5*float64(i/80), short)
	}
	_, report := read(t, text.String(), logger.Asked{})
	require.Equal(t, []logger.Stretch{{Window: logger.Window{From: 100, To: 131}, Value: 301}, {Window: logger.Window{From: 369, To: 400}, Value: 301}}, report.Channels[0].Stuck)
	for _, c := range report.Channels[1:] {
		require.Empty(t, c.Stuck, c.Name)
	}
}

// Values that are missing in between move nothing.
func TestAStuckSensorWithHoles(t *testing.T) {
	var text strings.Builder
	text.WriteString("t [s],moving [K]\n")
	next := noise()
	for i := range 200 {
		switch {
		case i < 50 || i >= 120:
			fmt.Fprintf(&text, "%d,%.4f\n", i, 300+next())
		case i%10 == 5:
			fmt.Fprintf(&text, "%d,NaN\n", i)
		default:
			fmt.Fprintf(&text, "%d,301\n", i)
		}
	}
	_, report := read(t, text.String(), logger.Asked{})
	require.Equal(t, []logger.Stretch{{Window: logger.Window{From: 50, To: 120}, Value: 301}}, report.Channels[0].Stuck)
}

func TestStepsAndGaps(t *testing.T) {
	_, report := read(t, "t [s],x [1]\n0,1\n1,1\n2,1\n3,1\n10,1\n11,1\n", logger.Asked{})
	require.InDelta(t, 1, report.MedianStep, 0)
	require.Equal(t, logger.Gap{After: 3, Length: 7}, report.LongestGap)
	require.True(t, report.Uneven())
	_, report = read(t, "t [s],x [1]\n0,1\n1.05,1\n2,1\n3,1\n3.95,1\n", logger.Asked{})
	require.False(t, report.Uneven())
	_, report = read(t, "t [s],x [1]\n0,1\n", logger.Asked{})
	require.Zero(t, report.MedianStep)
}
