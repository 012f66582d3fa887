package notebook

import "leat/domain"

// proposesEarly asks what the rigs of one crew teach: they can't be adopted.
func (s *story) proposesEarly() error {
	return s.proposed(wanda, "All five of ours gave less air than leat said. Let us put that right before the fairs.")
}

// proposes asks again, with the rigs of another crew.
func (s *story) proposes() error {
	return s.proposed(petra, "Nine machines of two crews now, in two sizes of pipe. The air was less than predicted on all of them, the pressure right.")
}

func (s *story) proposed(address, why string) error {
	p, _, err := s.ProposeSet(s.ctx, s.people[address], domain.ProposeCoefficients{Why: why, Key: s.key()})
	if err != nil {
		return err
	}
	s.set = p.ID
	_, err = s.LearnDue(s.ctx)
	return err
}

func (s *story) adopts() error {
	_, err := s.AdoptSet(s.ctx, s.people[bram], domain.AdoptCoefficients{Proposal: s.set, Proof: s.proof()})
	return err
}
