package api

import (
	"context"
	"encoding/json"
	"fmt"

	"leat/domain"
	"leat/domain/archive"
)

// allPages reads all pages of a list.
func allPages[thing any](read func(domain.Page) ([]thing, error), key func(thing) int64) ([]thing, error) {
	var list []thing
	page := domain.Page{Limit: 100}
	for {
		part, err := read(page)
		if err != nil {
			return nil, err
		}
		list = append(list, part...)
		if len(part) < page.Limit {
			return list, nil
		}
		page.Before = key(part[len(part)-1])
	}
}

func (p *parcel) context() context.Context { return p.c.Request().Context() }

// run adds a run below a folder.
func (p *parcel) run(b domain.Build, ref domain.RunRef, folder string) error {
	r, err := p.s.notebook.Run(p.context(), p.who, ref)
	if err != nil {
		return err
	}
	if err := p.add(folder+"run.json", "the run, as the notebook’s interface answers it: what was registered before it, every reading as it came, what was worked out of it", newRun(r)); err != nil {
		return err
	}
	p.tables.readings(b, r)
	if r.Judgement.Verdict == nil {
		return nil
	}
	body := r.Judgement.Verdict.Body
	p.about = append(p.about, [2]string{folder + "verdict.json", "the verdict, letter for letter as it was worked out once and frozen; its SHA-256 is " + r.Judgement.Verdict.Digest.String()})
	if err := p.zip.Add(folder+"verdict.json", body); err != nil {
		return err
	}
	return p.tables.verdict(b, r, body)
}

// build adds a build below a folder, with everything about it.
func (p *parcel) build(b domain.Build, folder string) error {
	n, ctx := p.s.notebook, p.context()
	a, err := p.s.newBuild(b)
	if err != nil {
		return err
	}
	if err := p.add(folder+"build.json", "the machine, as the notebook’s interface answers it: as it stands, all versions, who built it", a); err != nil {
		return err
	}
	p.tables.differences(b)
	log, err := allPages(func(page domain.Page) ([]domain.Entry, error) {
		l, err := n.Log(ctx, p.who, b.Project, &b.ID, page)
		return l.Entries, err
	}, func(e domain.Entry) int64 { return int64(e.ID) })
	if err != nil {
		return err
	}
	if err := p.add(folder+"log.json", "its log", mapped(log, newEntry)); err != nil {
		return err
	}
	p.tables.log(log, b.Tag)
	if err := p.tests(b, folder); err != nil {
		return err
	}
	if err := p.certificates(b, folder); err != nil {
		return err
	}
	runs, err := allPages(func(page domain.Page) ([]domain.Run, error) {
		l, err := n.Runs(ctx, p.who, b.Project, b.ID, page)
		return l.Items, err
	}, func(r domain.Run) int64 { return int64(r.Number) })
	for _, r := range runs {
		if err := p.run(b, r.Ref(), fmt.Sprintf("%srun-%d/", folder, r.Number)); err != nil {
			return err
		}
	}
	return err
}

func (p *parcel) tests(b domain.Build, folder string) error {
	n, ctx := p.s.notebook, p.context()
	list, err := allPages(func(page domain.Page) ([]domain.Test, error) {
		l, err := n.Tests(ctx, p.who, b.Project, b.ID, page)
		return l.Items, err
	}, func(t domain.Test) int64 { return int64(t.Number) })
	for _, head := range list {
		t, err := n.Test(ctx, p.who, domain.TestRef{Project: b.Project, Build: b.ID, Number: head.Number})
		if err != nil {
			return err
		}
		t.Members = nil // who else could sign is nothing of the test
		p.tables.test(b, t)
		a := newTest(t)
		for i := range a.Items {
			a.Items[i].MaySign = []maySign{}
		}
		if err := p.add(fmt.Sprintf("%stest-%d.json", folder, t.Number), "a test sheet: every item with what was recorded and who signed, refused entries too", a); err != nil {
			return err
		}
	}
	return err
}

func (p *parcel) certificates(b domain.Build, folder string) error {
	c, err := p.s.notebook.Certificates(p.context(), p.who, b.Project, b.ID, domain.Page{Limit: 100})
	if err != nil || len(c.All) == 0 {
		return err
	}
	a := newCertificates(c, domain.Page{Limit: 100})
	return p.add(folder+"certificates.json", "its certificates, and what was to be said of them when this was written; none of them holds by being in this file", a)
}

// wholeProject is a project in one file.
type wholeProject struct {
	projectAnswer
	Gaugings []gaugingAnswer `json:"gaugings"`
	Letters  []wholeLetter   `json:"letters"`
	Remarks  []remarkAnswer  `json:"remarks"`
}

// wholeLetter is a revision with its sheets.
type wholeLetter struct {
	checkAnswer
	Sheets []sheetAnswer `json:"sheets"`
}

// project adds a project with everything in it.
func (p *parcel) project(project domain.Project) error {
	n, ctx := p.s.notebook, p.context()
	project.Keepers = nil // who keeps the group is nothing of the project
	whole := wholeProject{projectAnswer: newProject(project), Letters: []wholeLetter{}, Remarks: []remarkAnswer{}}
	gaugings, err := allPages(func(page domain.Page) ([]domain.Gauging, error) { return n.Gaugings(ctx, p.who, project.ID, page) },
		func(g domain.Gauging) int64 { return int64(g.ID) })
	if err != nil {
		return err
	}
	whole.Gaugings = mapped(gaugings, newGauging)
	p.tables.gaugings(gaugings)
	for _, d := range project.Designs {
		if err := p.design(&whole, d); err != nil {
			return err
		}
	}
	if _, err := n.Export(ctx, p.who, project.ID, p.zip); err != nil {
		return err
	}
	p.about = append(p.about,
		[2]string{archive.Rows, "everything again, row by row, for a leat elsewhere to read: rows name each other by their place, people by theirs in the list at its head"},
		[2]string{archive.Files + "/", "pictures, files and logger series as they are kept, each named with its SHA-256; of a picture that was hidden only its digest is left, in " + archive.Rows})
	if err := p.add("project.json", "the project, as the notebook’s interface answers it: site, gaugings, designs, every letter with its sheets and what was said in its check, all remarks", whole); err != nil {
		return err
	}
	log, err := allPages(func(page domain.Page) ([]domain.Entry, error) {
		l, err := n.Log(ctx, p.who, project.ID, nil, page)
		return l.Entries, err
	}, func(e domain.Entry) int64 { return int64(e.ID) })
	if err == nil {
		p.tables.log(log, 0)
		err = p.add("log.json", "the log of the project", mapped(log, newEntry))
	}
	if err != nil {
		return err
	}
	builds, err := allPages(func(page domain.Page) ([]domain.Build, error) {
		list, _, err := n.Builds(ctx, p.who, project.ID, page)
		return list, err
	}, func(b domain.Build) int64 { return int64(b.ID) })
	if err != nil {
		return err
	}
	for _, head := range builds {
		b, err := n.Build(ctx, p.who, project.ID, head.ID)
		if err != nil {
			return err
		}
		if err := p.build(b, fmt.Sprintf("machine-%d/", b.Tag)); err != nil {
			return err
		}
	}
	return nil
}

func (p *parcel) design(whole *wholeProject, d domain.Design) error {
	n, ctx := p.s.notebook, p.context()
	letters, err := allPages(func(page domain.Page) ([]domain.Revision, error) {
		return n.Revisions(ctx, p.who, d.Project, d.ID, page)
	}, positionOf)
	if err != nil {
		return err
	}
	for _, r := range letters {
		check, err := n.Check(ctx, p.who, d.Project, d.ID, r.Letter)
		if err != nil {
			return err
		}
		check.May = nil // who else could check it is nothing of the design
		letter := wholeLetter{checkAnswer: newCheck(check), Sheets: []sheetAnswer{}}
		heads, err := allPages(func(page domain.Page) ([]domain.SheetHead, error) {
			return n.Sheets(ctx, p.who, d.Project, d.ID, r.Letter, page)
		},
			func(h domain.SheetHead) int64 { return int64(h.Number) })
		if err != nil {
			return err
		}
		for _, h := range heads {
			s, err := n.Sheet(ctx, p.who, d.Project, d.ID, r.Letter, h.Number)
			if err != nil {
				return err
			}
			if err := p.tables.sheet(d, s); err != nil {
				return err
			}
			letter.Sheets = append(letter.Sheets, newSheet(s))
		}
		whole.Letters = append(whole.Letters, letter)
	}
	remarks, err := allPages(func(page domain.Page) ([]domain.Remark, error) {
		return n.Remarks(ctx, p.who, d.Project, d.ID, false, page)
	},
		func(r domain.Remark) int64 { return int64(r.ID) })
	whole.Remarks = append(whole.Remarks, mapped(remarks, newRemark)...)
	return err
}

func mapped[from, to any](list []from, each func(from) to) []to {
	out := make([]to, len(list))
	for i, one := range list {
		out[i] = each(one)
	}
	return out
}

// leaves calls do with every number, text and truth within JSON, by pointer.
func leaves(at string, thing any, do func(at string, leaf any)) {
	switch t := thing.(type) {
	case map[string]any:
		for _, name := range sortedKeys(t) {
			leaves(at+"/"+name, t[name], do)
		}
	case []any:
		for i, each := range t {
			leaves(fmt.Sprintf("%s/%d", at, i), each, do)
		}
	case nil:
	default:
		do(at, t)
	}
}

// plainJSONOf returns a thing as maps, lists and leaves.
func plainJSONOf(thing any) (any, error) {
	text, err := json.Marshal(thing)
	if err != nil {
		return nil, fmt.Errorf("api: encode for a table: %w", err)
	}
	var plain any
	err = json.Unmarshal(text, &plain)
	return plain, err
}
