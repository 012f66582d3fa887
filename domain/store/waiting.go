package store

import "leat/domain"

// TitleAwaited fills in the titles of the projects that things wait in.
func (tx *Tx) TitleAwaited(list []domain.Awaited) error {
	type titled struct {
		ID    domain.ProjectID `gorm:"column:id"`
		Title string           `gorm:"column:title"`
	}
	ids := []domain.ProjectID{}
	for _, a := range list {
		ids = append(ids, a.Project)
	}
	if len(ids) == 0 {
		return nil
	}
	rows, err := all[titled](tx, "SELECT id, title FROM projects WHERE id IN (?)", ids)
	titles := map[domain.ProjectID]string{}
	for _, r := range rows {
		titles[r.ID] = r.Title
	}
	for i := range list {
		list[i].ProjectTitle = titles[list[i].Project]
	}
	return err
}
