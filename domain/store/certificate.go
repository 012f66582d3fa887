package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/calc/procedure"
	"leat/domain"
)

type certificateRow struct {
	ID           int64      `gorm:"column:id"`
	Build        int64      `gorm:"column:build_id"`
	Sheet        int64      `gorm:"column:sheet_id"`
	Test         int        `gorm:"column:test"`
	BuildVersion int        `gorm:"column:build_version"`
	Pressure     []byte     `gorm:"column:pressure_hash"`
	Site         string     `gorm:"column:site"`
	IssuedBy     int64      `gorm:"column:issued_by"`
	Issuer       string     `gorm:"column:issuer"`
	IssuedAt     time.Time  `gorm:"column:issued_at"`
	ExpiresOn    time.Time  `gorm:"column:expires_on"`
	ExpiresAt    time.Time  `gorm:"column:expires_at"`
	Link         int64      `gorm:"column:link"`
	Before       []byte     `gorm:"column:before"`
	EndKind      *string    `gorm:"column:end_kind"`
	EndReason    *string    `gorm:"column:end_reason"`
	EndBy        *int64     `gorm:"column:end_by"`
	Ender        *string    `gorm:"column:ender"`
	EndAt        *time.Time `gorm:"column:end_at"`
	Passed       bool       `gorm:"column:passed"`
	Competent    bool       `gorm:"column:competent"`
	Withdrawn    *string    `gorm:"column:withdrawn"`
	Incidents    int        `gorm:"column:incidents"`
	Failures     int        `gorm:"column:failures"`
	Superseded   bool       `gorm:"column:superseded"`
	Elsewhere    *string    `gorm:"column:elsewhere"`
}

// What failed after a certificate was issued keeps counting against it once it is
// closed; an incident counts from the beginning of the test on, until a steward
// has signed that it was harmless.
const certificateQuery = `SELECT c.id, c.build_id, c.sheet_id, s.number AS test, c.build_version, c.pressure_hash, c.site, c.issued_by, a.name AS issuer,
		c.issued_at, c.expires_on, c.expires_at, c.link, k.before,
		e.kind AS end_kind, e.reason AS end_reason, e.who AS end_by, ea.name AS ender, e.at AS end_at,
		coalesce(s.ended = 'passed', false) AS passed, (s.basis -> 'competent')::boolean AS competent,
		CASE WHEN r.state = 'withdrawn' THEN r.letter END AS withdrawn,
		(SELECT count(*) FROM incident_marks m JOIN log_entries g ON g.id = m.entry_id
			WHERE g.project_id = b.project_id AND (g.build_id IS NULL OR g.build_id = b.id) AND m.at >= s.started_at
			AND NOT EXISTS (SELECT 1 FROM incident_rests x WHERE x.entry_id = m.entry_id)) AS incidents,
		(SELECT count(*) FROM nonconformances n JOIN test_sheets o ON o.id = n.sheet_id
			WHERE o.build_id = b.id AND (n.at >= c.issued_at
				OR NOT EXISTS (SELECT 1 FROM nonconformance_closings x WHERE x.nonconformance_id = n.id))) AS failures,
		EXISTS (SELECT 1 FROM certificates l WHERE l.build_id = c.build_id AND l.id > c.id) AS superseded,
		(SELECT i.group_name FROM imports i WHERE c.link > i.link AND c.link <= i.link + i.signed) AS elsewhere
	FROM certificates c JOIN test_sheets s ON s.id = c.sheet_id JOIN builds b ON b.id = c.build_id
	JOIN accounts a ON a.id = c.issued_by JOIN record_links k ON k.number = c.link
	JOIN build_versions v ON v.build_id = c.build_id AND v.number = c.build_version JOIN revisions r ON r.id = v.revision_id
	LEFT JOIN certificate_ends e ON e.certificate_id = c.id LEFT JOIN accounts ea ON ea.id = e.who `

func (r certificateRow) certificate() domain.Certificate {
	c := domain.Certificate{
		ID: domain.CertificateID(r.ID), Build: domain.BuildID(r.Build), Test: r.Test, BuildVersion: r.BuildVersion, Site: r.Site,
		IssuedBy: domain.Person{ID: domain.AccountID(r.IssuedBy), Name: r.Issuer}, IssuedAt: r.IssuedAt.UTC(), ExpiresOn: r.ExpiresOn.UTC(), ExpiresAt: r.ExpiresAt.UTC(),
		Link: r.Link, Head: domain.RecordHead{Number: r.Link - 1},
		Since: domain.Since{Passed: r.Passed, Competent: r.Competent, Incidents: r.Incidents, Failures: r.Failures, Superseded: r.Superseded},
	}
	copy(c.Pressure[:], r.Pressure)
	copy(c.Head.Sum[:], r.Before)
	if r.Withdrawn != nil {
		c.Since.Withdrawn = *r.Withdrawn
	}
	if r.Elsewhere != nil {
		c.Since.Elsewhere = domain.CertifiedElsewhere(*r.Elsewhere)
	}
	if r.EndAt != nil {
		c.End = &domain.CertificateEnd{
			Kind: domain.CertificateEndKind(*r.EndKind), Reason: *r.EndReason, By: domain.Person{ID: domain.AccountID(*r.EndBy), Name: *r.Ender}, At: r.EndAt.UTC(),
		}
	}
	return c
}

// certificates returns the certificates that a condition finds, with everything
// that tells whether they hold, and without their bodies: in as many statements
// for many as for one.
func (tx *Tx) certificates(condition string, args ...any) ([]domain.Certificate, error) {
	rows, err := all[certificateRow](tx, certificateQuery+condition, args...)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	var builds, sheets []int64
	for _, r := range rows {
		builds, sheets = append(builds, r.Build), append(sheets, r.Sheet)
	}
	h, err := tx.historyOf(builds, sheets)
	list := make([]domain.Certificate, len(rows))
	for i, r := range rows {
		list[i] = r.certificate()
		h.into(&list[i], r.Sheet)
	}
	if err != nil {
		return list, err
	}
	return list, tx.exceeded(list)
}

// exceeded adds to certificates that may hold the limits that came into force
// since their tests, and that their machines exceed. Hardly ever was one
// tightened: only then anything is worked out.
func (tx *Tx) exceeded(list []domain.Certificate) error {
	type testedRow struct {
		ID          domain.CertificateID `gorm:"column:id"`
		StartedAt   time.Time            `gorm:"column:started_at"`
		Basis       []byte               `gorm:"column:basis"`
		Input       []byte               `gorm:"column:input"`
		Differences []byte               `gorm:"column:differences"`
	}
	later, err := tx.settingsSigned()
	if err != nil || len(later) == 0 {
		return err
	}
	open := map[domain.CertificateID]*domain.Certificate{}
	ids := []domain.CertificateID{}
	for i, c := range list {
		if c.End == nil && !c.Since.Superseded {
			open[c.ID], ids = &list[i], append(ids, c.ID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	rows, err := all[testedRow](tx, `SELECT c.id, s.started_at, s.basis, h.input, v.differences
		FROM certificates c JOIN test_sheets s ON s.id = c.sheet_id JOIN build_versions v ON v.build_id = c.build_id AND v.number = c.build_version
		JOIN revisions r ON r.id = v.revision_id JOIN sheets h ON h.revision_id = r.id AND h.number = r.sheet_count
		WHERE c.id IN ?`, ids)
	for _, r := range rows {
		m := domain.TestedMachine{}
		for _, part := range []struct {
			text []byte
			into any
		}{{r.Basis, &m.Basis}, {r.Input, &m.Drawn}, {r.Differences, &m.Differences}} {
			if err := json.Unmarshal(part.text, part.into); err != nil {
				return fmt.Errorf("store: decode what was tested: %w", err)
			}
		}
		if open[r.ID].Since.Exceeded, err = m.Exceeds(tighter(later, r.StartedAt, m.Basis.Rules)); err != nil {
			return err
		}
	}
	return err
}

// tighter returns the settings since a test that ask more of a machine.
func tighter(signed []signedSettings, since time.Time, then procedure.Rules) (later []domain.SafetySettings) {
	for _, s := range signed {
		if !s.at.Before(since) && domain.TightensMachine(then, s.SafetySettings) {
			later = append(later, s.SafetySettings)
		}
	}
	return later
}

// history is what happened to builds, and on test sheets.
type history struct {
	versions map[domain.BuildID][]domain.BuildMark
	builders map[domain.BuildID][]domain.Person
	signed   map[int64][]domain.TestSignature
	gauges   map[int64][]string
}

func (h history) into(c *domain.Certificate, sheet int64) {
	c.Since.Signed, c.Since.Gauges, c.Since.Builders = h.signed[sheet], h.gauges[sheet], h.builders[c.Build]
	for _, v := range h.versions[c.Build] {
		if v.Number > c.BuildVersion {
			c.Since.Versions = append(c.Since.Versions, v)
		}
	}
}

func (tx *Tx) historyOf(builds, sheets []int64) (h history, err error) {
	if h.versions, err = tx.buildMarks(builds); err != nil {
		return h, err
	}
	if h.builders, err = tx.buildersOf(builds); err != nil {
		return h, err
	}
	rows, err := tx.testSignatureRows(sheets)
	if err != nil {
		return h, err
	}
	h.signed = map[int64][]domain.TestSignature{}
	for _, r := range rows {
		h.signed[r.Sheet] = append(h.signed[r.Sheet], r.signature())
	}
	h.gauges, err = tx.wrongGauges(sheets)
	return h, err
}

func (tx *Tx) buildMarks(builds []int64) (map[domain.BuildID][]domain.BuildMark, error) {
	type markRow struct {
		Build    domain.BuildID `gorm:"column:build_id"`
		Number   int            `gorm:"column:number"`
		Pressure []byte         `gorm:"column:pressure_hash"`
		Place    string         `gorm:"column:place"`
		Moves    int            `gorm:"column:moves"`
	}
	rows, err := all[markRow](tx, "SELECT build_id, number, pressure_hash, place, moves FROM build_versions WHERE build_id IN ? ORDER BY build_id, number", builds)
	of := map[domain.BuildID][]domain.BuildMark{}
	for _, r := range rows {
		m := domain.BuildMark{Number: r.Number, Site: domain.SiteOf(r.Place, r.Moves)}
		copy(m.Pressure[:], r.Pressure)
		of[r.Build] = append(of[r.Build], m)
	}
	return of, err
}

func (tx *Tx) buildersOf(builds []int64) (map[domain.BuildID][]domain.Person, error) {
	type builderRow struct {
		Build domain.BuildID   `gorm:"column:build_id"`
		ID    domain.AccountID `gorm:"column:id"`
		Name  string           `gorm:"column:name"`
	}
	rows, err := all[builderRow](tx, "SELECT p.build_id, a.id, a.name FROM build_people p JOIN accounts a ON a.id = p.account_id WHERE p.build_id IN ? ORDER BY p.build_id, p.position", builds)
	of := map[domain.BuildID][]domain.Person{}
	for _, r := range rows {
		of[r.Build] = append(of[r.Build], domain.Person{ID: r.ID, Name: r.Name})
	}
	return of, err
}

// wrongGauges says which instruments of test sheets were found wrong after they
// were chosen there, since a day that is not later than the end of the test: until
// then they were read.
func (tx *Tx) wrongGauges(sheets []int64) (map[int64][]string, error) {
	type wrongRow struct {
		Sheet int64     `gorm:"column:sheet_id"`
		Name  string    `gorm:"column:name"`
		Day   time.Time `gorm:"column:day"`
		Text  string    `gorm:"column:text"`
	}
	zone, err := tx.TimeZone()
	if err != nil {
		return nil, err
	}
	rows, err := all[wrongRow](tx, `SELECT DISTINCT u.sheet_id, i.name, x.day, x.text FROM (
			SELECT e.sheet_id, e.at, s.ended_at, (f.value -> 'instrument')::bigint AS instrument_id
			FROM test_entries e JOIN test_sheets s ON s.id = e.sheet_id, jsonb_each(e.recorded) f
			WHERE e.sheet_id IN ? AND e.outcome = 'met' AND jsonb_typeof(f.value -> 'instrument') = 'number') u
		JOIN instruments i ON i.id = u.instrument_id
		JOIN instrument_acts x ON x.instrument_id = i.id AND x.kind = 'found_wrong' AND x.at >= u.at
			AND x.day <= (coalesce(u.ended_at, x.at) AT TIME ZONE ?)::date
		ORDER BY u.sheet_id, x.day, i.name`, sheets, zone)
	of := map[int64][]string{}
	for _, r := range rows {
		of[r.Sheet] = append(of[r.Sheet], fmt.Sprintf("%s, since %s: %s", r.Name, r.Day.Format(time.DateOnly), r.Text))
	}
	return of, err
}

// certificatesNow tells for builds whether they have a certificate that holds
// now; the newest of each counts.
func (tx *Tx) certificatesNow(builds []domain.BuildID, now time.Time) (map[domain.BuildID]domain.Validity, error) {
	of := map[domain.BuildID]domain.Validity{}
	if len(builds) == 0 {
		return of, nil
	}
	for _, b := range builds {
		of[b] = domain.Uncertified()
	}
	list, err := tx.certificates("WHERE c.id IN (SELECT max(id) FROM certificates WHERE build_id IN ? GROUP BY build_id)", builds)
	for _, c := range list {
		of[c.Build] = c.At(now).Validity()
	}
	return of, err
}

// CertificateNow tells whether a build has a certificate that holds now, and in
// words what is lacking.
func (tx *Tx) CertificateNow(build domain.BuildID, now time.Time) (domain.Validity, error) {
	of, err := tx.certificatesNow([]domain.BuildID{build}, now)
	return of[build], err
}

// Certificates returns a page of the certificates of a build, newest first,
// without their bodies.
func (tx *Tx) Certificates(build domain.BuildID, page domain.Page) ([]domain.Certificate, error) {
	return tx.certificates("WHERE c.build_id = ? AND "+newest("c.id", page), build, below(page))
}

// NewestCertificate returns the newest certificate of a build, without its body.
func (tx *Tx) NewestCertificate(build domain.BuildID) (domain.Certificate, error) {
	list, err := tx.Certificates(build, domain.Page{Limit: 1})
	if err == nil && len(list) == 0 {
		err = domain.Missing("certificate")
	}
	if err != nil {
		return domain.Certificate{}, err
	}
	return list[0], nil
}

// IssuerOf returns who issued the certificate on a test sheet.
func (tx *Tx) IssuerOf(sheet domain.TestID) (domain.AccountID, error) {
	return one[domain.AccountID](tx, "certificate", "SELECT issued_by FROM certificates WHERE sheet_id = ?", sheet)
}

// CertificateBody returns everything that a certificate holds.
func (tx *Tx) CertificateBody(id domain.CertificateID) ([]byte, error) {
	body, err := one[string](tx, "certificate", "SELECT body FROM certificates WHERE id = ?", id)
	return []byte(body), err
}

// PassedTest returns the number of the newest test sheet of a build, where it was
// passed for the machine as it stands and has no certificate; 0 for none.
func (tx *Tx) PassedTest(build domain.BuildID) (int, error) {
	numbers, err := all[int](tx, `SELECT s.number FROM test_sheets s JOIN builds b ON b.id = s.build_id JOIN revisions r ON r.id = b.revision_id
		WHERE s.build_id = ? AND s.ended = 'passed' AND s.build_version = b.newest AND r.state <> 'withdrawn' AND b.state <> 'scrapped'
			AND NOT EXISTS (SELECT 1 FROM certificates c WHERE c.sheet_id = s.id) AND NOT signed_elsewhere(s.link)
			AND NOT EXISTS (SELECT 1 FROM revision_issues i WHERE i.revision_id = r.id AND signed_elsewhere(i.link))
		ORDER BY s.number DESC LIMIT 1`, build)
	if err != nil || len(numbers) == 0 {
		return 0, err
	}
	return numbers[0], nil
}

// wouldBe adds to a certificate that is not issued yet what tells whether it would
// hold.
func (tx *Tx) wouldBe(t domain.Test, c *domain.Certificate) error {
	type counts struct {
		Incidents int `gorm:"column:incidents"`
		Failures  int `gorm:"column:failures"`
	}
	n, err := one[counts](tx, "test sheet", `SELECT
			(SELECT count(*) FROM incident_marks m JOIN log_entries g ON g.id = m.entry_id
				WHERE g.project_id = b.project_id AND (g.build_id IS NULL OR g.build_id = b.id) AND m.at >= s.started_at
				AND NOT EXISTS (SELECT 1 FROM incident_rests x WHERE x.entry_id = m.entry_id)) AS incidents,
			(SELECT count(*) FROM nonconformances n JOIN test_sheets o ON o.id = n.sheet_id
				WHERE o.build_id = b.id AND NOT EXISTS (SELECT 1 FROM nonconformance_closings x WHERE x.nonconformance_id = n.id)) AS failures
		FROM test_sheets s JOIN builds b ON b.id = s.build_id WHERE s.id = ?`, t.ID)
	if err != nil {
		return err
	}
	gauges, err := tx.wrongGauges([]int64{int64(t.ID)})
	c.Since = domain.Since{
		Passed: t.Ended == domain.TestPassed, Competent: t.Basis.Competent, Signed: t.Signatures, Builders: t.Builders,
		Gauges: gauges[int64(t.ID)], Incidents: n.Incidents, Failures: n.Failures,
	}
	return err
}

// WouldHold returns a Conflict when a certificate on a test would not hold at the
// moment at which it is issued.
func (tx *Tx) WouldHold(t domain.Test, c domain.Certificate) error {
	if err := tx.wouldBe(t, &c); err != nil {
		return err
	}
	return c.Holds(c.IssuedAt)
}

// IssueCertificate issues a certificate on a test, and returns its id. Body makes
// everything that it holds, given where the record ended before.
func (tx *Tx) IssueCertificate(permit domain.Permit, t domain.Test, c domain.Certificate, body func(domain.RecordHead) any) error {
	if err := permit.For(domain.CertifyBuild); err != nil {
		return err
	}
	s := signature{kind: domain.LinkCertificate, who: permit.Account(), project: permit.Project(), at: c.IssuedAt}
	err := tx.sign(s, func(link int64) error {
		head, err := tx.RecordHead() // held by who signs
		if err != nil {
			return err
		}
		text, err := json.Marshal(body(head))
		if err != nil {
			return fmt.Errorf("store: encode certificate: %w", err)
		}
		_, err = run(tx, `INSERT INTO certificates (build_id, sheet_id, build_version, pressure_hash, site, body, issued_by, issued_at, expires_on, expires_at, link)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			t.Build, t.ID, t.BuildVersion, c.Pressure[:], c.Site, string(text), permit.Account(), c.IssuedAt, c.ExpiresOn, c.ExpiresAt, link)
		return err
	})
	if err != nil {
		return err
	}
	return tx.bumpTest(t.ID)
}

// RevokeCertificate ends a certificate.
func (tx *Tx) RevokeCertificate(permit domain.Permit, id domain.CertificateID, cmd domain.RevokeCertificate, now time.Time) error {
	if err := permit.For(domain.EndCertificate); err != nil {
		return err
	}
	s := signature{kind: domain.LinkCertificateEnded, who: permit.Account(), project: permit.Project(), at: now}
	return tx.sign(s, func(link int64) error {
		_, err := run(tx, "INSERT INTO certificate_ends (certificate_id, kind, reason, who, at, link) VALUES (?, ?, ?, ?, ?, ?)",
			id, cmd.Kind, cmd.Reason, permit.Account(), now, link)
		return err
	})
}
