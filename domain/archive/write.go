package archive

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"hash"
	"io"
	"slices"
	"strings"
	"time"
)

// Digests is the name of the file that has a line for every other file: its
// SHA-256 (FIPS 180-4) in hexadecimal, two spaces, its name.
const Digests = "digests.txt"

// Writer writes an archive.
type Writer struct {
	zip  *zip.Writer
	at   time.Time
	sums map[string]hash.Hash
}

// NewWriter begins an archive whose files are of a moment.
func NewWriter(to io.Writer, at time.Time) *Writer {
	return &Writer{zip: zip.NewWriter(to), at: at, sums: map[string]hash.Hash{}}
}

// Add adds a file. A name that was added before is an error.
func (w *Writer) Add(name string, content []byte) error {
	if _, there := w.sums[name]; there || !plainName.MatchString(name) {
		return fmt.Errorf("archive: a file cannot be named %q, or two are", name)
	}
	sum := sha256.New()
	w.sums[name] = sum
	return w.write(name, io.TeeReader(bytes.NewReader(content), sum))
}

// AddJSON adds a thing as JSON, indented for people to read.
func (w *Writer) AddJSON(name string, thing any) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(thing); err != nil {
		return fmt.Errorf("archive: encode %s: %w", name, err)
	}
	return w.Add(name, text.Bytes())
}

// Has tells whether a file was added under this name.
func (w *Writer) Has(name string) bool { _, there := w.sums[name]; return there }

func (w *Writer) write(name string, from io.Reader) error {
	to, err := w.zip.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: w.at})
	if err == nil {
		_, err = io.Copy(to, from)
	}
	if err != nil {
		return fmt.Errorf("archive: write %s: %w", name, err)
	}
	return nil
}

// Close adds the digests of all files and ends the archive.
func (w *Writer) Close() error {
	names := make([]string, 0, len(w.sums))
	for name := range w.sums {
		names = append(names, name)
	}
	slices.Sort(names)
	var text strings.Builder
	for _, name := range names {
		fmt.Fprintf(&text, "%x  %s\n", w.sums[name].Sum(nil), name)
	}
	if err := w.write(Digests, strings.NewReader(text.String())); err != nil {
		return err
	}
	return w.zip.Close()
}
