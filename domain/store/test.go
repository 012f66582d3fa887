package store

import (
	"encoding/json"
	"fmt"
	"strconv"
	"time"

	"leat/calc/procedure"
	"leat/domain"
)

type testRow struct {
	ID           int64      `gorm:"column:id"`
	Project      int64      `gorm:"column:project_id"`
	Build        int64      `gorm:"column:build_id"`
	Tag          int        `gorm:"column:tag"`
	Machine      string     `gorm:"column:title"`
	Number       int        `gorm:"column:number"`
	BuildVersion int        `gorm:"column:build_version"`
	Letter       string     `gorm:"column:letter"`
	Template     int        `gorm:"column:template_version"`
	Short        bool       `gorm:"column:short"`
	Pressure     []byte     `gorm:"column:pressure_hash"`
	StartedBy    int64      `gorm:"column:started_by"`
	Starter      string     `gorm:"column:starter"`
	StartedAt    time.Time  `gorm:"column:started_at"`
	Ended        *string    `gorm:"column:ended"`
	EndedAt      *time.Time `gorm:"column:ended_at"`
	Version      int64      `gorm:"column:version"`
	Certified    bool       `gorm:"column:certified"`
	BuildState   string     `gorm:"column:build_state"`
	Newest       int        `gorm:"column:newest"`
	NowLetter    string     `gorm:"column:now_letter"`
	Revision     string     `gorm:"column:revision_state"`
}

const testQuery = `SELECT s.id, b.project_id, s.build_id, b.tag, b.title, s.number, s.build_version, r.letter, s.template_version, s.short, s.pressure_hash,
		s.started_by, a.name AS starter, s.started_at, s.ended, s.ended_at, s.version,
		EXISTS (SELECT 1 FROM certificates c WHERE c.sheet_id = s.id) AS certified,
		b.state AS build_state, b.newest, n.letter AS now_letter, n.state AS revision_state
	FROM test_sheets s JOIN builds b ON b.id = s.build_id JOIN accounts a ON a.id = s.started_by
	JOIN build_versions v ON v.build_id = s.build_id AND v.number = s.build_version
	JOIN revisions r ON r.id = v.revision_id JOIN revisions n ON n.id = b.revision_id `

func (r testRow) test() domain.Test {
	t := domain.Test{
		ID: domain.TestID(r.ID), Project: domain.ProjectID(r.Project), Build: domain.BuildID(r.Build), Tag: r.Tag, Machine: r.Machine, Number: r.Number, BuildVersion: r.BuildVersion,
		Letter: r.Letter, Template: domain.TemplateVersion(r.Template), Short: r.Short, Version: r.Version, Certified: r.Certified,
		StartedBy: domain.Person{ID: domain.AccountID(r.StartedBy), Name: r.Starter}, StartedAt: r.StartedAt.UTC(), EndedAt: utc(r.EndedAt),
	}
	copy(t.Pressure[:], r.Pressure)
	if r.Ended != nil {
		t.Ended = domain.TestEnd(*r.Ended)
	}
	if t.Ended != domain.TestFailed {
		t.Over = t.Outdated(domain.Build{State: domain.BuildState(r.BuildState), Newest: r.Newest, Letter: r.NowLetter, Revision: domain.State(r.Revision)})
	}
	return t
}

// tests returns the test sheets that a condition finds, without what was recorded
// on them.
func (tx *Tx) tests(condition string, args ...any) ([]domain.Test, error) {
	rows, err := all[testRow](tx, testQuery+condition, args...)
	if err != nil {
		return nil, err
	}
	list, ids := make([]domain.Test, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		list[i], ids[i] = r.test(), r.ID
	}
	failed, err := tx.nonconformances(ids)
	for i := range list {
		list[i].Nonconformance = failed[list[i].ID]
	}
	return list, err
}

// Tests returns a page of the test sheets of a build, newest first; the page
// counts by their numbers.
func (tx *Tx) Tests(project domain.ProjectID, build domain.BuildID, page domain.Page) ([]domain.Test, error) {
	return tx.tests("WHERE s.build_id = ? AND b.project_id = ? AND "+newest("s.number", page), build, project, below(page))
}

// Test returns a test sheet in full. demo says whether invented people may sign
// in here.
func (tx *Tx) Test(ref domain.TestRef, demo bool) (domain.Test, error) {
	list, err := tx.tests("WHERE s.build_id = ? AND b.project_id = ? AND s.number = ?", ref.Build, ref.Project, ref.Number)
	if err == nil && len(list) == 0 {
		err = domain.Missing("test sheet")
	}
	if err != nil {
		return domain.Test{}, err
	}
	return list[0], tx.fillTest(&list[0], demo)
}

// fillTest adds what is asked, recorded and signed, and by whom it could be.
func (tx *Tx) fillTest(t *domain.Test, demo bool) error {
	basis, err := one[string](tx, "test sheet", "SELECT basis FROM test_sheets WHERE id = ?", t.ID)
	if err != nil {
		return err
	}
	if err := json.Unmarshal([]byte(basis), &t.Basis); err != nil {
		return fmt.Errorf("store: decode basis: %w", err)
	}
	template, err := tx.Procedure(t.Template)
	if err != nil {
		return err
	}
	t.Title = template.TitleOf(t.Short)
	if t.Entries, err = tx.testEntries(t.ID); err != nil {
		return err
	}
	t.Tasks = template.Tasks(procedure.NamesOf(t.Basis, t.StartedAt, t.Attempt().Recorded()), t.Short)
	if t.Signatures, err = tx.testSignatures([]int64{int64(t.ID)}); err != nil {
		return err
	}
	if t.Builders, err = tx.buildersWithAccount(t.Build); err != nil {
		return err
	}
	t.Members, err = tx.signers(demo)
	return err
}

// Procedure returns a version of the test procedure, read.
func (tx *Tx) Procedure(version domain.TemplateVersion) (procedure.Template, error) {
	body, err := one[string](tx, "procedure", "SELECT body FROM templates WHERE version = ?", version)
	if err != nil {
		return procedure.Template{}, err
	}
	t, faults := procedure.Read([]byte(body))
	if len(faults) > 0 {
		return t, fmt.Errorf("store: version %d of the procedure: %s %s", version, faults[0].At, faults[0].Message)
	}
	return t, nil
}

// BuildersOf returns the members among the builders of a build of a project.
func (tx *Tx) BuildersOf(project domain.ProjectID, build domain.BuildID) ([]domain.Person, error) {
	if _, err := one[int64](tx, "build", "SELECT id FROM builds WHERE id = ? AND project_id = ?", build, project); err != nil {
		return nil, err
	}
	return tx.buildersWithAccount(build)
}

func (tx *Tx) buildersWithAccount(build domain.BuildID) ([]domain.Person, error) {
	return tx.people("SELECT a.id, a.name FROM build_people p JOIN accounts a ON a.id = p.account_id WHERE p.build_id = ? ORDER BY p.position", build)
}

// signers returns the members of the group, by name, as they may sign.
func (tx *Tx) signers(demo bool) ([]domain.Signer, error) {
	type signerRow struct {
		ID      int64  `gorm:"column:id"`
		Name    string `gorm:"column:name"`
		Steward bool   `gorm:"column:steward"`
		HasCode bool   `gorm:"column:has_code"`
	}
	rows, err := all[signerRow](tx, `SELECT id, name, steward, signing_hash IS NOT NULL AS has_code FROM accounts
		WHERE closed_at IS NULL AND (? OR NOT demo) ORDER BY lower(name), id`, demo)
	list := make([]domain.Signer, len(rows))
	for i, r := range rows {
		list[i] = domain.Signer{Person: domain.Person{ID: domain.AccountID(r.ID), Name: r.Name}, Steward: r.Steward, HasCode: r.HasCode}
	}
	return list, err
}

// TestStamp returns a text that changes whenever a test sheet would be shown
// otherwise to somebody: cheap enough to be asked every few seconds.
func (tx *Tx) TestStamp(ref domain.TestRef, who domain.AccountID, now time.Time) (string, error) {
	today, err := tx.Today(now)
	if err != nil {
		return "", err
	}
	return one[string](tx, "test sheet", `SELECT concat_ws('-', s.id, s.version, b.version, b.newest, r.state, p.closed_at IS NULL, ?::text, ?::text,
			(SELECT md5(string_agg(concat_ws(':', id, name, steward, signing_hash IS NOT NULL, closed_at IS NOT NULL), ',' ORDER BY id)) FROM accounts))
		FROM test_sheets s JOIN builds b ON b.id = s.build_id JOIN revisions r ON r.id = b.revision_id JOIN projects p ON p.id = b.project_id
		WHERE s.build_id = ? AND b.project_id = ? AND s.number = ?`, strconv.FormatInt(int64(who), 10), today.Format(time.DateOnly), ref.Build, ref.Project, ref.Number)
}

// TestOfKey returns the number of the test sheet of a build that a member began
// with a client's key; 0 for none.
func (tx *Tx) TestOfKey(who domain.AccountID, build domain.BuildID, key string) (int, error) {
	type keyed struct {
		Build  domain.BuildID `gorm:"column:build_id"`
		Number int            `gorm:"column:number"`
	}
	rows, err := all[keyed](tx, "SELECT build_id, number FROM test_sheets WHERE started_by = ? AND client_key = ?", who, key)
	if err != nil || len(rows) == 0 {
		return 0, err
	}
	if rows[0].Build != build {
		return 0, keyUsed("a test sheet of another machine", "begin the test again")
	}
	return rows[0].Number, nil
}

// NoTestRuns returns a Conflict while a test of a build as it stands is not over.
func (tx *Tx) NoTestRuns(b domain.Build) error {
	running, err := all[int](tx, "SELECT number FROM test_sheets WHERE build_id = ? AND build_version = ? AND ended IS NULL", b.ID, b.Newest)
	if err == nil && len(running) > 0 {
		err = domain.TestRuns(running[0])
	}
	return err
}

// StartTest begins the next test sheet of a build as it stands. It returns a
// Conflict while one of the same version is not over.
func (tx *Tx) StartTest(permit domain.Permit, b domain.Build, t domain.Test, key string, now time.Time) (number int, err error) {
	if err := permit.For(domain.BeginTest); err != nil {
		return 0, err
	}
	if err := tx.NoTestRuns(b); err != nil {
		return 0, err
	}
	basis, err := json.Marshal(t.Basis)
	if err != nil {
		return 0, fmt.Errorf("store: encode basis: %w", err)
	}
	s := signature{kind: domain.LinkTestStarted, who: permit.Account(), project: permit.Project(), at: now}
	err = tx.sign(s, func(link int64) error {
		number, err = one[int](tx, "test sheet", `INSERT INTO test_sheets (build_id, number, build_version, template_version, short, basis, pressure_hash,
				started_by, started_at, version, client_key, link)
			SELECT ?::bigint, coalesce(max(number), 0) + 1, ?::integer, ?::integer, ?::boolean, ?::jsonb, ?::bytea, ?::bigint, ?::timestamptz, 1, ?::text, ?::bigint
			FROM test_sheets WHERE build_id = ? RETURNING number`,
			b.ID, b.Newest, t.Template, t.Short, string(basis), b.Now.PressureHash[:], permit.Account(), now, key, link, b.ID)
		return err
	})
	return number, err
}

// HoldTest makes everybody else who wants to record or sign on a test sheet wait.
func (tx *Tx) HoldTest(ref domain.TestRef) error {
	_, err := one[int64](tx, "test sheet", `SELECT s.id FROM test_sheets s JOIN builds b ON b.id = s.build_id
		WHERE s.build_id = ? AND b.project_id = ? AND s.number = ? FOR UPDATE OF s`, ref.Build, ref.Project, ref.Number)
	return err
}

func (tx *Tx) bumpTest(id domain.TestID) error {
	return tx.touchOne("test sheet", "UPDATE test_sheets SET version = version + 1 WHERE id = ?", id)
}

// EndTest says how a test ended.
func (tx *Tx) EndTest(permit domain.Permit, id domain.TestID, end domain.TestEnd, now time.Time) error {
	if err := permit.For(domain.SignTest); err != nil {
		return err
	}
	return tx.touchOne("test sheet", "UPDATE test_sheets SET ended = ?, ended_at = ?, version = version + 1 WHERE id = ? AND ended IS NULL", end, now, id)
}

type nonconformanceRow struct {
	ID          int64      `gorm:"column:id"`
	Sheet       int64      `gorm:"column:sheet_id"`
	Test        int        `gorm:"column:number"`
	Item        string     `gorm:"column:item"`
	Text        string     `gorm:"column:text"`
	Who         int64      `gorm:"column:who"`
	Name        string     `gorm:"column:name"`
	At          time.Time  `gorm:"column:at"`
	Disposition *string    `gorm:"column:disposition"`
	ClosedText  *string    `gorm:"column:closed_text"`
	ClosedBy    *int64     `gorm:"column:closed_by"`
	Closer      *string    `gorm:"column:closer"`
	ClosedAt    *time.Time `gorm:"column:closed_at"`
}

// nonconformances returns what failed on test sheets, by sheet.
func (tx *Tx) nonconformances(sheets []int64) (map[domain.TestID]*domain.Nonconformance, error) {
	of := map[domain.TestID]*domain.Nonconformance{}
	if len(sheets) == 0 {
		return of, nil
	}
	rows, err := all[nonconformanceRow](tx, `SELECT n.id, n.sheet_id, s.number, n.item, n.text, n.who, a.name, n.at,
			c.disposition, c.text AS closed_text, c.who AS closed_by, d.name AS closer, c.at AS closed_at
		FROM nonconformances n JOIN test_sheets s ON s.id = n.sheet_id JOIN accounts a ON a.id = n.who
		LEFT JOIN nonconformance_closings c ON c.nonconformance_id = n.id LEFT JOIN accounts d ON d.id = c.who
		WHERE n.sheet_id IN ?`, sheets)
	for _, r := range rows {
		n := &domain.Nonconformance{ID: r.ID, Test: r.Test, Item: r.Item, Text: r.Text, By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC()}
		if r.ClosedAt != nil {
			n.Closed = &domain.NonconformanceClosing{Disposition: *r.Disposition, Text: *r.ClosedText, By: domain.Person{ID: domain.AccountID(*r.ClosedBy), Name: *r.Closer}, At: r.ClosedAt.UTC()}
		}
		of[domain.TestID(r.Sheet)] = n
	}
	return of, err
}

// CloseNonconformance signs what became of what failed on a test sheet.
func (tx *Tx) CloseNonconformance(permit domain.Permit, t domain.Test, disposition, text string, now time.Time) error {
	if err := permit.For(domain.CloseFailed); err != nil {
		return err
	}
	s := signature{kind: domain.LinkNonconformanceClosed, who: permit.Account(), project: permit.Project(), at: now}
	err := tx.sign(s, func(link int64) error {
		_, err := run(tx, "INSERT INTO nonconformance_closings (nonconformance_id, disposition, text, who, at, link) VALUES (?, ?, ?, ?, ?, ?)",
			t.Nonconformance.ID, disposition, text, permit.Account(), now, link)
		return err
	})
	if err != nil {
		return err
	}
	return tx.bumpTest(t.ID)
}
