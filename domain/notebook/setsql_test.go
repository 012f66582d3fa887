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
	for _, table := range []string{"coefficient_set_runs", "coefficient_set_lessons"} {
		s.violates(t, table+"_append_only_truncate", "TRUNCATE "+table+" CASCADE")
	}

	proposed := func(key, link string) string {
		return "INSERT INTO coefficient_set_proposals (why, current_set, proposed_by, proposed_at, client_key, link) SELECT why, current_set, proposed_by, proposed_at, " + key + ", " + link + " FROM coefficient_set_proposals"
	}
	s.refuses(t, "coefficient_set_proposals", map[string]string{
		"coefficient_set_proposals_id_key": twice("coefficient_set_proposals"), "coefficient_set_proposals_link_key": proposed("'by-hand-01'", "link"),
		"coefficient_set_proposals_proposed_by_client_key_key": proposed("client_key", "901"), "coefficient_set_proposals_current_set_fk": "current_set = '77'",
	})
	s.refuses(t, "coefficient_set_runs", map[string]string{
		"coefficient_set_runs_proposal_id_run_id_key": twice("coefficient_set_runs"), "coefficient_set_runs_proposal_id_fk": "proposal_id = -1", "coefficient_set_runs_run_id_fk": "run_id = -1",
		"coefficient_set_runs_digest_check": "digest = 'x'",
	})
	s.refuses(t, "coefficient_set_lessons", map[string]string{
		"coefficient_set_lessons_proposal_id_fk": "INSERT INTO coefficient_set_lessons SELECT -1, body, digest, at FROM coefficient_set_lessons", "coefficient_set_lessons_digest_check": "digest = sha256('x')",
	})
	otherwise := func(set, link string) string {
		return "INSERT INTO coefficient_set_adoptions SELECT -1, " + set + ", who, at, " + link + " FROM coefficient_set_adoptions"
	}
	s.refuses(t, "coefficient_set_adoptions", map[string]string{
		"coefficient_set_adoptions_proposal_id_key": twice("coefficient_set_adoptions"), "coefficient_set_adoptions_proposal_id_fk": otherwise("'0'", "901"), "coefficient_set_adoptions_set_name_key": otherwise("set_name", "901"),
		"coefficient_set_adoptions_link_key": otherwise("'0'", "link"), "coefficient_set_adoptions_set_name_fk": "set_name = '77'", "coefficient_set_adoptions_who_fk": "who = -1", "coefficient_set_adoptions_link_fk": "link = 901",
	})
	s.nothingStandsOnElsewhere(t)
}
