package store

import "leat/domain"

// aboutQuery says what links of the record are about: a row for each link, with the
// name of the thing and what leads to it.
const aboutQuery = `
WITH revision AS (SELECT r.id, r.design_id AS design, r.letter, d.title FROM revisions r JOIN designs d ON d.id = r.design_id),
	sheet AS (SELECT s.id, s.build_id AS build, s.number AS test, b.title FROM test_sheets s JOIN builds b ON b.id = s.build_id)
SELECT * FROM (SELECT t.link, r.title, r.design, r.letter, 0 AS build, 0 AS test, '' AS item, 0 AS run, 0 AS number
	FROM (SELECT link, revision_id FROM revision_issues UNION ALL SELECT link, revision_id FROM check_outcomes UNION ALL SELECT link, revision_id FROM revision_ends) t
	JOIN revision r ON r.id = t.revision_id
UNION ALL SELECT t.link, s.title, 0, '', s.build, s.test, t.item, 0, 0
	FROM (SELECT link, id AS sheet_id, '' AS item FROM test_sheets UNION ALL SELECT link, sheet_id, item FROM test_signatures
		UNION ALL SELECT link, sheet_id, item FROM nonconformances
		UNION ALL SELECT c.link, n.sheet_id, n.item FROM nonconformance_closings c JOIN nonconformances n ON n.id = c.nonconformance_id) t
	JOIN sheet s ON s.id = t.sheet_id
UNION ALL SELECT t.link, b.title, 0, '', b.id, 0, '', 0, 0
	FROM (SELECT link, build_id FROM certificates UNION ALL SELECT e.link, c.build_id FROM certificate_ends e JOIN certificates c ON c.id = e.certificate_id) t
	JOIN builds b ON b.id = t.build_id
UNION ALL SELECT t.link, b.title, 0, '', b.id, 0, '', r.number, 0 FROM run_ends t JOIN runs r ON r.id = t.run_id JOIN builds b ON b.id = r.build_id
UNION ALL SELECT t.link, coalesce(b.title, p.title), 0, '', coalesce(b.id, 0), 0, '', 0, 0 FROM incident_rests t JOIN log_entries e ON e.id = t.entry_id
	JOIN projects p ON p.id = e.project_id LEFT JOIN builds b ON b.id = e.build_id
UNION ALL SELECT t.link, f.name, 0, '', 0, 0, '', 0, 0 FROM file_hides t JOIN files f ON f.id = t.file_id
UNION ALL SELECT t.link, p.title, 0, '', 0, 0, '', 0, 0 FROM imports t JOIN projects p ON p.id = t.project_id
UNION ALL SELECT t.link, coalesce(a.name, t.after ->> 'name', t.before ->> 'name', ''), 0, '', 0, 0, '', 0, 0
	FROM acts t LEFT JOIN accounts a ON a.id = t.about
UNION ALL SELECT t.link, '', 0, '', 0, 0, '', 0, t.number
	FROM (SELECT link, id AS number FROM coefficient_set_proposals UNION ALL SELECT link, proposal_id FROM coefficient_set_adoptions
		UNION ALL SELECT link, id FROM safety_settings UNION ALL SELECT link, setting_id FROM safety_setting_signatures
		UNION ALL SELECT link, version FROM templates WHERE link IS NOT NULL UNION ALL SELECT link, version FROM template_signatures) t) about
WHERE link BETWEEN ? AND ?`

// tellAbout fills in what links are about, which stand one after the other, newest
// first.
func (tx *Tx) tellAbout(links []domain.Link) error {
	type aboutRow struct {
		Link   int64           `gorm:"column:link"`
		Title  string          `gorm:"column:title"`
		Design domain.DesignID `gorm:"column:design"`
		Letter string          `gorm:"column:letter"`
		Build  domain.BuildID  `gorm:"column:build"`
		Test   int             `gorm:"column:test"`
		Item   string          `gorm:"column:item"`
		Run    int             `gorm:"column:run"`
		Number int64           `gorm:"column:number"`
	}
	if len(links) == 0 {
		return nil
	}
	rows, err := all[aboutRow](tx, aboutQuery, links[len(links)-1].Number, links[0].Number)
	about := map[int64]domain.LinkAbout{}
	for _, r := range rows {
		about[r.Link] = domain.LinkAbout{Title: r.Title, Design: r.Design, Letter: r.Letter, Build: r.Build, Test: r.Test, Item: r.Item, Run: r.Run, Number: r.Number}
	}
	for i, l := range links {
		links[i].About = about[l.Number]
	}
	return err
}
