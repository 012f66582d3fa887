package api

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func (b *bundle) pathOf(who *person) string { return fmt.Sprintf("/api/v1/members/%d", who.id) }

// join makes an account with an invitation.
func (b *bundle) join(name, address string) *person {
	b.Helper()
	_, code := b.invited()
	p := &person{name: name, address: address}
	p.takes(b.as(b.nobody).post("/api/v1/invitations/accept", map[string]any{
		"code": code, "name": name, "address": address, "password": password,
	}))
	return p
}

// A member's way through the group, as product.md, "People", tells it.
func TestFromInvitationToClosedAccount(t *testing.T) {
	t.Parallel()
	b := setup(t)
	olwen := b.join("Olwen Marsh", "marsh@thornwick.example")
	require.Equal(t, "Olwen Marsh", b.as(olwen).get("/api/v1/me").at("name"))
	require.Empty(t, b.as(b.member).get("/api/v1/invitations").at("items"), "a used invitation still stands in the list")

	set := b.as(b.keeper).ifMatch(b.version("/api/v1/group")).put(b.pathOf(olwen)+"/roles", map[string]any{"checker": true, "steward": true, "keeper": false})
	require.Equal(t, http.StatusOK, set.Code, set.Body.String())
	require.Equal(t, []any{"member", "checker", "steward"}, b.as(olwen).get("/api/v1/me").at("roles"))

	code := b.as(b.keeper).send("POST", b.pathOf(olwen)+"/reset-code", "", "").at("code")
	again := &person{name: olwen.name, address: olwen.address}
	again.takes(b.as(b.nobody).post("/api/v1/password-reset", map[string]any{"code": code, "password": "five quiet herons"}))
	require.Equal(t, "signed-out", b.as(olwen).get("/api/v1/me").code(), "a session outlived the reset")
	old := b.as(b.nobody).post("/api/v1/session", map[string]any{"address": olwen.address, "password": password})
	require.Equal(t, "sign-in-refused", old.code())

	closed := b.as(again).send("POST", b.pathOf(again)+"/close", "", "")
	require.Equal(t, http.StatusNoContent, closed.Code)
	require.Negative(t, closed.cookie().MaxAge)
	require.Equal(t, "signed-out", b.as(again).get("/api/v1/me").code())
	b.join("Olwen Marsh", olwen.address) // the address is free again
}

// The same words whether a code was never made, is used up or is for a closed account.
func TestResetCodesTellNothing(t *testing.T) {
	t.Parallel()
	b := setup(t)
	who := b.join("Olwen Marsh", "marsh@thornwick.example")
	give := func() any { return b.as(b.keeper).send("POST", b.pathOf(who)+"/reset-code", "", "").at("code") }
	reset := func(code any) *reply {
		return b.as(b.nobody).post("/api/v1/password-reset", map[string]any{"code": code, "password": "five quiet herons"})
	}
	unknown := problemIn(t, reset("AAAA-BBBB-CCCC").ResponseRecorder).Fields
	used := give()
	require.Equal(t, http.StatusCreated, reset(used).Code)
	require.Equal(t, unknown, problemIn(t, reset(used).ResponseRecorder).Fields)
	left := give()
	b.as(b.keeper).send("POST", b.pathOf(who)+"/close", "", "")
	require.Equal(t, unknown, problemIn(t, reset(left).ResponseRecorder).Fields)
}

// The group's rule for sign-in holds for codes: after ten wrong ones in a
// quarter of an hour, wait.
func TestWrongCodesAreLimited(t *testing.T) {
	t.Parallel()
	b := setup(t)
	b.tries.most = 100
	_, good := b.invited()
	try := func(code string) *reply {
		return b.as(b.nobody).post("/api/v1/invitations/accept", map[string]any{"code": code, "name": "Wen", "address": "wen@thornwick.example", "password": password})
	}
	for range 10 {
		require.Equal(t, "invalid", try("AAAA-BBBB-CCCC").code())
	}
	require.Equal(t, "too-many-sign-ins", try(good).code())
	require.Equal(t, "too-many-sign-ins", b.as(b.nobody).post("/api/v1/password-reset", map[string]any{"code": good, "password": "five quiet herons"}).code())
}

func TestTwoKeepersSetRolesFromTheSameReading(t *testing.T) {
	t.Parallel()
	b := setup(t)
	read, who := b.version("/api/v1/group"), b.somebody()
	give := func(role string) *reply {
		roles := map[string]any{"checker": false, "steward": false, "keeper": false}
		roles[role] = true
		return b.as(b.keeper).ifMatch(read).put(who+"/roles", roles)
	}
	require.Equal(t, http.StatusOK, give("checker").Code)
	require.Equal(t, "group-stale", give("steward").code())
}

func TestWhatOneMayDoIsShown(t *testing.T) {
	t.Parallel()
	b := setup(t)
	require.Equal(t, []any{"invite", "set_group"}, b.as(b.keeper).get("/api/v1/group").at("allowed_actions"))
	a := b.as(b.member).get("/api/v1/group")
	require.Empty(t, a.at("allowed_actions"))
	var g groupAnswer
	a.read(&g)
	for _, m := range g.Members {
		if m.ID == b.member.id {
			require.Equal(t, []domain.Action{domain.CloseAccount}, m.Allowed)
			continue
		}
		require.Empty(t, m.Allowed, m.Name)
	}
	require.NotContains(t, a.Body.String(), "@", "addresses are nobody's business")
}
