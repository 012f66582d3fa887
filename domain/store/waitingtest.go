package store

import (
	"time"

	"leat/domain"
)

// waitingTestsMost bounds how many test sheets are looked through for what waits:
// the newest.
const waitingTestsMost = 20

// lapsesSoon is how long before its last day a certificate is about to lapse.
const lapsesSoon = 30 * 24 * time.Hour

// WaitingTests returns what waits for somebody: items of test sheets that they
// could sign now, passed tests that they could issue a certificate on, and
// certificates of their crews, or for a steward of all, that end soon. demo says
// whether invented people may sign in here.
func (tx *Tx) WaitingTests(who domain.AccountID, demo bool, now time.Time) (w domain.WaitingTests, err error) {
	open, err := tx.tests(`WHERE b.state <> 'scrapped' AND (s.ended IS NULL AND b.newest = s.build_version AND n.state <> 'withdrawn'
			OR s.ended = 'failed' AND EXISTS (SELECT 1 FROM nonconformances x WHERE x.sheet_id = s.id
				AND NOT EXISTS (SELECT 1 FROM nonconformance_closings y WHERE y.nonconformance_id = x.id)))
		ORDER BY s.id DESC` + limit(waitingTestsMost))
	if err != nil {
		return w, err
	}
	for _, t := range open {
		if err := tx.fillTest(&t, demo); err != nil {
			return w, err
		}
		if items := t.WaitsFor(who); len(items) > 0 {
			w.ToSign = append(w.ToSign, domain.WaitingTest{Test: t, Items: items})
		}
	}
	w.ToCertify, err = tx.tests(`JOIN accounts me ON me.id = ? AND me.steward AND me.closed_at IS NULL
		WHERE s.ended = 'passed' AND b.newest = s.build_version AND n.state <> 'withdrawn' AND b.state <> 'scrapped' AND NOT has_built(b.id, me.id)
			AND NOT EXISTS (SELECT 1 FROM certificates c WHERE c.sheet_id = s.id)
			AND NOT EXISTS (SELECT 1 FROM test_signatures g WHERE g.sheet_id = s.id AND g.who = me.id AND g.role = 'second')
			AND NOT EXISTS (SELECT 1 FROM test_sheets later WHERE later.build_id = s.build_id AND later.id > s.id)
		ORDER BY s.id DESC`+limit(waitingTestsMost), who)
	if err != nil {
		return w, err
	}
	w.Lapsing, err = tx.lapsing(who, now)
	return w, err
}

func (tx *Tx) lapsing(who domain.AccountID, now time.Time) (soon []domain.Certificate, err error) {
	list, err := tx.certificates(`JOIN accounts me ON me.id = ? AND me.closed_at IS NULL
		WHERE c.expires_at > ? AND c.expires_at <= ? AND b.state <> 'scrapped' AND e.certificate_id IS NULL
			AND c.id = (SELECT max(id) FROM certificates l WHERE l.build_id = c.build_id)
			AND (me.steward OR EXISTS (SELECT 1 FROM crew w WHERE w.project_id = b.project_id AND w.account_id = me.id AND w.left_at IS NULL))
		ORDER BY c.expires_at, c.id`, who, now, now.Add(lapsesSoon))
	for _, c := range list {
		if c.At(now).Valid {
			soon = append(soon, c)
		}
	}
	return soon, err
}
