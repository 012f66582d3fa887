package api

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// What must hold in the database once the crowd has gone home.

// counted are the tables whose rows are as many as answers said that one was
// made: nothing is lost, made twice or half made.
var counted = []string{
	"projects", "designs", "revision_issues", "check_outcomes", "remarks", "remark_answers", "builds", "build_versions", "test_sheets", "test_signatures",
	"certificates", "log_entries", "instruments", "safety_settings", "safety_setting_signatures", "templates", "template_signatures",
}

func (c *crowd) rows() map[string]int {
	rows := map[string]int{}
	for _, table := range counted {
		rows[table] = c.db.Number(c, "SELECT count(*) FROM "+table)
	}
	return rows
}

// broken are queries that find what breaks a rule, each in its own words. Where
// times of two requests are compared, one may have waited for the other for as
// long as a request may take.
var broken = map[string]string{
	"two letters of a design are draft or in check": `SELECT design_id FROM revisions WHERE state IN ('draft', 'in_check') GROUP BY 1 HAVING count(*) > 1`,
	"two letters of a design are cleared":           `SELECT design_id FROM revisions WHERE state = 'cleared' GROUP BY 1 HAVING count(*) > 1`,
	"somebody of the crew, or formerly of it, checked": `SELECT o.id FROM check_outcomes o JOIN revisions r ON r.id = o.revision_id JOIN designs d ON d.id = r.design_id
		JOIN crew c ON c.project_id = d.project_id AND c.account_id = o.who WHERE c.joined_at < o.at - interval '25 seconds'`,
	"who drew it checked": `SELECT o.id FROM check_outcomes o JOIN revisions r ON r.id = o.revision_id JOIN revisions a ON a.design_id = r.design_id
		JOIN sheets s ON s.revision_id = a.id AND s.saved_by = o.who WHERE s.saved_at < o.at - interval '25 seconds'`,
	"cleared by too few, or in spite of a return": `SELECT r.id FROM revisions r LEFT JOIN revision_issues i ON i.revision_id = r.id
		WHERE r.state IN ('cleared', 'superseded', 'withdrawn') AND (EXISTS (SELECT 1 FROM check_outcomes o WHERE o.revision_id = r.id AND o.outcome = 'return')
			OR (SELECT count(*) FROM check_outcomes o WHERE o.revision_id = r.id AND o.outcome = 'clear') < coalesce(i.checkers, 99))`,
	"a raised hazard cleared by one": `SELECT revision_id FROM revision_issues WHERE class = 'raised' AND checkers < 2 OR checkers < 1`,
	"returned by nobody": `SELECT r.id FROM revisions r WHERE r.state = 'returned' AND NOT EXISTS (SELECT 1 FROM check_outcomes o WHERE o.revision_id = r.id AND o.outcome = 'return')
		AND NOT EXISTS (SELECT 1 FROM revision_ends e WHERE e.revision_id = r.id AND e.kind = 'taken_back')`,
	"taken back after an outcome": `SELECT e.revision_id FROM revision_ends e JOIN check_outcomes o ON o.revision_id = e.revision_id WHERE e.kind = 'taken_back'`,
	"withdrawn without a reason, or a reason without being withdrawn": `SELECT r.id FROM revisions r
		WHERE (r.state = 'withdrawn') <> EXISTS (SELECT 1 FROM revision_ends e WHERE e.revision_id = r.id AND e.kind = 'withdrawn' AND e.reason <> '')`,
	"issued and a draft, or neither": `SELECT r.id FROM revisions r WHERE (r.state = 'draft') = EXISTS (SELECT 1 FROM revision_issues i WHERE i.revision_id = r.id)`,
	"nothing keeps it, and it is not cleared": `SELECT r.id FROM revisions r JOIN revision_issues i ON i.revision_id = r.id JOIN designs d ON d.id = r.design_id
		WHERE r.state = 'in_check' AND NOT EXISTS (SELECT 1 FROM remarks m WHERE m.design_id = d.id AND m.weight IN ('query', 'stopper') AND m.laid_at IS NULL)
			AND i.checkers <= (SELECT count(*) FROM check_outcomes o WHERE o.revision_id = r.id AND o.outcome = 'clear'
				AND NOT EXISTS (SELECT 1 FROM crew c WHERE c.project_id = d.project_id AND c.account_id = o.who))`,
	"superseded by nothing": `SELECT r.id FROM revisions r WHERE r.state = 'superseded'
		AND NOT EXISTS (SELECT 1 FROM revisions l WHERE l.design_id = r.design_id AND l.position > r.position AND l.state IN ('cleared', 'superseded', 'withdrawn'))`,
	"laid to rest by somebody else than who raised it": `SELECT m.id FROM remarks m JOIN accounts a ON a.id = m.who WHERE m.laid_by <> m.who AND a.closed_at IS NULL`,

	"built from what was never cleared": `SELECT v.build_id FROM build_versions v JOIN revisions r ON r.id = v.revision_id WHERE r.state IN ('draft', 'in_check', 'returned')`,
	"begun from what was withdrawn": `SELECT v.build_id FROM build_versions v JOIN revision_ends e ON e.revision_id = v.revision_id AND e.kind = 'withdrawn'
		WHERE v.number = 1 AND v.made_at > e.at + interval '25 seconds'`,
	"a version of a build is missing":  `SELECT b.id FROM builds b WHERE b.newest <> (SELECT count(*) FROM build_versions v WHERE v.build_id = b.id)`,
	"who changed it is not a builder":  `SELECT v.build_id FROM build_versions v WHERE NOT EXISTS (SELECT 1 FROM build_people p WHERE p.build_id = v.build_id AND p.account_id = v.made_by)`,
	"somebody is a builder twice":      `SELECT build_id FROM build_people WHERE account_id IS NOT NULL GROUP BY build_id, account_id HAVING count(*) > 1`,
	"in service before a certificate":  `SELECT s.build_id FROM build_states s WHERE s.state = 'in_service' AND NOT EXISTS (SELECT 1 FROM certificates c WHERE c.build_id = s.build_id AND c.issued_at <= s.at)`,
	"the state is not the last one":    `SELECT b.id FROM builds b WHERE b.state <> (SELECT s.state FROM build_states s WHERE s.build_id = b.id ORDER BY s.id DESC LIMIT 1)`,
	"two tests of one machine run":     `SELECT build_id FROM test_sheets WHERE ended IS NULL GROUP BY build_id, build_version HAVING count(*) > 1`,
	"failed without a nonconformance":  `SELECT s.id FROM test_sheets s WHERE (s.ended IS NOT DISTINCT FROM 'failed') <> EXISTS (SELECT 1 FROM nonconformances n WHERE n.sheet_id = s.id)`,
	"one person signed one item twice": `SELECT sheet_id FROM test_signatures GROUP BY sheet_id, item, who HAVING count(*) > 1`,
	"one role signed one item twice":   `SELECT sheet_id FROM test_signatures GROUP BY sheet_id, item, role HAVING count(*) > 1`,
	"who built it signed as somebody who did not": `SELECT g.id FROM test_signatures g JOIN test_sheets s ON s.id = g.sheet_id JOIN build_people p ON p.build_id = s.build_id AND p.account_id = g.who
		WHERE g.role <> 'builder' AND p.added_at < g.at - interval '25 seconds'`,
	"who did not build it signed as builder": `SELECT g.id FROM test_signatures g JOIN test_sheets s ON s.id = g.sheet_id WHERE g.role = 'builder'
		AND NOT EXISTS (SELECT 1 FROM build_people p WHERE p.build_id = s.build_id AND p.account_id = g.who)`,
	"second and competent are one person": `SELECT g.sheet_id FROM test_signatures g JOIN test_sheets s ON s.id = g.sheet_id WHERE (s.basis -> 'competent')::boolean AND g.role <> 'builder'
		GROUP BY g.sheet_id, g.who HAVING count(DISTINCT g.role) > 1`,
	"an item was signed before a hold point ahead of it": `WITH items AS (SELECT t.version, i.item ->> 'id' AS id, i.item ->> 'point' AS point, i.item ->> 'stage' AS stage, i.n
			FROM templates t, jsonb_array_elements(t.body::jsonb -> 'items') WITH ORDINALITY i (item, n))
		SELECT later.id FROM test_sheets s JOIN test_signatures hold ON hold.sheet_id = s.id JOIN test_signatures later ON later.sheet_id = s.id
			JOIN items h ON h.version = s.template_version AND h.id = hold.item JOIN items l ON l.version = s.template_version AND l.id = later.item
		WHERE h.point = 'hold' AND l.point <> 'review' AND h.n < l.n AND l.stage <> 'release' AND l.id <> 'C04' AND later.link < hold.link`,

	"certified what did not pass": `SELECT c.id FROM certificates c JOIN test_sheets s ON s.id = c.sheet_id WHERE s.ended IS DISTINCT FROM 'passed' OR s.pressure_hash <> c.pressure_hash`,
	"certified by who built it":   `SELECT c.id FROM certificates c JOIN build_people p ON p.build_id = c.build_id AND p.account_id = c.issued_by WHERE p.added_at < c.issued_at - interval '25 seconds'`,
	"certified by the second":     `SELECT c.id FROM certificates c JOIN test_signatures g ON g.sheet_id = c.sheet_id AND g.role = 'second' AND g.who = c.issued_by`,
	"certified by fewer than three people, where it takes three": `SELECT c.id FROM certificates c JOIN test_sheets s ON s.id = c.sheet_id
		WHERE (SELECT count(DISTINCT x.who) FROM (SELECT g.who FROM test_signatures g WHERE g.sheet_id = s.id UNION SELECT c.issued_by) x) < 3`,

	"settings signed by one person":    `SELECT setting_id FROM safety_setting_signatures GROUP BY 1, who HAVING count(*) > 1`,
	"a procedure signed by one person": `SELECT version FROM template_signatures GROUP BY version, who HAVING count(*) > 1`,
	"in force without a steward and a second": `SELECT id FROM safety_settings s WHERE EXISTS (SELECT 1 FROM safety_settings n WHERE n.follows = s.id)
		AND (SELECT count(DISTINCT role) FROM safety_setting_signatures g WHERE g.setting_id = s.id) < 2`,
	"a picture hidden by one person": `SELECT file_id FROM file_hides GROUP BY file_id, who HAVING count(*) > 1`,
	"nobody keeps the group":         `SELECT 1 WHERE NOT EXISTS (SELECT 1 FROM accounts WHERE keeper AND closed_at IS NULL)`,
}

func (c *crowd) atTheEnd() {
	for _, name := range slices.Sorted(maps.Keys(broken)) {
		var found string
		err := c.db.SQL.QueryRow("SELECT coalesce(string_agg(x::text, ', '), '') FROM (" + broken[name] + ") q (x)").Scan(&found)
		switch {
		case err != nil:
			c.fault("%s: %v", name, err)
		case found != "":
			c.fault("in the database: %s: %s", name, found)
		}
	}
	rows := c.rows()
	c.made["build_versions"] += c.made["builds"]
	for _, table := range counted {
		if has := rows[table] - c.base[table]; has != c.made[table] {
			c.fault("%s has %d new rows, and the answers promised %d", table, has, c.made[table])
		}
	}
	c.statesAtTheEnd()
	c.testsAtTheEnd()
	c.verifies()
}

// statesAtTheEnd holds what the model followed against the database.
func (c *crowd) statesAtTheEnd() {
	for _, design := range c.all("designs") {
		model := c.designOf(design.path)
		kept := map[string]string{}
		rows, err := c.db.SQL.Query("SELECT letter, state FROM revisions WHERE design_id = $1 ORDER BY position", design.id)
		if err != nil {
			c.fault("%v", err)
			return
		}
		for rows.Next() {
			var letter, state string
			if err := rows.Scan(&letter, &state); err != nil {
				c.fault("%v", err)
			}
			kept[letter] = state
			if state == "cleared" && model.enough(letter) {
				model.clears(letter)
			}
		}
		if err := rows.Close(); err != nil || !maps.Equal(kept, model.states) {
			c.fault("%s stands at %v, and the answers brought it to %v", design.path, kept, model.states)
		}
	}
	for _, build := range c.all("builds") {
		state := c.buildStateOf(build.path)
		if c.db.Number(c, "SELECT count(*) FROM builds WHERE id = $1 AND state = $2", build.id, state) != 1 {
			c.fault("%s is not %s, as the answers had it", build.path, state)
		}
	}
}

// lapsed finds the certificates that surely hold no longer.
const lapsed = `SELECT count(*) FROM certificates c JOIN builds b ON b.id = c.build_id JOIN build_versions v ON v.build_id = b.id AND v.number = b.newest JOIN revisions r ON r.id = b.revision_id
	WHERE c.id = $1 AND (v.pressure_hash <> c.pressure_hash OR c.site <> v.place || ' (' || v.moves || ')' OR r.state = 'withdrawn'
		OR EXISTS (SELECT 1 FROM build_versions o WHERE o.build_id = b.id AND o.number > c.build_version AND o.pressure_hash <> c.pressure_hash)
		OR EXISTS (SELECT 1 FROM certificate_ends e WHERE e.certificate_id = c.id)
		OR EXISTS (SELECT 1 FROM incident_marks m JOIN log_entries l ON l.id = m.entry_id WHERE l.build_id = b.id AND m.at > c.issued_at
			AND NOT EXISTS (SELECT 1 FROM incident_rests i WHERE i.entry_id = m.entry_id)))`

// testsAtTheEnd reads each test that was passed and each certificate.
func (c *crowd) testsAtTheEnd() {
	s := &step{TB: c.TB, crowd: c, b: c.bundle}
	var reader *mate
	for _, p := range c.everybody() {
		if !c.is(goneKey(p.no())) {
			reader = p
		}
	}
	for _, build := range c.all("builds") {
		a, ok := s.reading(reader, build.path+"/certificate")
		if !ok {
			continue
		}
		for _, one := range listOf(a, "items") {
			reasons, _ := one["reasons"].([]any)
			gone := c.db.Number(c, lapsed, idIn(one)) > 0
			s.believes((one["valid"] == true) == (len(reasons) == 0), "certificate %d of %s: valid %v for the reasons %v", idIn(one), build.path, one["valid"], reasons)
			s.believes(!gone || one["valid"] != true, "certificate %d of %s holds, though it has lapsed", idIn(one), build.path)
			c.passedWhole(s, reader, fmt.Sprintf("%s/tests/%d", build.path, numberIn(one["test"])))
		}
	}
}

func (c *crowd) passedWhole(s *step, reader *mate, path string) {
	a, ok := s.reading(reader, path)
	if !ok {
		return
	}
	var open []string
	for _, item := range listOf(a, "items") {
		if item["after_failure"] != true && textIn(item, "state") != "met" {
			open = append(open, textIn(item, "id")+" "+textIn(item, "state"))
		}
	}
	s.believes(len(open) == 0, "%s is certified, and these are not signed: %s", path, strings.Join(open, ", "))
}
