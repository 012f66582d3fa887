package notebook

import (
	"time"

	"leat/domain"
)

// The designs that the story is about.
const (
	lowDesign   = "Low rig for the open day"
	classDesign = "Class rig"
	fairDesign  = "Rig for a fair"
)

// design starts a design of the story.
func (s *story) design(who domain.Actor, title string) (domain.Design, error) {
	d, _, err := s.StartDesign(s.ctx, who, domain.StartDesign{Project: s.project, Title: title, Key: s.key()})
	s.designs[title] = d.ID
	return d, err
}

// lowRig has a design issued, returned with remarks, mended and cleared.
func (s *story) lowRig() error {
	tomasz, bram, petra := s.people[tomasz], s.people[bram], s.people[petra]
	d, err := s.design(tomasz, lowDesign)
	if err != nil {
		return err
	}
	first, err := s.issue(tomasz, d, "A", "bench-high", "For the open day, to stand in the hall. A little taller than the one in the lab.")
	if err != nil {
		return err
	}
	stopper, _, err := s.RaiseRemark(s.ctx, bram, domain.RaiseRemark{
		Project: s.project, Design: d.ID, Letter: "A", Pin: domain.Pin{Kind: domain.OnInput, At: "/facts/riser_can_block"}, Weight: domain.Stopper, Key: s.key(),
		Text: "You say that the riser cannot block, and its outlet is drawn under the lid of the sink. A wet cloth on it is a valve. Either the outlet stands free, or the chamber has to be good for water up to the brim.",
	})
	if err != nil {
		return err
	}
	if _, _, err := s.RaiseRemark(s.ctx, petra, domain.RaiseRemark{
		Project: s.project, Design: d.ID, Letter: "A", Pin: domain.Pin{Kind: domain.OnPart, At: "riser"}, Weight: domain.Note, Key: s.key(),
		Text: "A clear riser would show the children that the water comes back up by itself.",
	}); err != nil {
		return err
	}
	s.at = s.at.Add(26 * time.Hour)
	if _, err = s.CheckDesign(s.ctx, bram, domain.CheckDesign{
		Project: s.project, Design: d.ID, Letter: "A", Version: first.Version, Outcome: domain.Return, Password: DemoPassword,
		Note: "The machine is sound. How it stands in the sink is not: see the stopper.",
	}); err != nil {
		return err
	}
	s.at = s.at.Add(50 * time.Hour)
	return s.mended(d.ID, stopper.ID)
}

// mended has the next letter drawn, the remark answered and laid to rest, and the
// letter cleared.
func (s *story) mended(id domain.DesignID, stopper domain.RemarkID) error {
	tomasz, bram := s.people[tomasz], s.people[bram]
	d, err := s.Design(s.ctx, tomasz, s.project, id)
	if err != nil {
		return err
	}
	if d, err = s.StartRevision(s.ctx, tomasz, domain.StartRevision{Project: s.project, Design: id, Version: d.Version}); err != nil {
		return err
	}
	if _, _, err := s.AnswerRemark(s.ctx, tomasz, domain.AnswerRemark{
		Project: s.project, Design: id, Remark: stopper, Key: s.key(),
		Text: "The riser now ends above the rim of the sink, in the open, with a wire cage over it. Nothing can lie on it.",
	}); err != nil {
		return err
	}
	check, err := s.issue(tomasz, d, "B", "bench-low", "Riser in the open, with a cage. As low as the one in the lab.")
	if err != nil {
		return err
	}
	s.at = s.at.Add(20 * time.Hour)
	if _, err := s.LayRemark(s.ctx, bram, domain.LayRemark{Project: s.project, Design: id, Remark: stopper}); err != nil {
		return err
	}
	return s.clear(bram, check, "Looked at the sink, too. Clear.")
}

func (s *story) classRig() error {
	return s.cleared(tomasz, bram, classDesign, "class", "The low rig with its chamber on a block, 80 mm shorter. Four of them, made by the class.", "The same parts as the low rig, and the riser stands as free. Clear.")
}

func (s *story) fairRig() error {
	return s.cleared(petra, tomasz, fairDesign, "fair", "One pipe size smaller than the school's and four finer tubes, so that a thin hose is enough.", "Recalculated the fall by hand and came within a percent. Clear.")
}

// cleared has a design drawn, issued and cleared at once.
func (s *story) cleared(drawn, checked, title, machine, note, word string) error {
	d, err := s.design(s.people[drawn], title)
	if err != nil {
		return err
	}
	check, err := s.issue(s.people[drawn], d, "A", machine, note)
	if err != nil {
		return err
	}
	s.at = s.at.Add(8 * time.Hour)
	return s.clear(s.people[checked], check, word)
}

func (s *story) clear(who domain.Actor, check domain.Check, note string) error {
	_, err := s.CheckDesign(s.ctx, who, domain.CheckDesign{
		Project: s.project, Design: check.Design, Letter: check.Revision.Letter, Version: check.Version, Outcome: domain.Clear, Password: DemoPassword, Note: note,
	})
	return err
}

// issue saves a machine under the draft and gives it to be checked.
func (s *story) issue(who domain.Actor, d domain.Design, letter, machine, note string) (domain.Check, error) {
	sheet, version, err := s.SaveSheet(s.ctx, who, domain.SaveSheet{
		Project: s.project, Design: d.ID, Letter: letter, Version: d.Version, Input: s.machines[machine].input, Note: note,
	})
	if err != nil {
		return domain.Check{}, err
	}
	return s.IssueRevision(s.ctx, who, domain.IssueRevision{Project: s.project, Design: d.ID, Letter: letter, Version: version, Sheet: sheet.Number, Note: note})
}
