package api

import (
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"mime"
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"leat/calc"
	"leat/calc/logger"
	"leat/domain"
)

const (
	runRoute      = "/api/v1/projects/:project/builds/:build/runs/:run"
	partRoute     = runRoute + "/files/:file/parts/:part"
	completeRoute = runRoute + "/files/:file/done"
	windowsRoute  = runRoute + "/windows"
	samplesRoute  = "/api/v1/logger/samples"
)

// seriesFile is a file of a logger in a run.
type seriesFile struct {
	ID         domain.SeriesFileID `json:"id"`
	Name       string              `json:"name"`
	Size       int                 `json:"size"`
	SHA256     *string             `json:"sha256"`
	PartBytes  int                 `json:"part_bytes"`
	PartCount  int                 `json:"part_count"`
	Have       []int               `json:"have"`
	AddedBy    personAnswer        `json:"added_by"`
	AddedAt    string              `json:"added_at"`
	CompleteAt *string             `json:"complete_at"`
	Read       *seriesRead         `json:"read"`
}

type seriesRead struct {
	Number    int                 `json:"number"`
	Asked     domain.SeriesAsked  `json:"asked"`
	Report    domain.SeriesReport `json:"report"`
	Certified bool                `json:"certified"`
	ReadBy    personAnswer        `json:"read_by"`
	ReadAt    string              `json:"read_at"`
}

func newSeriesFile(f domain.SeriesFile) seriesFile {
	a := seriesFile{
		ID: f.ID, Name: f.Name, Size: f.Size, PartBytes: domain.PartBytes, PartCount: f.Parts(), Have: listed(f.Have),
		AddedBy: newPerson(f.By), AddedAt: instant(f.At), CompleteAt: instantOrNull(f.CompleteAt),
	}
	if f.Sum != nil {
		sum := hex.EncodeToString(f.Sum)
		a.SHA256 = &sum
	}
	if r := f.Read; r != nil {
		asked := r.Asked
		asked.Without = listed(asked.Without)
		if asked.Units == nil {
			asked.Units = map[string]string{}
		}
		a.Read = &seriesRead{r.Number, asked, r.Report, r.Certified, newPerson(r.By), instant(r.At)}
	}
	return a
}

func seriesFilePath(ref domain.RunRef, id domain.SeriesFileID) string {
	return fmt.Sprintf("%s/files/%d", runPath(ref), id)
}

type itemsAnswer[T any] struct {
	Items []T `json:"items"`
}

func newItems[D, T any](things []D, one func(D) T) itemsAnswer[T] {
	list := itemsAnswer[T]{Items: make([]T, 0, len(things))}
	for _, d := range things {
		list.Items = append(list.Items, one(d))
	}
	return list
}

func (s *server) seriesFiles(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	list, err := s.notebook.SeriesFiles(c.Request().Context(), who, ref)
	if err != nil {
		return err
	}
	return ok(c, newItems(list, newSeriesFile))
}

type addSeriesFileRequest struct {
	Name   string  `json:"name"`
	Size   int64   `json:"size"`
	SHA256 *string `json:"sha256,omitempty"`
	Key    string  `json:"client_key"`
}

func (s *server) addSeriesFile(c echo.Context, who domain.Actor) error {
	ref, err := pathRun(c)
	if err != nil {
		return err
	}
	req, err := decode[addSeriesFileRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.AddSeriesFile{Run: ref, Name: req.Name, Size: int(req.Size), Key: req.Key}
	if req.SHA256 != nil {
		if cmd.Sum, err = hex.DecodeString(*req.SHA256); err != nil {
			cmd.Sum = []byte{} // no sum: the command says so
		}
	}
	f, now, err := s.notebook.AddSeriesFile(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return made(c, now, seriesFilePath(ref, f.ID), newSeriesFile(f))
}

// pathSeriesFile reads what names a file of a run.
func pathSeriesFile(c echo.Context) (domain.RunRef, domain.SeriesFileID, error) {
	ref, err := pathRun(c)
	if err != nil {
		return ref, 0, err
	}
	id, err := pathID(c, "file", "file")
	return ref, domain.SeriesFileID(id), err
}

func (s *server) putSeriesPart(c echo.Context, who domain.Actor) error {
	ref, id, err := pathSeriesFile(c)
	if err != nil {
		return err
	}
	number, err := pathID(c, "part", "part")
	if err == nil && number > math.MaxInt32 {
		err = domain.Missing("part of this file")
	}
	if err != nil {
		return err
	}
	kind, _, err := mime.ParseMediaType(c.Request().Header.Get("Content-Type"))
	if err != nil || kind != domain.AnyBytes {
		return &httpError{http.StatusUnsupportedMediaType, "wrong-content-type", "Send the bytes of the part as application/octet-stream. Nothing was saved."}
	}
	takeTime(c)
	data, err := io.ReadAll(c.Request().Body)
	if _, large := errors.AsType[*http.MaxBytesError](err); large {
		return tooLarge(domain.PartBytes)
	}
	if err != nil {
		return malformed("The connection broke before all of this part had arrived. Nothing of it was saved; send the part again.")
	}
	f, err := s.notebook.PutSeriesPart(c.Request().Context(), who, domain.PutSeriesPart{Run: ref, File: id, Number: int(number), Bytes: data})
	if err != nil {
		return err
	}
	return ok(c, newSeriesFile(f))
}

type completeSeriesFileRequest struct {
	Units   map[string]string `json:"units,omitempty"`
	Zone    string            `json:"zone,omitempty"`
	Time    string            `json:"time,omitempty"`
	Without []string          `json:"without,omitempty"`
}

func (s *server) completeSeriesFile(c echo.Context, who domain.Actor) error {
	ref, id, err := pathSeriesFile(c)
	if err != nil {
		return err
	}
	req, err := decode[completeSeriesFileRequest](c)
	if err != nil {
		return err
	}
	takeTime(c)
	cmd := domain.CompleteSeriesFile{Run: ref, File: id, Asked: domain.SeriesAsked(req)}
	f, err := s.notebook.CompleteSeriesFile(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	return ok(c, newSeriesFile(f))
}

func (s *server) seriesFile(c echo.Context, who domain.Actor) error {
	ref, id, err := pathSeriesFile(c)
	if err != nil {
		return err
	}
	f, err := s.notebook.SeriesFile(c.Request().Context(), who, ref, id)
	if err != nil {
		return err
	}
	return ok(c, newSeriesFile(f))
}

// seriesChart is a channel in few points. Values are null where they are missing.
type seriesChart struct {
	Channel  string          `json:"channel"`
	Unit     string          `json:"unit"`
	FileUnit string          `json:"file_unit"`
	Counted  string          `json:"counted"`
	Start    *string         `json:"start"`
	Times    []float64       `json:"t_s"`
	Values   []*float64      `json:"values"`
	Window   *logger.Summary `json:"window"`
}

func newSeriesChart(d domain.SeriesChart) seriesChart {
	a := seriesChart{
		Channel: d.Channel.Name, Unit: d.Channel.Unit, FileUnit: d.Channel.FileUnit, Counted: d.Channel.Counted,
		Times: listed(d.Times), Values: make([]*float64, len(d.Values)), Window: d.Summary,
	}
	if !d.Start.IsZero() {
		start := instant(d.Start)
		a.Start = &start
	}
	for i, v := range d.Values {
		a.Values[i] = calc.OrNull(v)
	}
	return a
}

// chartWish reads what a chart is to show.
func chartWish(c echo.Context) (domain.ChartWish, error) {
	wish := domain.Whole(c.QueryParam("channel"))
	points, err := queryNumber(c, "points", logger.MostPoints)
	if err == nil && points == 1 {
		err = malformedQuery("points", "one whole number from 2 to 2000")
	}
	if err != nil {
		return wish, err
	}
	if points > 0 {
		wish.Points = int(points)
	}
	switch given := c.QueryParams()["window"]; {
	case len(given) == 1 && given[0] == "true":
		wish.Summary = true
	case len(given) > 0 && (len(given) > 1 || given[0] != "false"):
		return wish, malformedQuery("window", "one true or false")
	}
	if wish.From, err = queryTime(c, "from", wish.From); err != nil {
		return wish, err
	}
	wish.To, err = queryTime(c, "to", wish.To)
	return wish, err
}

func malformedQuery(name, wanted string) error {
	return &httpError{http.StatusBadRequest, "malformed-query", fmt.Sprintf("In the address, %s must be %s.", name, wanted)}
}

// queryTime reads a time in s, and the preset when it isn't given.
func queryTime(c echo.Context, name string, preset float64) (float64, error) {
	given, ok := c.QueryParams()[name]
	if !ok {
		return preset, nil
	}
	t, err := strconv.ParseFloat(given[0], 64)
	if err != nil || len(given) > 1 || math.IsNaN(t) || math.IsInf(t, 0) {
		return 0, malformedQuery(name, "one time in seconds from the start of the series")
	}
	return t, nil
}

func (s *server) seriesChart(c echo.Context, who domain.Actor) error {
	ref, id, err := pathSeriesFile(c)
	if err != nil {
		return err
	}
	wish, err := chartWish(c)
	if err != nil {
		return err
	}
	takeTime(c)
	d, err := s.notebook.SeriesChart(c.Request().Context(), who, ref, id, wish)
	if err != nil {
		return err
	}
	return ok(c, newSeriesChart(d))
}

// takeTime lets a request take as long as an upload may: it brings much over a
// weak connection, or waits for its turn to read a large file.
func takeTime(c echo.Context) {
	deadlines := http.NewResponseController(c.Response())
	_ = deadlines.SetReadDeadline(time.Now().Add(uploadPatience)) // where there is none, nothing ends it
	_ = deadlines.SetWriteDeadline(time.Now().Add(uploadPatience + patience))
}

// room is how much a request may bring, and whether it may take as long as an
// upload.
func room(c echo.Context) (most int64, long bool) {
	switch c.Request().Method + " " + c.Path() {
	case http.MethodPost + " " + filesRoute:
		return domain.FileMost, true
	case http.MethodPost + " " + importRoute:
		return domain.ArchiveMost, true
	case http.MethodPut + " " + partRoute:
		return domain.PartBytes, true
	case http.MethodPost + " " + completeRoute, http.MethodPost + " " + windowsRoute, http.MethodGet + " " + runRoute + "/files/:file/chart",
		http.MethodGet + " " + runRoute + "/loggers", http.MethodGet + " " + runRoute + "/loggers/:logger/chart":
		return bodyMost, true
	case http.MethodPost + " " + samplesRoute:
		return domain.LoggerBodyMost, false
	}
	return bodyMost, false
}
