package api

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestACrewGrowsAndShrinks(t *testing.T) {
	t.Parallel()
	b := setup(t)
	var others personList
	b.as(b.crew).get(b.projectURL() + "/crew/others").read(&others)
	require.Equal(t, []personAnswer{{b.keeper.id, "Ines"}, {b.member.id, "Tomasz"}}, others.Items, "neither the demo account nor the closed one")
	ask := b.askURL(b.member)
	waiting, _ := b.as(b.member).get("/api/v1/asks").at("items").([]any)
	require.Len(t, waiting, 1)
	require.Equal(t, "Mill race", waiting[0].(map[string]any)["title"])
	require.Equal(t, []any{}, b.as(b.keeper).get("/api/v1/asks").at("items"))

	joined := b.as(b.member).post(ask+"/answer", map[string]any{"yes": true})
	require.Equal(t, 200, joined.Code, joined.Body.String())
	require.Contains(t, joined.at("allowed_actions"), "edit_design")
	require.Equal(t, []any{}, joined.at("asks"))
	require.Equal(t, "ask-answered", b.as(b.member).post(ask+"/answer", map[string]any{"yes": false}).code())
	require.Equal(t, "on-crew", b.as(b.crew).post(b.projectURL()+"/crew/asks", map[string]any{"member": b.member.id}).code())

	left := b.as(b.member).send("DELETE", b.projectURL()+"/crew/me", "", "")
	require.Equal(t, []any{map[string]any{"id": float64(b.member.id), "name": "Tomasz"}}, left.at("former_crew"))
	last := b.as(b.crew).send("DELETE", b.projectURL()+"/crew/me", "", "")
	require.Equal(t, []any{}, last.at("crew"))
	require.Equal(t, "not-keeper", b.as(b.crew).post(b.projectURL()+"/crew", map[string]any{"member": b.crew.id}).code())
	require.Contains(t, b.as(b.keeper).get(b.projectURL()).at("allowed_actions"), "add_to_crew")
	require.Equal(t, 200, b.as(b.keeper).post(b.projectURL()+"/crew", map[string]any{"member": b.crew.id}).Code)
	require.Equal(t, "crew-there", b.as(b.keeper).post(b.projectURL()+"/crew", map[string]any{"member": b.crew.id}).code())
	require.Equal(t, 422, b.as(b.crew).post(b.projectURL()+"/crew/asks", map[string]any{"member": "Tomasz"}).Code)
}

func TestOwnAccount(t *testing.T) {
	t.Parallel()
	b := setup(t)
	a := b.as(b.crew).patch("/api/v1/me", map[string]any{"own_units": "si", "name": "Petra L."})
	require.Equal(t, "si", a.at("units"))
	require.Equal(t, "Petra L.", b.as(b.member).get(b.projectURL()).at("crew").([]any)[0].(map[string]any)["name"])
	a = b.as(b.crew).patch("/api/v1/me", map[string]any{"own_units": nil})
	require.Nil(t, a.at("own_units"))
	require.Equal(t, "metric", a.at("units"))
	require.Equal(t, "Petra L.", a.at("name"))
	require.Equal(t, "/own_units", problemIn(t, b.as(b.crew).patch("/api/v1/me", map[string]any{"own_units": "feet"}).ResponseRecorder).Fields[0].Pointer)

	other := *b.crew
	b.signsIn(&other)
	items, _ := b.as(b.crew).get("/api/v1/me/sessions").at("items").([]any)
	require.Len(t, items, 2)
	here := 0
	for _, item := range items {
		if item.(map[string]any)["here"] == true {
			here++
		}
	}
	require.Equal(t, 1, here)
	changed := b.as(b.crew).put("/api/v1/me/password", map[string]any{"present": password, "new": "four brown dippers"})
	require.Equal(t, 204, changed.Code, changed.Body.String())
	require.Equal(t, "signed-out", b.as(&other).get("/api/v1/me").code())
	require.Equal(t, 200, b.as(b.crew).get("/api/v1/me").Code)
}
