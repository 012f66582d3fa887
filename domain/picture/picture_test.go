package picture_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"leat/domain/picture"
)

// bytesOf encodes pixels as a test wants to send them.
func bytesOf(t testing.TB, m image.Image, mediaType string) []byte {
	t.Helper()
	var b bytes.Buffer
	if mediaType == picture.PNG {
		require.NoError(t, png.Encode(&b, m))
	} else {
		require.NoError(t, jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}))
	}
	return b.Bytes()
}

// pixelsOf decodes a picture as it is kept.
func pixelsOf(t testing.TB, data []byte, mediaType string) image.Image {
	t.Helper()
	m, format, err := image.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, mediaType, "image/"+format)
	return m
}

var (
	red, green = color.NRGBA{255, 0, 0, 255}, color.NRGBA{0, 255, 0, 255}
	blue, grey = color.NRGBA{0, 0, 255, 255}, color.NRGBA{128, 128, 128, 255}
)

// quarters is a picture with a colour in each quarter: red and green above blue
// and grey.
func quarters(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, [2][2]color.NRGBA{{red, green}, {blue, grey}}[2*y/h][2*x/w])
		}
	}
	return m
}

// noise is a picture that nothing compresses.
func noise(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	random := rand.New(rand.NewPCG(1, 2))
	for i := range m.Pix {
		m.Pix[i] = uint8(random.Uint32())
		if i%4 == 3 {
			m.Pix[i] = 255
		}
	}
	return m
}

// segment is one of JPEG (ITU-T T.81, B.1.1.4): marker, length, content.
func segment(marker byte, content ...[]byte) []byte {
	body := slices.Concat(content...)
	return slices.Concat([]byte{0xff, marker}, binary.BigEndian.AppendUint16(nil, uint16(len(body)+2)), body)
}

// with puts segments after the first two bytes of a JPEG file.
func with(file []byte, segments ...[]byte) []byte {
	return slices.Concat(file[:2], slices.Concat(segments...), file[2:])
}

// chunk is one of PNG (third edition, 5.3): length, name, content, check.
func chunk(name string, content []byte) []byte {
	body := append([]byte(name), content...)
	return slices.Concat(binary.BigEndian.AppendUint32(nil, uint32(len(content))), body,
		binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(body)))
}

// withChunks puts chunks after the header of a PNG file, which ends at byte 33.
func withChunks(file []byte, chunks ...[]byte) []byte {
	return slices.Concat(file[:33], slices.Concat(chunks...), file[33:])
}

const exifMark = "Exif\x00\x00"

// exif is Exif data with a camera, an orientation and a place, in the byte order
// that a test wants.
func exif(order binary.AppendByteOrder, orientation uint16) []byte {
	mark := "MM"
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		mark = "II"
	}
	entry := func(b []byte, tag, kind uint16, count, value uint32) []byte {
		b = order.AppendUint16(order.AppendUint16(b, tag), kind)
		b = order.AppendUint32(b, count)
		if kind == 3 { // a short stands at the left of the four bytes
			return order.AppendUint16(order.AppendUint16(b, uint16(value)), 0)
		}
		return order.AppendUint32(b, value)
	}
	b := order.AppendUint32(order.AppendUint16([]byte(mark), 42), 8)
	b = order.AppendUint16(b, 3)    // entries of the first directory, 8 to 50
	b = entry(b, 0x010f, 2, 12, 50) // Make, at 50
	b = entry(b, 0x0112, 3, 1, uint32(orientation))
	b = entry(b, 0x8825, 4, 1, 62) // where the directory of the place is
	b = order.AppendUint32(b, 0)
	b = append(b[:50:50], "Weirside 12\x00"...)
	b = order.AppendUint16(b, 2)           // 62 to 92
	b = entry(b, 0x0001, 2, 2, 0x4e000000) // north
	b = entry(b, 0x0002, 5, 3, 92)         // latitude: degrees, minutes, seconds
	b = order.AppendUint32(b, 0)
	for _, n := range latitude {
		b = order.AppendUint32(b, n)
	}
	return b
}

var latitude = []uint32{5907, 100, 271828, 10000, 314159, 10000}

// secrets are what must not be found in what is kept.
func secrets() [][]byte {
	list := [][]byte{[]byte("Weirside"), []byte("GPSLatitude"), []byte("59.07N"), []byte(exifMark[:4]), []byte("at the old mill")}
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		for _, n := range latitude[2:5:5] {
			if n > 10000 {
				list = append(list, order.AppendUint32(nil, n))
			}
		}
	}
	return list
}

const xmp = `<x:xmpmeta><rdf:Description exif:GPSLatitude="59.07N"/></x:xmpmeta>`

// What a file may say beside its pixels: Exif with a place (CIPA DC-008, 4.6.6),
// XMP, a comment, a profile; in PNG eXIf, iTXt and tEXt.
func TestNothingButPixelsIsKept(t *testing.T) {
	inJPEG := with(bytesOf(t, noise(400, 300), picture.JPEG),
		segment(0xe1, []byte(exifMark), exif(binary.BigEndian, 1)), segment(0xe1, []byte("http://ns.adobe.com/xap/1.0/\x00"+xmp)),
		segment(0xe2, []byte("ICC_PROFILE\x00\x01\x01 59.07N")), segment(0xfe, []byte("taken at the old mill")))
	inPNG := withChunks(bytesOf(t, quarters(400, 300), picture.PNG),
		chunk("eXIf", exif(binary.LittleEndian, 1)), chunk("tEXt", []byte("Comment\x00taken at the old mill")),
		chunk("iTXt", []byte("XML:com.adobe.xmp\x00\x00\x00\x00\x00"+xmp)))
	inPNG = append(inPNG, "59.07N"...) // after the end
	found := map[string]bool{}
	for kind, sent := range map[string][]byte{picture.JPEG: inJPEG, picture.PNG: inPNG} {
		p, err := picture.Read(sent)
		require.NoError(t, err)
		require.Equal(t, kind, p.MediaType)
		for _, kept := range [][]byte{p.Full, p.Thumb} {
			for _, secret := range secrets() {
				require.False(t, bytes.Contains(kept, secret), "%s: %q", kind, secret)
				found[string(secret)] = found[string(secret)] || bytes.Contains(sent, secret)
			}
			require.Empty(t, others(t, kept), kind)
		}
	}
	for secret, sent := range found {
		require.True(t, sent, "%q was never sent, so nothing was proved by it", secret)
	}
}

// others lists the markers or chunks of a file that hold no pixels: ITU-T T.81,
// table B.1, and PNG (third edition), clause 11.
func others(t testing.TB, file []byte) (odd []string) {
	t.Helper()
	if bytes.HasPrefix(file, []byte("\x89PNG")) {
		end := 0
		for at := 8; at < len(file); at += int(binary.BigEndian.Uint32(file[at:])) + 12 {
			name := string(file[at+4 : at+8])
			if !slices.Contains([]string{"IHDR", "PLTE", "tRNS", "IDAT", "IEND"}, name) {
				odd = append(odd, name)
			}
			end = at
		}
		require.Equal(t, "IEND", string(file[end+4:end+8]))
		return odd
	}
	at := 2
	for file[at+1] != 0xda { // the scan; after it only the end
		if !slices.Contains([]byte{0xc0, 0xc4, 0xdb}, file[at+1]) {
			odd = append(odd, string(file[at:at+2]))
		}
		at += 2 + int(binary.BigEndian.Uint16(file[at+2:]))
	}
	require.Equal(t, len(file)-2, bytes.Index(file, []byte{0xff, 0xd9}))
	return odd
}

// The table of tag 274 in TIFF 6.0, where the stored first row and first column
// belong (from memory): 6 right and top, 8 left and bottom, and so on. Chromium
// 156 was given the same eight JPEG files and shows them as the table has it.
func TestPictureIsTurnedUpright(t *testing.T) {
	seen := map[uint16][2][2]color.NRGBA{
		0: {{red, green}, {blue, grey}}, // no such orientation: as it is
		1: {{red, green}, {blue, grey}},
		2: {{green, red}, {grey, blue}},
		3: {{grey, blue}, {green, red}},
		4: {{blue, grey}, {red, green}},
		5: {{red, blue}, {green, grey}},
		6: {{blue, red}, {grey, green}},
		7: {{grey, green}, {blue, red}},
		8: {{green, grey}, {red, blue}},
		9: {{red, green}, {blue, grey}},
	}
	for orientation, want := range seen {
		for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
			sent := map[string][]byte{
				picture.JPEG: with(bytesOf(t, quarters(96, 64), picture.JPEG), segment(0xe1, []byte(exifMark), exif(order, orientation))),
				picture.PNG:  withChunks(bytesOf(t, quarters(96, 64), picture.PNG), chunk("eXIf", exif(order, orientation))),
			}
			for kind, data := range sent {
				p, err := picture.Read(data)
				require.NoError(t, err)
				w, h := 96, 64
				if orientation >= 5 && orientation <= 8 {
					w, h = h, w
				}
				require.Equal(t, [2]int{w, h}, [2]int{p.Width, p.Height}, "%d", orientation)
				for _, kept := range [][]byte{p.Full, p.Thumb} {
					requireQuarters(t, want, pixelsOf(t, kept, p.MediaType), kind, orientation)
				}
			}
		}
	}
}

func requireQuarters(t testing.TB, want [2][2]color.NRGBA, m image.Image, about ...any) {
	t.Helper()
	size := m.Bounds().Size()
	for row := range 2 {
		for column := range 2 {
			c := color.NRGBAModel.Convert(m.At(size.X*(1+2*column)/4, size.Y*(1+2*row)/4)).(color.NRGBA)
			w := want[row][column]
			for i, pair := range [3][2]uint8{{c.R, w.R}, {c.G, w.G}, {c.B, w.B}} {
				require.InDelta(t, pair[1], pair[0], 12, "%v: row %d, column %d, channel %d", about, row, column, i)
			}
		}
	}
}

func TestSizes(t *testing.T) {
	for _, c := range []struct{ w, h, wide, high, thumbWide, thumbHigh int }{
		{2560, 40, 2560, 40, 320, 5},
		{2561, 1000, 2560, 1000, 320, 125},
		{1000, 4000, 640, 2560, 80, 320},
		{6000, 2, 2560, 1, 320, 1},
		{300, 200, 300, 200, 300, 200},
		{1, 1, 1, 1, 1, 1},
	} {
		p, err := picture.Read(bytesOf(t, image.NewGray(image.Rect(0, 0, c.w, c.h)), picture.JPEG))
		require.NoError(t, err)
		require.Equal(t, [2]int{c.wide, c.high}, [2]int{p.Width, p.Height})
		require.Equal(t, image.Pt(c.wide, c.high), pixelsOf(t, p.Full, picture.JPEG).Bounds().Size())
		require.Equal(t, image.Pt(c.thumbWide, c.thumbHigh), pixelsOf(t, p.Thumb, picture.JPEG).Bounds().Size())
	}
}

// Three pixels become two, each the mean of one and a half: by hand, (0 + 90/2)/1.5
// and (90/2 + 240)/1.5.
func TestSmallerPixelsAreMeans(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 3840, 1))
	for x := range m.Pix {
		m.Pix[x] = []uint8{0, 90, 240}[x%3]
	}
	p, err := picture.Read(bytesOf(t, m, picture.PNG))
	require.NoError(t, err)
	require.Equal(t, picture.PNG, p.MediaType)
	kept := pixelsOf(t, p.Full, picture.PNG)
	require.Equal(t, image.Pt(2560, 1), kept.Bounds().Size())
	for x := range 2560 {
		require.Equal(t, []uint8{30, 190}[x%2], color.GrayModel.Convert(kept.At(x, 0)).(color.Gray).Y, "%d", x)
	}
}

func TestWhatWasSentWithoutLoss(t *testing.T) {
	drawing := image.NewPaletted(image.Rect(0, 0, 500, 300), color.Palette{color.White, blue})
	for i := range drawing.Pix {
		if i%50 == 0 || i/500%40 == 0 {
			drawing.Pix[i] = 1
		}
	}
	p, err := picture.Read(bytesOf(t, drawing, picture.PNG))
	require.NoError(t, err)
	require.Equal(t, picture.PNG, p.MediaType, "lines stay sharp")
	kept := pixelsOf(t, p.Full, picture.PNG)
	for i := range drawing.Pix {
		want := color.NRGBAModel.Convert(drawing.At(i%500, i/500))
		require.Equal(t, want, color.NRGBAModel.Convert(kept.At(i%500, i/500)))
	}

	p, err = picture.Read(bytesOf(t, noise(500, 300), picture.PNG))
	require.NoError(t, err)
	require.Equal(t, picture.JPEG, p.MediaType, "a photograph is smaller so")

	glass := noise(500, 300)
	glass.SetNRGBA(7, 7, color.NRGBA{200, 100, 50, 128})
	glass.SetNRGBA(8, 8, color.NRGBA{200, 100, 50, 0})
	p, err = picture.Read(bytesOf(t, glass, picture.PNG))
	require.NoError(t, err)
	require.Equal(t, picture.PNG, p.MediaType, "JPEG can't be seen through")
	kept = pixelsOf(t, p.Full, picture.PNG)
	require.Equal(t, color.NRGBA{200, 100, 50, 128}, kept.At(7, 7))
	require.Equal(t, color.NRGBA{}, kept.At(8, 8), "what can't be seen hides nothing")
}

// allocated returns how many bytes a call takes, also those that it gives back.
func allocated(call func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	call()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// header is the start of a PNG file that claims a size.
func header(w, h uint32, depth, colour, interlace byte) []byte {
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return slices.Concat([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(size, depth, colour, 0, 0, interlace)), chunk("IDAT", make([]byte, 20)))
}

// frame is the start of a JPEG file that claims a size: three components, the
// first one with so many samples across and down.
func frame(marker byte, w, h uint16, sampling byte) []byte {
	size := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16([]byte{8}, h), w)
	parts := []byte{3, 1, sampling, 0, 2, 0x11, 0, 3, 0x11, 0}
	return slices.Concat([]byte{0xff, 0xd8}, segment(marker, size, parts), segment(0xda, []byte{3, 1, 0, 2, 0, 3, 0, 0, 63, 0}), make([]byte, 20))
}

func TestBombsAreRefusedBeforeTheyUnfold(t *testing.T) {
	for name, bomb := range map[string][]byte{
		"PNG":                       header(30000, 30000, 8, 2, 0),
		"PNG, one more than fits":   header(5000, 10001, 1, 0, 0),
		"PNG, wide":                 header(1<<31-1, 1, 1, 0, 0),
		"PNG, wide and high":        header(1<<31-1, 1<<31-1, 8, 6, 0),
		"PNG, 16 bits, interlaced":  header(6000, 6000, 16, 6, 1),
		"JPEG":                      frame(0xc0, 60000, 60000, 0x22),
		"JPEG, one more than fits":  frame(0xc0, 10001, 5000, 0x22),
		"JPEG, progressive, colour": frame(0xc2, 7000, 7000, 0x11),
	} {
		var err error
		taken := allocated(func() { _, err = picture.Read(bomb) })
		if name != "PNG, wide and high" { // which the decoder refuses by itself
			require.ErrorIs(t, err, picture.ErrLarge, name)
		}
		require.Error(t, err, name)
		require.Less(t, taken, uint64(1<<20), name)
	}
	_, err := picture.Read(header(5000, 10000, 1, 0, 0))
	require.ErrorIs(t, err, picture.ErrBroken, "50 megapixels are looked at")
	_, err = picture.Read(frame(0xc2, 7000, 7000, 0x22))
	require.ErrorIs(t, err, picture.ErrBroken, "so is a progressive one with less colour than light")
}

// A scan of a progressive picture may be a few bytes long and still go over all
// of it; a real picture has about ten.
func TestAFewBytesThatMakeMuchWorkAreRefused(t *testing.T) {
	file := bytesOf(t, quarters(64, 64), picture.JPEG)
	scan := bytes.Index(file, []byte{0xff, 0xda})
	many := slices.Concat(file[:scan], bytes.Repeat(file[scan:len(file)-2], 300), file[len(file)-2:])
	_, err := picture.Read(many)
	require.ErrorIs(t, err, picture.ErrBroken)
}

func TestWhatIsNoPictureIsRefused(t *testing.T) {
	whole := map[string][]byte{"JPEG": bytesOf(t, noise(200, 100), picture.JPEG), "PNG": bytesOf(t, noise(200, 100), picture.PNG)}
	for name, file := range whole {
		for _, part := range []int{3, 4, 20, 50, len(file) / 2, len(file) - 5} {
			_, err := picture.Read(file[:part])
			require.Error(t, err, "%s: %d", name, part)
		}
		_, err := picture.Read(file[:len(file)/2])
		require.ErrorIs(t, err, picture.ErrBroken, name)
		require.True(t, picture.Looks(file), name)
	}
	for name, c := range map[string]struct {
		data  string
		looks bool
	}{
		"nothing": {"", false}, "text": {"Leak at the riser flange, not a picture.", false}, "page": {"<html><script>alert(1)</script></html>", false},
		"PDF": {"%PDF-1.7\n%...........", false}, "archive": {"PK\x03\x04\x14\x00\x00\x00\x08\x00\x00\x00", false},
		"film": {"\x00\x00\x00\x20ftypisom\x00\x00\x02\x00", false}, "sound": {"RIFF\x24\x00\x00\x00WAVEfmt ", false},
		// Beginnings: RFC 9649 (WebP), TIFF 6.0 section 2, GIF89a; those of HEIC
		// and AVIF are from memory of their registered brands.
		"GIF": {"GIF89a\x01\x00\x01\x00\x80\x00\x00", true}, "WebP": {"RIFF\x24\x00\x00\x00WEBPVP8 ", true},
		"TIFF, little end first": {"II*\x00\x08\x00\x00\x00\x00\x00\x00\x00", true}, "TIFF": {"MM\x00*\x00\x00\x00\x08\x00\x00\x00\x00", true},
		"HEIC": {"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00", true}, "HEIF": {"\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00", true},
		"AVIF": {"\x00\x00\x00\x18ftypavif\x00\x00\x00\x00", true},
	} {
		_, err := picture.Read([]byte(c.data))
		require.ErrorIs(t, err, picture.ErrOther, name)
		require.Equal(t, c.looks, picture.Looks([]byte(c.data)), name)
	}
}
