package store

import (
	"time"

	"leat/domain"
)

type fileRow struct {
	ID        int64     `gorm:"column:id"`
	Project   int64     `gorm:"column:project_id"`
	Entry     int64     `gorm:"column:entry_id"` // 0 when it was asked for by itself
	Kind      string    `gorm:"column:kind"`
	MediaType string    `gorm:"column:media_type"`
	Name      string    `gorm:"column:name"`
	Size      int       `gorm:"column:size"`
	Digest    []byte    `gorm:"column:digest"`
	Width     *int      `gorm:"column:width"`
	Height    *int      `gorm:"column:height"`
	MadeBy    int64     `gorm:"column:made_by"`
	MadeAt    time.Time `gorm:"column:made_at"`
	Maker     string    `gorm:"column:maker"`
}

const fileColumns = "f.id, f.project_id, f.kind, f.media_type, f.name, f.size, f.digest, f.width, f.height, f.made_by, f.made_at, a.name AS maker"

func (r fileRow) file() domain.File {
	f := domain.File{
		ID: domain.FileID(r.ID), Project: domain.ProjectID(r.Project), Kind: domain.FileKind(r.Kind), MediaType: r.MediaType, Name: r.Name,
		Size: r.Size, Digest: r.Digest, MadeBy: domain.Person{ID: domain.AccountID(r.MadeBy), Name: r.Maker}, MadeAt: r.MadeAt.UTC(),
	}
	if r.Width != nil && r.Height != nil {
		f.Width, f.Height = *r.Width, *r.Height
	}
	return f
}

// File returns what is known of a file of a project, without its bytes.
func (tx *Tx) File(project domain.ProjectID, id domain.FileID) (domain.File, error) {
	row, err := one[fileRow](tx, "file", "SELECT "+fileColumns+" FROM files f JOIN accounts a ON a.id = f.made_by WHERE f.project_id = ? AND f.id = ?", project, id)
	if err != nil {
		return domain.File{}, err
	}
	hides, err := tx.hides([]int64{row.ID})
	f := row.file()
	f.Hides = hides[f.ID]
	return f, err
}

// FileOfKey returns the file that somebody kept under a key, and a NotFound
// error when there is none.
func (tx *Tx) FileOfKey(who domain.AccountID, project domain.ProjectID, key string) (domain.File, error) {
	type kept struct {
		ID      domain.FileID    `gorm:"column:id"`
		Project domain.ProjectID `gorm:"column:project_id"`
	}
	k, err := one[kept](tx, "file", "SELECT id, project_id FROM files WHERE made_by = ? AND client_key = ?", who, key)
	if err == nil && k.Project != project {
		err = keyUsed("a file of another project", "send it again")
	}
	if err != nil {
		return domain.File{}, err
	}
	return tx.File(project, k.ID)
}

// filesOf returns the files of entries, with who signed that they must go.
func (tx *Tx) filesOf(entries []int64) (map[domain.EntryID][]domain.File, error) {
	of := map[domain.EntryID][]domain.File{}
	if len(entries) == 0 {
		return of, nil
	}
	rows, err := all[fileRow](tx, "SELECT l.entry_id, "+fileColumns+` FROM log_files l JOIN files f ON f.id = l.file_id JOIN accounts a ON a.id = f.made_by
		WHERE l.entry_id IN ? ORDER BY l.entry_id, l.position`, entries)
	if err != nil || len(rows) == 0 {
		return of, err
	}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	hides, err := tx.hides(ids)
	for _, r := range rows {
		f := r.file()
		f.Hides = hides[f.ID]
		of[domain.EntryID(r.Entry)] = append(of[domain.EntryID(r.Entry)], f)
	}
	return of, err
}

// hides returns who signed that files must go, in order.
func (tx *Tx) hides(files []int64) (map[domain.FileID][]domain.FileHide, error) {
	type hideRow struct {
		File    int64     `gorm:"column:file_id"`
		Reason  string    `gorm:"column:reason"`
		Keeper  bool      `gorm:"column:keeper"`
		Steward bool      `gorm:"column:steward"`
		Who     int64     `gorm:"column:who"`
		Name    string    `gorm:"column:name"`
		At      time.Time `gorm:"column:at"`
	}
	rows, err := all[hideRow](tx, `SELECT h.file_id, h.reason, h.keeper, h.steward, h.who, a.name, h.at
		FROM file_hides h JOIN accounts a ON a.id = h.who WHERE h.file_id IN ? ORDER BY h.file_id, h.number`, files)
	of := map[domain.FileID][]domain.FileHide{}
	for _, r := range rows {
		by := domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}
		of[domain.FileID(r.File)] = append(of[domain.FileID(r.File)], domain.FileHide{By: by, At: r.At.UTC(), Reason: r.Reason, Keeper: r.Keeper, Steward: r.Steward})
	}
	return of, err
}

// FileBytes returns the bytes of a file, and a NotFound error when it has none
// in this size.
func (tx *Tx) FileBytes(project domain.ProjectID, id domain.FileID, variant domain.Variant) ([]byte, error) {
	type body struct {
		Bytes []byte `gorm:"column:bytes"`
	}
	b, err := one[body](tx, "file in this size", `SELECT b.bytes FROM file_bodies b JOIN files f ON f.id = b.file_id
		WHERE f.project_id = ? AND f.id = ? AND b.variant = ?`, project, id, variant)
	return b.Bytes, err
}

// KeepFile keeps a file with its bytes. When the client's key was used before
// it returns the file of that time, and made is false.
func (tx *Tx) KeepFile(permit domain.Permit, f domain.File, bodies map[domain.Variant][]byte, key string) (kept domain.File, made bool, err error) {
	if err := permit.For(domain.AddFile); err != nil {
		return kept, false, err
	}
	ids, err := all[domain.FileID](tx, `INSERT INTO files (project_id, kind, media_type, name, size, digest, width, height, made_by, made_at, client_key)
		VALUES (?, ?, ?, ?, ?, ?, nullif(?, 0), nullif(?, 0), ?, ?, ?) ON CONFLICT (made_by, client_key) DO NOTHING RETURNING id`,
		permit.Project(), f.Kind, f.MediaType, f.Name, f.Size, f.Digest, f.Width, f.Height, permit.Account(), f.MadeAt, key)
	if err != nil {
		return kept, false, err
	}
	if len(ids) == 0 {
		kept, err = tx.FileOfKey(permit.Account(), permit.Project(), key)
		return kept, false, err
	}
	for variant, bytes := range bodies {
		if _, err := run(tx, "INSERT INTO file_bodies (file_id, variant, bytes) VALUES (?, ?, ?)", ids[0], variant, bytes); err != nil {
			return kept, false, err
		}
	}
	kept, err = tx.File(permit.Project(), ids[0])
	return kept, true, err
}

// HideFile adds the signature of somebody who wants a file hidden. With the
// second one its bytes go.
func (tx *Tx) HideFile(permit domain.Permit, f domain.File, h domain.FileHide) error {
	if err := permit.For(domain.HideFiles); err != nil {
		return err
	}
	s := signature{kind: domain.LinkFileHide, who: permit.Account(), project: permit.Project(), at: h.At}
	err := tx.sign(s, func(link int64) error {
		_, err := run(tx, "INSERT INTO file_hides (file_id, number, reason, keeper, steward, who, at, link) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
			f.ID, len(f.Hides)+1, h.Reason, h.Keeper, h.Steward, permit.Account(), h.At, link)
		return err
	})
	if err != nil || len(f.Hides) == 0 {
		return err
	}
	_, err = run(tx, "DELETE FROM file_bodies WHERE file_id = ?", f.ID)
	return err
}

// WaitingHides returns the files that one has signed must go, and that somebody
// could sign as the second.
func (tx *Tx) WaitingHides(who domain.Actor) ([]domain.File, error) {
	rows, err := all[fileRow](tx, "SELECT "+fileColumns+` FROM files f JOIN accounts a ON a.id = f.made_by
		JOIN file_hides h ON h.file_id = f.id AND h.number = 1 AND h.who <> ?
		JOIN accounts me ON me.id = ? AND me.closed_at IS NULL AND (h.keeper AND me.steward OR h.steward AND me.keeper)
		WHERE NOT EXISTS (SELECT 1 FROM file_hides s WHERE s.file_id = f.id AND s.number = 2) ORDER BY f.id`, who.Account, who.Account)
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	files, ids := make([]domain.File, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		files[i], ids[i] = r.file(), r.ID
	}
	hides, err := tx.hides(ids)
	for i := range files {
		files[i].Hides = hides[files[i].ID]
	}
	return files, err
}
