package notebook_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain"
)

func adoptionByHand(id domain.SetProposalID, set string, who domain.Actor) string {
	return fmt.Sprintf("INSERT INTO coefficient_set_adoptions (proposal_id, set_name, who, at, link) VALUES (%d, '%s', %d, now(), (SELECT max(number) FROM record_links))", id, set, who.Account)
}

// The database keeps the rules of a set by itself, whatever the server says.
func TestTheDatabaseKeepsTheRulesOfASet(t *testing.T) {
	t.Parallel()
	s := taughtShed(t)
	p := s.learned(t, s.petra)
	propose := func(why, key, who string) string {
		return fmt.Sprintf("INSERT INTO coefficient_set_proposals (why, current_set, proposed_by, proposed_at, client_key, link) VALUES (%s, '0', %s, now(), %s, 901)", why, who, key)
	}
	s.violates(t, "coefficient_set_proposals_why_check", propose("''", "'by-hand-01'", "1"))
	s.violates(t, "coefficient_set_proposals_client_key_check", propose("'So'", "'x'", "1"))
	s.violates(t, "coefficient_set_proposals_proposed_by_fk", propose("'So'", "'by-hand-01'", "-1"))
	s.violates(t, "coefficient_set_proposals_link_fk", propose("'So'", "'by-hand-01'", fmt.Sprint(s.petra.Account)))
	s.violates(t, "coefficient_set_proposals_append_only", "UPDATE coefficient_set_proposals SET why = 'x'", "DELETE FROM coefficient_set_proposals")
	s.violates(t, "coefficient_set_proposals_append_only_truncate", "TRUNCATE coefficient_set_proposals CASCADE")
	s.violates(t, "coefficient_set_runs_counted", "INSERT INTO coefficient_set_runs SELECT proposal_id, run_id + 1, digest FROM coefficient_set_runs", "INSERT INTO coefficient_set_runs SELECT * FROM coefficient_set_runs")
	s.violates(t, "coefficient_set_runs_append_only", "UPDATE coefficient_set_runs SET digest = sha256('x')", "DELETE FROM coefficient_set_runs")
	s.violates(t, "coefficient_set_lessons_append_only", "UPDATE coefficient_set_lessons SET body = '{}'", "DELETE FROM coefficient_set_lessons")
	lesson := func(body string) string {
		return fmt.Sprintf("INSERT INTO coefficient_set_lessons (proposal_id, body, digest, at) VALUES (%d, '%s', sha256('%s'), now())", p.ID, body, body)
	}
	s.violates(t, "coefficient_set_lessons_body_check", lesson(`{}`), lesson(`{"adoptable": "yes", "calc_version": "1"}`), lesson(`{"adoptable": true}`))
	s.violates(t, "coefficient_set_lessons_proposal_id_key", lesson(`{"adoptable": true, "calc_version": "1"}`))

	set := "INSERT INTO coefficient_sets (name, calc, body) SELECT '7', 'trompe', jsonb_set(jsonb_set(body::jsonb, '{set}', '\"7\"'), '{learned}', '{\"m\": 1}') FROM coefficient_sets WHERE name = '0'"
	s.violates(t, "coefficient_sets_adopted_check", set)
	s.violates(t, "coefficient_set_adoptions_of_lesson", adoptionByHand(p.ID, "0", s.wen), set+"; "+adoptionByHand(p.ID, "7", s.wen))
	adopted, err := s.adopts(s.wen, p.ID)
	require.NoError(t, err)
	require.Equal(t, "1", adopted.Adoption.Set)
	s.violates(t, "coefficient_set_adoptions_append_only", "UPDATE coefficient_set_adoptions SET who = 1", "DELETE FROM coefficient_set_adoptions")
	s.violates(t, "coefficient_set_adoptions_append_only_truncate", "TRUNCATE coefficient_set_adoptions")
	s.violates(t, "coefficient_set_adoptions_of_lesson", adoptionByHand(p.ID, "0", s.wen))
}
