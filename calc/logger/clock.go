package logger

import "time"

// moment is a date with a time of day, as it stands.
type moment struct {
	day                  int64 // since 1970-01-01
	second               int   // of the day
	nano                 int64
	zoned                bool
	offset               int // s east of Greenwich
	year, month, dayOfIt int
}

// parseDate reads ISO 8601 in its long form, such as 2026-05-01T10:15:30.25Z; a
// blank for the T, seconds left out and a decimal comma are fine.
func parseDate(b []byte) (m moment, ok bool) {
	if len(b) < 16 || b[4] != '-' || b[7] != '-' || b[10] != 'T' && b[10] != ' ' && b[10] != 't' || b[13] != ':' {
		return m, false
	}
	year, hour, minute := two(b[0:])*100+two(b[2:]), two(b[11:]), two(b[14:])
	m.year, m.month, m.dayOfIt = year, two(b[5:]), two(b[8:])
	if two(b[0:]) < 0 || two(b[2:]) < 0 || year < 1 || m.month < 1 || m.month > 12 || m.dayOfIt < 1 || m.dayOfIt > daysIn(m.year, m.month) ||
		hour < 0 || hour > 23 || minute < 0 || minute > 59 {
		return m, false
	}
	m.second = hour*3600 + minute*60
	b = b[16:]
	if len(b) >= 3 && b[0] == ':' {
		second := two(b[1:])
		if second < 0 || second > 60 { // 60: a leap second
			return m, false
		}
		m.second += second
		b = b[3:]
		b = m.fraction(b)
	}
	m.day = daysSince1970(m.year, m.month, m.dayOfIt)
	return m, m.zone(trim(b))
}

func (m *moment) fraction(b []byte) []byte {
	if len(b) < 2 || b[0] != '.' && b[0] != ',' || b[1]-'0' > 9 {
		return b
	}
	b = b[1:]
	for place := int64(100_000_000); len(b) > 0 && b[0]-'0' <= 9; place /= 10 {
		m.nano += int64(b[0]-'0') * place
		b = b[1:]
	}
	return b
}

// zone reads Z, +02:00, +0200, +02 or nothing.
func (m *moment) zone(b []byte) bool {
	switch {
	case len(b) == 0:
		return true
	case len(b) == 1 && b[0]|0x20 == 'z':
		m.zoned = true
		return true
	case b[0] != '+' && b[0] != '-':
		return false
	}
	hours, minutes := -1, 0
	switch {
	case len(b) == 3:
		hours = two(b[1:])
	case len(b) == 5:
		hours, minutes = two(b[1:]), two(b[3:])
	case len(b) == 6 && b[3] == ':':
		hours, minutes = two(b[1:]), two(b[4:])
	}
	if hours < 0 || hours > 23 || minutes < 0 || minutes > 59 {
		return false
	}
	m.zoned, m.offset = true, hours*3600+minutes*60
	if b[0] == '-' {
		m.offset = -m.offset
	}
	return true
}

// unix is the time in s since 1970, of a moment without zone in this one.
func (m moment) unix(zone *time.Location) int64 {
	if !m.zoned && zone != time.UTC {
		return time.Date(m.year, time.Month(m.month), m.dayOfIt, 0, 0, m.second, 0, zone).Unix()
	}
	return m.day*86400 + int64(m.second-m.offset)
}

// two reads two digits; −100 or less where there are none.
func two(b []byte) int {
	tens, ones := b[0]-'0', b[1]-'0'
	if tens > 9 || ones > 9 {
		return -10_000
	}
	return int(tens)*10 + int(ones)
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// daysSince1970 counts in years that begin in March, so that the leap day is the
// last.
func daysSince1970(year, month, day int) int64 {
	if month < 3 {
		year, month = year-1, month+12
	}
	days := 365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day - 1
	return int64(days - 719468)
}
