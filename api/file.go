package api

import (
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
)

const (
	filesRoute     = "/api/v1/projects/:project/files"
	uploadPatience = 5 * time.Minute // for 15 MB over a weak connection
)

type hideAnswer struct {
	By      personAnswer `json:"by"`
	At      string       `json:"at"`
	Reason  string       `json:"reason"`
	Keeper  bool         `json:"keeper"`
	Steward bool         `json:"steward"`
}

type fileAnswer struct {
	ID        domain.FileID   `json:"id"`
	Kind      domain.FileKind `json:"kind"`
	MediaType string          `json:"media_type"`
	Name      string          `json:"name"`
	Size      int             `json:"size"`
	Digest    string          `json:"digest"`
	Width     *int            `json:"width"`
	Height    *int            `json:"height"`
	MadeAt    string          `json:"made_at"`
	MadeBy    personAnswer    `json:"made_by"`
	Hidden    bool            `json:"hidden"`
	Hides     []hideAnswer    `json:"hides"`
	Allowed   []domain.Action `json:"allowed_actions"`
}

func newFileAnswer(f domain.File) fileAnswer {
	a := fileAnswer{
		ID: f.ID, Kind: f.Kind, MediaType: f.MediaType, Name: f.Name, Size: f.Size, Digest: hex.EncodeToString(f.Digest),
		MadeAt: instant(f.MadeAt), MadeBy: newPerson(f.MadeBy), Hidden: f.Hidden(), Hides: []hideAnswer{}, Allowed: listed(f.Allowed),
	}
	if f.Kind == domain.PictureFile {
		a.Width, a.Height = &f.Width, &f.Height
	}
	for _, h := range f.Hides {
		a.Hides = append(a.Hides, hideAnswer{newPerson(h.By), instant(h.At), h.Reason, h.Keeper, h.Steward})
	}
	return a
}

func filePath(project domain.ProjectID, id domain.FileID) string {
	return fmt.Sprintf("%s/files/%d", projectPath(project), id)
}

func (s *server) keepFile(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	kind, _, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	if err != nil || kind != domain.AnyBytes && !strings.HasPrefix(kind, "image/") {
		return &httpError{http.StatusUnsupportedMediaType, "wrong-content-type",
			"Send a picture with its own Content-Type, such as image/jpeg, and any other file as application/octet-stream. Nothing was saved."}
	}
	cmd := domain.KeepFile{Project: project, Name: c.QueryParam("name"), Key: c.QueryParam("client_key"), Picture: kind != domain.AnyBytes}
	if cmd.Data, err = readFile(c); err != nil {
		return err
	}
	f, now, err := s.notebook.KeepFile(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, filePath(project, f.ID), newFileAnswer(f))
}

// readFile reads the body of an upload, and lets it take its time.
func readFile(c echo.Context) ([]byte, error) {
	takeTime(c)
	data, err := io.ReadAll(c.Request().Body)
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return nil, tooLarge(domain.FileMost)
	}
	if err != nil {
		return nil, malformed("The connection broke before all of it had arrived. Nothing was saved; send it again.")
	}
	return data, nil
}

func pathFile(c echo.Context) (domain.ProjectID, domain.FileID, error) {
	project, err := pathProject(c)
	if err != nil {
		return 0, 0, err
	}
	id, err := pathID(c, "file", "file")
	return project, domain.FileID(id), err
}

// file answers with the bytes. A browser may keep them, but asks each time
// whether they may still be shown.
func (s *server) file(c echo.Context, who domain.Actor) error {
	project, id, err := pathFile(c)
	if err != nil {
		return err
	}
	variant := domain.FullSize
	if size := c.QueryParam("size"); size == string(domain.Thumb) {
		variant = domain.Thumb
	} else if size != "" {
		return &httpError{http.StatusBadRequest, "malformed-query", "In the address, size can only be thumb, or be left out."}
	}
	f, err := s.notebook.File(c.Request().Context(), who, project, id)
	if err != nil {
		return err
	}
	etag := fmt.Sprintf(`"%x-%s"`, f.Digest, variant)
	h := c.Response().Header()
	h.Set("ETag", etag)
	h.Set("Cache-Control", "private, no-cache")
	if strings.Contains(c.Request().Header.Get("If-None-Match"), etag) {
		return c.NoContent(http.StatusNotModified)
	}
	data, err := s.notebook.FileBytes(c.Request().Context(), who, project, id, variant)
	if err != nil {
		return err
	}
	shown := "attachment"
	if f.Kind == domain.PictureFile {
		shown = "inline"
	}
	h.Set("Content-Disposition", mime.FormatMediaType(shown, map[string]string{"filename": f.Name}))
	return c.Blob(http.StatusOK, f.MediaType, data)
}

type hideFileRequest struct {
	Reason   string `json:"reason"`
	Password string `json:"password"`
}

func (s *server) hideFile(c echo.Context, who domain.Actor) error {
	project, id, err := pathFile(c)
	if err != nil {
		return err
	}
	req, err := decode[hideFileRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.HideFile{Project: project, File: id, Reason: req.Reason, Proof: domain.Proof{Password: req.Password}}
	f, err := s.notebook.HideFile(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return ok(c, newFileAnswer(f))
}
