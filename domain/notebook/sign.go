package notebook

import (
	"context"
	"fmt"

	"leat/domain"
	"leat/domain/store"
)

// confirm tells that a proof is the signer's own, and with what they signed. The
// actor is whose device it is; the signer may be somebody else who stands beside
// it. It hashes, so it is called before the transaction that signs; that one
// looks again who may.
func (n *Notebook) confirm(ctx context.Context, who domain.Actor, signer domain.AccountID, proof domain.Proof) (domain.SignedBy, error) {
	type kept struct {
		signer         domain.Account
		code, password string
	}
	k, err := read(ctx, n, func(tx *store.Tx) (k kept, err error) {
		if k.signer, err = tx.Account(signer); err != nil {
			return k, err
		}
		k.code, k.password, err = tx.ProofsOf(signer)
		return k, err
	})
	switch {
	case err != nil:
		return "", err
	case !n.mayEnter(k.signer):
		return "", domain.Missing("member")
	case proof.Password == "" && k.code == "":
		return "", domain.NoSigningCode(k.signer.Name)
	case proof.Password != "":
		return domain.ByPassword, n.proves(ctx, who, k.signer, proof, k.password)
	}
	return domain.ByCode, n.proves(ctx, who, k.signer, proof, k.code)
}

// proves slows guessing down. Codes are few, so wrong ones count against the
// signer as well as against the device; wrong passwords count against whoever
// tries them, so that nobody can keep the right person from signing.
func (n *Notebook) proves(ctx context.Context, who domain.Actor, signer domain.Account, proof domain.Proof, hash string) error {
	at, secret := n.now(), proof.Code
	keys := []string{fmt.Sprintf("code of %d", signer.ID), fmt.Sprintf("codes on session %d", who.Session)}
	if proof.Password != "" {
		secret, keys = proof.Password, []string{fmt.Sprintf("password of %d tried by %d", signer.ID, who.Account)}
	}
	if err := n.limit.enter(at, keys...); err != nil {
		return domain.Tried(err, proof)
	}
	fits, _, err := n.hasher.fits(ctx, secret, hash)
	if fits || err != nil {
		n.limit.forgive(at, keys...)
	}
	if err == nil && !fits {
		err = domain.WrongProof(proof, signer.Name)
	}
	return err
}
