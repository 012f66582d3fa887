package store

import (
	"time"

	"leat/domain"
)

type templateRow struct {
	Version    int        `gorm:"column:version"`
	Follows    *int       `gorm:"column:follows"`
	Body       string     `gorm:"column:body"`
	Title      string     `gorm:"column:title"`
	ItemCount  int        `gorm:"column:item_count"`
	Why        string     `gorm:"column:why"`
	ProposedBy *int64     `gorm:"column:proposed_by"`
	Proposer   *string    `gorm:"column:proposer"`
	ProposedAt *time.Time `gorm:"column:proposed_at"`
}

// templateColumns leaves out the body, which a list does without.
const templateColumns = `t.version, t.follows, coalesce(t.body::jsonb ->> 'title', '') AS title,
	CASE WHEN jsonb_typeof(t.body::jsonb -> 'items') = 'array' THEN jsonb_array_length(t.body::jsonb -> 'items') ELSE 0 END AS item_count,
	t.why, t.proposed_by, a.name AS proposer, t.proposed_at`

func (r templateRow) template() domain.Template {
	t := domain.Template{Version: domain.TemplateVersion(r.Version), Body: r.Body, Title: r.Title, ItemCount: r.ItemCount, Why: r.Why, At: utc(r.ProposedAt)}
	if r.Follows != nil {
		t.Follows = domain.TemplateVersion(*r.Follows)
	}
	if r.ProposedBy != nil && r.Proposer != nil {
		t.By = &domain.Person{ID: domain.AccountID(*r.ProposedBy), Name: *r.Proposer}
	}
	return t
}

// TemplateInForce returns the version of the test procedure that new test sheets
// are made from: the newest that both have signed, else the first.
func (tx *Tx) TemplateInForce() (domain.TemplateVersion, error) {
	return one[domain.TemplateVersion](tx, "template", `SELECT max(t.version) FROM templates t
		WHERE t.version = 1 OR (SELECT count(*) FROM template_signatures g WHERE g.version = t.version) = 2`)
}

// Templates returns a page of all versions, newest first, without their bodies.
func (tx *Tx) Templates(page domain.Page) ([]domain.Template, error) {
	return tx.templates(templateColumns, newest("t.version", page), below(page))
}

// WaitingTemplates returns what waits for signatures, newest first.
func (tx *Tx) WaitingTemplates() ([]domain.Template, error) {
	inForce, err := tx.TemplateInForce()
	if err != nil {
		return nil, err
	}
	return tx.templates(templateColumns, "t.follows = ? ORDER BY t.version DESC"+limit(waitingMost), inForce)
}

// Template returns one version in full.
func (tx *Tx) Template(version domain.TemplateVersion) (domain.Template, error) {
	list, err := tx.templates(templateColumns+", t.body", "t.version = ?", version)
	if err == nil && len(list) == 0 {
		err = domain.Missing("version of the procedure")
	}
	if err != nil {
		return domain.Template{}, err
	}
	return list[0], nil
}

func (tx *Tx) templates(columns, condition string, args ...any) ([]domain.Template, error) {
	rows, err := all[templateRow](tx, "SELECT "+columns+" FROM templates t LEFT JOIN accounts a ON a.id = t.proposed_by WHERE "+condition, args...)
	if err != nil {
		return nil, err
	}
	list, numbers := make([]domain.Template, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		list[i], numbers[i] = r.template(), int64(r.Version)
	}
	inForce, err := tx.TemplateInForce()
	if err != nil {
		return nil, err
	}
	signed, err := tx.approvals("template_signatures", "version", numbers)
	for i, t := range list {
		list[i].Approvals = signed[int64(t.Version)]
		list[i].Judge(inForce)
	}
	return list, err
}

// NewestTemplate returns the highest number that a version has.
func (tx *Tx) NewestTemplate() (domain.TemplateVersion, error) {
	return one[domain.TemplateVersion](tx, "template", "SELECT max(version) FROM templates")
}

// ProposeTemplate keeps another version of the test procedure.
func (tx *Tx) ProposeTemplate(permit domain.Permit, cmd domain.ProposeTemplate, version domain.TemplateVersion, now time.Time) error {
	if err := permit.For(domain.SetTemplate); err != nil {
		return err
	}
	who := permit.Account()
	return tx.sign(signature{kind: domain.LinkTemplateProposed, who: who, at: now}, func(link int64) error {
		_, err := run(tx, `INSERT INTO templates (version, follows, body, why, proposed_by, proposed_at, client_key, link) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
			version, cmd.Follows, cmd.Body, cmd.Why, who, now, cmd.Key, link)
		return err
	})
}

// TemplateProposed returns the version that a member proposed with a client's
// key; 0 for none.
func (tx *Tx) TemplateProposed(who domain.AccountID, key string) (domain.TemplateVersion, error) {
	versions, err := all[domain.TemplateVersion](tx, "SELECT version FROM templates WHERE proposed_by = ? AND client_key = ?", who, key)
	if err != nil || len(versions) == 0 {
		return 0, err
	}
	return versions[0], nil
}

// ApproveTemplate signs a version, in a role.
func (tx *Tx) ApproveTemplate(permit domain.Permit, version domain.TemplateVersion, role domain.ApprovalRole, now time.Time) error {
	if err := permit.For(domain.ApproveTemplate); err != nil {
		return err
	}
	return tx.sign(signature{kind: domain.LinkTemplateSigned, who: permit.Account(), at: now}, func(link int64) error {
		_, err := run(tx, "INSERT INTO template_signatures (version, role, who, at, link) VALUES (?, ?, ?, ?, ?)", version, role, permit.Account(), now, link)
		return err
	})
}
