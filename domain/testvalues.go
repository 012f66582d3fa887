package domain

import (
	"fmt"
	"time"

	"leat/calc/procedure"
)

// What an entry says about pictures and instruments is put beside what the files
// and the register say, so that what is signed holds it.

// FilesOf lists the files that an entry names as pictures, the photograph of the
// paper too.
func FilesOf(task procedure.Task, c RecordItem) (files []int64) {
	eachPicture(task, c.Values, func(_ string, v procedure.Value) procedure.Value {
		if x, ok := v.Number(); ok && x >= 1 && x < 1e15 {
			files = append(files, int64(x))
		}
		return v
	})
	if c.Paper != nil {
		files = append(files, c.Paper.File)
	}
	return files
}

// eachPicture puts every picture of an entry through a function, and returns the
// entry with what came of it.
func eachPicture(task procedure.Task, values procedure.Values, do func(at string, v procedure.Value) procedure.Value) procedure.Values {
	changed := procedure.Values{}
	for name, v := range values {
		changed[name] = v
	}
	for _, f := range task.Fields {
		if v, given := values[f.Name]; given && f.Kind == procedure.Photo {
			changed[f.Name] = eachIn("/values/"+f.Name, v, do)
		}
	}
	return changed
}

func eachIn(at string, v procedure.Value, do func(string, procedure.Value) procedure.Value) procedure.Value {
	entries, ok := v.List()
	if !ok {
		return do(at, v)
	}
	all := make([]procedure.Value, len(entries))
	for i, entry := range entries {
		all[i] = eachIn(fmt.Sprintf("%s/%d", at, i), entry, do)
	}
	return procedure.List(all...)
}

// WithPictures puts the digests of its pictures into an entry, and finds those
// that are not there.
func WithPictures(task procedure.Task, c RecordItem, digests map[int64]string) (procedure.Values, []Field) {
	var faults []Field
	const missing = "There is no such picture in this project. Send the picture first, then sign."
	values := eachPicture(task, c.Values, func(at string, v procedure.Value) procedure.Value {
		x, isNumber := v.Number()
		digest, there := digests[int64(x)]
		switch {
		case !v.Known():
			return v
		case !isNumber || !there:
			faults = append(faults, Field{at, "unknown_value", missing})
			return v
		}
		return procedure.Record(map[string]procedure.Value{"value": procedure.Number(x), "digest": procedure.Text(digest)})
	})
	if c.Paper != nil && digests[c.Paper.File] == "" {
		faults = append(faults, Field{"/from_paper/file", "unknown_value", missing})
	}
	return values, faults
}

// InstrumentsOf lists the instruments that an entry names.
func InstrumentsOf(task procedure.Task, values procedure.Values) (ids []InstrumentID) {
	for _, f := range task.Fields {
		if f.Kind != procedure.Instrument || !values[f.Name].Known() {
			continue
		}
		x, _ := values[f.Name].Field("instrument").Number()
		ids = append(ids, InstrumentID(x))
	}
	return ids
}

// WithInstrument puts what the register says about an instrument into an entry, in
// place of whatever was sent, and says why it will not do. The zero instrument is
// not in the register.
func WithInstrument(task procedure.Task, values procedure.Values, i Instrument, id InstrumentID, today time.Time) (faults []Field) {
	for _, f := range task.Fields {
		x, _ := values[f.Name].Field("instrument").Number()
		if f.Kind != procedure.Instrument || !values[f.Name].Known() || InstrumentID(x) != id {
			continue
		}
		at := "/values/" + f.Name
		if i.ID == 0 {
			values[f.Name] = procedure.Record(nil)
			faults = append(faults, Field{at, "unknown_value", "Choose an instrument of the register."})
			continue
		}
		value, problem := GaugeOf(i, values[f.Name].Field("height_m"), today)
		values[f.Name] = value
		if problem != "" {
			faults = append(faults, Field{at, "unfit", i.Name + ": " + problem})
		}
	}
	return faults
}

// GaugeOf is what the register says about an instrument, as an entry keeps it,
// with how high above the lowest point it sits. A problem, in words, makes it
// unfit.
func GaugeOf(i Instrument, height procedure.Value, today time.Time) (v procedure.Value, problem string) {
	fields := map[string]procedure.Value{
		"instrument": procedure.Number(float64(i.ID)), "name": procedure.Text(i.Name), "serial": procedure.Text(i.Serial),
		"full_scale_bar": procedure.Number(i.High / 1e5), "interval_days": procedure.Number(float64(i.IntervalDays)),
	}
	switch {
	case i.ClassPct != nil:
		fields["class_pct"] = procedure.Number(*i.ClassPct)
	case i.Accuracy != nil:
		fields["class_pct"] = procedure.Number(100 * *i.Accuracy / (i.High - i.Low))
	}
	if i.CalibratedOn != nil {
		fields["calibrated_on"] = procedure.Text(i.CalibratedOn.Format(time.DateOnly))
	}
	if x, ok := height.Number(); ok {
		fields["height_m"] = procedure.Number(x)
	}
	switch problem = i.Unfit(today); {
	case i.Kind != PressureGauge:
		problem = "It is no pressure gauge. Choose one from the register."
	case i.Low != 0:
		problem = "The scale of a test gauge begins at zero. Take another one."
	}
	return procedure.Record(fields), problem
}
