package asbuilt

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"leat/calc/build"
	"leat/calc/strength"
)

var gravity = map[string]int{strength.Allowed: 0, strength.Conditional: 1, strength.NotAllowed: 2}

var classes = map[strength.HazardClass]int{strength.Plain: 0, strength.Raised: 1, strength.Barred: 2}

// Worse says in sentences what a machine as it stands makes worse of the answers
// that its sheet had: the hazard class, the verdict of a part, a condition or a
// reason more. Both are worked out by the same calculation. It says nothing
// where nothing is worse.
func Worse(was, now *build.Report) (worse []string) {
	if was == nil || now == nil {
		if was != now {
			worse = append(worse, "Whether it may be built can’t be said any more.")
		}
		return worse
	}
	if classes[now.Class] > classes[was.Class] {
		worse = append(worse, fmt.Sprintf("The hazard class rises from %s to %s (%s).", was.Class, now.Class, strings.Join(texts(now.Why), "; ")))
	}
	for _, p := range now.Parts {
		i := slices.IndexFunc(was.Parts, func(q build.Judged) bool { return q.At == p.At && q.Role == p.Role })
		if i < 0 {
			worse = append(worse, called(p)+": it was not among the parts that were judged.")
			continue
		}
		worse = append(worse, worseOf(was.Parts[i], p)...)
	}
	return worse
}

func worseOf(was, now build.Judged) (worse []string) {
	name := called(now)
	if gravity[now.Verdict] > gravity[was.Verdict] {
		worse = append(worse, fmt.Sprintf("%s: it was %s and would be %s.", name, plain(was.Verdict), plain(now.Verdict)))
	}
	for _, said := range more(was.Reasons, now.Reasons) {
		worse = append(worse, name+": "+said.Text)
	}
	for _, said := range more(was.Conditions, now.Conditions) {
		worse = append(worse, name+": one more condition. "+said.Text)
	}
	return worse
}

// more is what is said now and was not before.
func more(was, now []build.Said) (added []build.Said) {
	for _, s := range now {
		if !slices.ContainsFunc(was, func(b build.Said) bool { return b.Code == s.Code }) {
			added = append(added, s)
		}
	}
	return added
}

func texts(said []build.Said) (all []string) {
	for _, s := range said {
		all = append(all, s.Text)
	}
	return all
}

func plain(code string) string { return strings.ReplaceAll(code, "_", " ") }

func called(p build.Judged) string { return cmp.Or(p.Name, plain(p.Role)) }
