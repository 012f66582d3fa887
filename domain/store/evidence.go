package store

import (
	"encoding/json"
	"fmt"
	"slices"

	"leat/domain"
)

// evidenceMost bounds how many runs the evidence is made of: the newest, more than
// a group confirms in many years.
const evidenceMost = 500

// EvidenceRuns returns the runs about which was signed, in the order in which
// that happened first, with what the evidence asks of them.
func (tx *Tx) EvidenceRuns() ([]domain.EvidenceRun, error) {
	heads, err := tx.runs("id IN (SELECT run_id FROM run_ends WHERE NOT signed_elsewhere(link) GROUP BY run_id ORDER BY max(id) DESC" + limit(evidenceMost) + ")")
	if err != nil || len(heads) == 0 {
		return nil, err
	}
	slices.SortFunc(heads, func(a, b domain.Run) int { return int(a.Ends[0].Link - b.Ends[0].Link) })
	ids := make([]int64, len(heads))
	for i, r := range heads {
		ids[i] = int64(r.ID)
	}
	more, err := tx.evidenceOf(ids)
	if err != nil {
		return nil, err
	}
	list := make([]domain.EvidenceRun, len(heads))
	for i, r := range heads {
		list[i] = domain.EvidenceRun{Run: r}
		if err := more[int64(r.ID)].add(&list[i]); err != nil {
			return nil, err
		}
	}
	return list, nil
}

type evidenceRow struct {
	ID       int64   `gorm:"column:id"`
	Tag      int     `gorm:"column:tag"`
	Body     *string `gorm:"column:body"`
	Kind     string  `gorm:"column:kind"`
	Bore     float64 `gorm:"column:bore"`
	Trompe   bool    `gorm:"column:trompe"`
	Crew     string  `gorm:"column:crew"`
	Settings []byte  `gorm:"column:settings"`
}

func (r evidenceRow) add(e *domain.EvidenceRun) error {
	e.Tag, e.Kind, e.Bore, e.Trompe, e.Crew = r.Tag, r.Kind, r.Bore, r.Trompe, r.Crew
	if r.Body != nil && e.Verdict != nil {
		e.Verdict.Body = []byte(*r.Body)
	}
	if err := json.Unmarshal(r.Settings, &e.Settings); err != nil {
		return fmt.Errorf("store: decode the settings of a run: %w", err)
	}
	return nil
}

// evidenceOf reads, of runs, the verdict, what their machine is, and who is or was
// on its crew.
func (tx *Tx) evidenceOf(runs []int64) (map[int64]evidenceRow, error) {
	rows, err := all[evidenceRow](tx, `SELECT r.id, b.tag, v.body,
			coalesce(s.input ->> 'machine', 'trompe') AS kind, s.input -> 'trompe' IS NOT NULL AND s.input -> 'trompe' <> 'null' AS trompe,
			coalesce(bv.differences ->> '/trompe/downcomer/bore_m', s.input #>> '{trompe,downcomer,bore_m}', '0')::double precision AS bore,
			(SELECT string_agg(DISTINCT c.account_id::text, ',') FROM crew c WHERE c.project_id = b.project_id) AS crew,
			(SELECT coalesce(json_agg(p.setting ORDER BY p.number), '[]') FROM run_points p WHERE p.run_id = r.id) AS settings
		FROM runs r JOIN builds b ON b.id = r.build_id JOIN build_versions bv ON bv.build_id = r.build_id AND bv.number = r.build_version
		JOIN revisions n ON n.id = bv.revision_id JOIN sheets s ON s.revision_id = n.id AND s.number = n.sheet_count
		LEFT JOIN run_verdicts v ON v.run_id = r.id WHERE r.id IN ?`, runs)
	of := map[int64]evidenceRow{}
	for _, r := range rows {
		of[r.ID] = r
	}
	return of, err
}

// EvidenceRun returns a run of the evidence in full, with its readings.
func (tx *Tx) EvidenceRun(id domain.RunID) (domain.Run, error) { return tx.fullRun("id = ?", id) }
