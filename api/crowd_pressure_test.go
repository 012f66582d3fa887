package api

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// What people do about tests and certificates.

// onItsWay tells whether a certificate of a build may have come about that the
// crowd has not heard of yet.
func (s *step) onItsWay(build *known, w window) bool {
	build.mu.Lock()
	defer build.mu.Unlock()
	s.model.mu.Lock()
	defer s.model.mu.Unlock()
	return slices.ContainsFunc(s.turns["certified/"+build.path], func(x *turn) bool { return x.begin <= w.end && !build.heard[x.begin] })
}

// worksAtTest takes the test of a build further.
func (s *step) worksAtTest() {
	build := s.one("builds")
	if build == nil {
		return
	}
	reader := s.who(nil)
	a, ok := s.reading(reader, build.path+"/tests")
	if !ok {
		return
	}
	list := listOf(a, "items")
	if len(list) == 0 {
		s.startsTest(build)
		return
	}
	newest := list[0]
	path := fmt.Sprintf("%s/tests/%d", build.path, numberIn(newest["number"]))
	open, failure := newest["nonconformance"].(map[string]any)
	switch {
	case s.wrong && s.chance(10):
		s.startsTest(build)
	case newest["ended"] == nil && textIn(newest, "over") == "":
		s.sits(path, build)
	case failure && open["closed"] == nil:
		if s.chance(60) {
			s.sits(path, build)
		}
		s.closes(path, build)
	case newest["ended"] == "passed" && newest["certified"] != true && textIn(newest, "over") == "":
		s.certificateFor(build, numberIn(newest["number"]))
	case newest["certified"] != true || s.chance(20):
		s.startsTest(build)
	}
}

func (s *step) startsTest(build *known) {
	p := s.who(func(p *mate) bool {
		return s.is(crewKey(build.project.id, p.no())) || s.is(builtKey(build.path, p.no()))
	})
	body := map[string]any{"client_key": s.key("test")}
	a, w, yes := s.sends(p, "POST", build.path+"/tests", "", body)
	if !yes {
		return
	}
	s.believes(s.could(crewKey(build.project.id, p.no()), true, w) || s.could(builtKey(build.path, p.no()), true, w), "%s began a test of %s", p.name, build.path)
	build.mu.Lock()
	if _, known := build.tests[a.Header().Get("Location")]; !known {
		build.tests[a.Header().Get("Location")] = w
	}
	build.mu.Unlock()
	s.keptOnce(p, build.path+"/tests", body, a, "test_sheets")
	s.did("test begun")
}

// sits records and signs a few items in a row, each on the device of somebody.
func (s *step) sits(path string, build *known) {
	a, ok := s.reading(s.who(nil), path)
	tried := map[string]bool{}
	for k := range 6 {
		if !ok {
			return
		}
		items := slices.DeleteFunc(listOf(a, "items"), func(i map[string]any) bool {
			state := textIn(i, "state")
			may, _ := i["may_sign"].([]any)
			return tried[textIn(i, "id")] || state != "open" && state != "signing" || len(may) == 0
		})
		if s.wrong && k == 0 {
			items = listOf(a, "items")
		}
		if len(items) == 0 {
			return
		}
		item := items[0]
		if s.wrong || s.chance(20) {
			item = items[s.rng.IntN(len(items))]
		}
		before := a
		if a, ok = s.signs(path, build, before, item, k); !ok {
			tried[textIn(item, "id")] = true
			a, ok = before, !s.wrong && k < 3
		}
	}
}

// signer is who signs in which role, and what proves it.
func (s *step) signer(item map[string]any) (p *mate, role string, sign map[string]any) {
	var may []map[string]any
	for _, m := range item["may_sign"].([]any) {
		may = append(may, m.(map[string]any))
	}
	if !s.wrong { // stewards are spared, so that one is left to certify it
		spared := slices.DeleteFunc(slices.Clone(may), func(m map[string]any) bool {
			roles, _ := m["roles"].([]any)
			return slices.Contains(roles, any("second")) && s.is(roleKey("steward", idIn(m)))
		})
		if len(spared) > 0 {
			may = spared
		}
	}
	role = pick(s, "builder", "second", "competent")
	if len(may) > 0 && !(s.wrong && s.chance(50)) {
		one := may[s.rng.IntN(len(may))]
		p = s.byID(idIn(one))
		roles, _ := one["roles"].([]any)
		role, _ = roles[s.rng.IntN(len(roles))].(string)
	}
	if p == nil || s.wrong && s.chance(30) {
		p = s.who(nil)
	}
	sign = map[string]any{"member": p.id, "role": role}
	switch {
	case p.code != "" && s.wrong && s.chance(2):
		s.lies = "the signing code was wrong"
		sign["code"] = "730418"
	case p.code != "" && s.chance(70):
		sign["code"] = p.code
	default:
		sign["password"] = s.passwordOf()
	}
	return p, role, sign
}

// signs records an item, or signs what is recorded.
func (s *step) signs(path string, build *known, sheet *reply, item map[string]any, k int) (*reply, bool) {
	id, device := textIn(item, "id"), s.who(nil)
	photo := s.photoOf(device, build.project)
	p, role, sign := s.signer(item)
	key := s.key(fmt.Sprintf("item%d", k))
	var (
		a   *reply
		w   window
		yes bool
	)
	entry, recorded := item["entry"].(map[string]any)
	if recorded {
		a, w, yes = s.sends(device, "POST", path+"/signatures", "", map[string]any{"entry": idIn(entry), "sign": sign, "client_key": key})
	} else {
		body := map[string]any{"item": id, "values": s.fills(sheet, item, photo), "sign": sign, "client_key": key}
		if s.wrong && s.chance(4) {
			body["sure"] = true
		}
		if s.wrong && s.chance(2) {
			body["stop"] = "a joint came apart"
		}
		a, w, yes = s.sends(device, "POST", path+"/entries", "", body)
	}
	if !yes {
		return a, false
	}
	s.signed(path, build, a, w, id, role, p)
	return a, true
}

// signed refuses to believe a signature by the wrong person.
func (s *step) signed(path string, build *known, a *reply, w window, id, role string, p *mate) {
	for _, x := range objects(a.item(id).v["signed"]) {
		if textIn(x, "role") == role && idIn(x, "who", "id") == p.no() {
			s.onlyOnce(path+" "+id+" as "+role, p.name)
			s.onlyOnce(path+" "+id+" by "+p.name, role)
			s.makes("test_signatures")
		}
	}
	what := fmt.Sprintf("%s signed %s of %s as %s", p.name, id, path, role)
	switch role {
	case "builder":
		s.believes(s.could(builtKey(build.path, p.no()), true, w), "%s, without having built it", what)
	case "competent":
		s.believes(s.could(roleKey("steward", p.no()), true, w), "%s, without being steward", what)
	}
	if role != "builder" {
		s.believes(!s.was(builtKey(build.path, p.no()), w), "%s, having built it", what)
		s.holds(fact{fmt.Sprintf("%s/%s/%d", role, path, p.no()), true})
	}
	s.believes(!s.was(goneKey(p.no()), w), "%s, with a closed account", what)
	s.did("item signed")
	if end, _ := a.at("ended").(string); end != "" {
		s.did("test " + end)
	}
}

func objects(v any) (out []map[string]any) {
	list, _ := v.([]any)
	for _, one := range list {
		if m, ok := one.(map[string]any); ok {
			out = append(out, m)
		}
	}
	return out
}

func (s *step) closes(path string, build *known) {
	p := s.who(func(p *mate) bool { return s.is(roleKey("steward", p.no())) && !s.is(builtKey(build.path, p.no())) })
	_, w, yes := s.sends(p, "POST", path+"/close", "", map[string]any{"text": "The joint was cut out and made anew.", "password": s.passwordOf()})
	if !yes {
		return
	}
	s.believes(s.could(roleKey("steward", p.no()), true, w) && !s.was(builtKey(build.path, p.no()), w), "%s closed what failed in %s", p.name, path)
	s.onlyOnce(path+" closed", p.name)
	s.did("nonconformance closed")
}

// certifies issues or revokes a certificate.
func (s *step) certifies() {
	build := s.one("builds")
	if build == nil {
		return
	}
	a, ok := s.reading(s.who(nil), build.path+"/certificate")
	if !ok {
		return
	}
	ready, _ := a.at("ready").(map[string]any)
	newest, _ := a.at("certificate").(map[string]any)
	switch {
	case ready != nil:
		s.certificateFor(build, numberIn(ready["test"]))
	case s.wrong && s.chance(60):
		s.certificateFor(build, 1)
	case newest != nil && newest["valid"] == true && s.chance(15):
		s.revokes(build)
	}
}

func (s *step) certificateFor(build *known, number int64) {
	p := s.who(func(p *mate) bool { return s.is(roleKey("steward", p.no())) && !s.is(builtKey(build.path, p.no())) })
	path := fmt.Sprintf("%s/tests/%d", build.path, number)
	a, w, yes := s.sends(p, "POST", build.path+"/certificate", "", map[string]any{"test": number, "password": s.passwordOf()}, fact{"certified/" + build.path, true})
	if !yes || a.Code != 201 {
		build.hears(w)
		return
	}
	defer build.hears(w)
	s.believes(s.could(roleKey("steward", p.no()), true, w), "%s certified %s without being steward", p.name, build.path)
	s.believes(!s.was(builtKey(build.path, p.no()), w), "%s certified %s, having built it", p.name, build.path)
	s.believes(!s.was(fmt.Sprintf("second/%s/%d", path, p.no()), w), "%s certified %s, having been the second", p.name, build.path)
	s.onlyOnce("certificate for "+path, p.name)
	s.makes("certificates")
	build.mu.Lock()
	begun, known := build.tests[path]
	if !known {
		begun = w
	}
	build.papers = append(build.papers, paper{window: w, test: begun, hash: textOf(a, "certificate", "pressure_hash")})
	build.mu.Unlock()
	s.did("certificate issued")
}

// hears notes that a request for a certificate was answered.
func (t *known) hears(w window) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.heard[w.begin] = true
}

func (s *step) revokes(build *known) {
	p := s.who(s.role("steward"))
	_, w, yes := s.sends(p, "POST", build.path+"/certificate/revoke", "", map[string]any{"kind": "revoked", "reason": "The gauge was doubted.", "password": s.passwordOf()})
	if yes {
		s.believes(s.could(roleKey("steward", p.no()), true, w), "%s revoked a certificate without being steward", p.name)
		build.lapsesBy(lapse{window: w, why: "revoked"})
		s.did("certificate revoked")
	}
}

// fills records what an item asks for, within its limits, or at times not.
func (s *step) fills(sheet *reply, item map[string]any, photo int64) map[string]any {
	names, _ := sheet.at("names").(map[string]any)
	values, chosen := map[string]any{}, map[string]string{}
	for _, f := range objects(item["fields"]) {
		if textIn(f, "kind") == "choice" {
			choices, _ := f["values"].([]any)
			chosen[textIn(f, "name")] = fmt.Sprint(choices[0])
			if wanted, _ := f["confirm"].(string); wanted != "" {
				chosen[textIn(f, "name")] = wanted
			}
		}
	}
	gauge := s.gauge()
	if _, asked := chosen["gauge_kind"]; asked && (gauge == 0 || s.chance(50)) {
		chosen["gauge_kind"] = "manometer"
	}
	for _, f := range objects(item["fields"]) {
		name := textIn(f, "name")
		if only, ok := f["only_if"].(map[string]any); ok {
			allowed, _ := only["values"].([]any)
			if !slices.Contains(allowed, any(chosen[textIn(only, "choice")])) {
				continue
			}
		}
		entries := objects(f["entries"])
		one := func(e map[string]any) any { return s.value(sheet, f, e, chosen[name], names, photo, gauge) }
		if f["repeats"] != true {
			var only map[string]any
			if len(entries) > 0 {
				only = entries[0]
			}
			values[name] = one(only)
			continue
		}
		list := []any{}
		for _, e := range entries {
			list = append(list, one(e))
		}
		values[name] = list
	}
	return values
}

// gauge is an instrument of the register, 0 where there is none.
func (s *step) gauge() int64 {
	list := s.all("instruments")
	if len(list) == 0 {
		return 0
	}
	return list[s.rng.IntN(len(list))].id
}

func (s *step) value(sheet *reply, f, entry map[string]any, chosen string, names map[string]any, photo, gauge int64) any {
	name := textIn(f, "name")
	switch textIn(f, "kind") {
	case "confirm":
		if ticks, ok := f["ticks"].(float64); ok {
			return ticks
		}
		return !(s.wrong && s.chance(15))
	case "choice":
		return chosen
	case "photo":
		return []any{photo}
	case "people":
		return []any{"Wen"}
	case "instrument":
		return map[string]any{"instrument": gauge, "height_m": 0}
	case "text":
		switch {
		case f["confirm"] != nil:
			return f["confirm"]
		case strings.Contains(name, "expires"):
			return names["expiry_max"]
		}
		return "as it was seen"
	}
	if name == "p_end" {
		if held, ok := sheet.item("R03").v["entry"].(map[string]any); ok {
			return held["values"].(map[string]any)["p_test"]
		}
	}
	return s.within(name, entry)
}

// within is a reading within the limits of an entry.
func (s *step) within(name string, entry map[string]any) float64 {
	low, hasLow := entry["low"].(float64)
	high, hasHigh := entry["high"].(float64)
	if s.wrong && s.chance(15) {
		return high + 1000
	}
	switch {
	case hasLow && hasHigh:
		return (low + high) / 2
	case hasLow:
		return low + math.Abs(low)/2
	case hasHigh && high > 0:
		return high * 0.6
	case hasHigh:
		return high
	case name == "noise":
		return 60
	}
	return 15
}
