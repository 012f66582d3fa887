package api

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/calc"
	"leat/calc/evidence"
	"leat/calc/lessons"
	"leat/calc/trompe"
	"leat/domain"
	"leat/domain/digest"
	"leat/domain/store/storetest"
)

const setsRoute = "/api/v1/coefficient-sets"

func toPropose(key string) map[string]any {
	return map[string]any{"why": "A machine more", "client_key": key}
}

// confirmed is a run of the crew that counts, made once; a member took part where
// it says so.
func (b *bundle) confirmed(withMember bool) {
	b.Helper()
	run := b.opened("taught-0001")
	if b.as(b.crew).get(run).at("state") != "open" {
		return
	}
	if withMember {
		require.Equal(b, 201, b.as(b.member).post(run+"/points", toPoint("taught-0002")).Code)
	}
	b.judged("taught-0001")
	wen := b.db.Person(b, "Wen of the weir", domain.Steward)
	var ref domain.RunRef
	_, err := fmt.Sscanf(run, "/api/v1/projects/%d/builds/%d/runs/%d", &ref.Project, &ref.Build, &ref.Number)
	require.NoError(b, err)
	_, err = b.notebook.ConfirmRun(context.Background(), wen, domain.ConfirmRun{Run: ref, Proof: domain.Proof{Password: storetest.Password}})
	require.NoError(b, err)
}

// taught has nothing speak against the proposals that are not worked out yet: by
// hand, as one run teaches too little.
func (b *bundle) taught() {
	b.Helper()
	prior := evidence.PriorOf(1)
	body, err := digest.Canonical(lessons.Proposal{
		CalcVersion: calc.Version, Current: "0", Adoptable: true, Builds: []lessons.Taught{}, Coefficients: []lessons.Moved{}, Checks: []lessons.Check{}, Words: []string{},
		Learned: &trompe.Learned{Parent: "0", CalcVersion: calc.Version, Names: []string{"k_c0"}, M: []float64{0}, P: prior.P, Omega: prior.Omega, Delta: evidence.ModelLack},
	})
	require.NoError(b, err)
	b.db.exec(`INSERT INTO coefficient_set_lessons (proposal_id, body, digest, at) SELECT id, $1, sha256(convert_to($1, 'UTF8')), now() FROM coefficient_set_proposals p
		WHERE NOT EXISTS (SELECT 1 FROM coefficient_set_lessons l WHERE l.proposal_id = p.id)`, string(body))
}

// proposedSet returns the path of a proposal of somebody that may be adopted.
func (b *bundle) proposedSet(by *person, key string) string {
	b.Helper()
	b.confirmed(true)
	b.taught()
	a := b.as(by).post(setsRoute, toPropose(key))
	require.Less(b, a.Code, 300, a.Body.String())
	b.taught()
	return a.Header().Get("Location")
}

// proposedByOther returns the path of one of a member whom no row of the matrix is
// about.
func (b *bundle) proposedByOther(key string) string {
	b.Helper()
	b.confirmed(true)
	b.taught()
	ines := b.db.Person(b, "Ines "+key)
	p, _, err := b.notebook.ProposeSet(context.Background(), ines, domain.ProposeCoefficients{Why: "A machine more", Key: key})
	require.NoError(b, err)
	b.taught()
	return fmt.Sprintf("%s/%d", setsRoute, p.ID)
}

func TestASetOfCoefficientsOverHTTP(t *testing.T) {
	t.Parallel()
	b := setup(t)
	require.Zero(t, b.as(b.member).get("/api/v1/evidence").number("run_count"))
	require.Equal(t, "nothing-learned", b.as(b.member).post(setsRoute, toPropose("set-000001")).code())
	b.confirmed(true)
	evidence := b.as(b.member).get("/api/v1/evidence")
	require.Equal(t, int64(1), evidence.number("run_count"))
	require.Equal(t, "0", evidence.at("coefficient_set"))
	require.Equal(t, []any{"propose_set"}, evidence.at("allowed_actions"))

	first := b.as(b.member).post(setsRoute, toPropose("set-000001"))
	require.Equal(t, 201, first.Code, first.Body.String())
	require.Equal(t, "working", first.at("state"))
	require.Equal(t, 200, b.as(b.member).post(setsRoute, toPropose("set-000001")).Code)
	require.Equal(t, "set-working", b.as(b.crew).post(setsRoute, toPropose("set-000002")).code())
	done, err := b.notebook.LearnDue(context.Background())
	require.NoError(t, err)
	require.Equal(t, 1, done)
	path := first.Header().Get("Location")
	refused := b.as(b.member).get(path)
	require.Equal(t, "refused", refused.at("state"))
	require.Equal(t, false, refused.at("adoptable"))
	require.NotEmpty(t, refused.at("lesson", "checks"))
	require.NotEmpty(t, refused.at("lesson", "coefficients"))
	require.Nil(t, refused.at("set"))

	second := b.proposedSet(b.crew, "set-000003")
	steward := b.kind("steward")
	waiting := b.as(steward).get(second)
	require.Equal(t, "waiting", waiting.at("state"))
	require.Equal(t, []any{"adopt_set"}, waiting.at("allowed_actions"))
	require.Contains(t, b.as(steward).get("/api/v1/waiting").Body.String(), `"coefficients"`)
	require.Equal(t, 422, b.as(steward).post(second+"/adopt", map[string]any{"password": ""}).Code)
	adopted := b.as(steward).post(second+"/adopt", withPassword)
	require.Equal(t, 200, adopted.Code, adopted.Body.String())
	require.Equal(t, "1", adopted.at("adoption", "set"))
	require.Equal(t, "1", adopted.at("set", "set"))
	require.Equal(t, true, adopted.at("in_force"))
	list := b.as(b.member).get(setsRoute)
	require.Equal(t, "1", list.at("coefficient_set"))
	require.Len(t, list.at("items"), 2)
	for _, wrong := range []string{setsRoute + "/99", setsRoute + "/x", setsRoute + "/0"} {
		require.Equal(t, 404, b.as(b.member).get(wrong).Code, wrong)
	}
	require.Equal(t, 404, b.as(steward).post(setsRoute+"/99/adopt", withPassword).Code)
	require.Contains(t, fieldsOf(b.as(b.member).post(setsRoute, map[string]any{"why": " ", "client_key": "set-000004"})), "/why")
}
