package notebook

import (
	"context"
	"time"

	"leat/calc/sheet"
	"leat/domain"
	"leat/domain/store"
)

type Options struct {
	Demo bool
	Now  func() time.Time
}
type Notebook struct{ db *store.DB }
type SignedIn struct {
	Account domain.Account
	Session domain.SessionID
	Refresh string
	Ends    time.Time
}

func New(db *store.DB, o Options) *Notebook                           { return &Notebook{db: db} }
func (n *Notebook) Ready(ctx context.Context) error                   { return nil }
func (n *Notebook) NeedsKeeper(ctx context.Context) (bool, error)     { return false, nil }
func (n *Notebook) NewKeeperCode(ctx context.Context) (string, error) { return "", nil }
func (n *Notebook) FirstKeeper(ctx context.Context, cmd domain.FirstKeeper) (SignedIn, error) {
	return SignedIn{}, nil
}
func (n *Notebook) SignIn(ctx context.Context, cmd domain.SignIn) (SignedIn, error) {
	return SignedIn{}, nil
}
func (n *Notebook) Refresh(ctx context.Context, token string) (SignedIn, error) {
	return SignedIn{}, nil
}
func (n *Notebook) SignOut(ctx context.Context, who domain.Actor) error { return nil }
func (n *Notebook) Actor(ctx context.Context, account domain.AccountID, session domain.SessionID) (domain.Actor, error) {
	return domain.Actor{}, nil
}
func (n *Notebook) Me(ctx context.Context, who domain.Actor) (domain.Account, error) {
	return domain.Account{}, nil
}
func (n *Notebook) Projects(ctx context.Context, who domain.Actor, page domain.Page) ([]domain.Project, error) {
	return nil, nil
}
func (n *Notebook) StartProject(ctx context.Context, who domain.Actor, cmd domain.StartProject) (p domain.Project, made bool, err error) {
	return p, made, err
}
func (n *Notebook) Project(ctx context.Context, who domain.Actor, id domain.ProjectID) (domain.Project, error) {
	return domain.Project{}, nil
}
func (n *Notebook) ChangeProject(ctx context.Context, who domain.Actor, cmd domain.ChangeProject) (domain.Project, error) {
	return domain.Project{}, nil
}
func (n *Notebook) Site(ctx context.Context, who domain.Actor, project domain.ProjectID) (domain.Site, error) {
	return domain.Site{}, nil
}
func (n *Notebook) DescribeSite(ctx context.Context, who domain.Actor, cmd domain.DescribeSite) (domain.Site, error) {
	return domain.Site{}, nil
}
func (n *Notebook) StartDesign(ctx context.Context, who domain.Actor, cmd domain.StartDesign) (d domain.Design, made bool, err error) {
	return d, made, err
}
func (n *Notebook) Design(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID) (domain.Design, error) {
	return domain.Design{}, nil
}
func (n *Notebook) SaveSheet(ctx context.Context, who domain.Actor, cmd domain.SaveSheet) (s domain.Sheet, version int64, err error) {
	return s, version, err
}
func (n *Notebook) Sheets(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, page domain.Page) ([]domain.SheetHead, error) {
	return nil, nil
}
func (n *Notebook) Sheet(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, letter string, number int) (domain.Sheet, error) {
	return domain.Sheet{}, nil
}
func (n *Notebook) Preview(ctx context.Context, who domain.Actor, in sheet.Input) (sheet.Report, error) {
	return sheet.Report{}, nil
}
func (n *Notebook) LoadDemo(ctx context.Context) (loaded bool, err error) { return false, nil }
