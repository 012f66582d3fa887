package picture

import (
	"bytes"
	"encoding/binary"
	"image"
)

const orientationTag = 0x0112

// orientationOf reads how a picture is to be turned from Exif data, which is a
// TIFF file: the byte order, 42, where the first directory is; there the number
// of its entries, each of tag, type, count and value in twelve bytes. What can't
// be read is upright.
func orientationOf(tiff []byte) int {
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(tiff, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(tiff) < 8 || order.Uint16(tiff[2:]) != 42 {
		return 1
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return 1
	}
	entries := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(entries) < 12 {
			break
		}
		if order.Uint16(entries) == orientationTag {
			if v := int(order.Uint16(entries[8:])); v >= 1 && v <= 8 {
				return v
			}
			break
		}
		entries = entries[12:]
	}
	return 1
}

// turned returns the picture as it is to be seen. An orientation says where the
// first row and the first column of what is stored belong: 6, the usual one of
// a phone held upright, the row at the right and the column on top.
func turned(m *image.NRGBA, orientation int) *image.NRGBA {
	if orientation == 1 {
		return m
	}
	w, h := m.Rect.Dx(), m.Rect.Dy()
	wide, high := w, h
	if orientation >= 5 {
		wide, high = h, w
	}
	from := map[int]func(x, y int) (int, int){
		2: func(x, y int) (int, int) { return w - 1 - x, y },
		3: func(x, y int) (int, int) { return w - 1 - x, h - 1 - y },
		4: func(x, y int) (int, int) { return x, h - 1 - y },
		5: func(x, y int) (int, int) { return y, x },
		6: func(x, y int) (int, int) { return y, h - 1 - x },
		7: func(x, y int) (int, int) { return w - 1 - y, h - 1 - x },
		8: func(x, y int) (int, int) { return w - 1 - y, x },
	}[orientation]
	to := image.NewNRGBA(image.Rect(0, 0, wide, high))
	for y := range high {
		for x := range wide {
			to.SetNRGBA(x, y, m.NRGBAAt(from(x, y)))
		}
	}
	return to
}
