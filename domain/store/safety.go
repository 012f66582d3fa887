package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

type safetyRow struct {
	ID         int64     `gorm:"column:id"`
	Follows    *int64    `gorm:"column:follows"`
	Body       []byte    `gorm:"column:body"`
	Before     []byte    `gorm:"column:before"`
	Why        string    `gorm:"column:why"`
	ProposedBy int64     `gorm:"column:proposed_by"`
	Proposer   string    `gorm:"column:proposer"`
	ProposedAt time.Time `gorm:"column:proposed_at"`
}

const safetyQuery = `SELECT s.id, s.follows, s.body, b.body AS before, s.why, s.proposed_by, a.name AS proposer, s.proposed_at
	FROM safety_settings s JOIN accounts a ON a.id = s.proposed_by LEFT JOIN safety_settings b ON b.id = s.follows`

func (r safetyRow) proposal() (domain.SafetyProposal, error) {
	p := domain.SafetyProposal{
		ID: domain.SafetyID(r.ID), Why: r.Why, By: domain.Person{ID: domain.AccountID(r.ProposedBy), Name: r.Proposer}, At: r.ProposedAt.UTC(),
	}
	if r.Follows != nil {
		p.Follows = domain.SafetyID(*r.Follows)
	}
	var err error
	if p.Settings, err = safetyOf(r.Body); err == nil {
		p.Before, err = safetyOf(r.Before)
	}
	return p, err
}

// safetyOf reads settings as they are kept; none are those that leat comes with.
// So are those that did not exist yet when these were kept.
func safetyOf(body []byte) (domain.SafetySettings, error) {
	s := domain.DefaultSafetySettings()
	if body == nil {
		return s, nil
	}
	if err := json.Unmarshal(body, &s); err != nil {
		return s, fmt.Errorf("store: safety settings: %w", err)
	}
	return s, nil
}

// SafetySettings returns the settings that are in force.
func (tx *Tx) SafetySettings() (domain.SafetySettings, error) {
	_, s, err := tx.SafetyInForce()
	return s, err
}

// SafetyInForce returns the number of what is in force, 0 for what leat comes
// with, and the settings. A proposal is signed only while what it follows is in
// force, so the newest that both have signed is it.
func (tx *Tx) SafetyInForce() (domain.SafetyID, domain.SafetySettings, error) {
	rows, err := all[safetyRow](tx, `SELECT s.id, s.body FROM safety_settings s
		WHERE (SELECT count(*) FROM safety_setting_signatures g WHERE g.setting_id = s.id) = 2 ORDER BY s.id DESC LIMIT 1`)
	if err != nil || len(rows) == 0 {
		return 0, domain.DefaultSafetySettings(), err
	}
	s, err := safetyOf(rows[0].Body)
	return domain.SafetyID(rows[0].ID), s, err
}

// signedSettings are settings that came into force, and when.
type signedSettings struct {
	domain.SafetySettings
	at time.Time
}

// settingsSigned returns all settings that ever came into force, oldest first.
func (tx *Tx) settingsSigned() ([]signedSettings, error) {
	type signedRow struct {
		Body []byte    `gorm:"column:body"`
		At   time.Time `gorm:"column:at"`
	}
	rows, err := all[signedRow](tx, `SELECT s.body, max(g.at) AS at FROM safety_settings s JOIN safety_setting_signatures g ON g.setting_id = s.id
		GROUP BY s.id HAVING count(*) = 2 ORDER BY s.id`)
	list := make([]signedSettings, len(rows))
	for i, r := range rows {
		if err == nil {
			list[i].at = r.At
			list[i].SafetySettings, err = safetyOf(r.Body)
		}
	}
	return list, err
}

// SafetyProposals returns a page of what was ever proposed, newest first.
func (tx *Tx) SafetyProposals(page domain.Page) ([]domain.SafetyProposal, error) {
	return tx.safetyProposals(newest("s.id", page), below(page))
}

// waitingMost is how many proposals are shown as waiting.
const waitingMost = 20

// WaitingSafety returns what waits for signatures, newest first.
func (tx *Tx) WaitingSafety() ([]domain.SafetyProposal, error) {
	inForce, _, err := tx.SafetyInForce()
	if err != nil {
		return nil, err
	}
	return tx.safetyProposals("s.follows IS NOT DISTINCT FROM nullif(?::bigint, 0) ORDER BY s.id DESC"+limit(waitingMost), inForce)
}

// SafetyProposal returns one proposal.
func (tx *Tx) SafetyProposal(id domain.SafetyID) (domain.SafetyProposal, error) {
	list, err := tx.safetyProposals("s.id = ?", id)
	if err == nil && len(list) == 0 {
		err = domain.Missing("proposal")
	}
	if err != nil {
		return domain.SafetyProposal{}, err
	}
	return list[0], nil
}

func (tx *Tx) safetyProposals(condition string, args ...any) ([]domain.SafetyProposal, error) {
	rows, err := all[safetyRow](tx, safetyQuery+" WHERE "+condition, args...)
	if err != nil {
		return nil, err
	}
	list, numbers := make([]domain.SafetyProposal, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		if list[i], err = r.proposal(); err != nil {
			return nil, err
		}
		numbers[i] = r.ID
	}
	inForce, _, err := tx.SafetyInForce()
	if err != nil {
		return nil, err
	}
	signed, err := tx.approvals("safety_setting_signatures", "setting_id", numbers)
	for i, p := range list {
		list[i].Approvals = signed[int64(p.ID)]
		list[i].Judge(inForce)
	}
	return list, err
}

// ProposeSafety keeps a proposal.
func (tx *Tx) ProposeSafety(permit domain.Permit, cmd domain.ProposeSafety, now time.Time) (id domain.SafetyID, err error) {
	if err := permit.For(domain.SetSafety); err != nil {
		return 0, err
	}
	who := permit.Account()
	body, err := json.Marshal(cmd.Settings)
	if err != nil {
		return 0, fmt.Errorf("store: safety settings: %w", err)
	}
	err = tx.sign(signature{kind: domain.LinkSafetyProposed, who: who, at: now}, func(link int64) error {
		id, err = one[domain.SafetyID](tx, "proposal", `INSERT INTO safety_settings (follows, body, why, proposed_by, proposed_at, client_key, link)
			VALUES (nullif(?::bigint, 0), ?, ?, ?, ?, ?, ?) RETURNING id`, cmd.Follows, string(body), cmd.Why, who, now, cmd.Key, link)
		return err
	})
	return id, err
}

// SafetyProposed returns the proposal that a member made with a client's key;
// 0 for none.
func (tx *Tx) SafetyProposed(who domain.AccountID, key string) (domain.SafetyID, error) {
	ids, err := all[domain.SafetyID](tx, "SELECT id FROM safety_settings WHERE proposed_by = ? AND client_key = ?", who, key)
	if err != nil || len(ids) == 0 {
		return 0, err
	}
	return ids[0], nil
}

// ApproveSafety signs a proposal, in a role.
func (tx *Tx) ApproveSafety(permit domain.Permit, id domain.SafetyID, role domain.ApprovalRole, now time.Time) error {
	if err := permit.For(domain.ApproveSafety); err != nil {
		return err
	}
	return tx.sign(signature{kind: domain.LinkSafetySigned, who: permit.Account(), at: now}, func(link int64) error {
		_, err := run(tx, "INSERT INTO safety_setting_signatures (setting_id, role, who, at, link) VALUES (?, ?, ?, ?, ?)", id, role, permit.Account(), now, link)
		return err
	})
}
