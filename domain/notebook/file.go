package notebook

import (
	"context"
	"crypto/sha256"
	"errors"
	"slices"

	"leat/domain"
	"leat/domain/picture"
	"leat/domain/store"
)

// KeepFile keeps a picture, without anything but its pixels, or another file as
// it was sent. A retry with the same key returns the first one, and made is
// false.
func (n *Notebook) KeepFile(ctx context.Context, who domain.Actor, cmd domain.KeepFile) (f domain.File, made bool, err error) {
	f, retry, err := n.keptBefore(ctx, who, &cmd)
	if err != nil || retry {
		return f, false, err
	}
	ready, bodies, err := n.prepare(ctx, cmd)
	if err != nil {
		return domain.File{}, false, err
	}
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, permit, err := authorize(tx, who, cmd.Project, domain.AddFile)
		if err != nil {
			return err
		}
		if f, made, err = tx.KeepFile(permit, ready, bodies, cmd.Key); err != nil {
			return err
		}
		f.Allowed = f.Allows(who, access)
		return nil
	})
	return f, made, err
}

// keptBefore looks, before any pixel is made, whether somebody may keep the
// file at all, and returns the first one when this is a retry.
func (n *Notebook) keptBefore(ctx context.Context, who domain.Actor, cmd *domain.KeepFile) (f domain.File, retry bool, err error) {
	err = n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.ReadAccess(who, cmd.Project)
		if err != nil {
			return err
		}
		if _, err := domain.Authorize(who, access, domain.AddFile); err != nil {
			return err
		}
		if err := cmd.Validate(); err != nil {
			return err
		}
		f, err = tx.FileOfKey(who.Account, cmd.Project, cmd.Key)
		if domain.KindOf(err) == domain.NotFound {
			return nil
		}
		retry, f.Allowed = err == nil, f.Allows(who, access)
		return err
	})
	return f, retry, err
}

// prepare makes the bytes that are kept. Pictures take their turn: opened, they
// fill much memory.
func (n *Notebook) prepare(ctx context.Context, cmd domain.KeepFile) (domain.File, map[domain.Variant][]byte, error) {
	f := domain.File{Kind: domain.OtherFile, MediaType: domain.AnyBytes, Name: cmd.Name}
	bodies := map[domain.Variant][]byte{domain.FullSize: cmd.Data}
	if cmd.Picture || picture.Looks(cmd.Data) {
		if err := n.opening.take(ctx); err != nil {
			return f, nil, err
		}
		defer n.opening.end()
		p, err := picture.Read(cmd.Data)
		if err != nil {
			return f, nil, pictureRefused(err)
		}
		f.Kind, f.MediaType, f.Width, f.Height = domain.PictureFile, p.MediaType, p.Width, p.Height
		bodies = map[domain.Variant][]byte{domain.FullSize: p.Full, domain.Thumb: p.Thumb}
	}
	sum := sha256.Sum256(bodies[domain.FullSize])
	f.Size, f.Digest, f.MadeAt = len(bodies[domain.FullSize]), sum[:], n.now()
	return f, bodies, nil
}

// pictureRefused says to people why bytes are not kept as a picture.
func pictureRefused(err error) error {
	refused := func(code, message string) error {
		return &domain.Error{Kind: domain.Invalid, Code: code, Message: message, Err: err}
	}
	switch {
	case errors.Is(err, picture.ErrOther):
		return refused("not-a-picture", "This is no JPEG or PNG picture, whatever its name says. Nothing was saved: save it as one of these, or take the picture again.")
	case errors.Is(err, picture.ErrLarge):
		return refused("picture-too-large", "This picture has more than 50 million pixels, or takes too much memory to open. Nothing was saved: save it smaller and send that.")
	case errors.Is(err, picture.ErrBroken):
		return refused("picture-broken", "This picture is damaged or not complete. Nothing was saved: open it on your device, save it anew and send that.")
	}
	return err
}

// File returns what is known of a file. It returns a Gone error when the file
// was hidden.
func (n *Notebook) File(ctx context.Context, who domain.Actor, project domain.ProjectID, id domain.FileID) (domain.File, error) {
	f, err := read(ctx, n, func(tx *store.Tx) (domain.File, error) { return tx.File(project, id) })
	if err == nil && f.Hidden() {
		err = domain.FileHidden(f.Hides)
	}
	return f, err
}

// FileBytes returns the bytes of a file in one size.
func (n *Notebook) FileBytes(ctx context.Context, who domain.Actor, project domain.ProjectID, id domain.FileID, variant domain.Variant) ([]byte, error) {
	return read(ctx, n, func(tx *store.Tx) ([]byte, error) { return tx.FileBytes(project, id, variant) })
}

// HideFile signs, with the password, that a file must go. It takes two people, a
// keeper and a steward; with the second signature the bytes are gone.
func (n *Notebook) HideFile(ctx context.Context, who domain.Actor, cmd domain.HideFile) (domain.File, error) {
	if err := n.mayHide(ctx, who, &cmd); err != nil {
		return domain.File{}, err
	}
	if _, err := n.confirm(ctx, who, who.Account, cmd.Proof); err != nil {
		return domain.File{}, err
	}
	return read(ctx, n, func(tx *store.Tx) (domain.File, error) {
		access, permit, err := authorize(tx, who, cmd.Project, domain.HideFiles)
		if err != nil {
			return domain.File{}, err
		}
		f, err := tx.File(cmd.Project, cmd.File)
		if err != nil {
			return domain.File{}, err
		}
		if err := f.MaySign(access); err != nil {
			return domain.File{}, err
		}
		sign := domain.FileHide{
			At: n.now(), Reason: cmd.Reason, Keeper: slices.Contains(access.Roles, domain.Keeper), Steward: slices.Contains(access.Roles, domain.Steward),
		}
		if err := tx.HideFile(permit, f, sign); err != nil {
			return domain.File{}, err
		}
		f, err = tx.File(cmd.Project, cmd.File)
		f.Allowed = f.Allows(who, access)
		return f, err
	})
}

// mayHide looks, before the password is asked for, whether it is of any use.
func (n *Notebook) mayHide(ctx context.Context, who domain.Actor, cmd *domain.HideFile) error {
	return n.db.InTx(ctx, func(tx *store.Tx) error {
		access, err := tx.ReadAccess(who, cmd.Project)
		if err != nil {
			return err
		}
		if _, err := domain.Authorize(who, access, domain.HideFiles); err != nil {
			return err
		}
		f, err := tx.File(cmd.Project, cmd.File)
		if err != nil {
			return err
		}
		if err := f.MaySign(access); err != nil {
			return err
		}
		return cmd.Validate()
	})
}
