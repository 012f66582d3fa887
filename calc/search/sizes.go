package search

// families are rated pressure pipes, a series each. Drain and foam-core pipe has
// no pressure rating and is left out, and so is what is narrower than the bubble
// model was measured in.
var families = []Family{
	// ISO 4427-2:2007 wall table, read in two maker reprints.
	{"pe100", "PE100 SDR17", []Line{
		mm("d32", 32, 28), mm("d40", 40, 35.2), mm("d50", 50, 44), mm("d63", 63, 55.4),
		mm("d75", 75, 66), mm("d90", 90, 79.2), mm("d110", 110, 96.8), mm("d125", 125, 110.2),
		mm("d140", 140, 123.4), mm("d160", 160, 141), mm("d180", 180, 158.6), mm("d200", 200, 176.2),
		mm("d225", 225, 198.2), mm("d250", 250, 220.4),
	}},
	// EN ISO 1452-2, walls from memory.
	{"pvc_u", "PVC-U S10 (SDR21)", []Line{
		mm("d32", 32, 28.8), mm("d40", 40, 36.2), mm("d50", 50, 45.2), mm("d63", 63, 57),
		mm("d75", 75, 67.8), mm("d90", 90, 81.4), mm("d110", 110, 99.4), mm("d125", 125, 113),
		mm("d140", 140, 126.6), mm("d160", 160, 144.6), mm("d180", 180, 162.8), mm("d200", 200, 180.8),
		mm("d225", 225, 203.4), mm("d250", 250, 226.2), mm("d280", 280, 253.2), mm("d315", 315, 285),
	}},
	// ASTM D1785-88, least walls, read in a maker data sheet.
	{"pvc_40", "PVC schedule 40", []Line{
		mm("NPS 1", 33.4, 26.64), mm("NPS 1-1/4", 42.16, 35.04), mm("NPS 1-1/2", 48.26, 40.9), mm("NPS 2", 60.32, 52.5),
		mm("NPS 2-1/2", 73.02, 62.7), mm("NPS 3", 88.9, 77.92), mm("NPS 4", 114.3, 102.26), mm("NPS 5", 141.3, 128.2),
		mm("NPS 6", 168.27, 154.05), mm("NPS 8", 219.07, 202.71), mm("NPS 10", 273.05, 254.51), mm("NPS 12", 323.85, 303.23),
	}},
}

// mm is a line of so many millimetres outside and inside.
func mm(name string, outside, bore float64) Line { return Line{name, outside / 1000, bore / 1000} }
