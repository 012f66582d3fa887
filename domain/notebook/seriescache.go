package notebook

import (
	"slices"
	"sync"

	"leat/calc/logger"
	"leat/domain"
)

// seriesKept is how many series are in memory at most: a large one takes some
// 100 MB.
const seriesKept = 2

// seriesKey names a series: a file as it was read, or what a logger sent in a run
// up to some batch.
type seriesKey struct {
	file   domain.SeriesFileID
	logger domain.LoggerID
	run    domain.RunID
	number int
}

// seriesCache keeps the series that were asked for last, so that a chart answers
// at once.
type seriesCache struct {
	mu     sync.Mutex
	recent []keptSeries // the last is the newest
}

type keptSeries struct {
	key    seriesKey
	series logger.Series
}

func (c *seriesCache) get(key seriesKey) (logger.Series, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	i := slices.IndexFunc(c.recent, func(k keptSeries) bool { return k.key == key })
	if i < 0 {
		return logger.Series{}, false
	}
	found := c.recent[i]
	c.recent = append(slices.Delete(c.recent, i, i+1), found)
	return found.series, true
}

func (c *seriesCache) put(key seriesKey, s logger.Series) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.recent = slices.DeleteFunc(c.recent, func(k keptSeries) bool { return k.key == key })
	c.recent = append(c.recent, keptSeries{key, s})
	c.shrink(seriesKept)
}

// makeRoom forgets so much that one more does not make it too many.
func (c *seriesCache) makeRoom() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.shrink(seriesKept - 1)
}

func (c *seriesCache) shrink(most int) {
	if over := len(c.recent) - most; over > 0 {
		c.recent = slices.Delete(c.recent, 0, over)
	}
}
