package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// Templates returns a page of the versions of the test procedure, newest first,
// without their texts, and what the actor may do.
func (n *Notebook) Templates(ctx context.Context, who domain.Actor, page domain.Page) (list []domain.Template, allowed []domain.Action, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		v, err := newVoter(tx, who)
		if err != nil {
			return err
		}
		allowed = domain.AllowedWithRules(who, v.access)
		list, err = tx.Templates(page)
		for i := range list {
			v.judgeTemplate(&list[i])
		}
		return err
	})
	return list, allowed, err
}

// Template returns one version in full.
func (n *Notebook) Template(ctx context.Context, who domain.Actor, version domain.TemplateVersion) (domain.Template, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Template, error) { return template(tx, who, version) })
}

func template(tx *store.Tx, who domain.Actor, version domain.TemplateVersion) (domain.Template, error) {
	v, err := newVoter(tx, who)
	if err != nil {
		return domain.Template{}, err
	}
	t, err := tx.Template(version)
	v.judgeTemplate(&t)
	return t, err
}

// ProposeTemplate proposes another version of the test procedure. A retry with
// the same key returns the first proposal, and made is false.
func (n *Notebook) ProposeTemplate(ctx context.Context, who domain.Actor, cmd domain.ProposeTemplate) (t domain.Template, made bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		permit, err := authorizeInGroup(tx, who, domain.SetTemplate)
		if err != nil {
			return err
		}
		version, err := tx.TemplateProposed(who.Account, cmd.Key)
		if err != nil {
			return err
		}
		if made = version == 0; made {
			if version, err = n.proposeTemplate(tx, permit, cmd); err != nil {
				return err
			}
		}
		t, err = template(tx, who, version)
		return err
	})
	return t, made, err
}

func (n *Notebook) proposeTemplate(tx *store.Tx, permit domain.Permit, cmd domain.ProposeTemplate) (domain.TemplateVersion, error) {
	newest, err := tx.NewestTemplate()
	if err != nil {
		return 0, err
	}
	inForce, err := tx.TemplateInForce()
	if err != nil {
		return 0, err
	}
	if err := cmd.Validate(); err != nil {
		return 0, err
	}
	if err := cmd.Fits(newest+1, inForce); err != nil {
		return 0, err
	}
	return newest + 1, tx.ProposeTemplate(permit, cmd, newest+1, n.now())
}

// ApproveTemplate signs a proposed version with the password, as a steward where
// that is missing and the actor is one, else as the second. With both signatures
// new test sheets are made from it.
func (n *Notebook) ApproveTemplate(ctx context.Context, who domain.Actor, version domain.TemplateVersion, password string) (domain.Template, error) {
	if err := n.confirmApproval(ctx, who, password); err != nil {
		return domain.Template{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.Template, error) {
		v, err := lockedVoter(tx, who)
		if err != nil {
			return domain.Template{}, err
		}
		t, err := tx.Template(version)
		if err != nil {
			return domain.Template{}, err
		}
		permit, role, err := v.approves(domain.ApproveTemplate, t.Approvals, t.State)
		if err != nil {
			return domain.Template{}, err
		}
		if err := tx.ApproveTemplate(permit, version, role, n.now()); err != nil {
			return domain.Template{}, err
		}
		return template(tx, who, version)
	})
}
