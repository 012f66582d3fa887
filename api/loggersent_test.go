package api

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// sentIn is what the list of a run says that loggers sent.
func (b *bundle) sentIn(run string) (items []sentLogger) {
	b.Helper()
	a := b.as(b.member).get(run + "/loggers")
	require.Equal(b, 200, a.Code, a.Body.String())
	var list itemsAnswer[sentLogger]
	require.NoError(b, json.Unmarshal(a.Body.Bytes(), &list))
	return list.Items
}

// rowsAt are rows of a pressure and a temperature from a minute on, a second
// apart; null where there is no temperature.
func rowsAt(key string, minute int, rows ...[2]any) map[string]any {
	list := []any{}
	for i, r := range rows {
		list = append(list, []any{fmt.Sprintf("2026-05-01T10:%02d:%02dZ", minute, i), r[0], r[1]})
	}
	return map[string]any{"client_key": key, "channels": []any{map[string]any{"name": "tank", "unit": "kPa g"}, map[string]any{"name": "air", "unit": "°C"}}, "rows": list}
}

// What loggers sent while a run was open is listed with it, that of a revoked one
// too; what came before the run or after it is not.
func TestWhatLoggersSentInARun(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path, float := b.sender("sent-0001")
	send := func(who *person, body map[string]any) {
		a := b.as(who).post(samplesRoute, body)
		require.Equal(t, 201, a.Code, a.Body.String())
	}
	send(float, rowsAt("batch-0001", 0, [2]any{39, 11}))
	run := b.measured("sent-0001")
	require.Empty(t, b.sentIn(run), "it came before the run")

	send(float, rowsAt("batch-0002", 1, [2]any{40, 12}, [2]any{41, nil}, [2]any{42, 13}))
	send(float, map[string]any{"client_key": "batch-0003", "samples": []any{map[string]any{"t": "2026-05-01T10:09:00Z", "channel": "tank", "value": 7, "unit": "hands"}}})
	made := b.as(b.crew).post(path[:strings.LastIndex(path, "/")], map[string]any{"name": "Shed", "client_key": "sent-0002"})
	token, ok := made.at("token").(string)
	require.True(t, ok)
	require.Len(t, b.sentIn(run), 1, "the other sent nothing yet")
	send(&person{token: token}, samples("batch-0001"))
	require.Equal(t, 200, b.as(b.crew).send("POST", path+"/revoke", "", "").Code)

	list := b.sentIn(run)
	require.Len(t, list, 2)
	require.Equal(t, []string{"Shed", "Float"}, []string{list[0].Name, list[1].Name}, "that first which was made last")
	require.Nil(t, list[0].RevokedAt)
	require.NotNil(t, list[1].RevokedAt)
	first, last := "2026-05-01T10:01:00.000Z", "2026-05-01T10:01:02.000Z"
	require.Equal(t, &first, list[1].Start)
	require.Equal(t, 7, list[1].Samples, "three rows of two, and one of a unit that nobody knows")
	require.Equal(t, []sentChannel{
		{Name: "tank", Unit: "Pa", Kind: "pressure", Counted: "gauge", FileUnit: "kPa g", Count: 3, First: &first, Last: &last, MedianStep: 1},
		{Name: "air", Unit: "K", Kind: "temperature", FileUnit: "°C", Count: 2, First: &first, Last: &last, MedianStep: 1},
	}, list[1].Channels)

	require.Equal(t, 200, b.as(b.crew).send("POST", run+"/submit", "", "").Code)
	send(&person{token: token}, rowsAt("batch-0004", 2, [2]any{43, 14}))
	require.Equal(t, list, b.sentIn(run), "what came after it was submitted")

	require.Equal(t, 401, b.as(b.nobody).get(run+"/loggers").Code)
	require.Equal(t, 401, b.as(&person{token: token}).get(run+"/loggers").Code, "a logger may see nothing")
	require.Equal(t, 404, b.as(b.member).get(strings.Replace(run, "/runs/1", "/runs/2", 1)+"/loggers").Code)
}

// A run that is taken along has what was taken from a logger: the window, and the
// quantity that came out of it.
func TestExportHasWhatALoggerSent(t *testing.T) {
	t.Parallel()
	b := setup(t)
	run := b.measured("sent-0001")
	_, float := b.sender("sent-0001")
	rows := [][2]any{}
	for i := range 40 {
		rows = append(rows, [2]any{40 + 0.1*float64(i*7%11), nil})
	}
	require.Equal(t, 201, b.as(float).post(samplesRoute, rowsAt("batch-0001", 0, rows...)).Code)
	logger := b.sentIn(run)[0].ID
	a := b.as(b.crew).post(run+"/windows", map[string]any{"point": 1, "logger": logger, "client_key": "window-0001", "channels": []any{
		map[string]any{"channel": "tank", "quantity": "delivery_pressure_pa", "instrument": b.as(b.crew).get(b.instrumented("window-dial")).number("id")},
	}})
	require.Equal(t, 201, a.Code, a.Body.String())

	files := b.unzipped(b.as(b.member).get(run + "/export"))
	require.JSONEq(t, b.as(b.member).get(run).Body.String(), files["run.json"])
	var kept struct {
		Points []struct {
			Windows []seriesWindow `json:"windows"`
		} `json:"points"`
	}
	require.NoError(t, json.Unmarshal([]byte(files["run.json"]), &kept))
	require.Len(t, kept.Points[0].Windows, 1)
	require.Equal(t, logger, *kept.Points[0].Windows[0].Logger)
	require.Equal(t, "gauge", kept.Points[0].Windows[0].Channels[0].Counted, "as its unit says")
}
