package store

import (
	"time"

	"leat/domain"
)

type remarkRow struct {
	ID      int64      `gorm:"column:id"`
	Design  int64      `gorm:"column:design_id"`
	Letter  string     `gorm:"column:letter"`
	PinKind string     `gorm:"column:pin_kind"`
	Pin     string     `gorm:"column:pin"`
	Weight  string     `gorm:"column:weight"`
	Text    string     `gorm:"column:text"`
	Who     int64      `gorm:"column:who"`
	Name    string     `gorm:"column:name"`
	Left    bool       `gorm:"column:raiser_left"`
	At      time.Time  `gorm:"column:at"`
	LaidBy  *int64     `gorm:"column:laid_by"`
	Layer   *string    `gorm:"column:layer"`
	LaidAt  *time.Time `gorm:"column:laid_at"`
	LaidWhy string     `gorm:"column:laid_reason"`
}

const remarkColumns = `k.id, k.design_id, r.letter, k.pin_kind, k.pin, k.weight, k.text, k.who, w.name, w.closed_at IS NOT NULL AS raiser_left, k.at,
	k.laid_by, l.name AS layer, k.laid_at, k.laid_reason`

const remarkFrom = `
	FROM remarks k JOIN revisions r ON r.id = k.revision_id JOIN designs d ON d.id = k.design_id
	JOIN accounts w ON w.id = k.who LEFT JOIN accounts l ON l.id = k.laid_by`

func (r remarkRow) remark() domain.Remark {
	m := domain.Remark{
		ID: domain.RemarkID(r.ID), Design: domain.DesignID(r.Design), Letter: r.Letter, Pin: domain.Pin{Kind: domain.PinKind(r.PinKind), At: r.Pin},
		Weight: domain.Weight(r.Weight), Text: r.Text, Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, Left: r.Left, At: r.At.UTC(),
	}
	if r.LaidAt != nil {
		m.Laid = &domain.LaidToRest{By: domain.Person{ID: domain.AccountID(*r.LaidBy), Name: *r.Layer}, At: r.LaidAt.UTC(), Reason: r.LaidWhy}
	}
	return m
}

// Remarks returns a page of the remarks on a design, newest first, each with its
// answers; only those that stand open, if that is wanted.
func (tx *Tx) Remarks(project domain.ProjectID, design domain.DesignID, open bool, page domain.Page) ([]domain.Remark, error) {
	there, err := tx.exists("SELECT 1 FROM designs WHERE id = ? AND project_id = ?", design, project)
	if err == nil && !there {
		err = domain.Missing("design")
	}
	if err != nil {
		return nil, err
	}
	condition := "k.design_id = ? AND "
	if open {
		condition += "k.laid_at IS NULL AND "
	}
	return tx.remarks(condition+newest("k.id", page), design, below(page))
}

// Remark returns one remark on a design with its answers.
func (tx *Tx) Remark(project domain.ProjectID, design domain.DesignID, id domain.RemarkID) (domain.Remark, error) {
	list, err := tx.remarks("d.project_id = ? AND k.design_id = ? AND k.id = ?", project, design, id)
	if err == nil && len(list) == 0 {
		err = domain.Missing("remark")
	}
	if err != nil {
		return domain.Remark{}, err
	}
	return list[0], nil
}

func (tx *Tx) remarks(condition string, args ...any) ([]domain.Remark, error) {
	rows, err := all[remarkRow](tx, "SELECT "+remarkColumns+remarkFrom+" WHERE "+condition, args...)
	if err != nil || len(rows) == 0 {
		return []domain.Remark{}, err
	}
	list, ids, at := make([]domain.Remark, len(rows)), make([]int64, len(rows)), map[int64]int{}
	for i, r := range rows {
		list[i], ids[i], at[r.ID] = r.remark(), r.ID, i
	}
	type answerRow struct {
		ID     int64     `gorm:"column:id"`
		Remark int64     `gorm:"column:remark_id"`
		Text   string    `gorm:"column:text"`
		Who    int64     `gorm:"column:who"`
		Name   string    `gorm:"column:name"`
		At     time.Time `gorm:"column:at"`
	}
	answers, err := all[answerRow](tx, `SELECT s.id, s.remark_id, s.text, s.who, a.name, s.at
		FROM remark_answers s JOIN accounts a ON a.id = s.who WHERE s.remark_id IN (?) ORDER BY s.id`, ids)
	for _, r := range answers {
		m := &list[at[r.Remark]]
		m.Answers = append(m.Answers, domain.RemarkAnswer{
			ID: r.ID, Text: r.Text, Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC(),
		})
	}
	return list, err
}

// RaiseRemark keeps a remark on a revision. When the client's key was used
// before it returns the remark of that time, and made is false.
func (tx *Tx) RaiseRemark(permit domain.Permit, cmd domain.RaiseRemark, now time.Time) (id domain.RemarkID, made bool, err error) {
	if err := permit.For(domain.LeaveRemark); err != nil {
		return 0, false, err
	}
	revision, err := tx.revisionID(permit, cmd.Design, cmd.Letter)
	if err != nil {
		return 0, false, err
	}
	ids, err := all[domain.RemarkID](tx, `INSERT INTO remarks (design_id, revision_id, pin_kind, pin, weight, text, who, at, client_key)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (who, client_key) DO NOTHING RETURNING id`,
		cmd.Design, revision, cmd.Pin.Kind, cmd.Pin.At, cmd.Weight, cmd.Text, permit.Account(), now, cmd.Key)
	if err != nil {
		return 0, false, err
	}
	if len(ids) == 1 {
		return ids[0], true, nil
	}
	id, err = one[domain.RemarkID](tx, "remark", "SELECT id FROM remarks WHERE who = ? AND client_key = ? AND design_id = ?",
		permit.Account(), cmd.Key, cmd.Design)
	if domain.KindOf(err) == domain.NotFound {
		err = keyUsed("a remark on another design", "write the remark again")
	}
	return id, false, err
}

// AnswerRemark keeps an answer under a remark that stands open. When the
// client's key was used before nothing is kept, and made is false.
func (tx *Tx) AnswerRemark(permit domain.Permit, cmd domain.AnswerRemark, now time.Time) (made bool, err error) {
	if err := permit.For(domain.ReplyRemark); err != nil {
		return false, err
	}
	before, err := all[domain.RemarkID](tx, "SELECT remark_id FROM remark_answers WHERE who = ? AND client_key = ?", permit.Account(), cmd.Key)
	switch {
	case err != nil:
		return false, err
	case len(before) == 1 && before[0] == cmd.Remark:
		return false, nil
	case len(before) == 1:
		return false, keyUsed("an answer to another remark", "write the answer again")
	}
	remark, err := tx.Remark(permit.Project(), cmd.Design, cmd.Remark)
	if err != nil {
		return false, err
	}
	if remark.Laid != nil {
		return false, domain.AtRest(remark.Laid.By.Name)
	}
	_, err = run(tx, "INSERT INTO remark_answers (remark_id, text, who, at, client_key) VALUES (?, ?, ?, ?, ?)",
		cmd.Remark, cmd.Text, permit.Account(), now, cmd.Key)
	return true, err
}

// LayRemark lays a remark to rest that stands open. Where nothing else kept a
// revision from being cleared, it is cleared, and the design has its next
// version.
func (tx *Tx) LayRemark(permit domain.Permit, cmd domain.LayRemark, now time.Time) error {
	if err := permit.For(domain.RestRemark); err != nil {
		return err
	}
	err := tx.touchOne("remark", `UPDATE remarks SET laid_by = ?, laid_at = ?, laid_reason = ?
		WHERE id = ? AND design_id = ? AND laid_at IS NULL AND EXISTS (SELECT 1 FROM designs d WHERE d.id = design_id AND d.project_id = ?)`,
		permit.Account(), now, cmd.Reason, cmd.Remark, cmd.Design, permit.Project())
	if err != nil {
		return err
	}
	letters, err := all[string](tx, "SELECT letter FROM revisions WHERE design_id = ? AND state = 'in_check'", cmd.Design)
	if err != nil || len(letters) == 0 {
		return err
	}
	revision, err := tx.revisionID(permit, cmd.Design, letters[0])
	if err != nil {
		return err
	}
	moved, err := tx.settle(permit, cmd.Design, letters[0], revision)
	if err != nil || !moved {
		return err
	}
	return tx.touchOne("design", "UPDATE designs SET version = version + 1 WHERE id = ?", cmd.Design)
}

// WaitingRemarks returns the queries and stoppers that wait for a member, the
// oldest first: for an answer of the crew, for who raised them to look at an
// answer, or for a steward where who raised them has left.
func (tx *Tx) WaitingRemarks(who domain.Actor) ([]domain.WaitingRemark, error) {
	type waitingRow struct {
		Remark       remarkRow `gorm:"embedded"`
		Project      int64     `gorm:"column:project_id"`
		ProjectTitle string    `gorm:"column:project_title"`
		DesignTitle  string    `gorm:"column:design_title"`
		For          string    `gorm:"column:waits_for"`
	}
	rows, err := all[waitingRow](tx, `SELECT `+remarkColumns+`, d.project_id, p.title AS project_title, d.title AS design_title, f.waits_for
		`+remarkFrom+`
		JOIN projects p ON p.id = d.project_id
		CROSS JOIN accounts me
		LEFT JOIN crew c ON c.project_id = p.id AND c.account_id = me.id AND c.left_at IS NULL
		LEFT JOIN LATERAL (SELECT s.who FROM remark_answers s WHERE s.remark_id = k.id ORDER BY s.id DESC LIMIT 1) a ON true
		CROSS JOIN LATERAL (SELECT CASE
			WHEN k.who = me.id AND a.who <> me.id THEN 'rest'
			WHEN w.closed_at IS NOT NULL AND me.steward THEN 'left'
			WHEN k.who <> me.id AND c.account_id IS NOT NULL AND (a.who IS NULL OR a.who = k.who) THEN 'answer' END AS waits_for) f
		WHERE me.id = ? AND k.laid_at IS NULL AND k.weight <> 'note' AND p.closed_at IS NULL AND f.waits_for IS NOT NULL
			AND (c.account_id IS NOT NULL OR k.who = me.id OR me.steward)
		ORDER BY k.id`+limit(waitsMost), who.Account)
	list := make([]domain.WaitingRemark, len(rows))
	for i, r := range rows {
		list[i] = domain.WaitingRemark{
			Project: domain.ProjectID(r.Project), ProjectTitle: r.ProjectTitle, DesignTitle: r.DesignTitle,
			Remark: r.Remark.remark(), For: domain.WaitsFor(r.For),
		}
	}
	return list, err
}
