// Package house answers: what do all spreadsheets of the project share?
//
// Method: one font and a few colours, and a way to write a file whose bytes depend on what
// is in it alone: the library takes the parts of a spreadsheet, and the kinds of pictures
// in it, in no fixed order.
//
// Limits: what a sheet looks like beyond that is its own package's.
package house

import (
	"archive/zip"
	"bytes"
	"cmp"
	"io"
	"regexp"
	"slices"

	"github.com/xuri/excelize/v2"
)

// Every style names its font: without a family a reader may print a serif.
const (
	Font     = "Arial"
	FontSize = 10
)

// The colours: headings dark, groups and totals light, what wants a look in a warm tint
// that still reads when printed grey, what is urgent hotter.
const (
	Dark  = "1F4E5F"
	Light = "DCE6EA"
	Warm  = "FBE3D0"
	Hot   = "F4B8A0"
	Line  = "9AA5AA"
	Grey  = "8A969B"
)

// Write writes a spreadsheet: the same content gives the same bytes. What it has written
// when it returns an error is not a spreadsheet.
func Write(w io.Writer, f *excelize.File) error {
	file, err := f.WriteToBuffer()
	if err != nil {
		return err
	}
	in, err := zip.NewReader(bytes.NewReader(file.Bytes()), int64(file.Len()))
	if err != nil {
		return err
	}
	parts := slices.Clone(in.File)
	slices.SortFunc(parts, func(a, b *zip.File) int { return cmp.Compare(a.Name, b.Name) }) // [Content_Types].xml is first
	out := zip.NewWriter(w)
	for _, p := range parts {
		if p.Name == "[Content_Types].xml" {
			err = sortDefaults(out, p)
		} else {
			err = out.Copy(p)
		}
		if err != nil {
			return err
		}
	}
	return out.Close()
}

var defaults = regexp.MustCompile(`<Default [^>]*></Default>`)

// sortDefaults writes the list of content types with its defaults by name.
func sortDefaults(out *zip.Writer, p *zip.File) (err error) {
	in, err := p.Open()
	if err != nil {
		return err
	}
	defer func() {
		if closed := in.Close(); err == nil {
			err = closed
		}
	}()
	text, err := io.ReadAll(in)
	if err != nil {
		return err
	}
	found := defaults.FindAll(bytes.Clone(text), -1)
	slices.SortFunc(found, bytes.Compare)
	next := 0
	text = defaults.ReplaceAllFunc(text, func([]byte) []byte {
		next++
		return found[next-1]
	})
	w, err := out.Create(p.Name)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
