package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
)

// Why something is not kept as a picture.
var (
	ErrOther  = errors.New("picture: neither JPEG nor PNG")
	ErrLarge  = errors.New("picture: more pixels than are taken")
	ErrBroken = errors.New("picture: can't be read to its end")
)

const (
	// PixelsMost is the size of the largest camera picture that is read.
	PixelsMost = 50_000_000
	fullSide   = 2560 // pixels, of the longer side that is kept
	thumbSide  = 320
	quality    = 85 // of JPEG, of 100
)

// The media types of what is kept.
const (
	JPEG = "image/jpeg"
	PNG  = "image/png"
)

// Picture is a picture as it is kept.
type Picture struct {
	MediaType     string // of both
	Width, Height int    // pixels, of Full
	Full, Thumb   []byte
}

// Read makes a picture of the bytes of a JPEG or PNG file. What says nothing
// about how to show the pixels is left behind, and so is a colour profile: the
// colours are taken for sRGB.
func Read(data []byte) (Picture, error) {
	format, err := formatOf(data)
	if err != nil {
		return Picture{}, err
	}
	about, err := format.survey(data)
	if err != nil {
		return Picture{}, err
	}
	head, err := format.head(bytes.NewReader(data))
	if err != nil {
		return Picture{}, fmt.Errorf("%w: %w", ErrBroken, err)
	}
	if head.Width < 1 || head.Height < 1 {
		return Picture{}, fmt.Errorf("%w: no pixels", ErrBroken)
	}
	if head.Width > PixelsMost/head.Height || float64(head.Width*head.Height)*about.bytesPerPixel > workMost {
		return Picture{}, ErrLarge
	}
	decoded, err := format.decode(bytes.NewReader(data))
	if err != nil {
		return Picture{}, fmt.Errorf("%w: %w", ErrBroken, err)
	}
	pixels, ok := decoded.(image.RGBA64Image)
	if !ok {
		return Picture{}, fmt.Errorf("picture: pixels of type %T", decoded)
	}
	return encoded(turned(shrunk(pixels, fullSide), about.orientation), format.lossless)
}

// encoded writes a picture and its thumbnail. What was sent without loss stays
// so when it is see-through, or no larger that way, as drawings and screens are.
func encoded(full *image.NRGBA, lossless bool) (p Picture, err error) {
	p = Picture{MediaType: JPEG, Width: full.Rect.Dx(), Height: full.Rect.Dy()}
	write := writeJPEG
	if p.Full, err = write(full); err != nil {
		return p, err
	}
	if lossless {
		same, err := writePNG(full)
		if err != nil {
			return p, err
		}
		if !full.Opaque() || len(same) <= len(p.Full) {
			p.MediaType, p.Full, write = PNG, same, writePNG
		}
	}
	p.Thumb, err = write(shrunk(full, thumbSide))
	return p, err
}

func writePNG(m *image.NRGBA) ([]byte, error) {
	var b bytes.Buffer
	err := png.Encode(&b, m)
	return b.Bytes(), err
}

// writeJPEG writes pixels that are all opaque. Those are the same with and
// without the alpha multiplied in, and the encoder is quick with the latter.
func writeJPEG(m *image.NRGBA) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, &image.RGBA{Pix: m.Pix, Stride: m.Stride, Rect: m.Rect}, &jpeg.Options{Quality: quality})
	return b.Bytes(), err
}
