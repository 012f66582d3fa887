package notebook

import "leat/domain"

func (l demoLoad) person(p DemoPerson, hash, code string) error {
	id, err := l.tx.AddDemoAccount(domain.Account{Name: p.Name, Address: p.Address, Roles: p.Roles}, hash, l.now())
	if err != nil {
		return err
	}
	who := domain.Actor{Account: id, Name: p.Name, Roles: append([]domain.Role{domain.Member}, p.Roles...)}
	l.people[p.Address] = who
	permit, err := authorizeSelf(l.tx, who)
	if err != nil {
		return err
	}
	if err := l.tx.SetSigningCode(permit, code); err != nil || p.Units == "" {
		return err
	}
	return l.tx.ChangeMe(permit, domain.ChangeMe{Units: given(given(p.Units))})
}

// settings names the group and leaves an invitation open, whose code nobody has.
func (l demoLoad) settings(who domain.Actor) error {
	permit, err := authorizeInGroup(l.tx, who, domain.SetGroup)
	if err != nil {
		return err
	}
	g, err := l.tx.Group()
	if err != nil {
		return err
	}
	set := domain.SetGroupSettings{Version: g.Version, Settings: domain.GroupSettings{
		Name: "Thornwick Wheelhouse", Units: domain.Metric, TimeZone: "Europe/London",
	}}
	if err := l.tx.SetGroupSettings(permit, set, l.now()); err != nil {
		return err
	}
	if permit, err = authorizeInGroup(l.tx, who, domain.Invite); err != nil {
		return err
	}
	_, err = l.tx.Invite(permit, domain.InvitePerson{Name: "Jory Penhale", Roles: []domain.Role{domain.Member}}, codeHash(newCode()), l.now())
	return err
}

// crew asks people onto the crew; all but one say yes.
func (l demoLoad) crew(who domain.Actor, id domain.ProjectID, d demoProject) error {
	for _, address := range d.crew {
		if err := l.ask(who, id, l.people[address]); err != nil {
			return err
		}
		if err := l.sayYes(l.people[address], id); err != nil {
			return err
		}
	}
	if d.asked != "" {
		return l.ask(who, id, l.people[d.asked])
	}
	if !d.left {
		return nil
	}
	_, permit, err := authorize(l.tx, who, id, domain.LeaveCrew)
	if err != nil {
		return err
	}
	return l.tx.LeaveCrew(permit, l.now())
}

func (l demoLoad) ask(who domain.Actor, id domain.ProjectID, member domain.Actor) error {
	_, permit, err := authorize(l.tx, who, id, domain.AskCrew)
	if err != nil {
		return err
	}
	return l.tx.AskMember(permit, member.Account, l.now())
}

func (l demoLoad) sayYes(who domain.Actor, id domain.ProjectID) error {
	asks, err := l.tx.AsksOf(who.Account)
	if err != nil {
		return err
	}
	access, err := l.tx.Access(who, id)
	if err != nil {
		return err
	}
	ask := asks[len(asks)-1] // the newest
	access.Asked = ask.Member
	permit, err := domain.Authorize(who, access, domain.ReplyCrew)
	if err != nil {
		return err
	}
	return l.tx.AnswerAsk(permit, ask.ID, domain.AskYes, l.now())
}
