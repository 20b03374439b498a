// Package labels answers: which sheet does a person print, cut and stick on cases and
// drawers?
//
// Method: A4 upright, two columns of seven labels, each with the code in large letters, the
// name, where it stands and what to mind, beside a QR code of the same: the code on the
// first line, the name on the second, where it stands on the third, as plain text that any
// phone reads without a network. Error correction M bears 15 % of dirt.
// Source: ISO/IEC 18004 by the barcode library; the project's own layout.
// Limits: it renders what it is handed; paper and glue are not oil-proof.
package labels

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/boombuler/barcode/qr"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/place"
	"roundkit/reports/house"
)

// The sheet: two labels beside one another; seven rows of this height fill a page, and an
// eighth does not fit on it.
const (
	sheetName  = "labels"
	across     = 2
	rowPoints  = 105.0
	codePixels = 118 // of the printed code, at 96 an inch: 31 mm with its white margin
	mostBytes  = 84  // what a code of 37 x 37 modules holds at correction M
)

// widths fill the paper between its margins.
var widths = []float64{17, 25.5, 1, 17, 25.5}

// Write writes the labels as a spreadsheet. What it returns on an error is not a
// spreadsheet: write to memory or to a file that is put in place afterwards.
func Write(w io.Writer, list []place.Label, footer string) (err error) {
	f := excelize.NewFile()
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	if err := setUp(f, footer); err != nil {
		return err
	}
	cut := []excelize.Border{}
	for _, side := range []string{"left", "right", "top", "bottom"} {
		cut = append(cut, excelize.Border{Type: side, Color: house.Line, Style: 3})
	}
	text, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Family: house.Font, Size: 10}, Border: cut[1:], CustomNumFmt: format("@"),
		Alignment: &excelize.Alignment{Vertical: "center", WrapText: true}})
	if err != nil {
		return err
	}
	code, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Family: house.Font, Size: 10}, Border: append(cut[:1:1], cut[2:]...)})
	if err != nil {
		return err
	}
	for i, l := range list {
		row, column := i/across+1, i%across*3+1
		if err := label(f, l, column, row, code, text); err != nil {
			return fmt.Errorf("label %s: %w", l.Code, err)
		}
	}
	return house.Write(w, f)
}

func format(s string) *string { return &s }

// setUp sets the sheet up: A4, as wide as the paper.
func setUp(f *excelize.File, footer string) error {
	if err := f.SetSheetName("Sheet1", sheetName); err != nil {
		return err
	}
	if err := f.SetDefaultFont(house.Font); err != nil {
		return err
	}
	a4, side, wide, tall, fit, margin, head := 9, "portrait", 1, 0, true, 0.4, 0.2
	if err := f.SetSheetProps(sheetName, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	if err := f.SetPageLayout(sheetName, &excelize.PageLayoutOptions{Size: &a4, Orientation: &side, FitToWidth: &wide, FitToHeight: &tall}); err != nil {
		return err
	}
	if err := f.SetPageMargins(sheetName, &excelize.PageLayoutMarginsOptions{Left: &margin, Right: &margin, Top: &margin, Bottom: &margin, Header: &head, Footer: &head}); err != nil {
		return err
	}
	if err := f.SetHeaderFooter(sheetName, &excelize.HeaderFooterOptions{OddFooter: "&L&8" + strings.ReplaceAll(footer, "&", "&&") + "&R&8page &P of &N"}); err != nil {
		return err
	}
	for i, w := range widths {
		name, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if err := f.SetColWidth(sheetName, name, name, w); err != nil {
			return err
		}
	}
	return nil
}

// label writes one label: its code as a picture, its words beside.
func label(f *excelize.File, l place.Label, column, row, code, text int) error {
	if err := f.SetRowHeight(sheetName, row, rowPoints); err != nil {
		return err
	}
	left, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return err
	}
	right, err := excelize.CoordinatesToCellName(column+1, row)
	if err != nil {
		return err
	}
	if err := f.SetCellStyle(sheetName, left, left, code); err != nil {
		return err
	}
	if err := f.SetCellStyle(sheetName, right, right, text); err != nil {
		return err
	}
	runs := []excelize.RichTextRun{{Text: l.Code, Font: &excelize.Font{Family: house.Font, Bold: true, Size: 22}}}
	for _, line := range []struct {
		text string
		size float64
	}{{l.Name, 12}, {l.In, 9}, {l.Mind, 9}} {
		if line.text != "" {
			runs = append(runs, excelize.RichTextRun{Text: "\n" + line.text, Font: &excelize.Font{Family: house.Font, Size: line.size}})
		}
	}
	if err := f.SetCellRichText(sheetName, right, runs); err != nil {
		return err
	}
	picture, side, err := Picture(Text(l))
	if err != nil {
		return err
	}
	scale := codePixels / float64(side)
	return f.AddPictureFromBytes(sheetName, left, &excelize.Picture{Extension: ".png", File: picture,
		Format: &excelize.GraphicOptions{AltText: Text(l), ScaleX: scale, ScaleY: scale, OffsetX: 2, OffsetY: 5, Positioning: "oneCell", LockAspectRatio: true}})
}

// Text is what the QR code of a label says: code, name, where it stands, a line each. A
// name that does not fit is cut, the code never.
func Text(l place.Label) string {
	name, in := l.Name, l.In
	for len(l.Code)+len(name)+len(in)+2 > mostBytes && name+in != "" {
		if len(in) > len(name) {
			in = shorter(in)
		} else {
			name = shorter(name)
		}
	}
	return strings.TrimRight(l.Code+"\n"+name+"\n"+in, "\n")
}

// shorter drops the last letter.
func shorter(s string) string {
	_, size := utf8.DecodeLastRuneInString(s)
	return s[:len(s)-size]
}

// A module is drawn as so many pixels, with the white margin that ISO/IEC 18004 asks for.
const (
	modulePixels = 8
	quietModules = 4
)

// Picture draws a text as a QR code with its white margin; side is its size in pixels.
func Picture(text string) (file []byte, side int, err error) {
	code, err := qr.Encode(text, qr.M, qr.Unicode)
	if err != nil {
		return nil, 0, fmt.Errorf("QR code of %d bytes: %w", len(text), err)
	}
	modules := code.Bounds().Dx()
	side = (modules + 2*quietModules) * modulePixels
	img := image.NewPaletted(image.Rect(0, 0, side, side), color.Palette{color.White, color.Black})
	for y := range modules * modulePixels {
		for x := range modules * modulePixels {
			if r, _, _, _ := code.At(x/modulePixels, y/modulePixels).RGBA(); r == 0 {
				img.SetColorIndex(x+quietModules*modulePixels, y+quietModules*modulePixels, 1)
			}
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		return nil, 0, err
	}
	return out.Bytes(), side, nil
}
