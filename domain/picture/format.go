package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"image/png"
	"io"
)

// workMost is how many bytes the pixels may fill while a picture is read: the
// largest one as phones and cameras write it, but not every form that a file
// may have it in.
const workMost = 400_000_000

// format is a kind of file that pictures are read from.
type format struct {
	begins   string
	lossless bool
	survey   func([]byte) (about, error)
	head     func(io.Reader) (image.Config, error)
	decode   func(io.Reader) (image.Image, error)
}

// about is what a file says of its pixels, beside how many there are.
type about struct {
	orientation   int     // 1 to 8, as Exif has it; 1 is upright
	bytesPerPixel float64 // that reading takes
}

const (
	jpegBegins = "\xff\xd8\xff"
	pngBegins  = "\x89PNG\r\n\x1a\n"
)

var (
	jpegFormat = format{jpegBegins, false, surveyJPEG, jpeg.DecodeConfig, decodeJPEG}
	pngFormat  = format{pngBegins, true, surveyPNG, png.DecodeConfig, png.Decode}
)

func formatOf(data []byte) (format, error) {
	for _, f := range []format{jpegFormat, pngFormat} {
		if bytes.HasPrefix(data, []byte(f.begins)) {
			return f, nil
		}
	}
	return format{}, ErrOther
}

// Looks tells whether data begins as a picture does, one of the formats that
// are read or another that may say where it was taken: TIFF and what cameras
// call raw, GIF, WebP, and HEIC and AVIF, whose first box names them.
func Looks(data []byte) bool {
	if _, err := formatOf(data); err == nil {
		return true
	}
	for _, begins := range []string{"II*\x00", "MM\x00*", "GIF8"} {
		if bytes.HasPrefix(data, []byte(begins)) {
			return true
		}
	}
	if len(data) < 12 {
		return false
	}
	if string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP" {
		return true
	}
	brand := string(data[8:12])
	return string(data[4:8]) == "ftyp" && (brand[:2] == "he" || brand == "mif1" || brand == "msf1" || brand[:3] == "avi")
}

// Markers of JPEG (ITU-T T.81, table B.1).
const (
	markSOF0, markSOF2 = 0xc0, 0xc2 // the frame: baseline, progressive
	markDHT            = 0xc4       // tables of codes
	markEOI            = 0xd9
	markSOS            = 0xda // a scan begins
	markDQT            = 0xdb // tables of steps
	markAPP1           = 0xe1
)

// surveyJPEG reads the segments before the first scan.
func surveyJPEG(data []byte) (about, error) {
	a := about{orientation: 1}
	for at := 2; ; {
		marker, body, next := segment(data, at)
		switch {
		case body == nil || marker == markSOS || marker == markEOI:
			if a.bytesPerPixel == 0 {
				return a, ErrBroken
			}
			return a, nil
		case marker >= markSOF0 && marker <= markSOF2 && len(body) > 6:
			a.bytesPerPixel = frameBytes(body, marker == markSOF2)
		case marker == markAPP1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			a.orientation = orientationOf(body[6:])
		}
		at = next
	}
}

// segment returns the next marker from a place on and what belongs to it; nil
// at the end of what can be read.
func segment(data []byte, at int) (marker byte, body []byte, next int) {
	for ; at+1 < len(data); at++ {
		mark := data[at+1]
		if data[at] != 0xff || mark == 0 || mark == 0xff || mark >= 0xd0 && mark <= 0xd7 {
			continue // between segments, or a marker that nothing follows
		}
		if at+4 > len(data) {
			break
		}
		n := int(binary.BigEndian.Uint16(data[at+2:]))
		if n < 2 || at+2+n > len(data) {
			break
		}
		return mark, data[at+4 : at+2+n], at + 2 + n
	}
	return 0, nil, len(data)
}

// frameBytes returns how many bytes a pixel takes while it is read: one for each
// of its samples, of which colour may have fewer than one, and four more for
// their coefficients where all of those are gathered before a pixel is made.
func frameBytes(frame []byte, progressive bool) float64 {
	var samples, across, down int
	for c := frame[6:]; len(c) >= 3; c = c[3:] {
		h, v := int(c[1]>>4), int(c[1]&0xf)
		samples, across, down = samples+h*v, max(across, h), max(down, v)
	}
	n := float64(samples) / float64(max(1, across*down))
	if progressive {
		n *= 5
	}
	return n
}

// scansMost bounds how often a JPEG file may go over its pixels anew: usual
// ones do so about ten times, and each time takes work without taking bytes.
const scansMost = 200

func decodeJPEG(r io.Reader) (image.Image, error) {
	return jpeg.Decode(&scanCounter{r: r})
}

// scanCounter ends a file in which too many scans begin.
type scanCounter struct {
	r     io.Reader
	last  byte
	scans int
}

// Read passes bytes on.
func (c *scanCounter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	for _, b := range p[:n] {
		if c.last == 0xff && b == markSOS {
			c.scans++
		}
		c.last = b
	}
	if c.scans > scansMost {
		return 0, ErrBroken
	}
	return n, err
}

// surveyPNG reads the chunks: length, name, data and check (PNG, third edition, 5.3).
func surveyPNG(data []byte) (about, error) {
	a := about{orientation: 1, bytesPerPixel: 4}
	for at := len(pngBegins); at+8 <= len(data); {
		n, name := int(binary.BigEndian.Uint32(data[at:])), string(data[at+4:at+8])
		if n > len(data)-at-8 {
			break
		}
		body := data[at+8 : at+8+n]
		switch {
		case name == "IHDR" && n == 13:
			a.bytesPerPixel = pixelBytes(body)
		case name == "eXIf":
			a.orientation = orientationOf(body)
		}
		at += n + 12
	}
	return a, nil
}

// pixelBytes returns how many bytes a pixel takes while it is read: four
// channels of one byte or two, and all of it twice when it is interlaced.
func pixelBytes(header []byte) float64 {
	n := 4.0
	if header[8] == 16 {
		n *= 2
	}
	if header[12] != 0 {
		n *= 2
	}
	return n
}
