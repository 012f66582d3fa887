package parts_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/parts"
)

var pvc = "en-iso-1452-2/s10-sdr21/d63-pn10"

// machine is a downcomer into an elbow, a riser out of it, and an air line.
func machine() []parts.Part {
	elbow := parts.Joint{Kind: "solvent", Fitting: "elbow 90°, 63 mm", At: "foot"}
	return []parts.Part{
		{Role: "downcomer", Key: pvc, Qty: 1, Cuts: []parts.Tenths{41200}, Ends: []parts.Joint{{}, elbow}},
		{Role: "riser", Key: pvc, Qty: 1, Cuts: []parts.Tenths{30005}, Ends: []parts.Joint{elbow, {}}},
		{Role: "gauge tee", Described: "=brass tee", Qty: 2, Ends: []parts.Joint{
			{Kind: "threaded", Thread: "R 1/2", Mate: "Rp 1/2", Sealant: "hemp and paste"},
			{Kind: "threaded", Thread: "G 1/4", Mate: "G 1/4"}}},
	}
}

func byName(rows []parts.Row) map[string]parts.Row {
	m := map[string]parts.Row{}
	for _, r := range rows {
		m[r.Name] = r
	}
	return m
}

// Fittings are counted from joints, a cement joint adds cement and cleaner,
// threads add sealant of one stated kind (specification, section 9).
func TestListOfParts(t *testing.T) {
	rows := byName(parts.List(machine()))
	require.Len(t, rows, 3-1+5, "two pipes of one name")
	require.Equal(t, 1, rows["elbow 90°, 63 mm"].Qty, "two ends meet in one elbow")
	require.Equal(t, 2, rows["solvent cement for PVC-U"].Qty)
	require.Equal(t, 2, rows["cleaner for PVC-U"].Qty)
	require.Equal(t, 2, rows["thread sealant: hemp and paste"].Qty)
	require.Empty(t, rows["thread sealant: hemp and paste"].Note)
	require.Equal(t, 2, rows["washer for G 1/4"].Qty)
	require.Equal(t, []string{"threaded R 1/2 and Rp 1/2", "threaded G 1/4 and G 1/4"}, rows["=brass tee"].Joints)
	require.Contains(t, rows["EN ISO 1452-2, S10 SDR21, d63 PN10"].Joints, "open")
}

func TestSealantIsOneOfAKind(t *testing.T) {
	threaded := func(sealant string) parts.Part {
		return parts.Part{Role: "air line", Described: "pipe", Qty: 1, Ends: []parts.Joint{{Kind: "threaded", Thread: "R 1", Mate: "Rp 1", Sealant: sealant}}}
	}
	none := byName(parts.List([]parts.Part{threaded("")}))["thread sealant: kind not stated"]
	require.Contains(t, none.Note, "State which kind")
	two := byName(parts.List([]parts.Part{threaded("tape"), threaded("hemp")}))
	require.Contains(t, two["thread sealant: tape"].Note, "Settle on one")
	require.Contains(t, two["thread sealant: hemp"].Note, "Settle on one")
	unknown := parts.List([]parts.Part{{Role: "riser", Key: "no/such/pipe", Qty: 1}})
	require.Contains(t, unknown[0].Note, "no line with this key")
}

// RFC 4180: a header, CRLF, quotes around commas, quotes and breaks; text that a
// spreadsheet would take for a formula has an apostrophe before it.
func TestTablesForASpreadsheet(t *testing.T) {
	list := machine()
	list[0].Role, list[1].Role = "a \"long\", old\npipe", "+1"
	var text strings.Builder
	require.NoError(t, parts.WriteList(&text, parts.List(list)))
	require.True(t, strings.HasPrefix(text.String(), "kind,role,catalogue_key,name,quantity,cut_lengths_mm,pipe_total_m,joints,note\r\n"))
	require.Contains(t, text.String(), `"a ""long"", old`)
	rows, err := csv.NewReader(strings.NewReader(text.String())).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"1", "4120.0", "4.1200"}, rows[1][4:7])
	require.Equal(t, []string{"'+1", "3000.5"}, []string{rows[2][1], rows[2][5]})
	require.Equal(t, "'=brass tee", rows[3][3])

	text.Reset()
	plan := parts.PlanCuts([]parts.Piece{{pvc, 41200, 1, "-downcomer"}, {pvc, 99000, 1, "@riser"}}, nil,
		map[string]parts.Stock{pvc: {Length: 60000, Kerf: 25, Price: price(1205)}})
	require.NoError(t, parts.WriteCuts(&text, plan))
	rows, err = csv.NewReader(strings.NewReader(text.String())).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{pvc, "1", "to buy", "6000.0", "4120.0", "'-downcomer", "1877.5", "2.5", "12.05"}, rows[1])
	require.Equal(t, []string{pvc, "", "comes out of no bar", "", "9900.0", "'@riser", "", "", ""}, rows[2])
}
