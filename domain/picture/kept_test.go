package picture_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/picture"
)

// What is kept passes when it comes back, and nothing else does: metadata of each
// sort, bytes behind the end, other sizes and types, and what unfolds to more than
// is kept.
func TestOnlyPicturesAsTheyAreKeptPass(t *testing.T) {
	kept := func(m image.Image) picture.Picture {
		p, err := picture.Read(bytesOf(t, m, picture.PNG))
		require.NoError(t, err)
		require.NoError(t, p.Check())
		return p
	}
	photo, drawing, glass := kept(noise(400, 300)), kept(quarters(2600, 20)), noise(40, 30)
	glass.SetNRGBA(7, 7, color.NRGBA{200, 100, 50, 128})
	require.Equal(t, [2]string{picture.JPEG, picture.PNG}, [2]string{photo.MediaType, drawing.MediaType})
	seen := kept(glass)

	place := segment(0xe1, []byte(exifMark), exif(binary.BigEndian, 1))
	frameAt, end := bytes.Index(photo.Full, []byte{0xff, 0xc0}), len(drawing.Full)-12 // where IEND begins
	changed := func(p picture.Picture, change func(*picture.Picture)) picture.Picture { change(&p); return p }
	for name, c := range map[string]struct {
		p    picture.Picture
		want error
	}{
		"no picture":            {changed(photo, func(p *picture.Picture) { p.Full = []byte("a letter") }), picture.ErrOther},
		"nothing":               {changed(photo, func(p *picture.Picture) { p.Thumb = nil }), picture.ErrOther},
		"another type":          {changed(photo, func(p *picture.Picture) { p.MediaType = picture.PNG }), picture.ErrOther},
		"Exif":                  {changed(photo, func(p *picture.Picture) { p.Full = with(p.Full, place) }), picture.ErrMore},
		"Exif in the thumbnail": {changed(photo, func(p *picture.Picture) { p.Thumb = with(p.Thumb, place) }), picture.ErrMore},
		"comment":               {changed(photo, func(p *picture.Picture) { p.Full = with(p.Full, segment(0xfe, []byte("at the old mill"))) }), picture.ErrMore},
		"between segments": {changed(photo, func(p *picture.Picture) {
			p.Full = slices.Concat(p.Full[:frameAt], []byte("at the old mill"), p.Full[frameAt:])
		}), picture.ErrMore},
		"behind the end":        {changed(photo, func(p *picture.Picture) { p.Full = slices.Concat(p.Full, []byte("59.07N")) }), picture.ErrMore},
		"cut off":               {changed(photo, func(p *picture.Picture) { p.Full = p.Full[:len(p.Full)/2] }), picture.ErrBroken},
		"larger than it says":   {changed(photo, func(p *picture.Picture) { p.Width-- }), picture.ErrSize},
		"thumbnail too large":   {changed(photo, func(p *picture.Picture) { p.Thumb = p.Full }), picture.ErrSize},
		"as a camera writes it": {changed(photo, func(p *picture.Picture) { p.Full = frame(0xc2, 400, 300, 0x22) }), picture.ErrMore},
		"bomb":                  {changed(photo, func(p *picture.Picture) { p.Full = frame(0xc0, 60000, 60000, 0x22) }), picture.ErrLarge},
		"bomb that says so":     {changed(photo, func(p *picture.Picture) { p.Width, p.Height = 60000, 60000 }), picture.ErrLarge},
		"PNG bomb":              {changed(drawing, func(p *picture.Picture) { p.Full = header(30000, 30000, 8, 2, 0) }), picture.ErrLarge},
		"PNG, eXIf":             {changed(drawing, func(p *picture.Picture) { p.Full = withChunks(p.Full, chunk("eXIf", exif(binary.BigEndian, 1))) }), picture.ErrMore},
		"PNG, text":             {changed(drawing, func(p *picture.Picture) { p.Full = withChunks(p.Full, chunk("tEXt", []byte("Comment\x00old mill"))) }), picture.ErrMore},
		"PNG, text near the end": {changed(drawing, func(p *picture.Picture) {
			p.Full = slices.Concat(p.Full[:end], chunk("tIME", make([]byte, 7)), p.Full[end:])
		}), picture.ErrMore},
		"PNG, behind the end":  {changed(drawing, func(p *picture.Picture) { p.Full = slices.Concat(p.Full, []byte("59.07N")) }), picture.ErrMore},
		"PNG, chunk behind it": {changed(drawing, func(p *picture.Picture) { p.Full = slices.Concat(p.Full, chunk("tEXt", []byte("Place\x0059.07N"))) }), picture.ErrMore},
		"PNG, of 16 bits":      {changed(seen, func(p *picture.Picture) { p.Full = header(40, 30, 16, 6, 0) }), picture.ErrMore},
		"PNG, cut off":         {changed(seen, func(p *picture.Picture) { p.Full = p.Full[:len(p.Full)-12] }), picture.ErrBroken},
		"PNG, damaged":         {changed(seen, func(p *picture.Picture) { p.Full = slices.Clone(p.Full); p.Full[60] ^= 0x55 }), picture.ErrBroken},
	} {
		var err error
		taken := allocated(func() { err = c.p.Check() })
		require.ErrorIs(t, err, c.want, name)
		require.Less(t, taken, uint64(8<<20), name)
	}
}
