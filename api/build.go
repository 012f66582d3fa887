package api

import (
	"encoding/hex"
	"fmt"
	"math"

	"github.com/labstack/echo/v4"

	"leat/calc/asbuilt"
	"leat/calc/draw"
	"leat/calc/sheet"
	"leat/domain"
)

// buildHead is a build in a list.
type buildHead struct {
	ID          domain.BuildID    `json:"id"`
	Project     domain.ProjectID  `json:"project"`
	Tag         int               `json:"tag"`
	Title       string            `json:"title"`
	Design      domain.DesignID   `json:"design"`
	DesignTitle string            `json:"design_title"`
	Letter      string            `json:"letter"`
	Revision    domain.State      `json:"revision_state"`
	State       domain.BuildState `json:"state"`
	Place       string            `json:"place"`
	StartedAt   string            `json:"started_at"`
	StartedBy   personAnswer      `json:"started_by"`
	Version     int64             `json:"version"`
	Newest      int               `json:"newest"`
	Marks       []said            `json:"marks"`
}

// said is a short code with its words.
type said struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

func newBuildHead(b domain.Build) buildHead {
	a := buildHead{
		b.ID, b.Project, b.Tag, b.Title, b.Design, b.DesignTitle, b.Letter, b.Revision, b.State, b.Place,
		instant(b.StartedAt), newPerson(b.StartedBy), b.Version, b.Newest, []said{},
	}
	for _, m := range b.Marks() {
		a.Marks = append(a.Marks, said(m))
	}
	return a
}

type buildsAnswer struct {
	listAnswer[buildHead]
	Allowed []domain.Action `json:"allowed_actions"`
}

// buildVersionHead is a build as it stood, in a list.
type buildVersionHead struct {
	Number       int                `json:"number"`
	Letter       string             `json:"letter"`
	Differences  map[string]float64 `json:"differences"`
	Renewed      map[string]int     `json:"renewed"`
	Place        string             `json:"place"`
	Moves        int                `json:"moves"`
	CalcVersion  string             `json:"calc_version"`
	PressureHash string             `json:"pressure_hash"`
	Note         string             `json:"note"`
	MadeBy       personAnswer       `json:"made_by"`
	MadeAt       string             `json:"made_at"`
}

func newBuildVersion(v domain.BuildVersion) buildVersionHead {
	return buildVersionHead{
		v.Number, v.Letter, v.Differences, v.Renewed, v.Place, v.Moves, v.CalcVersion, hex.EncodeToString(v.PressureHash[:]),
		v.Note, newPerson(v.MadeBy), instant(v.MadeAt),
	}
}

// buildNow is the machine as it stands.
type buildNow struct {
	buildVersionHead
	Sheet   sheetRef     `json:"sheet"`
	Input   sheet.Input  `json:"input"`
	Report  sheet.Report `json:"report"`
	Drawing draw.Drawing `json:"drawing"`
}

type builderAnswer struct {
	Account *domain.AccountID `json:"account"`
	Name    string            `json:"name"`
	AddedBy personAnswer      `json:"added_by"`
	AddedAt string            `json:"added_at"`
}

type buildStep struct {
	State  domain.BuildState `json:"state"`
	Reason string            `json:"reason"`
	Who    personAnswer      `json:"who"`
	At     string            `json:"at"`
}

type buildWay struct {
	State domain.BuildState `json:"state"`
	Lacks string            `json:"lacks"`
}

type buildAnswer struct {
	buildHead
	Now         buildNow           `json:"now"`
	Versions    []buildVersionHead `json:"versions"`
	Builders    []builderAnswer    `json:"builders"`
	States      []buildStep        `json:"states"`
	Certificate validity           `json:"certificate"`
	Ways        []buildWay         `json:"ways"`
	MayDiffer   []asbuilt.Place    `json:"may_differ"`
	Renewable   []string           `json:"renewable"`
	Label       label              `json:"label"`
	Allowed     []domain.Action    `json:"allowed_actions"`
}

type validity struct {
	Valid   bool     `json:"valid"`
	Reasons []string `json:"reasons"`
}

// label is what is printed and stuck on the machine.
type label struct {
	URL  string   `json:"url"`
	Rows []string `json:"rows"`
}

// newBuild answers a build in full.
func (s *server) newBuild(b domain.Build) (buildAnswer, error) {
	qr, err := s.labelOf(b.Tag)
	a := buildAnswer{
		buildHead: newBuildHead(b), Now: newBuildNow(*b.Now), Versions: []buildVersionHead{}, Builders: []builderAnswer{}, States: []buildStep{},
		Certificate: validity{b.Certificate.Valid, listed(b.Certificate.Reasons)}, Ways: []buildWay{},
		MayDiffer: asbuilt.Places(b.Drawn), Renewable: listed(asbuilt.Renewable(b.Drawn)), Label: qr, Allowed: listed(b.Allowed),
	}
	for _, v := range b.Versions {
		a.Versions = append(a.Versions, newBuildVersion(v))
	}
	for _, p := range b.Builders {
		a.Builders = append(a.Builders, newBuilder(p))
	}
	for _, st := range b.States {
		a.States = append(a.States, buildStep{st.State, st.Reason, newPerson(st.Who), instant(st.At)})
	}
	for _, w := range b.Ways() {
		a.Ways = append(a.Ways, buildWay(w))
	}
	return a, err
}

func newBuildNow(v domain.BuildVersion) buildNow {
	ref := sheetRef{Design: v.Sheet.Design, Letter: v.Sheet.Letter, Number: int32(v.Sheet.Number)} //nolint:gosec // an integer in the database
	return buildNow{newBuildVersion(v), ref, v.Input, v.Report, draw.Sheet(v.Input, v.Report)}
}

func newBuilder(p domain.Builder) builderAnswer {
	a := builderAnswer{Name: p.Name, AddedBy: newPerson(p.AddedBy), AddedAt: instant(p.AddedAt)}
	if p.Account != 0 {
		a.Account = &p.Account
	}
	return a
}

func buildPath(project domain.ProjectID, id domain.BuildID) string {
	return fmt.Sprintf("%s/builds/%d", projectPath(project), id)
}

// pathBuild reads the two ids of a build.
func pathBuild(c echo.Context) (domain.ProjectID, domain.BuildID, error) {
	project, err := pathProject(c)
	if err != nil {
		return 0, 0, err
	}
	id, err := pathID(c, "build", "build")
	return project, domain.BuildID(id), err
}

func (s *server) builds(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	p, err := page(c, math.MaxInt64)
	if err != nil {
		return err
	}
	list, allowed, err := s.notebook.Builds(c.Request().Context(), who, project, p)
	if err != nil {
		return err
	}
	return ok(c, buildsAnswer{newList(list, p, newBuildHead, func(b domain.Build) int64 { return int64(b.ID) }), listed(allowed)})
}

func (s *server) build(c echo.Context, who domain.Actor) error {
	project, id, err := pathBuild(c)
	if err != nil {
		return err
	}
	b, err := s.notebook.Build(c.Request().Context(), who, project, id)
	return s.answerBuild(c, b, err)
}

// answerBuild answers a build in full, or why there is none.
func (s *server) answerBuild(c echo.Context, b domain.Build, err error) error {
	if err != nil {
		return err
	}
	a, err := s.newBuild(b)
	if err != nil {
		return err
	}
	setETag(c, b.Version)
	return ok(c, a)
}

// taggedBuild answers the build that a label is stuck on.
func (s *server) taggedBuild(c echo.Context, who domain.Actor) error {
	tag, err := pathNumber(c, "tag", "machine with this number")
	if err != nil {
		return err
	}
	b, err := s.notebook.BuildWithTag(c.Request().Context(), who, tag)
	return s.answerBuild(c, b, err)
}

type startBuildRequest struct {
	Title  string          `json:"title"`
	Design domain.DesignID `json:"design"`
	Letter string          `json:"letter"`
	Place  string          `json:"place"`
	Note   string          `json:"note,omitempty"`
	Key    string          `json:"client_key"`
}

func (s *server) startBuild(c echo.Context, who domain.Actor) error {
	project, err := pathProject(c)
	if err != nil {
		return err
	}
	req, err := decode[startBuildRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.StartBuild{Project: project, Title: req.Title, Design: req.Design, Letter: req.Letter, Place: req.Place, Note: req.Note, Key: req.Key}
	b, now, err := s.notebook.StartBuild(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	a, err := s.newBuild(b)
	if err != nil {
		return err
	}
	setETag(c, b.Version)
	return made(c, now, buildPath(project, b.ID), a)
}

// changeBuildRequest says how a machine stands now. What is left out stays.
type changeBuildRequest struct {
	Rebuild     *revisionRef         `json:"rebuild,omitempty"`
	Differences *map[string]*float64 `json:"differences,omitempty"`
	Renewed     []string             `json:"renewed,omitempty"`
	Place       *string              `json:"place,omitempty"`
	Note        string               `json:"note,omitempty"`
}

// revisionRef names a revision of the project.
type revisionRef struct {
	Design domain.DesignID `json:"design"`
	Letter string          `json:"letter"`
}

func (r changeBuildRequest) command(project domain.ProjectID, id domain.BuildID, version int64) (domain.ChangeBuild, error) {
	cmd := domain.ChangeBuild{Project: project, Build: id, Version: version, Renewed: r.Renewed, Place: r.Place, Note: r.Note}
	if r.Rebuild != nil {
		cmd.To = &domain.RevisionRef{Design: r.Rebuild.Design, Letter: r.Rebuild.Letter}
	}
	if r.Differences == nil {
		return cmd, nil
	}
	cmd.Differences = map[string]float64{}
	var f faults
	for at, v := range *r.Differences {
		if v == nil {
			f.add("/differences/"+escape(at), "wrong_type", "A number is wanted here. Leave out what stands as the sheet says.")
			continue
		}
		cmd.Differences[at] = *v
	}
	return cmd, f.err()
}

func (s *server) changeBuild(c echo.Context, who domain.Actor) error {
	project, id, version, err := buildTarget(c)
	if err != nil {
		return err
	}
	req, err := decode[changeBuildRequest](c)
	if err != nil {
		return err
	}
	cmd, err := req.command(project, id, version)
	if err != nil {
		return err
	}
	b, err := s.notebook.ChangeBuild(c.Request().Context(), who, cmd)
	if err != nil {
		return err
	}
	a, err := s.newBuild(b)
	if err != nil {
		return err
	}
	setETag(c, b.Version)
	return made(c, true, buildPath(project, id), a)
}

// buildTarget reads the ids of a build and the version that a change was made
// from.
func buildTarget(c echo.Context) (domain.ProjectID, domain.BuildID, int64, error) {
	project, id, err := pathBuild(c)
	if err != nil {
		return 0, 0, 0, err
	}
	version, err := ifMatch(c)
	return project, id, version, err
}

type changeBuildStateRequest struct {
	State  domain.BuildState `json:"state"`
	Reason string            `json:"reason,omitempty"`
}

func (s *server) changeBuildState(c echo.Context, who domain.Actor) error {
	project, id, version, err := buildTarget(c)
	if err != nil {
		return err
	}
	req, err := decode[changeBuildStateRequest](c)
	if err != nil {
		return err
	}
	cmd := domain.ChangeBuildState{Project: project, Build: id, Version: version, State: req.State, Reason: req.Reason}
	b, err := s.notebook.ChangeBuildState(c.Request().Context(), who, cmd)
	return s.answerBuild(c, b, err)
}

type addBuilderRequest struct {
	Member domain.AccountID `json:"member,omitempty"`
	Name   string           `json:"name,omitempty"`
}

func (s *server) addBuilder(c echo.Context, who domain.Actor) error {
	project, id, err := pathBuild(c)
	if err != nil {
		return err
	}
	req, err := decode[addBuilderRequest](c)
	if err != nil {
		return err
	}
	b, err := s.notebook.AddBuilder(c.Request().Context(), who, domain.AddBuilder{Project: project, Build: id, Member: req.Member, Name: req.Name})
	return s.answerBuild(c, b, err)
}
