package notebook

import (
	"context"
	"crypto/sha256"
	"strings"
	"time"

	"leat/domain"
	"leat/domain/store"
)

// setupCodeLives is how long the code for the first keeper is good.
const setupCodeLives = 24 * time.Hour

// codeSigns are the signs of a code: none that is easily taken for another.
// There are 32, so that a random byte picks each as often.
const codeSigns = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

// NeedsKeeper tells whether nobody who may sign in here is a keeper yet.
func (n *Notebook) NeedsKeeper(ctx context.Context) (bool, error) {
	return read(ctx, n, func(tx *store.Tx) (bool, error) {
		has, err := tx.HasKeeper(n.demo)
		return !has, err
	})
}

// NewKeeperCode makes the one-time code with which the first keeper signs up,
// good for a day; an earlier one is good no longer. It returns a Conflict when
// there is a keeper.
func (n *Notebook) NewKeeperCode(ctx context.Context) (string, error) {
	code := newCode()
	err := n.db.InTx(ctx, func(tx *store.Tx) error {
		if err := tx.LockAccounts(); err != nil {
			return err
		}
		if err := n.wantsKeeper(tx); err != nil {
			return err
		}
		return tx.KeepSetupCode(codeHash(code), n.now().Add(setupCodeLives))
	})
	if err != nil {
		return "", err
	}
	return code, nil
}

// FirstKeeper makes the first account, with the code, and signs it in.
func (n *Notebook) FirstKeeper(ctx context.Context, cmd domain.FirstKeeper) (SignedIn, error) {
	if err := cmd.Validate(); err != nil {
		return SignedIn{}, err
	}
	code := codeHash(cmd.Code)
	if err := n.codeIsGood(ctx, code); err != nil {
		return SignedIn{}, err
	}
	hash, err := n.hasher.hash(ctx, cmd.Password) // takes long: outside the transaction
	if err != nil {
		return SignedIn{}, err
	}
	token := newToken()
	return read(ctx, n, func(tx *store.Tx) (SignedIn, error) {
		if err := tx.LockAccounts(); err != nil {
			return SignedIn{}, err
		}
		if err := n.wantsKeeper(tx); err != nil {
			return SignedIn{}, err
		}
		id, err := tx.AddFirstKeeper(code, cmd.Name, cmd.Address, hash, n.now())
		if domain.KindOf(err) == domain.NotFound {
			return SignedIn{}, badCode()
		}
		if err != nil {
			return SignedIn{}, err
		}
		return n.startSession(tx, id, token, cmd.Browser)
	})
}

// codeIsGood spares the server the work for a code that is not.
func (n *Notebook) codeIsGood(ctx context.Context, code []byte) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		if err := n.wantsKeeper(tx); err != nil {
			return err
		}
		fits, err := tx.SetupCodeFits(code, n.now())
		if err == nil && !fits {
			return badCode()
		}
		return err
	})
}

func (n *Notebook) wantsKeeper(tx *store.Tx) error {
	has, err := tx.HasKeeper(n.demo)
	if err == nil && has {
		return &domain.Error{Kind: domain.Conflict, Code: "keeper-exists", Message: "This notebook has a keeper already. Sign in, or ask the keeper for an invitation."}
	}
	return err
}

func badCode() error {
	return domain.Faulty([]domain.Field{{
		Pointer: "/code", Code: "wrong_code",
		Message: "This code isn't the one that the server printed last, or it is older than a day. Restart the server, or run \"leat user keeper-code\", for a new one.",
	}})
}

func newCode() string {
	raw := random(12)
	var code strings.Builder
	for i, b := range raw {
		if i > 0 && i%4 == 0 {
			code.WriteByte('-')
		}
		code.WriteByte(codeSigns[int(b)%len(codeSigns)])
	}
	return code.String()
}

// codeHash hashes a code as people type it, with or without the dashes.
func codeHash(code string) []byte {
	sum := sha256.Sum256([]byte(strings.NewReplacer("-", "", " ", "").Replace(strings.ToUpper(code))))
	return sum[:]
}
