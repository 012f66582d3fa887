package domain

import (
	"cmp"
	"fmt"
	"slices"

	"leat/calc/evidence"
	"leat/calc/gauge"
)

// Marks lists what is to be said of the run, the gravest first. They are worked
// out at every showing.
func (r Run) Marks() (marks []Mark) {
	if r.State() == RunSetAside {
		e := r.Ends[len(r.Ends)-1]
		marks = append(marks, Mark{"not_counted", "It was set aside by " + e.By.Name + " and does not count: " + e.Reason})
	}
	if r.State() == RunConfirmed && r.Ends[len(r.Ends)-1].Elsewhere {
		marks = append(marks, Mark{"confirmed_elsewhere", "It was confirmed in another group: it came with an archive, and counts neither for the evidence of this group nor for its coefficients."})
	}
	if n := r.Counts.Uncertified; n > 0 {
		marks = append(marks, Mark{"uncertified", fmt.Sprintf("%s of pressure or air came while the machine had no valid certificate: kept, never counted.", counted(n, "reading", "readings"))})
	}
	for _, why := range r.Hindsight() {
		marks = append(marks, Mark{"hindsight", why + " So this is no test of the prediction: the verdict is shown, and stays out of the evidence of the group."})
	}
	if n := r.Counts.Overdue; n > 0 {
		marks = append(marks, Mark{"overdue", fmt.Sprintf("%s taken with an instrument whose calibration counted no more.", counted(n, "reading was", "readings were"))})
	}
	if r.Newest != r.BuildVersion {
		marks = append(marks, Mark{"build_changed", "The machine was changed since. The run belongs to it as it stood then."})
	}
	return marks
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Hindsight says in words why the verdict is no test of the prediction: something
// that it hangs on was not fixed before the first reading.
func (r Run) Hindsight() (why []string) {
	if n := r.Counts.Early; n > 0 {
		why = append(why, fmt.Sprintf("%s taken before the run was opened, so that the machine, the coefficients and what is judged were not registered before.", counted(n, "reading was", "readings were")))
	}
	if v := r.Verdict; v != nil && v.Calc != r.CalcVersion {
		why = append(why, "The prediction was registered by version "+r.CalcVersion+" of the calculation, and version "+v.Calc+" worked out the verdict.")
	}
	if r.Taught {
		why = append(why, "Set "+r.CoefficientSet+" of coefficients, with which it is predicted, was learned from runs of this machine.")
	}
	return why
}

// Judge fills in, of each reading, whether it counts and what is to be said of
// it. Of each quantity at a point the first that stands counts: the next one does
// once somebody strikes it, with a reason.
func (r *Run) Judge(zone string) {
	for i := range r.Points {
		first := map[string]bool{}
		for k := range r.Points[i].Readings {
			read := &r.Points[i].Readings[k]
			read.Marks = read.marks(zone)
			standing := !read.Struck() && !read.Uncertified()
			read.Counts = standing && !first[read.Quantity]
			if standing && first[read.Quantity] {
				read.Marks = append(read.Marks, Mark{"not_counted", "An earlier reading of this at this point stands, and that one counts. If it is wrong, strike it through with the reason."})
			}
			first[read.Quantity] = first[read.Quantity] || standing
		}
		for k := range r.Points[i].Windows {
			r.Points[i].Windows[k].judge(first, zone)
		}
	}
}

func (r Reading) marks(zone string) (marks []Mark) {
	if r.Struck() {
		marks = append(marks, Mark{"struck", "It was struck through and does not count."})
	}
	if r.Uncertified() {
		marks = append(marks, Mark{"uncertified", "The machine had no valid certificate when this came: it is kept, and never counts."})
	}
	switch {
	case r.Overdue(zone):
		marks = append(marks, Mark{"overdue", "The calibration of the instrument counted no more on that day, so that its class limit is taken."})
	case r.Instrument != nil && r.Instrument.Unfit != "":
		marks = append(marks, Mark{"unfit", "Of the instrument the register said then: " + r.Instrument.Unfit})
	}
	if i := r.Instrument; i != nil && slices.ContainsFunc(r.Values, func(v float64) bool { return v < i.Low || v > i.High }) {
		marks = append(marks, Mark{"out_of_range", fmt.Sprintf("A value lies outside the range of the instrument, %.6g to %.6g %s: nobody knows how far off it is there.", i.Low, i.High, i.Unit)})
	}
	if n := len(r.Values) - evidence.TypeA(r.Values).N; n > 0 {
		marks = append(marks, Mark{"missing", fmt.Sprintf("Of %d values %s missing. The mean is that of the others.", len(r.Values), counted(n, "is", "are"))})
	}
	if evidence.TypeA(r.Kept()).Status == evidence.ZeroSpread {
		marks = append(marks, Mark{"zero_spread", "All values are the same, so their scatter adds nothing, and the smallest step that can be read stands for it. Look whether it moved at all."})
	}
	return marks
}

// Shown fills in what the reader may do, and why nobody can confirm the run.
func (r *Run) Shown(who Actor, access Access) {
	r.Allowed = []Action{}
	if r.Takes() == nil {
		r.Allowed = append(r.Allowed, allowed(who, access, RecordReadings)...)
	}
	if r.Frozen() == nil {
		r.Allowed = append(r.Allowed, allowed(who, access, StrikeReadings, PutForward)...)
	}
	if r.Confirmable() == nil {
		r.Allowed = append(r.Allowed, allowed(who, access, SignRun)...)
		r.Lacking = access.lacksUninvolved()
	}
	if r.MayBeSetAside() == nil {
		r.Allowed = append(r.Allowed, allowed(who, access, PutAside)...)
	}
}

// involving returns why somebody may not confirm a run, or set it aside; nil for
// other actions. Who opened it may set it aside until it is confirmed.
func (r rule) involving(access Access) error {
	if !r.uninvolved || r.orOpener && access.Opener == access.Account && access.Account != 0 {
		return nil
	}
	who := access.lacksUninvolved()
	if who == "" {
		who = "Ask one of them: " + names(access.uninvolved()) + "."
	}
	switch {
	case !slices.Contains(access.Roles, Steward):
		return &Error{Kind: Forbidden, Code: "not-steward", Message: "Only a steward who took no part in this run, and did not build the machine, may do this. " + who}
	case access.among(access.Builders):
		return &Error{Kind: Forbidden, Code: "took-part", Message: "You are one of those who built this machine, so somebody else must judge its runs. " + who}
	case access.among(access.TookPart):
		return &Error{Kind: Forbidden, Code: "took-part", Message: "You took part in this run, so somebody else must judge it: a steward who did not. " + who}
	}
	return nil
}

// uninvolved are the stewards who neither built the machine nor took part in the
// run.
func (a Access) uninvolved() []Person {
	return slices.DeleteFunc(a.apartStewards(), func(p Person) bool { return slices.ContainsFunc(a.TookPart, p.is) })
}

func (a Access) lacksUninvolved() string {
	switch {
	case len(a.uninvolved()) > 0:
		return ""
	case len(a.Stewards) == 0:
		return "Nobody in the group is a steward: a keeper can give somebody that role."
	}
	return "All stewards of the group built this machine or took part in this run: another steward is needed, who did not."
}

var flagWords = map[string]string{
	gauge.Overdue:               "The calibration of the instrument counted no more on that day.",
	evidence.HumidityAssumed:    "The humidity was not measured: half saturated is taken, and uncertain by as much.",
	evidence.StandardAtmosphere: "There was no barometer: the standard atmosphere at the altitude of the sheet is taken, and uncertain by the weather.",
	evidence.MoistureAndOil:     "A thermal meter reads moist or oily air wrongly, and this air went through no dryer.",
	evidence.OldCertificate:     "The certificate of the instrument is older than its interval: its class limit is taken.",
}

// Flagged puts what a value is flagged with into words.
func Flagged(flags []string) (marks []Mark) {
	for _, f := range slices.Compact(slices.Sorted(slices.Values(flags))) {
		marks = append(marks, Mark{f, cmp.Or(flagWords[f], f)})
	}
	return marks
}
