package api

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

const importRoute = "/api/v1/projects/import"

// importProject brings in a project. The archive goes into a file of its own first:
// nothing of it is looked at before all of it is there.
func (s *server) importProject(c echo.Context, who domain.Actor) error {
	if err := s.notebook.MayImport(c.Request().Context(), who); err != nil {
		return err
	}
	_ = http.NewResponseController(c.Response()).SetReadDeadline(time.Now().Add(exportPatience)) // where there is none, nothing ends it
	_ = http.NewResponseController(c.Response()).SetWriteDeadline(time.Now().Add(exportPatience + patience))
	parts, err := c.Request().MultipartReader()
	if err != nil {
		return &httpError{http.StatusUnsupportedMediaType, "wrong-content-type",
			"Send a form (multipart/form-data) with client_key, password and, last, the archive. Nothing was saved."}
	}
	file, err := os.CreateTemp("", "leat-import-")
	if err != nil {
		return fmt.Errorf("api: make a file for an archive: %w", err)
	}
	defer func() { _ = file.Close() }()
	if err := os.Remove(file.Name()); err != nil { // it has no name from here on: of a server that is killed nothing is left lying about
		return fmt.Errorf("api: take the name from the file of an archive: %w", err)
	}
	cmd, size, err := readImport(parts, file)
	if err != nil {
		return err
	}
	p, now, err := s.notebook.ImportProject(c.Request().Context(), who, cmd, file, size)
	if err != nil {
		return err
	}
	setETag(c, p.Version)
	return made(c, now, projectPath(p.ID), newProject(p))
}

// readImport reads the form: its fields first, then the archive.
func readImport(parts *multipart.Reader, file io.Writer) (cmd domain.ImportProject, size int64, err error) {
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return cmd, size, nil
		}
		if err != nil {
			return cmd, 0, brokenUpload(err)
		}
		if part.FormName() == "archive" {
			if size, err = io.Copy(file, part); err != nil {
				return cmd, 0, brokenUpload(err)
			}
			continue
		}
		text, err := io.ReadAll(io.LimitReader(part, 1<<12))
		if err != nil {
			return cmd, 0, brokenUpload(err)
		}
		switch part.FormName() {
		case "client_key":
			cmd.Key = string(text)
		case "password":
			cmd.Proof.Password = string(text)
		case "again":
			cmd.Again = string(text) == "true"
		default:
			return cmd, 0, malformed("This form has client_key, password, again and archive, and no other field. Nothing was saved.")
		}
	}
}

func brokenUpload(err error) error {
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return tooLarge(domain.ArchiveMost)
	}
	return malformed("The connection broke before all of it had arrived. Nothing was saved; send it again.")
}
