package store

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"leat/domain"
)

type runRow struct {
	ID           int64      `gorm:"column:id"`
	Project      int64      `gorm:"column:project_id"`
	Build        int64      `gorm:"column:build_id"`
	Machine      string     `gorm:"column:machine"`
	Number       int        `gorm:"column:number"`
	BuildVersion int        `gorm:"column:build_version"`
	Design       int64      `gorm:"column:design_id"`
	Letter       string     `gorm:"column:letter"`
	Sheet        int        `gorm:"column:sheet_count"`
	Title        string     `gorm:"column:title"`
	Purpose      string     `gorm:"column:purpose"`
	Set          string     `gorm:"column:coefficient_set"`
	CalcVersion  string     `gorm:"column:calc_version"`
	Required     []byte     `gorm:"column:required"`
	Limits       []byte     `gorm:"column:limits"`
	OpenedBy     int64      `gorm:"column:opened_by"`
	Opener       string     `gorm:"column:opener"`
	OpenedAt     time.Time  `gorm:"column:opened_at"`
	Version      int64      `gorm:"column:version"`
	Newest       int        `gorm:"column:newest"`
	SubmittedBy  *int64     `gorm:"column:submitted_by"`
	Submitter    *string    `gorm:"column:submitter"`
	SubmittedAt  *time.Time `gorm:"column:submitted_at"`
	Digest       []byte     `gorm:"column:digest"`
	Seed         *string    `gorm:"column:seed"`
	Draws        *int       `gorm:"column:draws"`
	Outcome      *string    `gorm:"column:outcome"`
	JudgedBy     *string    `gorm:"column:judged_by"`
	JudgedAt     *time.Time `gorm:"column:judged_at"`
	Points       int        `gorm:"column:points"`
	Readings     int        `gorm:"column:readings"`
	Uncertified  int        `gorm:"column:uncertified"`
	Overdue      int        `gorm:"column:overdue"`
	Early        int        `gorm:"column:early"`
	Taught       bool       `gorm:"column:taught"`
}

// pressurised lists what counts with a certificate only, as SQL.
var pressurised = "'" + strings.Join(domain.PressurisedNames(), "', '") + "'"

// runsWhere is the query for the runs that a condition finds. The runs are found
// first, by an index, and then what belongs to them. Its first value is the time
// zone of the group.
func runsWhere(condition string) string {
	return `SELECT r.id, b.project_id, r.build_id, b.title AS machine, r.number, r.build_version, n.design_id, n.letter, n.sheet_count,
			r.title, r.purpose, r.coefficient_set, r.calc_version, r.required, r.limits, r.opened_by, a.name AS opener, r.opened_at, r.version, b.newest,
			s.who AS submitted_by, sa.name AS submitter, s.at AS submitted_at,
			v.digest, v.seed, v.draws, v.body::jsonb #>> '{outcome,outcome}' AS outcome, v.body::jsonb ->> 'calc_version' AS judged_by, v.at AS judged_at,
			(SELECT count(*) FROM run_points p WHERE p.run_id = r.id) AS points, g.readings, g.uncertified, g.overdue, g.early,
			EXISTS (SELECT 1 FROM coefficient_set_adoptions d JOIN coefficient_set_runs x ON x.proposal_id = d.proposal_id JOIN runs o ON o.id = x.run_id
				WHERE d.set_name = r.coefficient_set AND o.build_id = r.build_id) AS taught
		FROM (SELECT ?::text AS zone) w
		CROSS JOIN LATERAL (SELECT * FROM runs WHERE ` + condition + `) r
		JOIN builds b ON b.id = r.build_id JOIN accounts a ON a.id = r.opened_by
		JOIN build_versions bv ON bv.build_id = r.build_id AND bv.number = r.build_version JOIN revisions n ON n.id = bv.revision_id
		LEFT JOIN run_submissions s ON s.run_id = r.id LEFT JOIN accounts sa ON sa.id = s.who
		LEFT JOIN run_verdicts v ON v.run_id = r.id
		CROSS JOIN LATERAL (SELECT count(*) AS readings,
				count(*) FILTER (WHERE k.stands AND NOT k.certified AND k.quantity IN (` + pressurised + `)) AS uncertified,
				count(*) FILTER (WHERE k.stands AND k.instrument IS NOT NULL
					AND coalesce((k.instrument ->> 'due_on')::date < (k.taken_at AT TIME ZONE w.zone)::date, true)) AS overdue,
				count(*) FILTER (WHERE k.stands AND k.device_at < r.opened_at - interval '10 minutes') AS early
			FROM (SELECT x.quantity, x.certified, x.instrument, x.taken_at, x.device_at,
					NOT EXISTS (SELECT 1 FROM run_strikes t WHERE t.reading_id = x.id AND t.position IS NULL) AS stands
				FROM run_readings x WHERE x.run_id = r.id
				UNION ALL SELECT c ->> 'quantity', w.certified, nullif(c -> 'instrument', 'null'), w.at, (w.summary ->> 'start')::timestamptz + w.from_s * interval '1 second',
					NOT EXISTS (SELECT 1 FROM series_decisions d WHERE d.window_id = w.id AND d.decide = 'strike')
				FROM series_windows w CROSS JOIN LATERAL jsonb_array_elements(w.channels) c WHERE w.run_id = r.id AND c ->> 'quantity' <> '') k) g
		ORDER BY r.id DESC`
}

func (r runRow) run() (domain.Run, error) {
	run := domain.Run{
		ID: domain.RunID(r.ID), Project: domain.ProjectID(r.Project), Build: domain.BuildID(r.Build), Machine: r.Machine, Number: r.Number, BuildVersion: r.BuildVersion,
		Letter: r.Letter, Sheet: domain.SheetRef{Design: domain.DesignID(r.Design), Letter: r.Letter, Number: r.Sheet}, Title: r.Title, Purpose: r.Purpose,
		CoefficientSet: r.Set, CalcVersion: r.CalcVersion, OpenedBy: domain.Person{ID: domain.AccountID(r.OpenedBy), Name: r.Opener}, OpenedAt: r.OpenedAt.UTC(),
		Version: r.Version, Newest: r.Newest, Taught: r.Taught,
		Counts: domain.RunCounts{Points: r.Points, Readings: r.Readings, Uncertified: r.Uncertified, Overdue: r.Overdue, Early: r.Early},
	}
	if err := json.Unmarshal(r.Required, &run.Required); err != nil {
		return run, fmt.Errorf("store: decode what a run is judged by: %w", err)
	}
	if err := json.Unmarshal(r.Limits, &run.Limits); err != nil {
		return run, fmt.Errorf("store: decode limits of a run: %w", err)
	}
	if r.SubmittedBy != nil {
		run.Submitted = &domain.RunSubmission{By: domain.Person{ID: domain.AccountID(*r.SubmittedBy), Name: *r.Submitter}, At: r.SubmittedAt.UTC()}
	}
	if r.JudgedAt != nil {
		run.Verdict = &domain.RunVerdict{Seed: *r.Seed, Draws: *r.Draws, At: r.JudgedAt.UTC()}
		copy(run.Verdict.Digest[:], r.Digest)
		if r.Outcome != nil && r.JudgedBy != nil {
			run.Verdict.Outcome, run.Verdict.Calc = *r.Outcome, *r.JudgedBy
		}
	}
	return run, nil
}

// runs returns the runs that a condition finds, without points.
func (tx *Tx) runs(condition string, args ...any) ([]domain.Run, error) {
	zone, err := tx.TimeZone()
	if err != nil {
		return nil, err
	}
	rows, err := all[runRow](tx, runsWhere(condition), append([]any{zone}, args...)...)
	if err != nil {
		return nil, err
	}
	list, ids := make([]domain.Run, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		if list[i], err = r.run(); err != nil {
			return nil, err
		}
		ids[i] = r.ID
	}
	ends, err := tx.runEnds(ids)
	for i := range list {
		list[i].Ends = ends[list[i].ID]
	}
	return list, err
}

func (tx *Tx) runEnds(runs []int64) (map[domain.RunID][]domain.RunEnd, error) {
	of := map[domain.RunID][]domain.RunEnd{}
	if len(runs) == 0 {
		return of, nil
	}
	type endRow struct {
		Run    int64     `gorm:"column:run_id"`
		Kind   string    `gorm:"column:kind"`
		Reason string    `gorm:"column:reason"`
		Who    int64     `gorm:"column:who"`
		Name   string    `gorm:"column:name"`
		At     time.Time `gorm:"column:at"`
		Link   int64     `gorm:"column:link"`
		Away   bool      `gorm:"column:elsewhere"`
	}
	rows, err := all[endRow](tx, "SELECT e.run_id, e.kind, e.reason, e.who, a.name, e.at, e.link, signed_elsewhere(e.link) AS elsewhere FROM run_ends e JOIN accounts a ON a.id = e.who WHERE e.run_id IN ? ORDER BY e.id", runs)
	for _, r := range rows {
		id := domain.RunID(r.Run)
		of[id] = append(of[id], domain.RunEnd{
			Kind: domain.RunState(r.Kind), Reason: r.Reason, By: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC(), Link: r.Link, Elsewhere: r.Away,
		})
	}
	return of, err
}

// Runs returns a page of the runs of a build, newest first; the page counts by
// their numbers.
func (tx *Tx) Runs(project domain.ProjectID, build domain.BuildID, page domain.Page) ([]domain.Run, error) {
	there, err := tx.exists("SELECT 1 FROM builds WHERE id = ? AND project_id = ?", build, project)
	if err == nil && !there {
		err = domain.Missing("build")
	}
	if err != nil {
		return nil, err
	}
	return tx.runs("build_id = ? AND "+newest("number", page), build, below(page))
}

// Run returns a run of a build of a project with its points, readings and who took
// part in it.
func (tx *Tx) Run(ref domain.RunRef) (domain.Run, error) {
	there, err := tx.exists("SELECT 1 FROM builds WHERE id = ? AND project_id = ?", ref.Build, ref.Project)
	if err != nil || !there {
		return domain.Run{}, orMissing(err, "build")
	}
	return tx.fullRun("build_id = ? AND number = ?", ref.Build, ref.Number)
}

func orMissing(err error, thing string) error {
	if err == nil {
		err = domain.Missing(thing)
	}
	return err
}

func (tx *Tx) fullRun(condition string, args ...any) (domain.Run, error) {
	list, err := tx.runs(condition, args...)
	if err != nil || len(list) == 0 {
		return domain.Run{}, orMissing(err, "run")
	}
	r := list[0]
	if r.Points, err = tx.runPoints(r.ID); err != nil {
		return r, err
	}
	if err := tx.addWindows(&r); err != nil {
		return r, err
	}
	if r.Verdict != nil {
		body, err := one[string](tx, "verdict", "SELECT body FROM run_verdicts WHERE run_id = ?", r.ID)
		if err != nil {
			return r, err
		}
		r.Verdict.Body = []byte(body)
	}
	if r.TookPart, err = tx.tookPart(r.ID); err != nil {
		return r, err
	}
	r.Builders, err = tx.buildersWithAccount(r.Build)
	return r, err
}

// tookPart are those whom the rule of two people keeps from confirming a run; the
// function of that rule says who they are.
func (tx *Tx) tookPart(run domain.RunID) ([]domain.Person, error) {
	return tx.people("SELECT id, name FROM accounts WHERE took_part_in_run(?, id) ORDER BY lower(name), id", run)
}

// VersionOfBuild returns a build as it stood, but for the input of the machine,
// which follows from its sheet.
func (tx *Tx) VersionOfBuild(build domain.BuildID, number int) (domain.BuildVersion, error) {
	row, err := one[buildVersionRow](tx, "build", "SELECT "+buildVersionColumns+buildVersionFrom+" AND v.number = ?", build, number)
	if err != nil {
		return domain.BuildVersion{}, err
	}
	v, err := row.version()
	if err != nil {
		return v, err
	}
	return v, tx.reportOf(build, &v)
}

// OpenRun opens a run with the next number of its build.
func (tx *Tx) OpenRun(permit domain.Permit, cmd domain.OpenRun, f domain.RunForm, now time.Time) (int, error) {
	if err := permit.For(domain.BeginRun); err != nil {
		return 0, err
	}
	required, err := json.Marshal(cmd.Required)
	if err != nil {
		return 0, fmt.Errorf("store: encode what a run is judged by: %w", err)
	}
	limits, err := json.Marshal(cmd.Limits)
	if err != nil {
		return 0, fmt.Errorf("store: encode limits of a run: %w", err)
	}
	// The build puts the numbers in a queue.
	if _, err := one[int64](tx, "build", "SELECT id FROM builds WHERE id = ? AND project_id = ? FOR NO KEY UPDATE", cmd.Build, permit.Project()); err != nil {
		return 0, err
	}
	return one[int](tx, "run", `INSERT INTO runs (build_id, number, build_version, title, purpose, coefficient_set, calc_version, required, limits, opened_by, opened_at, client_key, version)
		SELECT ?::bigint, coalesce(max(number), 0) + 1, ?::int, ?, ?, ?, ?, ?::jsonb, ?::jsonb, ?::bigint, ?::timestamptz, ?, 1 FROM runs WHERE build_id = ? RETURNING number`,
		cmd.Build, f.BuildVersion, cmd.Title, cmd.Purpose, f.CoefficientSet, f.CalcVersion, string(required), string(limits), permit.Account(), now, cmd.Key, cmd.Build)
}

// RunOfKey returns the number of the run that a key opened before; 0 for none.
func (tx *Tx) RunOfKey(who domain.AccountID, build domain.BuildID, key string) (int, error) {
	type keyed struct {
		Build  domain.BuildID `gorm:"column:build_id"`
		Number int            `gorm:"column:number"`
	}
	rows, err := all[keyed](tx, "SELECT build_id, number FROM runs WHERE opened_by = ? AND client_key = ?", who, key)
	switch {
	case err != nil || len(rows) == 0:
		return 0, err
	case rows[0].Build != build:
		return 0, keyUsed("a run of another build", "open the run again")
	}
	return rows[0].Number, nil
}

// HoldRun makes everybody else who adds to a run, or signs about it, wait.
func (tx *Tx) HoldRun(ref domain.RunRef) error {
	_, err := one[int64](tx, "run", `SELECT r.id FROM runs r JOIN builds b ON b.id = r.build_id
		WHERE r.build_id = ? AND b.project_id = ? AND r.number = ? FOR NO KEY UPDATE OF r`, ref.Build, ref.Project, ref.Number)
	return err
}

func (tx *Tx) bumpRun(id domain.RunID) error {
	return tx.touchOne("run", "UPDATE runs SET version = version + 1 WHERE id = ?", id)
}

// SubmitRun freezes a run.
func (tx *Tx) SubmitRun(permit domain.Permit, id domain.RunID, now time.Time) error {
	if err := permit.For(domain.PutForward); err != nil {
		return err
	}
	if _, err := run(tx, "INSERT INTO run_submissions (run_id, who, at) VALUES (?, ?, ?)", id, permit.Account(), now); err != nil {
		return err
	}
	return tx.bumpRun(id)
}

// EndRun signs whether a run counts. A reason makes it set aside.
func (tx *Tx) EndRun(permit domain.Permit, id domain.RunID, kind domain.RunState, reason string, now time.Time) error {
	action, link := domain.SignRun, domain.LinkRunConfirmed
	if kind == domain.RunSetAside {
		action, link = domain.PutAside, domain.LinkRunSetAside
	}
	if err := permit.For(action); err != nil {
		return err
	}
	s := signature{kind: link, who: permit.Account(), project: permit.Project(), at: now}
	err := tx.sign(s, func(link int64) error {
		_, err := run(tx, "INSERT INTO run_ends (run_id, kind, reason, who, at, link) VALUES (?, ?, ?, ?, ?, ?)", id, kind, reason, permit.Account(), now, link)
		return err
	})
	if err != nil {
		return err
	}
	return tx.bumpRun(id)
}

// ToJudge returns the next submitted run that has no verdict, after one, with its
// readings; a NotFound error when there is none.
func (tx *Tx) ToJudge(after domain.RunID) (domain.Run, error) {
	return tx.fullRun(`id = (SELECT min(s.run_id) FROM run_submissions s WHERE s.run_id > ?
		AND NOT EXISTS (SELECT 1 FROM run_verdicts v WHERE v.run_id = s.run_id) AND NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = s.run_id))`, after)
}

// KeepVerdict keeps the verdict of a run, unless it has one.
func (tx *Tx) KeepVerdict(id domain.RunID, v domain.RunVerdict) error {
	_, err := run(tx, "INSERT INTO run_verdicts (run_id, body, digest, seed, draws, at) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (run_id) DO NOTHING",
		id, string(v.Body), v.Digest[:], v.Seed, v.Draws, v.At)
	if err != nil {
		return err
	}
	return tx.bumpRun(id)
}

// waitingRunsMost bounds how many runs are listed as waiting.
const waitingRunsMost = 50

// WaitingRuns returns the runs that somebody could confirm: those with a verdict,
// and nothing signed about them.
func (tx *Tx) WaitingRuns(who domain.AccountID) ([]domain.Run, error) {
	return tx.runs(`id IN (SELECT v.run_id FROM run_verdicts v JOIN runs x ON x.id = v.run_id JOIN accounts me ON me.id = ? AND me.steward AND me.closed_at IS NULL
		WHERE NOT EXISTS (SELECT 1 FROM run_ends e WHERE e.run_id = v.run_id) AND NOT has_built(x.build_id, me.id) AND NOT took_part_in_run(x.id, me.id)
		ORDER BY v.run_id DESC`+limit(waitingRunsMost)+")", who)
}
