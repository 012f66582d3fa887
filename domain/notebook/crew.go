package notebook

import (
	"context"

	"leat/domain"
	"leat/domain/store"
)

// OthersThanCrew returns whom a crew could ask: the members who are neither on
// it nor asked.
func (n *Notebook) OthersThanCrew(ctx context.Context, who domain.Actor, id domain.ProjectID) ([]domain.Person, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Person, error) {
		if _, err := tx.ReadAccess(who, id); err != nil {
			return nil, err
		}
		return tx.Others(id, n.demo)
	})
}

// Asks returns what waits for the answer of the actor, oldest first.
func (n *Notebook) Asks(ctx context.Context, who domain.Actor) ([]domain.Ask, error) {
	return read(ctx, n, func(tx *store.Tx) ([]domain.Ask, error) { return tx.AsksOf(who.Account) })
}

// AskMember asks a member to join the crew. Asking somebody who is asked
// already changes nothing.
func (n *Notebook) AskMember(ctx context.Context, who domain.Actor, cmd domain.CrewMember) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) {
		access, permit, err := authorize(tx, who, cmd.Project, domain.AskCrew)
		if err != nil {
			return domain.Project{}, err
		}
		if err := n.holdNew(tx, access, cmd); err != nil {
			return domain.Project{}, err
		}
		if err := tx.AskMember(permit, cmd.Member, n.now()); err != nil {
			return domain.Project{}, err
		}
		return project(tx, who, cmd.Project)
	})
}

// WithdrawAsk takes back what the crew asked, before it is answered.
func (n *Notebook) WithdrawAsk(ctx context.Context, who domain.Actor, id domain.ProjectID, ask domain.AskID) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) {
		_, permit, err := authorize(tx, who, id, domain.AskCrew)
		if err != nil {
			return domain.Project{}, err
		}
		a, err := tx.Ask(id, ask)
		if err != nil {
			return domain.Project{}, err
		}
		ends, err := a.Ends(domain.AskWithdrawn)
		if err == nil && ends {
			err = tx.WithdrawAsk(permit, ask, n.now())
		}
		if err != nil {
			return domain.Project{}, err
		}
		return project(tx, who, id)
	})
}

// AnswerAsk says yes or no to a crew. With yes the actor is on it.
func (n *Notebook) AnswerAsk(ctx context.Context, who domain.Actor, cmd domain.AnswerAsk) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) {
		access, err := tx.Access(who, cmd.Project)
		if err != nil {
			return domain.Project{}, err
		}
		ask, err := tx.Ask(cmd.Project, cmd.Ask)
		if err != nil {
			return domain.Project{}, err
		}
		access.Asked = ask.Member
		permit, err := domain.Authorize(who, access, domain.ReplyCrew)
		if err != nil {
			return domain.Project{}, err
		}
		ends, err := ask.Ends(cmd.Answer())
		if err == nil && ends {
			err = tx.AnswerAsk(permit, cmd.Ask, cmd.Answer(), n.now())
		}
		if err != nil {
			return domain.Project{}, err
		}
		return project(tx, who, cmd.Project)
	})
}

// LeaveCrew takes the actor off a crew, the last one too.
func (n *Notebook) LeaveCrew(ctx context.Context, who domain.Actor, id domain.ProjectID) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) {
		_, permit, err := authorize(tx, who, id, domain.LeaveCrew)
		if err != nil {
			return domain.Project{}, err
		}
		if err := tx.LeaveCrew(permit, n.now()); err != nil {
			return domain.Project{}, err
		}
		return project(tx, who, id)
	})
}

// AddToCrew puts a member on a crew that has died out.
func (n *Notebook) AddToCrew(ctx context.Context, who domain.Actor, cmd domain.CrewMember) (domain.Project, error) {
	return read(ctx, n, func(tx *store.Tx) (domain.Project, error) {
		access, permit, err := authorize(tx, who, cmd.Project, domain.AddToCrew)
		if err != nil {
			return domain.Project{}, err
		}
		if err := n.holdNew(tx, access, cmd); err != nil {
			return domain.Project{}, err
		}
		if err := tx.AddToCrew(permit, cmd.Member, n.now()); err != nil {
			return domain.Project{}, err
		}
		return project(tx, who, cmd.Project)
	})
}

// holdNew holds an account that is to come onto a crew.
func (n *Notebook) holdNew(tx *store.Tx, access domain.Access, cmd domain.CrewMember) error {
	if err := cmd.Fits(access); err != nil {
		return err
	}
	return tx.HoldMember(cmd.Member, n.demo)
}
