package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"time"

	"leat/domain"
	"leat/domain/digest"
)

// statement says how what was signed is read: the table whose row names the
// link, as t, and what of it was signed, as a jsonb expression.
type statement struct{ table, signed string }

// statements has a row for every kind of signed act. The same words make a link
// and verify it. Times go through signed_time, digests and other bytes through encode.
var statements = map[domain.LinkKind]statement{
	domain.LinkIncidentRest: {"incident_rests", `(SELECT jsonb_build_object('entry', e.id, 'project', e.project_id, 'build', e.build_id, 'text', e.text,
		'written_by', e.who, 'written_at', signed_time(e.at), 'happened_at', signed_time(e.happened_at),
		'files', (SELECT coalesce(jsonb_agg(encode(f.digest, 'hex') ORDER BY x.position), '[]') FROM log_files x JOIN files f ON f.id = x.file_id WHERE x.entry_id = e.id),
		'reason', t.reason, 'who', t.who, 'at', signed_time(t.at)) FROM log_entries e WHERE e.id = t.entry_id)`},
	domain.LinkFileHide: {"file_hides", `(SELECT jsonb_build_object('file', f.id, 'project', f.project_id, 'name', f.name, 'digest', encode(f.digest, 'hex'),
		'number', t.number, 'reason', t.reason, 'keeper', t.keeper, 'steward', t.steward, 'who', t.who, 'at', signed_time(t.at)) FROM files f WHERE f.id = t.file_id)`},
	domain.LinkImported: {"imports", `jsonb_build_object('id', t.id, 'project', t.project_id, 'group', t.group_name, 'written_at', signed_time(t.written_at),
		'record_number', t.record_number, 'record_link', encode(t.record_link, 'hex'), 'digest', encode(t.digest, 'hex'), 'signed', t.signed, 'who', t.who, 'at', signed_time(t.at),
		'people', (SELECT coalesce(jsonb_agg(jsonb_build_object('account', p.account_id, 'name', p.name, 'group', p.group_name) ORDER BY p.account_id), '[]')
			FROM import_people p WHERE p.import_id = t.id))`},
	domain.LinkAct: {"acts", `jsonb_build_object('kind', t.kind, 'at', signed_time(t.at), 'who', t.who, 'about', t.about, 'before', t.before, 'after', t.after)`},

	domain.LinkTestStarted: {"test_sheets", `jsonb_build_object('id', t.id, 'build', t.build_id, 'number', t.number, 'build_version', t.build_version,
		'template_version', t.template_version, 'short', t.short, 'basis', t.basis, 'pressure_hash', encode(t.pressure_hash, 'hex'),
		'started_by', t.started_by, 'started_at', signed_time(t.started_at), ` + signedMachine + `)`},
	domain.LinkTestSigned: {"test_signatures", `jsonb_build_object('sheet', t.sheet_id, 'item', t.item, 'role', t.role, 'who', t.who, 'sent_by', t.sent_by,
		'at', signed_time(t.at), 'device_at', signed_time(t.device_at), 'how', t.how, 'entry', ` + signedEntry + `)`},
	domain.LinkNonconformance: {"nonconformances", `jsonb_build_object('id', t.id, 'sheet', t.sheet_id, 'item', t.item, 'text', t.text, 'who', t.who,
		'at', signed_time(t.at), 'entry', ` + signedEntry + `)`},
	domain.LinkNonconformanceClosed: {"nonconformance_closings", `jsonb_build_object('nonconformance', t.nonconformance_id, 'disposition', t.disposition,
		'text', t.text, 'who', t.who, 'at', signed_time(t.at))`},
	domain.LinkCertificate: {"certificates", `jsonb_build_object('id', t.id, 'build', t.build_id, 'sheet', t.sheet_id, 'build_version', t.build_version,
		'pressure_hash', encode(t.pressure_hash, 'hex'), 'site', t.site, 'body', t.body, 'issued_by', t.issued_by, 'issued_at', signed_time(t.issued_at),
		'expires_on', t.expires_on, 'expires_at', signed_time(t.expires_at), ` + signedMachine + `)`},
	domain.LinkCertificateEnded: {"certificate_ends", `jsonb_build_object('certificate', t.certificate_id, 'kind', t.kind, 'reason', t.reason, 'who', t.who,
		'at', signed_time(t.at))`},

	domain.LinkRunConfirmed: {"run_ends", signedRun},
	domain.LinkRunSetAside:  {"run_ends", signedRun},

	domain.LinkSetProposed: {"coefficient_set_proposals", `jsonb_build_object('id', t.id, 'why', t.why, 'current', t.current_set,
		'proposed_by', t.proposed_by, 'proposed_at', signed_time(t.proposed_at),
		'runs', (SELECT jsonb_agg(jsonb_build_object('run', x.run_id, 'digest', encode(x.digest, 'hex')) ORDER BY x.run_id) FROM coefficient_set_runs x WHERE x.proposal_id = t.id))`},
	domain.LinkSetAdopted: {"coefficient_set_adoptions", `(SELECT jsonb_build_object('proposal', t.proposal_id, 'set', t.set_name, 'who', t.who, 'at', signed_time(t.at),
			'body', encode(sha256(convert_to(s.body, 'UTF8')), 'hex'), 'calc', s.calc, 'lesson', encode(sha256(convert_to(l.body, 'UTF8')), 'hex'))
		FROM coefficient_sets s JOIN coefficient_set_lessons l ON l.proposal_id = t.proposal_id WHERE s.name = t.set_name)`},

	domain.LinkSafetyProposed: {"safety_settings", `jsonb_build_object('id', t.id, 'follows', t.follows, 'body', t.body, 'why', t.why,
		'proposed_by', t.proposed_by, 'proposed_at', signed_time(t.proposed_at))`},
	domain.LinkSafetySigned: {"safety_setting_signatures", `jsonb_build_object('setting', t.setting_id, 'role', t.role, 'who', t.who, 'at', signed_time(t.at),
		'body', (SELECT s.body FROM safety_settings s WHERE s.id = t.setting_id))`},
	domain.LinkTemplateProposed: {"templates", `jsonb_build_object('version', t.version, 'follows', t.follows, 'body', t.body, 'why', t.why,
		'proposed_by', t.proposed_by, 'proposed_at', signed_time(t.proposed_at))`},
	domain.LinkTemplateSigned: {"template_signatures", `jsonb_build_object('version', t.version, 'role', t.role, 'who', t.who, 'at', signed_time(t.at),
		'digest', (SELECT encode(sha256(convert_to(s.body, 'UTF8')), 'hex') FROM templates s WHERE s.version = t.version))`},

	domain.LinkIssued: {"revision_issues", `jsonb_build_object('revision', t.revision_id, 'sheet', t.sheet_number, 'digest', encode(t.digest, 'hex'),
			'pressure_hash', encode(t.pressure_hash, 'hex'), 'class', t.class, 'checkers', t.checkers, 'note', t.note, 'issued_by', t.issued_by, 'issued_at', signed_time(t.issued_at))
		|| (SELECT jsonb_build_object('design', r.design_id, 'letter', r.letter, 'saved_by', s.saved_by, 'saved_at', signed_time(s.saved_at),
				'input', s.input, 'report', s.report)
			FROM revisions r JOIN sheets s ON s.revision_id = r.id WHERE r.id = t.revision_id AND s.number = t.sheet_number)`},
	domain.LinkOutcome: {"check_outcomes", `jsonb_build_object('revision', t.revision_id, 'outcome', t.outcome, 'note', t.note, 'who', t.who, 'at', signed_time(t.at),
		'digest', (SELECT encode(i.digest, 'hex') FROM revision_issues i WHERE i.revision_id = t.revision_id))`},
	domain.LinkEnded: {"revision_ends", `jsonb_build_object('revision', t.revision_id, 'kind', t.kind, 'reason', t.reason, 'who', t.who, 'at', signed_time(t.at))`},
}

// signedEntry is what was recorded for the item that is signed.
const signedEntry = `(SELECT jsonb_build_object('id', e.id, 'role', e.role, 'recorded', e.recorded, 'outcome', e.outcome, 'why', e.why, 'who', e.who, 'sent_by', e.sent_by,
	'at', signed_time(e.at), 'device_at', signed_time(e.device_at), 'paper_at', signed_time(e.paper_at), 'paper_file', e.paper_file)
	FROM test_entries e WHERE e.id = t.entry_id)`

// signedMachine is how a machine stood when it was tested or certified, and who
// had built it until then: who may sign hangs on that.
const signedMachine = `'builders', t.builders, 'built_by', (SELECT jsonb_agg(jsonb_build_object('account', p.account_id, 'name', p.name,
		'added_by', p.added_by, 'added_at', signed_time(p.added_at)) ORDER BY p.position)
		FROM build_people p WHERE p.build_id = t.build_id AND p.position <= t.builders),
	'machine', (SELECT jsonb_build_object('revision', v.revision_id, 'differences', v.differences, 'renewed', v.renewed, 'place', v.place, 'moves', v.moves,
		'pressure_hash', encode(v.pressure_hash, 'hex')) FROM build_versions v WHERE v.build_id = t.build_id AND v.number = t.build_version)`

// signedRun is a run about which is signed, with all that was recorded in it, what
// was struck, and its verdict.
const signedRun = `(SELECT jsonb_build_object('id', t.id, 'kind', t.kind, 'reason', t.reason, 'who', t.who, 'at', signed_time(t.at),
	'run', r.id, 'build', r.build_id, 'number', r.number, 'build_version', r.build_version, 'title', r.title, 'purpose', r.purpose,
	'coefficient_set', r.coefficient_set, 'calc_version', r.calc_version, 'required', r.required, 'limits', r.limits, 'opened_by', r.opened_by, 'opened_at', signed_time(r.opened_at),
	'submitted', (SELECT jsonb_build_object('who', s.who, 'at', signed_time(s.at)) FROM run_submissions s WHERE s.run_id = r.id),
	'verdict', (SELECT jsonb_build_object('digest', encode(v.digest, 'hex'), 'body', encode(sha256(convert_to(v.body, 'UTF8')), 'hex'), 'seed', v.seed, 'draws', v.draws, 'at', signed_time(v.at))
		FROM run_verdicts v WHERE v.run_id = r.id),
	'points', (SELECT coalesce(jsonb_agg(jsonb_build_object('id', p.id, 'number', p.number, 'name', p.name, 'setting', p.setting, 'note', p.note, 'added_by', p.added_by,
		'at', signed_time(p.at)) ORDER BY p.id), '[]') FROM run_points p WHERE p.run_id = r.id),
	'readings', (SELECT coalesce(jsonb_agg(jsonb_build_object('id', g.id, 'point', g.point_id, 'quantity', g.quantity, 'method', g.method, 'instrument', g.instrument,
		'instrument_id', g.instrument_id, 'typed', g.typed, 'values', g.values, 'extra', g.extra, 'reset', g.reset, 'certified', g.certified, 'taken_by', g.taken_by,
		'taken_at', signed_time(g.taken_at), 'device_at', signed_time(g.device_at)) ORDER BY g.id), '[]') FROM run_readings g WHERE g.run_id = r.id),
	'strikes', (SELECT coalesce(jsonb_agg(jsonb_build_object('id', x.id, 'reading', x.reading_id, 'position', x.position, 'reason', x.reason, 'who', x.who,
		'at', signed_time(x.at)) ORDER BY x.id), '[]') FROM run_strikes x JOIN run_readings g ON g.id = x.reading_id WHERE g.run_id = r.id))
	FROM runs r WHERE r.id = t.run_id)`

// signature says who signs what sort of act, and when. Project is 0 for what
// belongs to none.
type signature struct {
	kind    domain.LinkKind
	who     domain.AccountID
	project domain.ProjectID
	at      time.Time
}

// sign adds a link to the record. Do inserts the row that is signed, with the
// number of its link; then the row is read back as its kind has it.
func (tx *Tx) sign(s signature, do func(link int64) error) error {
	head, err := tx.recordHead(" FOR UPDATE")
	if err != nil {
		return err
	}
	l := domain.Link{Number: head.Number + 1, Kind: s.kind, At: s.at, Who: domain.Person{ID: s.who}, Project: s.project, Before: head.Sum}
	if err := do(l.Number); err != nil {
		return err
	}
	if l.Body, err = tx.signedBody(l); err != nil {
		return err
	}
	if l.Digest, err = digest.Of(json.RawMessage(l.Body)); err != nil {
		return err
	}
	if l.Sum, err = l.Chained(); err != nil {
		return err
	}
	_, err = run(tx, `INSERT INTO record_links (number, kind, at, who, project_id, body, digest, before, link)
		VALUES (?, ?, ?, ?, nullif(?, 0), ?, ?, ?, ?)`, l.Number, l.Kind, l.At, l.Who.ID, l.Project, string(l.Body), l.Digest[:], l.Before[:], l.Sum[:])
	return err
}

// signedBody reads what a link is about, in the form of RFC 8785. It returns a
// NotFound error when the row is gone, or what it is about.
func (tx *Tx) signedBody(l domain.Link) ([]byte, error) {
	s, known := statements[l.Kind]
	if !known {
		return nil, fmt.Errorf("store: nothing says how to read a signed %q", l.Kind)
	}
	text, err := one[string](tx, "signed row", "SELECT s.signed FROM (SELECT ("+s.signed+")::text AS signed FROM "+s.table+" t WHERE t.link = ?) s WHERE s.signed IS NOT NULL", l.Number)
	if err != nil {
		return nil, err
	}
	return digest.Canonical(json.RawMessage(text))
}

// RecordHead returns where the record ends.
func (tx *Tx) RecordHead() (domain.RecordHead, error) { return tx.recordHead("") }

func (tx *Tx) recordHead(lock string) (domain.RecordHead, error) {
	type headRow struct {
		Number int64  `gorm:"column:number"`
		Link   []byte `gorm:"column:link"`
	}
	h, err := one[headRow](tx, "record", "SELECT number, link FROM record_head"+lock)
	head := domain.RecordHead{Number: h.Number}
	copy(head.Sum[:], h.Link)
	return head, err
}

type linkRow struct {
	Number  int64     `gorm:"column:number"`
	Kind    string    `gorm:"column:kind"`
	At      time.Time `gorm:"column:at"`
	Who     int64     `gorm:"column:who"`
	Name    string    `gorm:"column:name"`
	Project *int64    `gorm:"column:project_id"`
	Body    string    `gorm:"column:body"`
	Digest  []byte    `gorm:"column:digest"`
	Before  []byte    `gorm:"column:before"`
	Link    []byte    `gorm:"column:link"`
}

func (r linkRow) link() domain.Link {
	l := domain.Link{
		Number: r.Number, Kind: domain.LinkKind(r.Kind), At: r.At.UTC(), Who: domain.Person{ID: domain.AccountID(r.Who), Name: r.Name}, Body: []byte(r.Body),
	}
	if r.Project != nil {
		l.Project = domain.ProjectID(*r.Project)
	}
	copy(l.Digest[:], r.Digest)
	copy(l.Before[:], r.Before)
	copy(l.Sum[:], r.Link)
	return l
}

func (tx *Tx) links(condition string, args ...any) ([]domain.Link, error) {
	rows, err := all[linkRow](tx, `SELECT l.number, l.kind, l.at, l.who, a.name, l.project_id, l.body, l.digest, l.before, l.link
		FROM record_links l JOIN accounts a ON a.id = l.who WHERE `+condition, args...)
	links := make([]domain.Link, len(rows))
	for i, r := range rows {
		links[i] = r.link()
	}
	return links, err
}

// Links returns a page of the record, newest first, with what each link is about.
func (tx *Tx) Links(page domain.Page) ([]domain.Link, error) {
	links, err := tx.links(newest("l.number", page), below(page))
	if err != nil {
		return nil, err
	}
	return links, tx.tellAbout(links)
}

// verified is how many links are read at once.
const verified = 500

// VerifyRecord holds every link of the record against the one before and
// against what stands in the database now. It returns a [domain.BrokenRecord] for
// the first that does not hold, else where the record ends. What is signed
// meanwhile is left for the next time.
func (tx *Tx) VerifyRecord() (domain.RecordHead, error) {
	var at domain.RecordHead
	head, err := tx.RecordHead()
	for err == nil && at.Number < head.Number {
		at, err = tx.verifyFrom(at, head.Number)
	}
	if err == nil && at.Sum != head.Sum {
		err = domain.BrokenRecord{Number: head.Number, Kind: "end", What: "the record says that it ends with another link"}
	}
	return head, err
}

// verifyFrom verifies the next links up to the last, as many as are read at once,
// and returns where it came to.
func (tx *Tx) verifyFrom(at domain.RecordHead, last int64) (domain.RecordHead, error) {
	links, err := tx.links("l.number > ? AND l.number <= ? ORDER BY l.number"+limit(verified), at.Number, last)
	if err != nil {
		return at, err
	}
	for _, l := range links {
		if err := tx.holds(l, at); err != nil {
			return at, err
		}
		at = domain.RecordHead{Number: l.Number, Sum: l.Sum}
	}
	if len(links) == 0 {
		return at, domain.BrokenRecord{Number: at.Number + 1, Kind: "end", What: "it is missing, and all after it"}
	}
	return at, nil
}

// holds tells whether a link goes on from where the record has come to, and
// whether what was signed is still there as it was.
func (tx *Tx) holds(l domain.Link, at domain.RecordHead) error {
	broken := func(what string) error { return domain.BrokenRecord{Number: l.Number, Kind: l.Kind, What: what} }
	if l.Number != at.Number+1 {
		l.Number = at.Number + 1
		return broken("it is missing")
	}
	sum, err := l.Chained()
	if err != nil {
		return err
	}
	text, err := digest.Of(json.RawMessage(l.Body))
	switch {
	case err != nil:
		return broken("its text is no JSON")
	case l.Before != at.Sum:
		return broken("it does not go on from the link before")
	case text != l.Digest:
		return broken("its text is not what was signed")
	case sum != l.Sum:
		return broken("its number, kind, time, person or project was changed")
	}
	body, err := tx.signedBody(l)
	switch {
	case domain.KindOf(err) == domain.NotFound:
		return broken("what was signed is gone")
	case err != nil:
		return err
	case !bytes.Equal(body, l.Body):
		return broken("what was signed was changed afterwards")
	}
	return nil
}

// LinkOf returns the link with a sum, as it stands on paper.
func (tx *Tx) LinkOf(sum digest.Sum) (domain.Link, error) {
	links, err := tx.links("l.link = ?", sum[:])
	if err == nil && len(links) == 0 {
		err = domain.Missing("link of the record")
	}
	if err != nil {
		return domain.Link{}, err
	}
	return links[0], nil
}
