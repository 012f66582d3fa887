package store

import (
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
)

type buildVersionRow struct {
	Number       int       `gorm:"column:number"`
	Design       int64     `gorm:"column:design_id"`
	Letter       string    `gorm:"column:letter"`
	Sheet        int       `gorm:"column:sheet_count"`
	Differences  string    `gorm:"column:differences"`
	Renewed      string    `gorm:"column:renewed"`
	Place        string    `gorm:"column:place"`
	Moves        int       `gorm:"column:moves"`
	CalcVersion  string    `gorm:"column:calc_version"`
	PressureHash []byte    `gorm:"column:pressure_hash"`
	Note         string    `gorm:"column:note"`
	MadeBy       int64     `gorm:"column:made_by"`
	Maker        string    `gorm:"column:maker"`
	MadeAt       time.Time `gorm:"column:made_at"`
}

// The last sheet of a revision is the one that was frozen with it.
const buildVersionColumns = `v.number, r.design_id, r.letter, r.sheet_count, v.differences, v.renewed, v.place, v.moves, v.calc_version,
	v.pressure_hash, v.note, v.made_by, a.name AS maker, v.made_at`

const buildVersionFrom = ` FROM build_versions v JOIN revisions r ON r.id = v.revision_id JOIN accounts a ON a.id = v.made_by WHERE v.build_id = ?`

func (r buildVersionRow) version() (domain.BuildVersion, error) {
	v := domain.BuildVersion{
		Number: r.Number, Letter: r.Letter, Place: r.Place, Moves: r.Moves, CalcVersion: r.CalcVersion, Note: r.Note,
		MadeBy: domain.Person{ID: domain.AccountID(r.MadeBy), Name: r.Maker}, MadeAt: r.MadeAt.UTC(),
		Sheet: domain.SheetRef{Design: domain.DesignID(r.Design), Letter: r.Letter, Number: r.Sheet},
	}
	copy(v.PressureHash[:], r.PressureHash)
	if err := json.Unmarshal([]byte(r.Differences), &v.Differences); err != nil {
		return v, fmt.Errorf("store: decode differences: %w", err)
	}
	if err := json.Unmarshal([]byte(r.Renewed), &v.Renewed); err != nil {
		return v, fmt.Errorf("store: decode renewed: %w", err)
	}
	return v, nil
}

// versionsMost is how many versions and changes of state a build shows: the
// newest.
const versionsMost = 200

// buildVersions returns the versions of a build, newest first, without their
// reports.
func (tx *Tx) buildVersions(build domain.BuildID) ([]domain.BuildVersion, error) {
	rows, err := all[buildVersionRow](tx, "SELECT "+buildVersionColumns+buildVersionFrom+" ORDER BY v.number DESC"+limit(versionsMost), build)
	list := make([]domain.BuildVersion, len(rows))
	for i, r := range rows {
		if err == nil {
			list[i], err = r.version()
		}
	}
	return list, err
}

// newestVersion returns the newest version of a build with its report.
func (tx *Tx) newestVersion(b domain.Build) (*domain.BuildVersion, error) {
	v := b.Versions[0]
	return &v, tx.reportOf(b.ID, &v)
}

// reportOf adds to a version of a build what was answered for it.
func (tx *Tx) reportOf(build domain.BuildID, v *domain.BuildVersion) error {
	report, err := one[string](tx, "build", "SELECT report FROM build_versions WHERE build_id = ? AND number = ?", build, v.Number)
	if err != nil {
		return err
	}
	if err := json.Unmarshal([]byte(report), &v.Report); err != nil {
		return fmt.Errorf("store: decode report: %w", err)
	}
	return nil
}

// addBuildVersion adds a version of a build, and its maker to the builders.
func (tx *Tx) addBuildVersion(by domain.AccountID, build domain.BuildID, revision int64, v domain.BuildVersion) error {
	if err := tx.addBuilder(domain.AddBuilder{Build: build, Member: by}, by, v.MadeAt); err != nil {
		return err
	}
	differences, err := json.Marshal(v.Differences)
	if err != nil {
		return fmt.Errorf("store: encode differences: %w", err)
	}
	renewed, err := json.Marshal(v.Renewed)
	if err != nil {
		return fmt.Errorf("store: encode renewed: %w", err)
	}
	report, err := json.Marshal(v.Report)
	if err != nil {
		return fmt.Errorf("store: encode report: %w", err)
	}
	_, err = run(tx, `INSERT INTO build_versions (build_id, number, revision_id, differences, renewed, place, moves, report, calc_version, pressure_hash, note, made_by, made_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		build, v.Number, revision, string(differences), string(renewed), v.Place, v.Moves, string(report), v.CalcVersion, v.PressureHash[:], v.Note, by, v.MadeAt)
	return err
}

type builderRow struct {
	Account *int64    `gorm:"column:account_id"`
	Name    string    `gorm:"column:name"`
	By      int64     `gorm:"column:added_by"`
	Adder   string    `gorm:"column:adder"`
	At      time.Time `gorm:"column:added_at"`
}

// Builders returns all builders of a build, in the order in which they were
// added.
func (tx *Tx) Builders(build domain.BuildID) ([]domain.Builder, error) {
	rows, err := all[builderRow](tx, `SELECT p.account_id, coalesce(p.name, a.name) AS name, p.added_by, b.name AS adder, p.added_at
		FROM build_people p LEFT JOIN accounts a ON a.id = p.account_id JOIN accounts b ON b.id = p.added_by
		WHERE p.build_id = ? ORDER BY p.position`, build)
	list := make([]domain.Builder, len(rows))
	for i, r := range rows {
		list[i] = domain.Builder{Name: r.Name, AddedBy: domain.Person{ID: domain.AccountID(r.By), Name: r.Adder}, AddedAt: r.At.UTC()}
		if r.Account != nil {
			list[i].Account = domain.AccountID(*r.Account)
		}
	}
	return list, err
}

// MemberNamed tells whether a member has this name, however it is spelt with
// capitals.
func (tx *Tx) MemberNamed(name string, demo bool) (bool, error) {
	return tx.exists("SELECT 1 FROM accounts WHERE lower(name) = lower(?) AND closed_at IS NULL AND (? OR NOT demo)", name, demo)
}

// addBuilder adds a builder unless the build has them. The build is held by who
// calls.
func (tx *Tx) addBuilder(cmd domain.AddBuilder, by domain.AccountID, now time.Time) error {
	var member *domain.AccountID
	name := &cmd.Name
	if cmd.Member != 0 {
		member, name = &cmd.Member, nil
	}
	_, err := run(tx, `INSERT INTO build_people (build_id, position, account_id, name, added_by, added_at)
		SELECT ?::bigint, coalesce(max(position), 0) + 1, ?::bigint, ?::text, ?::bigint, ?::timestamptz FROM build_people WHERE build_id = ?
		ON CONFLICT DO NOTHING`, cmd.Build, member, name, by, now, cmd.Build)
	return err
}

type stepRow struct {
	State  string    `gorm:"column:state"`
	Reason string    `gorm:"column:reason"`
	Who    int64     `gorm:"column:who"`
	Name   string    `gorm:"column:name"`
	At     time.Time `gorm:"column:at"`
}

// buildSteps returns how a build came to its state, newest first.
func (tx *Tx) buildSteps(build domain.BuildID) ([]domain.BuildStep, error) {
	rows, err := all[stepRow](tx, `SELECT s.state, s.reason, s.who, a.name, s.at FROM build_states s JOIN accounts a ON a.id = s.who
		WHERE s.build_id = ? ORDER BY s.id DESC`+limit(versionsMost), build)
	list := make([]domain.BuildStep, len(rows))
	for i, r := range rows {
		list[i] = domain.BuildStep{State: domain.BuildState(r.State), Reason: r.Reason, Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, At: r.At.UTC()}
	}
	return list, err
}

func (tx *Tx) addStep(build domain.BuildID, state domain.BuildState, reason string, who domain.AccountID, now time.Time) error {
	_, err := run(tx, "INSERT INTO build_states (build_id, state, reason, who, at) VALUES (?, ?, ?, ?, ?)", build, state, reason, who, now)
	return err
}
