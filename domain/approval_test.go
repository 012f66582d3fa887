package domain_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

// product.md, "People": safety settings and templates take effect when a steward
// and a second member have signed. Ines is a steward.
func TestAStewardAndASecondSign(t *testing.T) {
	steward := domain.Access{Account: ines, Roles: []domain.Role{domain.Member, domain.Steward}}
	member := domain.Access{Account: petra, Roles: []domain.Role{domain.Member, domain.Keeper, domain.Checker}}
	other := domain.Access{Account: 3, Roles: []domain.Role{domain.Member}, Stewards: []domain.Person{{ID: ines, Name: "Ines Calloway"}}}
	by := func(role domain.ApprovalRole, who domain.AccountID) domain.Approval {
		return domain.Approval{Role: role, By: domain.Person{ID: who}}
	}
	stewards := domain.Access{Account: 4, Roles: []domain.Role{domain.Member, domain.Steward}}
	for name, c := range map[string]struct {
		signed domain.Approvals
		who    domain.Access
		role   domain.ApprovalRole
		code   string
	}{
		"a steward first":              {nil, steward, domain.ApprovalSteward, ""},
		"a member first":               {nil, member, domain.ApprovalSecond, ""},
		"a member after a steward":     {domain.Approvals{by(domain.ApprovalSteward, ines)}, member, domain.ApprovalSecond, ""},
		"a steward after a member":     {domain.Approvals{by(domain.ApprovalSecond, petra)}, steward, domain.ApprovalSteward, ""},
		"two stewards":                 {domain.Approvals{by(domain.ApprovalSteward, ines)}, stewards, domain.ApprovalSecond, ""},
		"two members":                  {domain.Approvals{by(domain.ApprovalSecond, petra)}, other, "", "not-steward"},
		"one steward for both":         {domain.Approvals{by(domain.ApprovalSteward, ines)}, steward, "", "approved-before"},
		"one who became steward":       {domain.Approvals{by(domain.ApprovalSecond, ines)}, steward, "", "approved-before"},
		"a third, when both are there": {domain.Approvals{by(domain.ApprovalSecond, petra), by(domain.ApprovalSteward, ines)}, stewards, "", "approval-complete"},
	} {
		role, err := c.signed.RoleOf(c.who)
		require.Equal(t, c.role, role, name)
		if c.code == "" {
			require.NoError(t, err, name)
			continue
		}
		e, ok := errors.AsType[*domain.Error](err)
		require.True(t, ok, name)
		require.Equal(t, c.code, e.Code, name)
	}
	_, err := domain.Approvals{by(domain.ApprovalSecond, petra)}.RoleOf(other)
	require.ErrorContains(t, err, "Ines Calloway", "who can is named")
}

// Where nobody in the group may take the next step, the page says what is lacking.
func TestWhatAProposalLacks(t *testing.T) {
	steward := []domain.Person{{ID: ines, Name: "Ines Calloway"}}
	bySecond := domain.Approvals{{Role: domain.ApprovalSecond, By: steward[0]}}
	require.Empty(t, domain.Approvals{}.Lacks(steward, 2))
	require.Contains(t, domain.Approvals{}.Lacks(nil, 5), "steward")
	require.Contains(t, bySecond.Lacks(steward, 5), "steward", "the only steward signed as the second")
	require.Contains(t, domain.Approvals{}.Lacks(steward, 1), "two people")
}

// Whoever of a group with a steward and two members signs first, somebody else
// can give the other signature: nobody is used up.
func TestAFirstSignatureLeavesSomebodyForTheOther(t *testing.T) {
	for members := 2; members <= 4; members++ {
		for stewards := 1; stewards <= members; stewards++ {
			access := func(i int) domain.Access {
				a := domain.Access{Account: domain.AccountID(i), Roles: []domain.Role{domain.Member}}
				if i <= stewards {
					a.Roles = append(a.Roles, domain.Steward)
				}
				return a
			}
			for first := 1; first <= members; first++ {
				role, err := domain.Approvals{}.RoleOf(access(first))
				require.NoError(t, err)
				signed := domain.Approvals{{Role: role, By: domain.Person{ID: domain.AccountID(first)}}}
				left := 0
				for next := 1; next <= members; next++ {
					if _, err := signed.RoleOf(access(next)); err == nil {
						left++
					}
				}
				require.Positive(t, left, "%d of %d are stewards, and number %d has signed as %s", stewards, members, first, role)
			}
		}
	}
}

// A proposal that something else has overtaken would undo that; it is dead.
func TestStatesOfAProposal(t *testing.T) {
	both := domain.Approvals{{Role: domain.ApprovalSteward}, {Role: domain.ApprovalSecond}}
	for _, c := range []struct {
		id, follows, inForce domain.SafetyID
		signed               domain.Approvals
		want                 domain.ApprovalState
	}{
		{1, 0, 0, nil, domain.ApprovalWaiting}, {1, 0, 1, both, domain.ApprovalInForce}, {1, 0, 3, both, domain.ApprovalPast},
		{2, 0, 1, nil, domain.ApprovalOvertaken}, {3, 1, 1, both[:1], domain.ApprovalWaiting},
	} {
		p := domain.SafetyProposal{ID: c.id, Follows: c.follows, Approvals: c.signed}
		p.Judge(c.inForce)
		require.Equal(t, c.want, p.State, "%+v", c)
	}
}
