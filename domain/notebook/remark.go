package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Remarks returns a page of the remarks on a design, newest first; only those
// that stand open, if that is wanted.
func (n *Notebook) Remarks(ctx context.Context, who domain.Actor, project domain.ProjectID, design domain.DesignID, open bool, page domain.Page) ([]domain.Remark, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Remark, error) {
		list, err := tx.Remarks(project, design, open, page)
		if err != nil {
			return nil, err
		}
		access, err := tx.ReadAccess(who, project)
		for i := range list {
			list[i].Allowed = list[i].Allows(who, access)
		}
		return list, err
	})
}

// RaiseRemark leaves a remark on a revision. A retry with the same key returns
// the first one, and made is false.
func (n *Notebook) RaiseRemark(ctx context.Context, who domain.Actor, cmd domain.RaiseRemark) (r domain.Remark, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, err := authorize(tx, who, cmd.Project, domain.LeaveRemark)
		if err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		var id domain.RemarkID
		if id, made, err = tx.RaiseRemark(permit, cmd, n.now()); err != nil {
			return err
		}
		r, err = remark(tx, who, access, cmd.Design, id)
		return err
	})
	return r, made, err
}

// AnswerRemark says something under a remark. A retry with the same key says
// nothing twice, and made is false.
func (n *Notebook) AnswerRemark(ctx context.Context, who domain.Actor, cmd domain.AnswerRemark) (r domain.Remark, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, _, err := n.onRemark(tx, who, cmd.Project, cmd.Design, cmd.Remark, domain.ReplyRemark)
		if err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		if made, err = tx.AnswerRemark(permit, cmd, n.now()); err != nil {
			return err
		}
		r, err = remark(tx, who, access, cmd.Design, cmd.Remark)
		return err
	})
	return r, made, err
}

// LayRemark lays a remark to rest. A revision that nothing else kept from it is
// cleared with that.
func (n *Notebook) LayRemark(ctx context.Context, who domain.Actor, cmd domain.LayRemark) (domain.Remark, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Remark, error) {
		access, permit, r, err := n.onRemark(tx, who, cmd.Project, cmd.Design, cmd.Remark, domain.RestRemark)
		if err != nil {
			return domain.Remark{}, err
		}
		if err := cmd.Validate(); err != nil {
			return domain.Remark{}, err
		}
		stands, err := cmd.Fits(r, who.Account)
		if err == nil && stands {
			err = tx.LayRemark(permit, cmd, n.now())
		}
		if err != nil {
			return domain.Remark{}, err
		}
		return remark(tx, who, access, cmd.Design, cmd.Remark)
	})
}

// onRemark reads a remark and decides whether the actor may do something with it.
func (n *Notebook) onRemark(tx *store.Tx, who domain.Actor, project domain.ProjectID, design domain.DesignID, id domain.RemarkID, action domain.Action) (domain.Access, domain.Permit, domain.Remark, error) {
	access, err := tx.DesignAccess(who, project, design, n.demo)
	if err != nil {
		return access, domain.Permit{}, domain.Remark{}, err
	}
	r, err := tx.Remark(project, design, id)
	if err != nil {
		return access, domain.Permit{}, r, err
	}
	permit, err := domain.Authorize(who, r.Access(access), action)
	return access, permit, r, err
}

// remark returns a remark with what the actor may do to it.
func remark(tx *store.Tx, who domain.Actor, access domain.Access, design domain.DesignID, id domain.RemarkID) (domain.Remark, error) {
	r, err := tx.Remark(access.Project, design, id)
	r.Allowed = r.Allows(who, access)
	return r, err
}
