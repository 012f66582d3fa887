package api

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"regexp"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"leat/domain"
	"leat/domain/archive"
)

// parcel is an export while it is made: the files, and what the readme says of each.
type parcel struct {
	s      *server
	c      echo.Context
	who    domain.Actor
	zip    *archive.Writer
	title  string // what is in it
	group  string
	at     time.Time
	about  [][2]string // name of a file, and what it is
	tables *tables
}

// add adds a thing as JSON.
func (p *parcel) add(name, about string, thing any) error {
	p.about = append(p.about, [2]string{name, about})
	return p.zip.AddJSON(name, thing)
}

// export makes an archive in a file of its own and sends it when it is whole: what
// fails on the way is told as a problem, and a slow connection holds nothing up.
func (s *server) export(c echo.Context, who domain.Actor, fill func(*parcel) (name string, err error)) error {
	file, err := os.CreateTemp("", "leat-export-")
	if err != nil {
		return fmt.Errorf("api: make a file for an export: %w", err)
	}
	defer func() { _ = errors.Join(file.Close(), os.Remove(file.Name())) }()
	group, err := s.notebook.Group(c.Request().Context(), who)
	if err != nil {
		return err
	}
	now := time.Now().UTC()
	p := &parcel{s: s, c: c, who: who, zip: archive.NewWriter(file, now), group: group.Settings.Name, at: now, tables: newTables()}
	name, err := fill(p)
	if err == nil {
		err = p.close()
	}
	if err != nil {
		return err
	}
	return sendFile(c, file, name+".zip")
}

// close adds the tables and the readme.
func (p *parcel) close() error {
	for _, t := range p.tables.all() {
		if t.Rows() == 0 {
			continue
		}
		text, err := t.Text()
		if err == nil {
			err = p.zip.Add(t.Name, text)
		}
		if err != nil {
			return err
		}
	}
	if err := p.zip.Add("readme.txt", []byte(p.readme())); err != nil {
		return err
	}
	return p.zip.Close()
}

func sendFile(c echo.Context, file *os.File, name string) error {
	size, err := file.Seek(0, io.SeekEnd)
	if err == nil {
		_, err = file.Seek(0, io.SeekStart)
	}
	if err != nil {
		return fmt.Errorf("api: read an export: %w", err)
	}
	_ = http.NewResponseController(c.Response()).SetWriteDeadline(time.Now().Add(exportPatience)) // where there is none, nothing ends it
	h := c.Response().Header()
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
	h.Set("Content-Length", fmt.Sprint(size))
	return c.Stream(http.StatusOK, zipped, file)
}

const (
	zipped         = "application/zip"
	exportPatience = 30 * time.Minute // for an export to be made, and to arrive over a weak connection
)

// moves tells whether a request takes something along as a whole.
func moves(c echo.Context) bool {
	return strings.HasSuffix(c.Path(), "/export") || c.Path() == importRoute
}

var oddInName = regexp.MustCompile(`[^a-z0-9]+`)

// fileName makes a name that every file system takes.
func fileName(title string) string {
	name := strings.Trim(oddInName.ReplaceAllString(strings.ToLower(title), "-"), "-")
	if len(name) > 60 {
		name = strings.Trim(name[:60], "-")
	}
	if name == "" {
		return "untitled"
	}
	return name
}

func (s *server) exportRun(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	return s.export(c, who, func(p *parcel) (string, error) {
		b, err := s.notebook.Build(c.Request().Context(), who, ref.Project, ref.Build)
		if err != nil {
			return "", err
		}
		p.title = fmt.Sprintf("run %d of machine no. %d, “%s”", ref.Number, b.Tag, b.Title)
		return fmt.Sprintf("%s-run-%d", fileName(b.Title), ref.Number), p.run(b, ref, "")
	})
}

func (s *server) exportBuild(c echo.Context, who domain.Actor) error {
	project, id, err := pathBuild(c)
	if err != nil {
		return err
	}
	return s.export(c, who, func(p *parcel) (string, error) {
		b, err := s.notebook.Build(c.Request().Context(), who, project, id)
		if err != nil {
			return "", err
		}
		p.title = fmt.Sprintf("machine no. %d, “%s”, with its tests, certificates, runs and log", b.Tag, b.Title)
		return fmt.Sprintf("%s-machine-%d", fileName(b.Title), b.Tag), p.build(b, "")
	})
}

func (s *server) exportProject(c echo.Context, who domain.Actor) error {
	id, err := pathProject(c)
	if err != nil {
		return err
	}
	return s.export(c, who, func(p *parcel) (string, error) {
		project, err := s.notebook.Project(c.Request().Context(), who, id)
		if err != nil {
			return "", err
		}
		p.title = "the project “" + project.Title + "”: site, designs, checks, machines, tests, runs and log"
		return fileName(project.Title), p.project(project)
	})
}
