package notebook

import (
	"cmp"
	"context"
	"slices"

	"leat/calc/logger"
	"leat/domain"
	"leat/domain/store"
)

// SeriesChart returns a channel of a file in few points and, if it is wished, how
// it is between two times.
func (n *Notebook) SeriesChart(ctx context.Context, who domain.Actor, ref domain.RunRef, id domain.SeriesFileID, wish domain.ChartWish) (domain.SeriesChart, error) {
	f, err := n.SeriesFile(ctx, who, ref, id)
	if err != nil {
		return domain.SeriesChart{}, err
	}
	s, err := n.series(ctx, f)
	if err != nil {
		return domain.SeriesChart{}, err
	}
	return chart(s, wish)
}

// LoggerChart is [Notebook.SeriesChart] of what a logger sent in a run.
func (n *Notebook) LoggerChart(ctx context.Context, who domain.Actor, ref domain.RunRef, id domain.LoggerID, wish domain.ChartWish) (domain.SeriesChart, error) {
	s, _, err := n.sent(ctx, ref, id)
	if err != nil {
		return domain.SeriesChart{}, err
	}
	return chart(s.Of(wish.Channel), wish)
}

func chart(s logger.Series, wish domain.ChartWish) (domain.SeriesChart, error) {
	i := s.Index(wish.Channel)
	if i < 0 {
		return domain.SeriesChart{}, domain.Missing("channel in this series")
	}
	out := domain.SeriesChart{Channel: s.Channels[i], Start: s.Start}
	w := s.Between(wish.From, wish.To)
	out.Times, out.Values = s.Reduced(i, w, wish.Points)
	out.Channel.Values = nil
	if wish.Summary && w.Len() > 0 {
		found := s.Summarise(wish.From, wish.To, []logger.Wanted{domain.WindowChannel{Channel: wish.Channel}.Wanted(out.Channel.Unit)})
		out.Summary = &found
	}
	return out, nil
}

// SentInRun returns what loggers sent in a run, those first that were made last.
func (n *Notebook) SentInRun(ctx context.Context, who domain.Actor, ref domain.RunRef) (list []domain.SentInRun, err error) {
	var keys []seriesKey
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		r, err := tx.Run(ref)
		if err != nil {
			return err
		}
		loggers, err := tx.LoggersOfRun(r.ID)
		list, keys = nil, nil // of a try that was given up
		for _, l := range loggers {
			count, err := tx.BatchCount(l.ID, r.ID)
			if err != nil {
				return err
			}
			list = append(list, domain.SentInRun{Logger: l, Samples: count.Samples, Certified: count.Certified})
			keys = append(keys, seriesKey{logger: l.ID, run: r.ID, number: count.Batches})
		}
		return err
	})
	for i := range list {
		if err != nil {
			break
		}
		var s logger.Series
		if s, err = n.together(ctx, keys[i]); err == nil {
			list[i].Found(s)
		}
	}
	return list, err
}

// sent returns what a logger sent in a run, and whether the machine had a
// certificate all the time.
func (n *Notebook) sent(ctx context.Context, ref domain.RunRef, id domain.LoggerID) (s logger.Series, certified bool, err error) {
	key := seriesKey{logger: id}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		r, err := tx.Run(ref)
		if err != nil {
			return err
		}
		if _, err := tx.Logger(ref.Project, ref.Build, id); err != nil {
			return err
		}
		count, err := tx.BatchCount(id, r.ID)
		key.run, key.number, certified = r.ID, count.Batches, count.Certified
		return err
	})
	if err == nil && key.number > 0 {
		s, err = n.together(ctx, key)
	}
	if err == nil && len(s.Time) == 0 {
		err = domain.NothingSent()
	}
	return s, certified, err
}

// together returns the series of what a logger sent in a run up to some batch. It
// is empty where no unit of it is known.
func (n *Notebook) together(ctx context.Context, key seriesKey) (logger.Series, error) {
	if s, ok := n.parsed.get(key); ok {
		return s, nil
	}
	if err := n.reading.take(ctx); err != nil {
		return logger.Series{}, err
	}
	defer n.reading.end()
	if s, ok := n.parsed.get(key); ok { // somebody else asked for it meanwhile
		return s, nil
	}
	return n.unpack(ctx, key)
}

// unpack puts together what a logger sent.
func (n *Notebook) unpack(ctx context.Context, key seriesKey) (logger.Series, error) {
	n.parsed.makeRoom()
	bodies, err := read(ctx, n, func(tx *store.Tx) ([]string, error) { return tx.Batches(key.logger, key.run, key.number) })
	if err != nil {
		return logger.Series{}, err
	}
	batches := make([][]domain.Sample, len(bodies))
	for i, body := range bodies {
		if batches[i], err = domain.Unpack(body); err != nil {
			return logger.Series{}, err
		}
	}
	s := domain.SeriesOf(batches)
	n.parsed.put(key, s)
	return s, nil
}

// SeriesWindows returns the windows of a run.
func (n *Notebook) SeriesWindows(ctx context.Context, who domain.Actor, ref domain.RunRef) ([]domain.SeriesWindow, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.SeriesWindow, error) {
		r, err := tx.Run(ref)
		if err != nil {
			return nil, err
		}
		return tx.SeriesWindows(r.ID)
	})
}

// source is where the series of a window comes from.
type source struct {
	series    logger.Series
	reading   *int
	certified bool
}

func (n *Notebook) sourceOf(ctx context.Context, who domain.Actor, cmd domain.TakeWindow) (source, error) {
	if cmd.Logger != nil {
		s, certified, err := n.sent(ctx, cmd.Run, *cmd.Logger)
		return source{series: s.Of(cmd.Names()...), certified: certified}, err
	}
	f, err := n.SeriesFile(ctx, who, cmd.Run, *cmd.File)
	if err != nil {
		return source{}, err
	}
	s, err := n.series(ctx, f)
	if err != nil {
		return source{}, err
	}
	return source{s, &f.Read.Number, f.Read.Certified}, nil
}

// TakeWindow takes a window of a series as readings of a run. A retry with the
// same key returns the first one, and made is false.
func (n *Notebook) TakeWindow(ctx context.Context, who domain.Actor, cmd domain.TakeWindow) (w domain.SeriesWindow, made bool, err error) {
	names, err := n.mayTake(ctx, who, cmd)
	if err == nil {
		err = cmd.Validate(names)
	}
	if err != nil {
		return w, false, err
	}
	from, err := n.sourceOf(ctx, who, cmd)
	if err == nil {
		err = cmd.Fits(from.series)
	}
	if err != nil {
		return w, false, err
	}
	err = n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		id, err := tx.WindowOfKey(h.run.ID, who.Account, cmd.Key)
		made = false
		if err == nil && id == 0 {
			id, err = n.keepWindow(tx, h, cmd, from)
			made = err == nil
		}
		if err != nil {
			return err
		}
		w, err = windowOf(tx, h.run.ID, id)
		return err
	})
	return w, made, err
}

// mayTake looks, before anything is worked out, whether the run takes a window,
// and returns the names of what is measured on its machine.
func (n *Notebook) mayTake(ctx context.Context, who domain.Actor, cmd domain.TakeWindow) (names []string, err error) {
	err = n.inRun(ctx, who, cmd.Run, domain.RecordReadings, func(tx *store.Tx, h held) error {
		id, err := tx.WindowOfKey(h.run.ID, who.Account, cmd.Key)
		if err == nil && id == 0 {
			err = h.run.Takes()
		}
		if err != nil {
			return err
		}
		v, err := n.machineOf(tx, h.run)
		names = domain.FormOf(v, domain.Validity{}).Names()
		return err
	})
	return names, err
}

func windowOf(tx *store.Tx, run domain.RunID, id domain.SeriesWindowID) (domain.SeriesWindow, error) {
	list, err := tx.SeriesWindows(run)
	i := slices.IndexFunc(list, func(w domain.SeriesWindow) bool { return w.ID == id })
	if err == nil && i < 0 {
		err = domain.Missing("window")
	}
	if err != nil {
		return domain.SeriesWindow{}, err
	}
	return list[i], nil
}

func (n *Notebook) keepWindow(tx *store.Tx, h held, cmd domain.TakeWindow, from source) (domain.SeriesWindowID, error) {
	if err := h.run.Takes(); err != nil {
		return 0, err
	}
	p, err := h.run.Point(cmd.Point)
	if err != nil {
		return 0, err
	}
	if windows, err := tx.SeriesWindows(h.run.ID); err != nil || len(windows) >= domain.RunWindowsMost || h.run.Counts.Readings >= domain.RunReadingsMost {
		return 0, cmp.Or(err, domain.RunFullOfSeries())
	}
	w := domain.SeriesWindow{Run: h.run.ID, File: cmd.File, Reading: from.reading, Logger: cmd.Logger, Certified: from.certified, At: n.now()}
	w.From, w.To = cmd.Asked(from.series)
	if w.Channels, err = n.windowChannels(tx, cmd, from.series); err != nil {
		return 0, err
	}
	w.Summary, w.Decide = cmd.Summarise(from.series, w.Channels)
	return tx.TakeWindow(h.permit, p.ID, w, cmd.Key)
}

// windowChannels looks the instruments up, and holds them against what they are
// said to have read.
func (n *Notebook) windowChannels(tx *store.Tx, cmd domain.TakeWindow, s logger.Series) ([]domain.WindowChannel, error) {
	today, err := tx.Today(n.now())
	if err != nil {
		return nil, err
	}
	var faults []domain.Field
	list := make([]domain.WindowChannel, len(cmd.Channels))
	for k, c := range cmd.Channels {
		list[k] = domain.WindowChannel{Channel: c.Channel, Quantity: c.Quantity, Counted: c.Counted, Decay: c.Decay}
		if c.Instrument == nil {
			continue
		}
		i, err := tx.Instrument(*c.Instrument)
		if domain.KindOf(err) == domain.NotFound {
			faults = append(faults, domain.InstrumentMissing(k))
			continue
		}
		if err != nil {
			return nil, err
		}
		if _, ok := i.Measuring(s.Channels[s.Index(c.Channel)].Unit); !ok {
			faults = append(faults, domain.InstrumentOther(k, i))
		}
		list[k].Instrument = i.Read(today)
	}
	return list, domain.Faulty(faults)
}

// DecideWindow keeps what somebody says about a window. A retry with the same key
// changes nothing.
func (n *Notebook) DecideWindow(ctx context.Context, who domain.Actor, cmd domain.DecideWindow) (w domain.SeriesWindow, err error) {
	if err := cmd.Validate(); err != nil {
		return w, err
	}
	err = n.inRun(ctx, who, cmd.Run, domain.StrikeReadings, func(tx *store.Tx, h held) error {
		before, err := windowOf(tx, h.run.ID, cmd.Window)
		if err != nil {
			return err
		}
		done, err := tx.DecisionOfKey(h.run.ID, who.Account, cmd.Key)
		if err == nil && !done {
			if err = cmd.Takes(before, h.run); err == nil {
				err = tx.DecideWindow(h.permit, h.run.ID, cmd, n.now())
			}
		}
		if err != nil {
			return err
		}
		w, err = windowOf(tx, h.run.ID, cmd.Window)
		return err
	})
	return w, err
}
