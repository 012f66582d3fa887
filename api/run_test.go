package api

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc/confront"
)

func toOpen(key string) map[string]any {
	return map[string]any{"title": "First water", "purpose": "to see", "client_key": key}
}

func toPoint(key string) map[string]any {
	return map[string]any{"name": "As drawn", "setting": "as_drawn", "client_key": key}
}

func toStrike(key string) map[string]any {
	return map[string]any{"position": 1, "reason": "the hose slipped", "client_key": key}
}

// bucketRead is a water flow by ten litres and some times; nil is missing.
func bucketRead(key string, seconds ...any) map[string]any {
	texts := make([]string, len(seconds))
	for i, s := range seconds {
		texts[i] = fmt.Sprint(s)
	}
	return map[string]any{
		"quantity": "water_flow_m3s", "method": "bucket", "instrument": nil, "values": seconds, "typed": map[string]any{"unit": "s", "texts": texts},
		"extra": map[string]any{"volume_m3": 0.01, "mark_m3": 0.0001}, "client_key": key,
	}
}

// opened returns the path of a run with one point, made once for each key.
func (b *bundle) opened(key string) string {
	b.Helper()
	a := b.as(b.crew).post(b.finished("run-build-1")+"/runs", toOpen(key))
	require.Less(b, a.Code, 300, a.Body.String())
	path := a.Header().Get("Location")
	if a.Code == 201 {
		require.Equal(b, 201, b.as(b.crew).post(path+"/points", toPoint(key)).Code)
	}
	return path
}

// read returns the path of the first reading of a run.
func (b *bundle) read(key string) string {
	b.Helper()
	run := b.opened(key)
	a := b.as(b.crew).post(run+"/points/1/readings", bucketRead(key, 25, 25.2))
	require.Less(b, a.Code, 300, a.Body.String())
	return fmt.Sprintf("%s/readings/%d", run, b.readings(a)[0].ID)
}

func (b *bundle) readings(a *reply) []runReading {
	b.Helper()
	var r runAnswer
	a.read(&r)
	return r.Points[0].Readings
}

// judged returns the path of a run that has its verdict.
func (b *bundle) judged(key string) string {
	b.Helper()
	run := b.opened(key)
	if b.as(b.crew).get(run).at("state") == "open" {
		b.read(key)
		require.Equal(b, 200, b.as(b.crew).send("POST", run+"/submit", "", "").Code)
		_, err := b.notebook.JudgeDue(context.Background())
		require.NoError(b, err)
	}
	return run
}

func TestRunOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	build := b.finished("run-build-1")
	list := b.as(b.member).get(build + "/runs")
	require.Equal(t, []any{"open_run"}, list.at("allowed_actions"))
	require.Empty(t, list.at("refused"))
	first := b.as(b.member).post(build+"/runs", toOpen("run-00001"))
	require.Equal(t, 201, first.Code, first.Body.String())
	require.Equal(t, 200, b.as(b.member).post(build+"/runs", toOpen("run-00001")).Code)
	path := first.Header().Get("Location")
	require.Equal(t, list.at("form", "coefficient_set"), first.at("coefficient_set"))

	point := b.as(b.member).post(path+"/points", toPoint("run-00002"))
	require.Equal(t, 201, point.Code, point.Body.String())
	reading := b.as(b.crew).post(path+"/points/1/readings", bucketRead("run-00003", 24.9, nil, 25.1))
	require.Equal(t, 201, reading.Code, reading.Body.String())
	require.Equal(t, 200, b.as(b.crew).post(path+"/points/1/readings", bucketRead("run-00003", 24.9, nil, 25.1)).Code)
	r := b.readings(reading)[0]
	require.Nil(t, r.Values[1], "a missing value stays missing")
	require.Equal(t, 24.9, *r.Values[0])
	require.InEpsilon(t, 0.01/25, *r.Result.Value, 1e-12)
	require.True(t, r.Counts)

	shown := b.as(b.member).get(path)
	tag := shown.etag()
	require.Equal(t, 304, b.as(b.member).with("If-None-Match", tag).get(path).Code)
	strikes := fmt.Sprintf("%s/readings/%d/strikes", path, r.ID)
	struck := b.as(b.member).post(strikes, toStrike("run-00004"))
	require.Equal(t, 201, struck.Code, struck.Body.String())
	require.Equal(t, "incomplete", b.readings(struck)[0].Result.Status, "one reading says nothing about its scatter")
	require.NotNil(t, b.readings(struck)[0].WithAll)
	require.Equal(t, "reading-struck", b.as(b.crew).post(strikes, toStrike("run-00005")).code())
	require.Equal(t, 200, b.as(b.member).with("If-None-Match", tag).get(path).Code, "it was struck meanwhile")

	require.Equal(t, "none", b.as(b.member).get(path+"/verdict").at("state"))
	require.Equal(t, 200, b.as(b.member).send("POST", path+"/submit", "", "").Code)
	require.Equal(t, "waiting", b.as(b.member).get(path+"/verdict").at("state"))
	_, err := b.notebook.JudgeDue(context.Background())
	require.NoError(t, err)
	verdict := b.as(b.member).get(path + "/verdict")
	require.Equal(t, "ready", verdict.at("state"))
	require.Equal(t, verdict.at("verdict", "body", "outcome", "outcome"), b.as(b.member).get(path).at("outcome"))
	require.Equal(t, "took-part", b.as(b.kind("crew and steward")).post(path+"/confirm", withPassword).code())
	require.Equal(t, "submitted", b.as(b.member).get(build + "/runs").at("items").([]any)[0].(map[string]any)["state"])
}

func TestRunOverHTTPIsRefused(t *testing.T) {
	t.Parallel()
	b := setup(t)
	path := b.opened("run-00001")
	build := b.finished("run-build-1")
	readings := path + "/points/1/readings"
	with := func(name string, v any) map[string]any {
		body := bucketRead("run-00002", 25, 25.2)
		body[name] = v
		return body
	}
	for name, c := range map[string]struct {
		a  *reply
		at string
	}{
		"text as value":     {b.as(b.crew).post(readings, bucketRead("run-00002", 25, "NaN")), "/values/1"},
		"no values":         {b.as(b.crew).post(readings, bucketRead("run-00002")), "/values"},
		"all missing":       {b.as(b.crew).post(readings, bucketRead("run-00002", nil, nil)), "/values"},
		"unknown unit":      {b.as(b.crew).post(readings, with("typed", map[string]any{"unit": "furlong", "texts": []string{"25", "25.2"}})), "/typed/unit"},
		"text as extra":     {b.as(b.crew).post(readings, with("extra", map[string]any{"volume_m3": "10"})), "/extra/volume_m3"},
		"unknown extra":     {b.as(b.crew).post(readings, with("extra", map[string]any{"colour": 1})), "/extra/colour"},
		"unknown quantity":  {b.as(b.crew).post(readings, with("quantity", "noise")), "/quantity"},
		"unknown method":    {b.as(b.crew).post(readings, with("method", "guess")), "/method"},
		"unknown field":     {b.as(b.crew).post(readings, with("colour", "blue")), "/colour"},
		"certified by hand": {b.as(b.crew).post(readings, with("certified", true)), "/certified"},
		"unknown setting":   {b.as(b.crew).post(path+"/points", map[string]any{"name": "x", "setting": "ajar", "client_key": "run-00003"}), "/setting"},
		"null limits":       {b.as(b.crew).post(build+"/runs", map[string]any{"title": "x", "limits": map[string]any{"free_air_m3s": nil}, "client_key": "run-00004"}), "/limits/free_air_m3s"},
		"text as limit":     {b.as(b.crew).post(build+"/runs", map[string]any{"title": "x", "limits": map[string]any{"free_air_m3s": map[string]any{"low": "1", "high": nil}}, "client_key": "run-00004"}), "/limits/free_air_m3s/low"},
		"position 0":        {b.as(b.crew).post(b.read("run-00005")+"/strikes", map[string]any{"position": 0, "reason": "x", "client_key": "run-00006"}), "/position"},
		"no such value":     {b.as(b.crew).post(b.read("run-00005")+"/strikes", map[string]any{"position": 3, "reason": "x", "client_key": "run-00006"}), "/position"},
		"no reason":         {b.as(b.crew).post(path+"/set-aside", map[string]any{"reason": " ", "password": password}), "/reason"},
		"no password":       {b.as(b.crew).post(path+"/set-aside", map[string]any{"reason": "x", "password": ""}), "/password"},
	} {
		require.Equal(t, 422, c.a.Code, "%s: %s", name, c.a.Body)
		require.Contains(t, fieldsOf(c.a), c.at, name)
	}
	for _, wrong := range []string{build + "/runs/99", build + "/runs/x", build + "/runs/99999999999", strings.Replace(path, "/builds/", "/builds/9", 1), path + "/plan?instrument=99", path + "/verdicts"} {
		require.Equal(t, 404, b.as(b.crew).get(wrong).Code, wrong)
	}
	for _, wrong := range []string{path + "/points/9/readings", path + "/points/99999999999/readings"} {
		require.Equal(t, 404, b.as(b.crew).post(wrong, bucketRead("run-00007", 25, 25.2)).Code, wrong)
	}
	require.Equal(t, 404, b.as(b.crew).post(path+"/readings/99/strikes", toStrike("run-00008")).Code)
	require.Equal(t, "run-refused", b.as(b.crew).post(b.built("run-build-2")+"/runs", toOpen("run-00009")).code(), "it is still being built")
	require.Equal(t, "client-key-used", b.as(b.crew).post(b.finished("run-build-3")+"/runs", toOpen("run-00001")).code())
	require.Equal(t, "run-not-submitted", b.as(b.kind("steward")).post(path+"/confirm", withPassword).code())
}

// Whoever types the numbers of a stored verdict into the named calculations gets
// that verdict: of each reading its uncertainty, of each quantity and of the run
// what is said of them.
func TestAStoredVerdictIsThatOfTheNamedCalculations(t *testing.T) {
	t.Parallel()
	b := setup(t)
	first := b.as(b.crew).post(b.finished("run-build-4")+"/runs", map[string]any{"title": "First water", "required": []string{"water_flow_m3s"}, "client_key": "run-00001"})
	require.Equal(t, 201, first.Code, first.Body.String())
	run := first.Header().Get("Location")
	for _, key := range []string{"run-00001", "run-00002"} {
		require.Equal(t, 201, b.as(b.crew).post(run+"/points", toPoint(key)).Code)
	}
	for point, reading := range []map[string]any{bucketRead("run-00003", 25, 25.2, 24.9), bucketRead("run-00004", 26, 26.3)} {
		a := b.as(b.crew).post(fmt.Sprintf("%s/points/%d/readings", run, point+1), reading)
		require.Equal(t, 201, a.Code, a.Body.String())
		var r runAnswer
		a.read(&r)
		q := r.Points[point].Readings[0].Result
		budget := b.calculated("budget", map[string]any{"value": *q.Value, "components": components(q.Lines)})
		require.Equal(t, "ok", budget["status"])
		require.InEpsilon(t, budget["u"], *q.U, 1e-12)
		require.InEpsilon(t, budget["k"], *q.K, 1e-12)
		require.InEpsilon(t, budget["U"], *q.Expanded, 1e-12)
	}

	require.Equal(t, 200, b.as(b.crew).send("POST", run+"/submit", "", "").Code)
	_, err := b.notebook.JudgeDue(context.Background())
	require.NoError(t, err)
	a := b.as(b.member).get(run + "/verdict")
	items, _ := a.at("verdict", "body", "items").([]any)
	require.Len(t, items, 2)
	var judged []any
	for _, i := range items {
		item, _ := i.(map[string]any)
		out := b.calculated("verdict", map[string]any{
			"y": item["y"], "u": item["u"], "nu": item["nu"], "lower": item["low"], "upper": item["high"], "pred": item["predicted"], "u_pred": item["u_predicted"],
		})
		for field, value := range out {
			require.Equal(t, value, item[field], "%s of %s", field, item["name"])
		}
		low, _ := out["p_low"].(float64)
		high, _ := out["p_high"].(float64)
		judged = append(judged, map[string]any{"name": "water flow at As drawn", "outcome": out["outcome"], "p_tail": 1 - max(low, high), "required": item["required"]})
	}
	whole := b.calculated("build_verdict", map[string]any{"items": judged, "chi2_p": a.at("verdict", "body", "joint", "p")})
	for field, value := range whole {
		require.Equal(t, value, a.at("verdict", "body", "outcome", field), field)
	}
}

// calculated is the result of a calculation of evidence.
func (b *bundle) calculated(name string, in map[string]any) map[string]any {
	b.Helper()
	a := b.as(b.member).post("/api/v1/calc/evidence/"+name, in)
	require.Equal(b, true, a.at("ok"), a.Body.String())
	result, _ := a.at("result").(map[string]any)
	require.NotEmpty(b, result)
	return result
}

// components are the lines of a budget as the calculation takes them.
func components(lines []confront.Line) (list []any) {
	for _, l := range lines {
		c := map[string]any{"kind": "standard", "name": l.Name, "u": math.Abs(*l.Signed), "sens": math.Copysign(1, *l.Signed), "nu": l.Nu}
		if l.Source != "" {
			c["source"] = l.Source
		}
		list = append(list, c)
	}
	return list
}
