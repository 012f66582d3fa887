package picture_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"testing"

	"leat/domain/picture"
)

// Whatever is sent, it is refused in one of three ways, or what is kept is a
// picture of the size that is said, with nothing in it but pixels.
func FuzzRead(f *testing.F) {
	photo := bytesOf(f, noise(40, 30), picture.JPEG)
	f.Add(photo)
	f.Add(with(photo, segment(0xe1, []byte(exifMark), exif(binary.LittleEndian, 6))))
	f.Add(withChunks(bytesOf(f, quarters(40, 30), picture.PNG), chunk("eXIf", exif(binary.BigEndian, 8))))
	f.Add(header(30000, 30000, 8, 2, 0))
	f.Add(frame(0xc2, 7000, 7000, 0x11))
	f.Add([]byte("\x00\x00\x00\x18ftypheic"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if c, _, err := image.DecodeConfig(bytes.NewReader(data)); err == nil && c.Width <= picture.PixelsMost && c.Height <= picture.PixelsMost {
			if n := c.Width * c.Height; n > 1_000_000 && n <= picture.PixelsMost {
				t.Skip("large, and only slow")
			}
		}
		p, err := picture.Read(data)
		if err != nil {
			if !errors.Is(err, picture.ErrOther) && !errors.Is(err, picture.ErrLarge) && !errors.Is(err, picture.ErrBroken) {
				t.Fatal(err)
			}
			return
		}
		if got := pixelsOf(t, p.Full, p.MediaType).Bounds().Size(); got != image.Pt(p.Width, p.Height) || max(got.X, got.Y) > 2560 {
			t.Fatal(got)
		}
		if got := pixelsOf(t, p.Thumb, p.MediaType).Bounds().Size(); max(got.X, got.Y) > 320 {
			t.Fatal(got)
		}
		if odd := append(others(t, p.Full), others(t, p.Thumb)...); odd != nil {
			t.Fatalf("%q", odd)
		}
	})
}
