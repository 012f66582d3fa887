package notebook_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"leat/domain"
	"leat/domain/store"
)

// photo is a JPEG file with a comment in it.
func photo(t testing.TB, w, h int) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = uint8(i)
	}
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, m, nil))
	comment := "\xff\xfe\x00\x13at the old mill!!"
	return append(append([]byte{}, out.Bytes()[:2]...), append([]byte(comment), out.Bytes()[2:]...)...)
}

func (b *bundle) picture(t testing.TB, key string) domain.KeepFile {
	return domain.KeepFile{Project: b.project.ID, Name: "flange.jpg", Picture: true, Data: photo(t, 640, 480), Key: key}
}

func (b *bundle) bytesOf(f domain.File, variant domain.Variant) ([]byte, error) {
	return b.FileBytes(ctx, b.tomasz, f.Project, f.ID, variant)
}

func TestAPictureIsKeptWithoutAnythingButItsPixels(t *testing.T) {
	t.Parallel()
	b := setup(t)
	cmd := b.picture(t, "file-00001")
	f, made, err := b.KeepFile(ctx, b.tomasz, cmd)
	require.NoError(t, err)
	require.True(t, made)
	require.Equal(t, domain.PictureFile, f.Kind)
	require.Equal(t, "image/jpeg", f.MediaType)
	require.Equal(t, [2]int{640, 480}, [2]int{f.Width, f.Height})
	full, err := b.bytesOf(f, domain.FullSize)
	require.NoError(t, err)
	require.True(t, bytes.Contains(cmd.Data, []byte("old mill")))
	require.False(t, bytes.Contains(full, []byte("old mill")))
	require.Equal(t, len(full), f.Size)
	sum := sha256.Sum256(full)
	require.Equal(t, sum[:], f.Digest)
	thumb, err := b.bytesOf(f, domain.Thumb)
	require.NoError(t, err)
	size, err := jpeg.DecodeConfig(bytes.NewReader(thumb))
	require.NoError(t, err)
	require.Equal(t, [2]int{320, 240}, [2]int{size.Width, size.Height})

	again, made, err := b.KeepFile(ctx, b.tomasz, cmd)
	require.NoError(t, err)
	require.False(t, made)
	require.Equal(t, f, again)
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM files"))
	mine, _, err := b.KeepFile(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.NotEqual(t, f.ID, mine.ID, "keys are each member's own")
	other := b.startProject(t, "project-0002")
	cmd.Project = other.ID
	_, _, err = b.KeepFile(ctx, b.tomasz, cmd)
	requireCode(t, "client-key-used", err)
	_, err = b.FileBytes(ctx, b.tomasz, other.ID, f.ID, domain.FullSize)
	requireCode(t, "not-found", err)
	cmd.Project = 999
	_, _, err = b.KeepFile(ctx, b.tomasz, cmd)
	requireCode(t, "not-found", err)
}

func TestRetriesOfAFileAtOnceMakeOne(t *testing.T) {
	t.Parallel()
	b := setup(t)
	for _, err := range atOnce(6, func(int) error {
		_, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
		return err
	}) {
		require.NoError(t, err)
	}
	require.Equal(t, 1, b.db.Number(t, "SELECT count(*) FROM files"))
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM file_bodies"))
}

func TestOtherFilesAreKeptAsTheyAre(t *testing.T) {
	t.Parallel()
	b := setup(t)
	cmd := domain.KeepFile{Project: b.project.ID, Name: "levels.csv", Data: []byte("place,level_m\nweir,2.31\n"), Key: "file-00001"}
	f, _, err := b.KeepFile(ctx, b.petra, cmd)
	require.NoError(t, err)
	require.Equal(t, domain.OtherFile, f.Kind)
	require.Equal(t, domain.AnyBytes, f.MediaType)
	full, err := b.bytesOf(f, domain.FullSize)
	require.NoError(t, err)
	require.Equal(t, cmd.Data, full)
	_, err = b.bytesOf(f, domain.Thumb)
	requireCode(t, "not-found", err)
}

func TestWhatIsKeptGoesByTheBytesAndNotByTheName(t *testing.T) {
	t.Parallel()
	b := setup(t)
	page := []byte("<html><script>alert(1)</script></html>")
	for name, c := range map[string]struct {
		data    []byte
		picture bool
		code    string
	}{
		"a page as a picture":           {page, true, "not-a-picture"},
		"a page as a file":              {page, false, ""},
		"a picture that is cut off":     {photo(t, 64, 48)[:500], true, "picture-broken"},
		"a picture of another kind":     {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), false, "not-a-picture"},
		"a bomb, said to be no picture": {[]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR\x00\x01\x00\x00\x00\x01\x00\x00\x08\x02\x00\x00\x00\xe3\xe6\xa7\xb4"), false, "picture-too-large"},
		"nothing":                       {nil, true, "invalid"},
	} {
		cmd := domain.KeepFile{Project: b.project.ID, Name: "photo.jpg", Picture: c.picture, Data: c.data, Key: "key-of-" + strings.ReplaceAll(name, " ", "-")}
		f, _, err := b.KeepFile(ctx, b.petra, cmd)
		if c.code == "" {
			require.NoError(t, err, name)
			require.Equal(t, domain.OtherFile, f.Kind, name)
			continue
		}
		requireCode(t, c.code, err)
	}
	var drawing bytes.Buffer
	m := image.NewPaletted(image.Rect(0, 0, 100, 50), color.Palette{color.White, color.Black})
	require.NoError(t, png.Encode(&drawing, m))
	f, _, err := b.KeepFile(ctx, b.petra, domain.KeepFile{Project: b.project.ID, Name: "notes.txt", Data: drawing.Bytes(), Key: "file-00002"})
	require.NoError(t, err)
	require.Equal(t, "image/png", f.MediaType, "a picture is one whatever it is sent as")
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM files"))
}

// Opened pictures fill much memory: two at once, and who waits gives up with the
// request.
func TestPicturesAreOpenedTwoAtOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	release := b.HoldOpening(2)
	patient, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	_, _, err := b.KeepFile(ctx, b.petra, domain.KeepFile{Project: b.project.ID, Name: "a.csv", Data: []byte("1"), Key: "file-00001"})
	require.NoError(t, err, "only pictures wait")
	_, _, err = b.KeepFile(patient, b.petra, b.picture(t, "file-00002"))
	require.ErrorIs(t, err, context.DeadlineExceeded)
	release()
	_, _, err = b.KeepFile(ctx, b.petra, b.picture(t, "file-00002"))
	require.NoError(t, err)
}

// product.md, Log: a picture that must go is hidden by a keeper and a steward
// together; its digest, who hid it and why stay.
func TestAFileIsHiddenByAKeeperAndAStewardTogether(t *testing.T) {
	t.Parallel()
	b := setup(t)
	keeper, second := b.db.Person(t, "Ines Calloway", domain.Keeper), b.db.Person(t, "Olwen Prys", domain.Keeper)
	steward := b.db.Person(t, "Wen Abara", domain.Steward)
	f, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
	require.NoError(t, err)
	cmd := b.entry("", "entry-0001")
	cmd.Files = []domain.FileID{f.ID}
	b.write(t, b.petra, cmd)
	hide := domain.HideFile{Project: b.project.ID, File: f.ID, Reason: "A child's face", Proof: byPassword}

	_, err = b.HideFile(ctx, b.petra, hide)
	requireCode(t, "not-keeper", err)
	wrong := hide
	wrong.Proof.Password = "three grey herons"
	_, err = b.HideFile(ctx, keeper, wrong)
	require.Equal(t, "/password", requireCode(t, "invalid", err).Fields[0].Pointer)
	asked, err := b.HideFile(ctx, keeper, hide)
	require.NoError(t, err)
	require.False(t, asked.Hidden())
	require.Empty(t, asked.Allowed)
	_, err = b.bytesOf(f, domain.FullSize)
	require.NoError(t, err, "one alone hides nothing")
	_, err = b.HideFile(ctx, keeper, hide)
	requireCode(t, "same-person", err)
	_, err = b.HideFile(ctx, second, hide)
	requireCode(t, "same-role", err)
	require.Empty(t, b.hides(t, second))
	require.Equal(t, []domain.FileID{f.ID}, b.hides(t, steward))

	hidden, err := b.HideFile(ctx, steward, hide)
	require.NoError(t, err)
	require.True(t, hidden.Hidden())
	require.Equal(t, f.Digest, hidden.Digest)
	require.Equal(t, []string{"Ines Calloway", "Wen Abara"}, []string{hidden.Hides[0].By.Name, hidden.Hides[1].By.Name})
	require.Empty(t, b.hides(t, steward))
	require.Equal(t, 0, b.db.Number(t, "SELECT count(*) FROM file_bodies"))
	_, err = b.File(ctx, b.petra, b.project.ID, f.ID)
	require.ErrorContains(t, err, "A child's face")
	require.Equal(t, domain.Gone, domain.KindOf(err))
	_, err = b.bytesOf(f, domain.Thumb)
	requireCode(t, "not-found", err)
	_, err = b.HideFile(ctx, second, hide)
	requireCode(t, "file-hidden", err)
	shown := b.log(t, nil, domain.Page{}).Entries[0].Files[0]
	require.True(t, shown.Hidden())
	head, err := b.VerifyRecord(ctx, nil)
	require.NoError(t, err)
	require.Equal(t, int64(2), head.Number)
}

func (b *bundle) hides(t testing.TB, who domain.Actor) (ids []domain.FileID) {
	t.Helper()
	require.NoError(t, b.db.InTx(ctx, func(tx *store.Tx) error {
		files, err := tx.WaitingHides(who)
		for _, f := range files {
			ids = append(ids, f.ID)
		}
		return err
	}))
	return ids
}

func TestTwoWhoSignAtOnceHideAFileOnce(t *testing.T) {
	t.Parallel()
	b := setup(t)
	f, _, err := b.KeepFile(ctx, b.petra, b.picture(t, "file-00001"))
	require.NoError(t, err)
	people := []domain.Actor{
		b.db.Person(t, "Ines Calloway", domain.Keeper), b.db.Person(t, "Wen Abara", domain.Steward), b.db.Person(t, "Olwen Prys", domain.Keeper, domain.Steward),
	}
	errs := atOnce(3, func(i int) error {
		_, err := b.HideFile(ctx, people[i], domain.HideFile{Project: b.project.ID, File: f.ID, Reason: "A face", Proof: byPassword})
		return err
	})
	refused := 0
	for _, err := range errs {
		if err != nil {
			requireCode(t, "file-hidden", err)
			refused++
		}
	}
	require.Equal(t, 1, refused)
	require.Equal(t, 2, b.db.Number(t, "SELECT count(*) FROM file_hides"))
}
