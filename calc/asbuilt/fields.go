package asbuilt

import (
	"strconv"
	"strings"

	"leat/calc"
	"leat/calc/sheet"
	"leat/calc/trompe"
)

// fields are all fields of a sheet by the pattern of their pointer, in which *
// stands for the number of an entry: /parts/*/length_m.
var fields = byPattern()

func byPattern() map[string]calc.Field {
	all := map[string]calc.Field{}
	var add func(below string, list []calc.Field)
	add = func(below string, list []calc.Field) {
		for _, f := range list {
			all[below+f.At] = f
			add(below+f.At+"/*", f.Item)
		}
	}
	add("/trompe", trompe.Inputs())
	add("", sheet.Inputs())
	return all
}

// pattern writes a pointer with * for the numbers of entries; it is empty for
// what has one itself.
func pattern(at string) string {
	if strings.Contains(at, "*") {
		return ""
	}
	tokens := strings.Split(at, "/")
	for i, token := range tokens {
		if n, err := strconv.ParseUint(token, 10, 32); err == nil && token == strconv.FormatUint(n, 10) {
			tokens[i] = "*"
		}
	}
	return strings.Join(tokens, "/")
}

// built are the sections that say how the machine is built: with units of
// length, area and volume they hold its sizes and levels.
var built = []string{
	"/trompe/n_parallel", "/trompe/supply/", "/trompe/intake/", "/trompe/downcomer/", "/trompe/chamber/", "/trompe/riser/", "/trompe/takeoff/",
	"/supply_pipe/", "/ram/cycle/", "/ram/waste_valve/", "/lift/", "/pulse/", "/air_line/", "/parts/*/length_m", "/parts/*/count", "/uses/*/",
}

// wall are the sizes that say which pipe it is: with another one it is another
// part.
var wall = []string{"wall", "wall_m", "od_m", "eps", "roughness_m", "tube_roughness_m"}

var sizes = []string{"m", "m²", "m³"}

func within(at string, sections []string) bool {
	for _, s := range sections {
		if at == s || strings.HasSuffix(s, "/") && strings.HasPrefix(at, s) {
			return true
		}
	}
	return false
}
