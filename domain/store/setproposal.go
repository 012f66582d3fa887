package store

import (
	"fmt"
	"time"

	"leat/domain"
)

type proposalRow struct {
	ID        int64      `gorm:"column:id"`
	Why       string     `gorm:"column:why"`
	Current   string     `gorm:"column:current_set"`
	By        int64      `gorm:"column:proposed_by"`
	Proposer  string     `gorm:"column:proposer"`
	At        time.Time  `gorm:"column:proposed_at"`
	Link      int64      `gorm:"column:link"`
	Digest    []byte     `gorm:"column:digest"`
	Adoptable *bool      `gorm:"column:adoptable"`
	Calc      *string    `gorm:"column:calc_version"`
	LearnedAt *time.Time `gorm:"column:learned_at"`
	Set       *string    `gorm:"column:set_name"`
	AdoptedBy *int64     `gorm:"column:adopted_by"`
	Adopter   *string    `gorm:"column:adopter"`
	AdoptedAt *time.Time `gorm:"column:adopted_at"`
	AdoptLink *int64     `gorm:"column:adopted_link"`
}

const proposalQuery = `SELECT p.id, p.why, p.current_set, p.proposed_by, a.name AS proposer, p.proposed_at, p.link,
		l.digest, (l.body::jsonb ->> 'adoptable')::boolean AS adoptable, l.body::jsonb ->> 'calc_version' AS calc_version, l.at AS learned_at,
		d.set_name, d.who AS adopted_by, da.name AS adopter, d.at AS adopted_at, d.link AS adopted_link
	FROM coefficient_set_proposals p JOIN accounts a ON a.id = p.proposed_by
	LEFT JOIN coefficient_set_lessons l ON l.proposal_id = p.id
	LEFT JOIN coefficient_set_adoptions d ON d.proposal_id = p.id LEFT JOIN accounts da ON da.id = d.who `

func (r proposalRow) proposal() domain.SetProposal {
	p := domain.SetProposal{
		ID: domain.SetProposalID(r.ID), Why: r.Why, Current: r.Current, By: domain.Person{ID: domain.AccountID(r.By), Name: r.Proposer}, At: r.At.UTC(), Link: r.Link,
	}
	if r.LearnedAt != nil {
		p.Lesson = &domain.SetLesson{Adoptable: *r.Adoptable, Calc: *r.Calc, At: r.LearnedAt.UTC()}
		copy(p.Lesson.Digest[:], r.Digest)
	}
	if r.Set != nil {
		p.Adoption = &domain.SetAdoption{Set: *r.Set, By: domain.Person{ID: domain.AccountID(*r.AdoptedBy), Name: *r.Adopter}, At: r.AdoptedAt.UTC(), Link: *r.AdoptLink}
	}
	return p
}

// SetProposals returns a page of the proposals of sets of coefficients, newest
// first, without what the runs say.
func (tx *Tx) SetProposals(page domain.Page) ([]domain.SetProposal, error) {
	return tx.setProposals("WHERE "+newest("p.id", page), below(page))
}

// waitingSetsMost bounds how many proposals are listed as waiting.
const waitingSetsMost = 20

// WaitingSets returns the proposals that a steward could adopt, newest first.
func (tx *Tx) WaitingSets() ([]domain.SetProposal, error) {
	return tx.setProposals(`WHERE l.body::jsonb ->> 'adoptable' = 'true' AND d.proposal_id IS NULL
		AND NOT EXISTS (SELECT 1 FROM coefficient_set_adoptions o WHERE o.link > p.link) ORDER BY p.id DESC` + limit(waitingSetsMost))
}

// SetProposal returns a proposal in full.
func (tx *Tx) SetProposal(id domain.SetProposalID) (domain.SetProposal, error) {
	list, err := tx.setProposals("WHERE p.id = ?", id)
	if err != nil || len(list) == 0 {
		return domain.SetProposal{}, orMissing(err, "proposal")
	}
	p := list[0]
	if p.Lesson != nil {
		body, err := one[string](tx, "proposal", "SELECT body FROM coefficient_set_lessons WHERE proposal_id = ?", id)
		if err != nil {
			return p, err
		}
		p.Lesson.Body = []byte(body)
	}
	if p.Adoption != nil {
		p.Adoption.Body, err = tx.CoefficientSet(p.Adoption.Set)
	}
	return p, err
}

func (tx *Tx) setProposals(condition string, args ...any) ([]domain.SetProposal, error) {
	rows, err := all[proposalRow](tx, proposalQuery+condition, args...)
	if err != nil {
		return nil, err
	}
	list, ids := make([]domain.SetProposal, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		list[i], ids[i] = r.proposal(), r.ID
	}
	taught, err := tx.taughtRuns(ids)
	if err != nil {
		return nil, err
	}
	last, err := one[int64](tx, "adoption", "SELECT coalesce(max(link), 0) FROM coefficient_set_adoptions")
	if err != nil {
		return nil, err
	}
	for i := range list {
		list[i].Runs = taught[list[i].ID]
		list[i].Judge(last)
	}
	return list, nil
}

// taughtRuns returns the runs that proposals are learned from, with who took part
// in them.
func (tx *Tx) taughtRuns(proposals []int64) (map[domain.SetProposalID][]domain.TaughtRun, error) {
	of := map[domain.SetProposalID][]domain.TaughtRun{}
	if len(proposals) == 0 {
		return of, nil
	}
	type taughtRow struct {
		Proposal int64  `gorm:"column:proposal_id"`
		Project  int64  `gorm:"column:project_id"`
		Build    int64  `gorm:"column:build_id"`
		Number   int    `gorm:"column:number"`
		ID       int64  `gorm:"column:run_id"`
		Machine  string `gorm:"column:machine"`
		Title    string `gorm:"column:title"`
		Digest   []byte `gorm:"column:digest"`
		Aside    bool   `gorm:"column:aside"`
	}
	rows, err := all[taughtRow](tx, `SELECT x.proposal_id, b.project_id, r.build_id, r.number, x.run_id, b.title AS machine, r.title, x.digest,
			EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = r.id AND e.kind = 'set_aside') AS aside
		FROM coefficient_set_runs x JOIN runs r ON r.id = x.run_id JOIN builds b ON b.id = r.build_id
		WHERE x.proposal_id IN ? ORDER BY x.proposal_id, x.run_id`, proposals)
	if err != nil {
		return nil, err
	}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	authors, err := tx.authorsOf(ids)
	for _, r := range rows {
		t := domain.TaughtRun{
			Run: domain.RunRef{Project: domain.ProjectID(r.Project), Build: domain.BuildID(r.Build), Number: r.Number}, ID: domain.RunID(r.ID),
			Machine: r.Machine, Title: r.Title, Aside: r.Aside, Authors: authors[domain.RunID(r.ID)],
		}
		copy(t.Verdict[:], r.Digest)
		of[domain.SetProposalID(r.Proposal)] = append(of[domain.SetProposalID(r.Proposal)], t)
	}
	return of, err
}

// authorsOf are those who took part in runs.
func (tx *Tx) authorsOf(runs []int64) (map[domain.RunID][]domain.Person, error) {
	of := map[domain.RunID][]domain.Person{}
	if len(runs) == 0 {
		return of, nil
	}
	type authorRow struct {
		Run  int64  `gorm:"column:run_id"`
		ID   int64  `gorm:"column:id"`
		Name string `gorm:"column:name"`
	}
	rows, err := all[authorRow](tx, "SELECT r.id AS run_id, a.id, a.name FROM runs r JOIN accounts a ON took_part_in_run(r.id, a.id) WHERE r.id IN ? ORDER BY r.id, a.id", runs)
	for _, r := range rows {
		of[domain.RunID(r.Run)] = append(of[domain.RunID(r.Run)], domain.Person{ID: domain.AccountID(r.ID), Name: r.Name})
	}
	return of, err
}

// TaughtBy returns runs as a proposal of a set would name them.
func (tx *Tx) TaughtBy(runs []domain.EvidenceRun) ([]domain.TaughtRun, error) {
	ids := make([]int64, len(runs))
	for i, r := range runs {
		ids[i] = int64(r.ID)
	}
	authors, err := tx.authorsOf(ids)
	list := make([]domain.TaughtRun, len(runs))
	for i, r := range runs {
		list[i] = domain.TaughtRun{Run: r.Ref(), ID: r.ID, Machine: r.Machine, Title: r.Title, Verdict: r.Verdict.Digest, Authors: authors[r.ID]}
	}
	return list, err
}

// SetProposed returns the proposal that a member made with a client's key; 0 for
// none.
func (tx *Tx) SetProposed(who domain.AccountID, key string) (domain.SetProposalID, error) {
	ids, err := all[domain.SetProposalID](tx, "SELECT id FROM coefficient_set_proposals WHERE proposed_by = ? AND client_key = ?", who, key)
	if err != nil || len(ids) == 0 {
		return 0, err
	}
	return ids[0], nil
}

// ProposeSet keeps a proposal with the runs that it is learned from.
func (tx *Tx) ProposeSet(permit domain.Permit, cmd domain.ProposeCoefficients, p domain.SetProposal) (id domain.SetProposalID, err error) {
	if err := permit.For(domain.ProposeSet); err != nil {
		return 0, err
	}
	err = tx.sign(signature{kind: domain.LinkSetProposed, who: permit.Account(), at: p.At}, func(link int64) error {
		id, err = one[domain.SetProposalID](tx, "proposal", `INSERT INTO coefficient_set_proposals (why, current_set, proposed_by, proposed_at, client_key, link)
			VALUES (?, ?, ?, ?, ?, ?) RETURNING id`, cmd.Why, p.Current, permit.Account(), p.At, cmd.Key, link)
		for _, r := range p.Runs {
			if err != nil {
				break
			}
			_, err = run(tx, "INSERT INTO coefficient_set_runs (proposal_id, run_id, digest) VALUES (?, ?, ?)", id, r.ID, r.Verdict[:])
		}
		return err
	})
	return id, err
}

// ToLearn returns the next proposal after one of which nobody has worked out yet
// what its runs say; a NotFound error when there is none.
func (tx *Tx) ToLearn(after domain.SetProposalID) (domain.SetProposal, error) {
	list, err := tx.setProposals("WHERE p.id > ? AND l.proposal_id IS NULL ORDER BY p.id LIMIT 1", after)
	if err != nil || len(list) == 0 {
		return domain.SetProposal{}, orMissing(err, "proposal")
	}
	return list[0], nil
}

// KeepLesson keeps what the runs of a proposal say, unless that is there already.
func (tx *Tx) KeepLesson(id domain.SetProposalID, l domain.SetLesson) error {
	_, err := run(tx, "INSERT INTO coefficient_set_lessons (proposal_id, body, digest, at) VALUES (?, ?, ?, ?) ON CONFLICT (proposal_id) DO NOTHING", id, string(l.Body), l.Digest[:], l.At)
	return err
}

// NextSet returns the name that the next set is adopted under.
func (tx *Tx) NextSet() (string, error) {
	n, err := one[int](tx, "set of coefficients", "SELECT max(name::int) + 1 FROM coefficient_sets")
	return fmt.Sprint(n), err
}

// AdoptSet signs a proposal, which makes it a set.
func (tx *Tx) AdoptSet(permit domain.Permit, id domain.SetProposalID, name string, body []byte, now time.Time) error {
	if err := permit.For(domain.AdoptSet); err != nil {
		return err
	}
	return tx.sign(signature{kind: domain.LinkSetAdopted, who: permit.Account(), at: now}, func(link int64) error {
		if _, err := run(tx, "INSERT INTO coefficient_sets (name, calc, body) VALUES (?, 'trompe', ?)", name, string(body)); err != nil {
			return err
		}
		_, err := run(tx, "INSERT INTO coefficient_set_adoptions (proposal_id, set_name, who, at, link) VALUES (?, ?, ?, ?, ?)", id, name, permit.Account(), now, link)
		return err
	})
}

// ChangedSets names the sets that a run was set aside from after they were
// adopted, the oldest first.
func (tx *Tx) ChangedSets() ([]string, error) {
	return all[string](tx, `SELECT d.set_name FROM coefficient_set_adoptions d WHERE EXISTS (SELECT 1 FROM coefficient_set_runs x
			JOIN run_ends e ON e.run_id = x.run_id AND e.kind = 'set_aside' WHERE x.proposal_id = d.proposal_id) ORDER BY d.set_name::int`)
}
