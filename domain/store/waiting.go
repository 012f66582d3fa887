package store

import "leat/domain"

// TitleAwaited fills in the titles of the builds and projects that things wait
// in, and the project of a build.
func (tx *Tx) TitleAwaited(list []domain.Awaited) error {
	type titled struct {
		ID      int64            `gorm:"column:id"`
		Title   string           `gorm:"column:title"`
		Project domain.ProjectID `gorm:"column:project_id"`
	}
	builds, projects := []domain.BuildID{0}, []domain.ProjectID{0}
	for _, a := range list {
		builds = append(builds, a.Build)
	}
	rows, err := all[titled](tx, "SELECT id, title, project_id FROM builds WHERE id IN (?)", builds)
	if err != nil {
		return err
	}
	build := map[domain.BuildID]titled{}
	for _, r := range rows {
		build[domain.BuildID(r.ID)] = r
	}
	for i := range list {
		a := &list[i]
		if b, there := build[a.Build]; there && a.Thing == "" {
			a.Thing, a.Project = b.Title, b.Project
		}
		projects = append(projects, a.Project)
	}
	rows, err = all[titled](tx, "SELECT id, title FROM projects WHERE id IN (?)", projects)
	titles := map[domain.ProjectID]string{}
	for _, r := range rows {
		titles[domain.ProjectID(r.ID)] = r.Title
	}
	for i := range list {
		list[i].ProjectTitle = titles[list[i].Project]
	}
	return err
}
