package notebook

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"leat/domain"
	"leat/domain/archive"
	"leat/domain/picture"
)

// fileArchived is a file as the rows of an archive have it.
type fileArchived struct {
	Kind      domain.FileKind `json:"kind"`
	MediaType string          `json:"media_type"`
	Name      string          `json:"name"`
	Size      int             `json:"size"`
	Digest    string          `json:"digest"` // as the database writes bytes in JSON
	Width     int             `json:"width"`
	Height    int             `json:"height"`

	bodies map[domain.Variant]string // digests of its bytes
	hides  int
}

// lookAtFiles looks at the files of an archive as if they were sent now: pictures
// must be what leat makes of pictures, and other files none. What the rows must be
// else is looked at when they are kept.
func (n *Notebook) lookAtFiles(ctx context.Context, rows archive.Project, whole *archive.Reader) error {
	files, err := filesArchived(rows)
	if err != nil {
		return err
	}
	if err := n.opening.take(ctx); err != nil {
		return err
	}
	defer n.opening.end()
	for i, f := range files {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		why, err := f.unfit(whole)
		if err != nil {
			return err
		}
		if why != "" {
			return archive.Unfit("files", i+1, fmt.Sprintf("the file “%s” %s", f.Name, why))
		}
	}
	return nil
}

// filesArchived gathers the files of an archive from its rows.
func filesArchived(rows archive.Project) ([]fileArchived, error) {
	files := make([]fileArchived, len(rows.Rows("files")))
	for i, row := range rows.Rows("files") {
		if err := decodeRow(row, &files[i]); err != nil {
			return nil, archive.Unfit("files", i+1, "it is no row of a file")
		}
		files[i].bodies = map[domain.Variant]string{}
	}
	for _, table := range []string{"file_bodies", "file_hides"} {
		for i, row := range rows.Rows(table) {
			var of struct {
				File    int            `json:"file_id"`
				Variant domain.Variant `json:"variant"`
				Bytes   string         `json:"bytes"`
			}
			if err := decodeRow(row, &of); err != nil || of.File < 1 || of.File > len(files) {
				return nil, archive.Unfit(table, i+1, "file_id names a row of files that is not there")
			}
			if f := &files[of.File-1]; table == "file_hides" {
				f.hides++
			} else {
				f.bodies[of.Variant] = of.Bytes
			}
		}
	}
	return files, nil
}

func decodeRow(row archive.Row, to any) error {
	text, err := json.Marshal(row)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, to)
}

// unfit says why a file cannot be used, or nothing.
func (f fileArchived) unfit(whole *archive.Reader) (why string, err error) {
	if f.hides == 2 {
		if len(f.bodies) > 0 {
			return "was hidden, and its bytes are still there", nil
		}
		return "", nil
	}
	p := picture.Picture{MediaType: f.MediaType, Width: f.Width, Height: f.Height}
	if p.Full, err = f.bytes(whole, domain.FullSize); err != nil {
		return "", err
	}
	if len(p.Full) != f.Size || f.Digest != `\x`+f.bodies[domain.FullSize] {
		return "has not the bytes that its size and digest tell of", nil
	}
	if f.Kind != domain.PictureFile {
		if picture.Looks(p.Full) {
			return "is a picture, which may say where it was taken, and leat would have made it anew", nil
		}
		return "", nil
	}
	if p.Thumb, err = f.bytes(whole, domain.Thumb); err != nil {
		return "", err
	}
	return pictureUnfit(p.Check())
}

// bytes returns the bytes of a file in a size; nothing where it has none.
func (f fileArchived) bytes(whole *archive.Reader, variant domain.Variant) ([]byte, error) {
	if f.bodies[variant] == "" {
		return nil, nil
	}
	return whole.Blob(f.bodies[variant])
}

// pictureUnfit says why a picture is not one that leat made.
func pictureUnfit(err error) (why string, other error) {
	switch {
	case errors.Is(err, picture.ErrOther):
		return "is no picture of its type, or has no thumbnail", nil
	case errors.Is(err, picture.ErrLarge):
		return "has more pixels than leat keeps", nil
	case errors.Is(err, picture.ErrSize):
		return "has another width or height than its row says, or its thumbnail has", nil
	case errors.Is(err, picture.ErrMore):
		return "holds more than pixels, such as where it was taken, which leat leaves out of every picture", nil
	case errors.Is(err, picture.ErrBroken):
		return "is a damaged picture", nil
	}
	return "", err
}
