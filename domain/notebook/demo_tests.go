package notebook

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"slices"
	"time"

	"leat/calc/procedure"
	"leat/domain"
)

// demoTest is a test sheet of the demo, gone through by two of its people.
type demoTest struct {
	*story
	build           domain.Build
	builder, second string // addresses
	leaks           bool
	ref             domain.TestRef
	picture         domain.FileID
}

// read is what the demo's people read where the middle of the limits would be
// odd, by field.
var demoRead = map[string]float64{
	"cure_hours": 110, "coldest": 12, "air_fraction": 0.4, "hold_minutes": 62, "t_start": 15.5, "t_end": 15.2, "pipe_temp": 15, "zone_radius": 6, "rating": 16,
}

// passes goes through the whole list and has the certificate issued.
func (t *demoTest) passes() error {
	if err := t.begin(); err != nil {
		return err
	}
	if err := t.goThrough(""); err != nil {
		return err
	}
	t.at = t.at.Add(40 * time.Minute)
	_, _, err := t.IssueCertificate(t.ctx, t.people[bram], domain.IssueCertificate{Test: t.ref, Proof: t.proof()})
	return err
}

// fails goes through the list up to an item that cannot be met, releases the
// pressure and writes the failure up; a steward closes it.
func (t *demoTest) fails(item, why string) error {
	if err := t.begin(); err != nil {
		return err
	}
	if err := t.goThrough(item); err != nil {
		return err
	}
	stop := domain.RecordItem{
		Test: t.ref, Item: item, Values: procedure.Values{}, Stop: why, Key: t.key(),
		Sign: domain.TestSign{Member: t.people[t.second].Account, Role: procedure.Second, Proof: t.proof()},
	}
	if _, _, err := t.RecordItem(t.ctx, t.people[t.builder], stop); err != nil {
		return err
	}
	if err := t.goThrough(""); err != nil {
		return err
	}
	t.at = t.at.Add(30 * time.Hour)
	_, err := t.CloseNonconformance(t.ctx, t.people[bram], domain.CloseFailure{Test: t.ref, Text: "The joint is cut out and a new one is made; nothing was mended with more cement.", Proof: t.proof()})
	return err
}

func (t *demoTest) begin() error {
	who := t.people[t.builder]
	sheet, _, err := t.StartTest(t.ctx, who, domain.StartTest{Project: t.project, Build: t.build.ID, Key: t.key()})
	if err != nil {
		return err
	}
	t.ref = domain.TestRef{Project: t.project, Build: t.build.ID, Number: sheet.Number}
	dial, err := drawnDial(0.62)
	if err != nil {
		return err
	}
	f, _, err := t.KeepFile(t.ctx, who, domain.KeepFile{Project: t.project, Name: "dial.png", Picture: true, Data: dial, Key: t.key()})
	t.picture = f.ID
	return err
}

// goThrough records and signs what is open, in the order of the list, up to an
// item; to the end where that is empty.
func (t *demoTest) goThrough(until string) error {
	for range 200 { // a list has some forty items, with two or three signatures each
		t.at = t.at.Add(3 * time.Minute)
		sheet, err := t.Test(t.ctx, t.people[t.builder], t.ref)
		if err != nil {
			return err
		}
		states := sheet.States()
		i := slices.IndexFunc(states, func(s domain.ItemState) bool {
			return s.State.State == procedure.Open || s.State.State == procedure.Signing
		})
		if i < 0 || states[i].Item == until {
			return nil
		}
		if err := t.signs(sheet, states[i]); err != nil {
			return fmt.Errorf("%s: %w", states[i].Item, err)
		}
	}
	return fmt.Errorf("the list of test %d has no end", t.ref.Number)
}

// signs gives the next signature that an item lacks.
func (t *demoTest) signs(sheet domain.Test, state domain.ItemState) error {
	role := state.Lacks[0]
	signer := map[string]string{procedure.Builder: t.builder, procedure.Second: t.second, procedure.Competent: bram}[role]
	sign := domain.TestSign{Member: t.people[signer].Account, Role: role, Proof: t.proof()}
	if state.State.State == procedure.Signing {
		entry := sheet.Entries[slices.IndexFunc(sheet.Entries, func(e domain.TestEntry) bool { return e.Item == state.Item && e.Outcome == procedure.Met })]
		_, _, err := t.SignItem(t.ctx, t.people[signer], domain.SignItem{Test: t.ref, Entry: entry.ID, Sign: sign, Key: t.key()})
		return err
	}
	task, err := sheet.Item(state.Item)
	if err != nil {
		return err
	}
	_, _, err = t.RecordItem(t.ctx, t.people[signer], domain.RecordItem{Test: t.ref, Item: task.ID, Values: t.values(task, sheet.Attempt()), Sign: sign, Key: t.key()})
	return err
}

// values is what the demo's people record for an item: within its limits.
func (t *demoTest) values(task procedure.Task, so procedure.Sheet) procedure.Values {
	names, values := so.Names(t.at, nil), procedure.Values{}
	for _, f := range task.Fields {
		asked, only := task.Asked(f, names)
		if only != nil {
			chosen, _ := values[only.Choice].Text()
			asked = slices.Contains(only.Values, chosen)
		}
		if !asked {
			continue
		}
		shown := f.Show(names)
		each := make([]procedure.Value, len(shown))
		for i := range shown {
			each[i] = t.value(f, shown[i], names)
		}
		if start, ok := so.Recorded()["p_test"].Number(); ok && f.Name == "p_end" {
			each[0] = procedure.Number(math.Round(start*map[bool]float64{true: 0.8, false: 0.99}[t.leaks]*1e3) / 1e3)
		}
		values[f.Name] = each[0]
		if f.Per != "" {
			values[f.Name] = procedure.List(each...)
		}
	}
	return values
}

func (t *demoTest) value(f procedure.Field, shown procedure.Shown, names procedure.Names) procedure.Value {
	confirm, ticks := f.Wants(names)
	switch {
	case ticks != nil:
		return procedure.Number(*ticks)
	case confirm.Known():
		return confirm
	}
	switch f.Kind {
	case procedure.Reading:
		return procedure.Number(readWithin(f.Name, shown.Bounds))
	case procedure.Words:
		if f.Name == "expires_on" {
			return procedure.Text(t.at.AddDate(0, 11, 0).Format(time.DateOnly))
		}
		return procedure.Text("Foot of the riser, as told on this sheet")
	case procedure.Choice:
		if f.Name == "disposition" {
			return procedure.Text("replace")
		}
		return procedure.Text(f.Values[0])
	case procedure.Instrument:
		return procedure.Record(map[string]procedure.Value{"instrument": procedure.Number(float64(t.tools[testGauge])), "height_m": procedure.Number(0)})
	case procedure.Photo:
		return procedure.List(procedure.Number(float64(t.picture)))
	case procedure.People:
		return procedure.List(procedure.Text(t.people[t.second].Name))
	}
	return procedure.Yes(true)
}

// readWithin is a reading that a limit takes: what the demo says, else a little
// above the least.
func readWithin(name string, b procedure.Bounds) float64 {
	said, known := demoRead[name]
	fits := (b.Low == nil || said > *b.Low) && (b.High == nil || said < *b.High)
	switch {
	case known && fits:
		return said
	case b.Low != nil && b.High != nil:
		return math.Round((*b.Low+(*b.High-*b.Low)/10)*1e4) / 1e4
	case b.Low != nil:
		return math.Ceil(*b.Low*1.05*1e3) / 1e3
	case b.High != nil:
		return math.Floor(*b.High*0.6*1e3) / 1e3
	}
	return said
}

// drawnDial is a picture of a dial whose hand stands at a share of its scale: the
// demo has no camera.
func drawnDial(share float64) ([]byte, error) {
	const size, middle = 480, 240.0
	img := image.NewPaletted(image.Rect(0, 0, size, size), color.Palette{color.RGBA{0xf6, 0xf2, 0xe8, 0xff}, color.RGBA{0x10, 0x30, 0x4a, 0xff}})
	line := func(angle, from, to, width float64) {
		for r := from; r < to; r += 0.5 {
			for w := -width / 2; w <= width/2; w += 0.5 {
				x, y := middle+r*math.Cos(angle)-w*math.Sin(angle), middle+r*math.Sin(angle)+w*math.Cos(angle)
				img.SetColorIndex(int(x), int(y), 1)
			}
		}
	}
	for a := 0.0; a < 2*math.Pi; a += 0.002 {
		line(a, 214, 220, 1)
	}
	at := func(share float64) float64 { return math.Pi * (0.75 + 1.5*share) }
	for tick := range 13 {
		line(at(float64(tick)/12), map[bool]float64{true: 176, false: 190}[tick%2 == 0], 208, 4)
	}
	line(at(share), -36, 180, 7)
	var text bytes.Buffer
	err := png.Encode(&text, img)
	return text.Bytes(), err
}
