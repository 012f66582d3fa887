package parts

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// WriteList writes a parts list as CSV (RFC 4180): a header, then one line a row.
func WriteList(w io.Writer, rows []Row) error {
	table := [][]string{{"kind", "role", "catalogue_key", "name", "quantity", "cut_lengths_mm", "pipe_total_m", "joints", "note"}}
	for _, r := range rows {
		total := Tenths(0)
		for _, c := range r.Cuts {
			total += c * Tenths(r.Qty)
		}
		table = append(table, []string{
			text(r.Kind), text(r.Role), text(r.Key), text(r.Name), strconv.Itoa(r.Qty),
			millimetres(r.Cuts...), total.metres(), text(strings.Join(r.Joints, "; ")), text(r.Note),
		})
	}
	return writeTable(w, table)
}

// WriteCuts writes a cutting plan as CSV (RFC 4180): a header, then one line a bar.
func WriteCuts(w io.Writer, plan CutPlan) error {
	table := [][]string{{"catalogue_key", "bar", "from", "length_mm", "cuts_mm", "becomes", "offcut_mm", "waste_mm", "price"}}
	for _, k := range plan.Keys {
		for i, bar := range k.Bars {
			var cuts []Tenths
			var names []string
			for _, c := range bar.Cuts {
				cuts, names = append(cuts, c.Length), append(names, c.For)
			}
			from := "to buy"
			if bar.Item != nil {
				from = fmt.Sprintf("at hand, item %d", *bar.Item)
			}
			table = append(table, []string{
				text(k.Key), strconv.Itoa(i + 1), from, millimetres(bar.Length), millimetres(cuts...),
				text(strings.Join(names, "; ")), millimetres(bar.Offcut), millimetres(bar.Waste), bar.Price.decimal(),
			})
		}
		for _, p := range k.Unplaced {
			table = append(table, []string{text(k.Key), "", "comes out of no bar", "", millimetres(p.Length), text(p.For), "", "", ""})
		}
	}
	return writeTable(w, table)
}

func writeTable(w io.Writer, table [][]string) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	return out.WriteAll(table)
}

// text keeps a spreadsheet from taking what somebody typed for a formula.
func text(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// millimetres writes lengths with one decimal, apart by semicolons.
func millimetres(lengths ...Tenths) string {
	var words []string
	for _, l := range lengths {
		words = append(words, fmt.Sprintf("%d.%d", l/10, l%10))
	}
	return strings.Join(words, "; ")
}

func (t Tenths) metres() string { return fmt.Sprintf("%d.%04d", t/10000, t%10000) }

func (h *Hundredths) decimal() string {
	if h == nil {
		return ""
	}
	return fmt.Sprintf("%d.%02d", *h/100, *h%100)
}
