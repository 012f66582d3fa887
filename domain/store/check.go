package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

// DesignAccess returns the same as Access, with what is asked of who checks:
// whether they saved a sheet of the design, and who may check it. Invented people count only
// where the demo is shown.
func (tx *Tx) DesignAccess(who domain.Actor, project domain.ProjectID, design domain.DesignID, demo bool) (domain.Access, error) {
	access, err := tx.Access(who, project)
	if err != nil {
		return access, err
	}
	return tx.addCheckers(access, design, demo)
}

// ReadDesignAccess returns the same as DesignAccess and holds nothing.
func (tx *Tx) ReadDesignAccess(who domain.Actor, project domain.ProjectID, design domain.DesignID, demo bool) (domain.Access, error) {
	access, err := tx.ReadAccess(who, project)
	if err != nil {
		return access, err
	}
	return tx.addCheckers(access, design, demo)
}

func (tx *Tx) addCheckers(access domain.Access, design domain.DesignID, demo bool) (domain.Access, error) {
	there, err := tx.exists("SELECT 1 FROM designs WHERE id = ? AND project_id = ?", design, access.Project)
	if err == nil && !there {
		err = domain.Missing("design")
	}
	if err != nil {
		return access, err
	}
	access.Author, err = tx.exists("SELECT 1 FROM sheets s JOIN revisions r ON r.id = s.revision_id WHERE r.design_id = ? AND s.saved_by = ?", design, access.Account)
	if err != nil {
		return access, err
	}
	access.Checkers, err = tx.people(`SELECT a.id, a.name FROM accounts a WHERE a.checker AND a.closed_at IS NULL AND (? OR NOT a.demo)
			AND NOT EXISTS (SELECT 1 FROM crew c WHERE c.project_id = ? AND c.account_id = a.id)
			AND NOT EXISTS (SELECT 1 FROM sheets s JOIN revisions r ON r.id = s.revision_id WHERE r.design_id = ? AND s.saved_by = a.id)
		ORDER BY lower(a.name), a.id`, demo, access.Project, design)
	return access, err
}

type checkRow struct {
	ID       int64       `gorm:"column:id"`
	Version  int64       `gorm:"column:version"`
	Revision revisionRow `gorm:"embedded"`

	Sheet    *int       `gorm:"column:sheet_number"`
	Digest   []byte     `gorm:"column:digest"`
	Pressure []byte     `gorm:"column:pressure_hash"`
	Class    *string    `gorm:"column:class"`
	Checkers *int       `gorm:"column:checkers"`
	Note     *string    `gorm:"column:note"`
	By       *int64     `gorm:"column:issued_by"`
	Issuer   *string    `gorm:"column:issuer"`
	At       *time.Time `gorm:"column:issued_at"`
	Link     *int64     `gorm:"column:issue_link"`

	EndKind   *string    `gorm:"column:end_kind"`
	EndReason *string    `gorm:"column:end_reason"`
	EndBy     *int64     `gorm:"column:end_by"`
	Ender     *string    `gorm:"column:ender"`
	EndAt     *time.Time `gorm:"column:end_at"`
	EndLink   *int64     `gorm:"column:end_link"`

	Notes    int `gorm:"column:notes"`
	Queries  int `gorm:"column:queries"`
	Stoppers int `gorm:"column:stoppers"`
	Builds   int `gorm:"column:builds"`
}

const checkQuery = `SELECT r.id, d.version, r.letter, r.state, r.sheet_count, r.started_at, r.started_by, ra.name AS starter,
		i.sheet_number, i.digest, i.pressure_hash, i.class, i.checkers, i.note, i.issued_by, ia.name AS issuer, i.issued_at, i.link AS issue_link,
		e.kind AS end_kind, e.reason AS end_reason, e.who AS end_by, ea.name AS ender, e.at AS end_at, e.link AS end_link,
		m.notes, m.queries, m.stoppers, (SELECT count(*) FROM builds b WHERE b.revision_id = r.id) AS builds
	FROM designs d JOIN revisions r ON r.design_id = d.id JOIN accounts ra ON ra.id = r.started_by
	LEFT JOIN revision_issues i ON i.revision_id = r.id LEFT JOIN accounts ia ON ia.id = i.issued_by
	LEFT JOIN revision_ends e ON e.revision_id = r.id LEFT JOIN accounts ea ON ea.id = e.who
	CROSS JOIN LATERAL (SELECT count(*) FILTER (WHERE k.weight = 'note') AS notes, count(*) FILTER (WHERE k.weight = 'query') AS queries,
			count(*) FILTER (WHERE k.weight = 'stopper') AS stoppers
		FROM remarks k JOIN revisions o ON o.id = k.revision_id WHERE k.design_id = d.id AND k.laid_at IS NULL AND o.position <= r.position) m
	WHERE d.project_id = ? AND d.id = ? AND r.letter = ?`

func (r checkRow) check(project domain.ProjectID, design domain.DesignID) domain.Check {
	c := domain.Check{
		Project: project, Design: design, Version: r.Version, Revision: r.Revision.revision(),
		Open: domain.RemarkCount{Notes: r.Notes, Queries: r.Queries, Stoppers: r.Stoppers}, Builds: r.Builds,
	}
	if r.Sheet != nil {
		c.Issue = &domain.Issue{
			Sheet: *r.Sheet, Class: *r.Class, Checkers: *r.Checkers, Note: *r.Note, At: r.At.UTC(), Link: *r.Link,
			By: domain.Person{ID: domain.AccountID(*r.By), Name: *r.Issuer},
		}
		copy(c.Issue.Digest[:], r.Digest)
		copy(c.Issue.PressureHash[:], r.Pressure)
	}
	if r.EndKind != nil {
		c.End = &domain.RevisionEnd{
			Kind: domain.EndKind(*r.EndKind), Reason: *r.EndReason, At: r.EndAt.UTC(), Link: *r.EndLink,
			Who: domain.Person{ID: domain.AccountID(*r.EndBy), Name: *r.Ender},
		}
	}
	return c
}

// Check returns a revision with all that was said about it.
func (tx *Tx) Check(project domain.ProjectID, design domain.DesignID, letter string) (domain.Check, error) {
	row, err := one[checkRow](tx, "revision", checkQuery, project, design, letter)
	if err != nil {
		return domain.Check{}, err
	}
	c := row.check(project, design)
	if c.Issue == nil {
		return c, nil
	}
	c.Issue.Asked, err = tx.people(`SELECT a.id, a.name FROM check_asks k JOIN accounts a ON a.id = k.account_id
		WHERE k.revision_id = ? ORDER BY lower(a.name), a.id`, row.ID)
	if err != nil {
		return c, err
	}
	if c.Outcomes, err = tx.outcomes(row.ID); err != nil {
		return c, err
	}
	c.Again, err = tx.recalculations(row.ID)
	return c, err
}

// outcomes returns what was said about a revision, in that order.
func (tx *Tx) outcomes(revision int64) ([]domain.Outcome, error) {
	type outcomeRow struct {
		Outcome string    `gorm:"column:outcome"`
		Note    string    `gorm:"column:note"`
		Who     int64     `gorm:"column:who"`
		Name    string    `gorm:"column:name"`
		At      time.Time `gorm:"column:at"`
		Link    int64     `gorm:"column:link"`
		Joined  bool      `gorm:"column:joined"`
	}
	rows, err := all[outcomeRow](tx, `SELECT o.outcome, o.note, o.who, a.name, o.at, o.link,
			EXISTS (SELECT 1 FROM crew c JOIN designs d ON d.project_id = c.project_id WHERE d.id = r.design_id AND c.account_id = o.who) AS joined
		FROM check_outcomes o JOIN accounts a ON a.id = o.who JOIN revisions r ON r.id = o.revision_id
		WHERE o.revision_id = ? ORDER BY o.id`, revision)
	list := make([]domain.Outcome, len(rows))
	for i, r := range rows {
		list[i] = domain.Outcome{
			Said: domain.Said(r.Outcome), Note: r.Note, Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name},
			At: r.At.UTC(), Link: r.Link, Joined: r.Joined,
		}
	}
	return list, err
}

// revisionID returns the key of a revision, and holds it.
func (tx *Tx) revisionID(permit domain.Permit, design domain.DesignID, letter string) (int64, error) {
	return one[int64](tx, "revision", `SELECT r.id FROM revisions r JOIN designs d ON d.id = r.design_id
		WHERE d.project_id = ? AND d.id = ? AND r.letter = ? FOR NO KEY UPDATE OF r`, permit.Project(), design, letter)
}

// step holds a design for its next step, if nobody took one since the version
// was read, and returns the key of the revision.
func (tx *Tx) step(permit domain.Permit, design domain.DesignID, letter string, version int64) (int64, error) {
	if err := tx.bumpDesign(permit, design, version); err != nil {
		return 0, err
	}
	return tx.revisionID(permit, design, letter)
}

func (tx *Tx) signed(permit domain.Permit, kind domain.LinkKind, now time.Time, statement string, args ...any) error {
	return tx.sign(signature{kind: kind, who: permit.Account(), project: permit.Project(), at: now}, func(link int64) error {
		_, err := run(tx, statement, append(args, permit.Account(), now, link)...)
		return err
	})
}

func (tx *Tx) become(revision int64, state domain.State) error {
	return tx.touchOne("revision", "UPDATE revisions SET state = ? WHERE id = ?", state, revision)
}

// IssueRevision freezes a draft with its last sheet and gives it to be checked.
// It returns a Stale error when somebody took a step since the version was read.
func (tx *Tx) IssueRevision(permit domain.Permit, cmd domain.IssueRevision, issue domain.Issue, now time.Time) error {
	if err := permit.For(domain.PutToCheck); err != nil {
		return err
	}
	id, err := tx.step(permit, cmd.Design, cmd.Letter, cmd.Version)
	if err != nil {
		return err
	}
	err = tx.signed(permit, domain.LinkIssued, now, `INSERT INTO revision_issues
			(revision_id, sheet_number, digest, pressure_hash, class, checkers, note, issued_by, issued_at, link) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		id, issue.Sheet, issue.Digest[:], issue.PressureHash[:], issue.Class, issue.Checkers, issue.Note)
	if err != nil {
		return err
	}
	for _, p := range issue.Asked {
		if _, err := run(tx, "INSERT INTO check_asks (revision_id, account_id) VALUES (?, ?)", id, p.ID); err != nil {
			return err
		}
	}
	return tx.become(id, domain.InCheck)
}

// TakeBackRevision returns a revision to its crew. It returns a Stale error when
// somebody took a step since the version was read.
func (tx *Tx) TakeBackRevision(permit domain.Permit, cmd domain.TakeBackRevision, now time.Time) error {
	if err := permit.For(domain.FetchBack); err != nil {
		return err
	}
	id, err := tx.step(permit, cmd.Design, cmd.Letter, cmd.Version)
	if err != nil {
		return err
	}
	if err := tx.endRevision(permit, id, domain.TakenBack, "", now); err != nil {
		return err
	}
	return tx.become(id, domain.Returned)
}

func (tx *Tx) endRevision(permit domain.Permit, revision int64, kind domain.EndKind, reason string, now time.Time) error {
	return tx.signed(permit, domain.LinkEnded, now, "INSERT INTO revision_ends (revision_id, kind, reason, who, at, link) VALUES (?, ?, ?, ?, ?, ?)",
		revision, kind, reason)
}

// CheckDesign keeps what a checker says, and brings the revision to the state
// that follows. It returns a Stale error when somebody took a step since the
// version was read.
func (tx *Tx) CheckDesign(permit domain.Permit, cmd domain.CheckDesign, now time.Time) error {
	if err := permit.For(domain.SayOutcome); err != nil {
		return err
	}
	id, err := tx.step(permit, cmd.Design, cmd.Letter, cmd.Version)
	if err != nil {
		return err
	}
	err = tx.signed(permit, domain.LinkOutcome, now, "INSERT INTO check_outcomes (revision_id, outcome, note, who, at, link) VALUES (?, ?, ?, ?, ?, ?)",
		id, cmd.Outcome, cmd.Note)
	if err != nil {
		return err
	}
	_, err = tx.settle(permit, cmd.Design, cmd.Letter, id)
	return err
}

// settle brings a revision in check to the state that follows from what was
// said, and tells whether that is another. The one cleared before is superseded.
func (tx *Tx) settle(permit domain.Permit, design domain.DesignID, letter string, revision int64) (bool, error) {
	c, err := tx.Check(permit.Project(), design, letter)
	if err != nil {
		return false, err
	}
	state := c.Settled()
	if state == c.Revision.State {
		return false, nil
	}
	if err := tx.become(revision, state); err != nil || state != domain.Cleared {
		return true, err
	}
	_, err = run(tx, `UPDATE revisions SET state = 'superseded' WHERE design_id = ? AND state = 'cleared' AND id <> ?`, design, revision)
	return true, err
}

// WithdrawRevision says that a revision must not be built. It returns a Stale
// error when somebody took a step since the version was read.
func (tx *Tx) WithdrawRevision(permit domain.Permit, cmd domain.WithdrawRevision, now time.Time) error {
	if err := permit.For(domain.Withdraw); err != nil {
		return err
	}
	id, err := tx.step(permit, cmd.Design, cmd.Letter, cmd.Version)
	if err != nil {
		return err
	}
	if err := tx.endRevision(permit, id, domain.WithdrawnEnd, cmd.Reason, now); err != nil {
		return err
	}
	return tx.become(id, domain.Withdrawn)
}

// waitsMost is how many things of one sort a person is shown to wait for them.
const waitsMost = 100

// WaitingChecks returns the revisions that wait for the outcome of a member, the
// one issued first first: those for which the crew named them, and those for
// which it named nobody, or too few who still may.
func (tx *Tx) WaitingChecks(who domain.Actor) ([]domain.WaitingCheck, error) {
	type waitingRow struct {
		Project      int64     `gorm:"column:project_id"`
		ProjectTitle string    `gorm:"column:project_title"`
		Design       int64     `gorm:"column:design_id"`
		DesignTitle  string    `gorm:"column:design_title"`
		Letter       string    `gorm:"column:letter"`
		By           int64     `gorm:"column:issued_by"`
		Issuer       string    `gorm:"column:issuer"`
		At           time.Time `gorm:"column:issued_at"`
		Asked        bool      `gorm:"column:asked"`
	}
	rows, err := all[waitingRow](tx, `SELECT d.project_id, p.title AS project_title, d.id AS design_id, d.title AS design_title, r.letter,
			i.issued_by, a.name AS issuer, i.issued_at, k.account_id IS NOT NULL AS asked
		FROM accounts me
		JOIN revisions r ON r.state = 'in_check'
		JOIN designs d ON d.id = r.design_id JOIN projects p ON p.id = d.project_id
		JOIN revision_issues i ON i.revision_id = r.id JOIN accounts a ON a.id = i.issued_by
		LEFT JOIN check_asks k ON k.revision_id = r.id AND k.account_id = me.id
		CROSS JOIN LATERAL (SELECT count(*) AS n FROM check_outcomes o WHERE o.revision_id = r.id AND o.outcome = 'clear'
			AND NOT EXISTS (SELECT 1 FROM crew c WHERE c.project_id = d.project_id AND c.account_id = o.who)) clears
		WHERE me.id = ? AND me.checker AND me.closed_at IS NULL AND p.closed_at IS NULL AND clears.n < i.checkers
			AND NOT EXISTS (SELECT 1 FROM crew c WHERE c.project_id = d.project_id AND c.account_id = me.id)
			AND NOT EXISTS (SELECT 1 FROM check_outcomes o WHERE o.revision_id = r.id AND o.who = me.id)
			AND (k.account_id IS NOT NULL OR i.checkers - clears.n > (SELECT count(*) FROM check_asks x JOIN accounts y ON y.id = x.account_id
				WHERE x.revision_id = r.id AND y.checker AND y.closed_at IS NULL
					AND NOT EXISTS (SELECT 1 FROM crew c WHERE c.project_id = d.project_id AND c.account_id = y.id)
					AND NOT EXISTS (SELECT 1 FROM check_outcomes o WHERE o.revision_id = r.id AND o.who = y.id)))
		ORDER BY i.issued_at, r.id`+limit(waitsMost), who.Account)
	list := make([]domain.WaitingCheck, len(rows))
	for i, r := range rows {
		list[i] = domain.WaitingCheck{
			Project: domain.ProjectID(r.Project), ProjectTitle: r.ProjectTitle, Design: domain.DesignID(r.Design), DesignTitle: r.DesignTitle,
			Letter: r.Letter, IssuedBy: domain.Person{ID: domain.AccountID(r.By), Name: r.Issuer}, IssuedAt: r.At.UTC(), Asked: r.Asked,
		}
	}
	return list, err
}

// recalculations returns what newer calculations answered for a revision, the
// newest first, without their reports.
func (tx *Tx) recalculations(revision int64) ([]domain.Recalculation, error) {
	type recalculationRow struct {
		CalcVersion string    `gorm:"column:calc_version"`
		Set         string    `gorm:"column:coefficient_set"`
		Differs     []byte    `gorm:"column:differs"`
		At          time.Time `gorm:"column:at"`
	}
	rows, err := all[recalculationRow](tx, `SELECT calc_version, coefficient_set, differs, at FROM recalculations
		WHERE revision_id = ? ORDER BY at DESC, calc_version DESC`, revision)
	list := make([]domain.Recalculation, len(rows))
	for i, r := range rows {
		list[i] = domain.Recalculation{CalcVersion: r.CalcVersion, CoefficientSet: r.Set, At: r.At.UTC()}
		if err := json.Unmarshal(r.Differs, &list[i].Differs); err != nil {
			return nil, fmt.Errorf("store: decode a recalculation of revision %d: %w", revision, err)
		}
	}
	return list, err
}
