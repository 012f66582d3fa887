package api

import (
	"fmt"
	"image/color"

	"github.com/boombuler/barcode/qr"
)

// labelOf makes the square code of a label: scanned, it leads to the page of the
// build. Each row is a text of 1 for dark and 0 for light; the page leaves four
// light squares around. A quarter of it may be scratched and it can still be
// read.
func (s *server) labelOf(tag int) (label, error) {
	url := fmt.Sprintf("%s/builds/%d", s.origin, tag)
	code, err := qr.Encode(url, qr.Q, qr.Auto)
	if err != nil {
		return label{}, fmt.Errorf("api: label of build %d: %w", tag, err)
	}
	rows := make([]string, code.Bounds().Dy())
	for y := range rows {
		row := make([]byte, code.Bounds().Dx())
		for x := range row {
			row[x] = '0'
			if code.At(x, y) == color.Black {
				row[x] = '1'
			}
		}
		rows[y] = string(row)
	}
	return label{url, rows}, nil
}
