package archive

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"leat/domain"
)

// Limits is how much an archive may hold.
type Limits struct {
	Files int
	File  int64 // bytes of one file, unpacked
	Total int64 // bytes of all files, unpacked
	Ratio int64 // how many times larger a file may be than it is packed, beyond a first megabyte
}

// Usual is what a server takes.
var Usual = Limits{Files: 20_000, File: 100_000_000, Total: 1_000_000_000, Ratio: 200}

// plainName has no way out of the archive: no drive, no empty part, no part that
// begins with a point.
var plainName = regexp.MustCompile(`^[A-Za-z0-9_-][A-Za-z0-9._-]{0,100}(/[A-Za-z0-9_-][A-Za-z0-9._-]{0,100}){0,3}$`)

// Reader reads an archive that was found to be whole.
type Reader struct {
	files map[string]*zip.File
	most  Limits
}

// Broken is the error of an archive that cannot be used, in words.
func Broken(format string, args ...any) error {
	return &domain.Error{Kind: domain.Invalid, Code: "archive-broken", Message: fmt.Sprintf(format, args...) +
		" Nothing was saved. Download it again where it was made, do not unpack or change it, and send it as it is."}
}

// TooMuch is the error of an archive that is larger than is taken.
func TooMuch(what string) error {
	return &domain.Error{Kind: domain.Invalid, Code: "archive-too-large", Message: "This archive is more than is taken here: " + what + ". Nothing was saved. Ask whoever keeps the server."}
}

// Open looks through a whole archive before anything of it is used. It returns an
// Invalid error that says what is wrong, and where: no zip file, too many or too
// large files, names that lead out of it, files that are missing, that nobody lists
// or that are not what their digests say.
func Open(from io.ReaderAt, size int64, most Limits) (*Reader, error) {
	all, err := zip.NewReader(from, size)
	if errors.Is(err, zip.ErrInsecurePath) {
		return nil, Broken("A file in it has a name that leads out of the archive.")
	}
	if err != nil {
		return nil, Broken("This is no zip file, or not all of one: its end is missing.")
	}
	r := &Reader{files: map[string]*zip.File{}, most: most}
	if err := r.list(all.File); err != nil {
		return nil, err
	}
	return r, r.verify()
}

// list holds what the archive says of its files against the limits.
func (r *Reader) list(files []*zip.File) error {
	if len(files) > r.most.Files {
		return TooMuch(fmt.Sprintf("%d files, where %d are taken", len(files), r.most.Files))
	}
	var total uint64
	for i, f := range files {
		total += f.UncompressedSize64
		switch {
		case !plainName.MatchString(f.Name):
			return Broken("File %d in it has a name that no archive of leat has.", i+1)
		case r.files[f.Name] != nil:
			return Broken("Two files in it are named %s.", f.Name)
		case f.Method != zip.Deflate && f.Method != zip.Store || f.Flags&1 != 0:
			return Broken("%s is packed in a way that leat does not use.", f.Name)
		case f.UncompressedSize64 > uint64(r.most.File) || total > uint64(r.most.Total): //nolint:gosec // limits are positive
			return TooMuch(f.Name + " and what comes before it hold too much")
		case f.UncompressedSize64 > 1<<20+f.CompressedSize64*uint64(r.most.Ratio): //nolint:gosec // limits are positive
			return Broken("%s would grow out of all proportion when it is unpacked.", f.Name)
		}
		r.files[f.Name] = f
	}
	return nil
}

// verify reads every file once and compares it with its digest.
func (r *Reader) verify() error {
	text, err := r.Bytes(Digests)
	if err != nil {
		return err
	}
	listed := map[string]bool{Digests: true}
	for i, line := range strings.Split(strings.TrimSuffix(string(text), "\n"), "\n") {
		sum, name, found := strings.Cut(line, "  ")
		want, err := hex.DecodeString(sum)
		if !found || err != nil || len(want) != sha256.Size || listed[name] {
			return Broken("Line %d of %s is no digest of a file, or a second one.", i+1, Digests)
		}
		listed[name] = true
		if err := r.holds(name, [sha256.Size]byte(want)); err != nil {
			return err
		}
	}
	for name := range r.files {
		if !listed[name] {
			return Broken("%s is in the archive, and %s does not list it.", name, Digests)
		}
	}
	return nil
}

func (r *Reader) holds(name string, want [sha256.Size]byte) error {
	sum := sha256.New()
	if err := r.read(name, sum); err != nil {
		return err
	}
	if [sha256.Size]byte(sum.Sum(nil)) != want {
		return Broken("%s is not the file that was put into the archive: its digest is another one.", name)
	}
	return nil
}

// read copies a file. What it says of its own length is not believed.
func (r *Reader) read(name string, to io.Writer) error {
	f := r.files[name]
	if f == nil {
		return Broken("%s is missing in it.", name)
	}
	from, err := f.Open()
	if err != nil {
		return Broken("%s cannot be unpacked.", name)
	}
	defer func() { _ = from.Close() }()
	n, err := io.Copy(to, io.LimitReader(from, r.most.File+1))
	if err != nil || n > r.most.File {
		return Broken("%s cannot be unpacked: part of the archive is damaged or missing.", name)
	}
	return nil
}

// Bytes returns a file.
func (r *Reader) Bytes(name string) ([]byte, error) {
	var text bytes.Buffer
	err := r.read(name, &text)
	return text.Bytes(), err
}

// Blob returns the file that is named with its SHA-256.
func (r *Reader) Blob(digest string) ([]byte, error) {
	content, err := r.Bytes(Files + "/" + digest)
	if err == nil && digest != fmt.Sprintf("%x", sha256.Sum256(content)) {
		return nil, Broken("%s/%s is not named with its own digest.", Files, digest)
	}
	return content, err
}

// Names lists the files in a folder, without its name, in order.
func (r *Reader) Names(folder string) []string {
	var names []string
	for name := range r.files {
		if rest, within := strings.CutPrefix(name, folder+"/"); within {
			names = append(names, rest)
		}
	}
	slices.Sort(names)
	return names
}
