package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// Why something is not a picture as [Read] makes it, beside what Read refuses.
var (
	ErrMore = errors.New("picture: it holds more than pixels")
	ErrSize = errors.New("picture: it has another size than it should")
)

// Check returns why p, which comes from elsewhere, is not a picture as Read makes
// it: of its type and size, readable to its end, and with nothing in it but pixels.
// It reads no picture that is larger than those that are kept.
func (p Picture) Check() error {
	if p.Width > fullSide || p.Height > fullSide {
		return ErrLarge
	}
	if err := check(p.Full, p.MediaType, p.Width, p.Height); err != nil {
		return err
	}
	w, h := fitted(p.Width, p.Height, thumbSide)
	return check(p.Thumb, p.MediaType, w, h)
}

func check(data []byte, mediaType string, w, h int) error {
	form, bare := jpegFormat, bareJPEG
	if mediaType == PNG {
		form, bare = pngFormat, barePNG
	}
	if !bytes.HasPrefix(data, []byte(form.begins)) {
		return ErrOther
	}
	head, err := form.head(bytes.NewReader(data))
	switch {
	case err != nil:
		return fmt.Errorf("%w: %w", ErrBroken, err)
	case head.Width > fullSide || head.Height > fullSide:
		return ErrLarge
	case head.Width != w || head.Height != h:
		return ErrSize
	case !bare(data):
		return ErrMore
	}
	if _, err := form.decode(bytes.NewReader(data)); err != nil {
		return fmt.Errorf("%w: %w", ErrBroken, err)
	}
	return nil
}

// bareJPEG tells whether a file has the segments that the pixels take, in the order
// in which the standard library writes them, and nothing else (ITU-T T.81, B.2).
func bareJPEG(data []byte) bool {
	at := 2
	for _, want := range []byte{markDQT, markSOF0, markDHT, markSOS} {
		marker, body, next := segment(data, at)
		if marker != want || next != at+4+len(body) {
			return false
		}
		at = next
	}
	for ; at+1 < len(data); at++ {
		if data[at] == 0xff && data[at+1] != 0 { // the first marker behind the scan
			return data[at+1] == markEOI && at+2 == len(data)
		}
	}
	return true // cut off, as reading it will tell
}

// barePNG tells whether a file has the chunks that the pixels take, as the standard
// library writes them, and nothing else (PNG, third edition, 5.3 and 11.2).
func barePNG(data []byte) bool {
	last := ""
	for at := uint64(len(pngBegins)); at+8 <= uint64(len(data)); {
		n, name := uint64(binary.BigEndian.Uint32(data[at:])), string(data[at+4:at+8])
		switch {
		case last == "IEND":
			return false
		case name == "IHDR" && last == "" && n == 13:
			if depth, colour, interlace := data[at+16], data[at+17], data[at+20]; depth != 8 || colour != 2 && colour != 6 || interlace != 0 {
				return false
			}
		case name == "IDAT" && last != "":
		case name == "IEND" && n == 0:
		default:
			return false
		}
		last, at = name, at+n+12
		if last == "IEND" && at != uint64(len(data)) {
			return false
		}
	}
	return true
}
