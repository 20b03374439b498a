package seasonfile

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"

	"roundkit/planner/workbook"
)

// spreadsheet is an .xlsx file being read.
type spreadsheet struct {
	name    string // as faults say it
	limits  Limits
	entries map[string]*zip.File
	left    int64 // inflated bytes that may still come
	cells   int   // cells that may still come
	shared  []string
	styles  []cellStyle
	words   interner
}

func readSpreadsheetFile(file string, limits Limits) (workbook.Input, error) {
	f, err := os.Open(file)
	if err != nil {
		return workbook.Input{}, fmt.Errorf("reading the workbook: %w", err)
	}
	defer func() { _ = f.Close() }()
	info, err := f.Stat()
	if err != nil {
		return workbook.Input{}, fmt.Errorf("reading the workbook: %w", err)
	}
	return readSpreadsheet(f, info.Size(), filepath.Base(file), limits)
}

// readSpreadsheet reads the season's sheets of a spreadsheet.
func readSpreadsheet(r io.ReaderAt, size int64, name string, limits Limits) (workbook.Input, error) {
	in := workbook.Input{Name: name}
	z, err := zip.NewReader(r, size)
	if err != nil {
		return in, notZip(r, name)
	}
	s := &spreadsheet{name: name, limits: limits, left: limits.InflatedBytes, cells: limits.Cells, words: interner{}}
	if err := s.guard(z); err != nil {
		return in, err
	}
	if err := s.workbook(&in); err != nil {
		return in, err
	}
	return in, nil
}

// notZip says what a file is that is no spreadsheet.
func notZip(r io.ReaderAt, name string) error {
	head := make([]byte, 8)
	n, _ := r.ReadAt(head, 0)
	switch head = head[:n]; {
	case n == 0:
		return refuse("%s: found an empty file, expected a spreadsheet (.xlsx)", name)
	case bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return refuse("%s: found an old .xls or one with a password, expected .xlsx without a password", name)
	case bytes.HasPrefix(head, []byte("PK")):
		return refuse("%s: found a damaged spreadsheet, expected a whole .xlsx", name)
	}
	return refuse("%s: found no spreadsheet, expected .xlsx or a folder of CSV files", name)
}

// guard looks at what is in the file before anything is unpacked.
func (s *spreadsheet) guard(z *zip.Reader) error {
	if len(z.File) > s.limits.Entries {
		return refuse("%s: found %d files inside, expected at most %d", s.name, len(z.File), s.limits.Entries)
	}
	s.entries = make(map[string]*zip.File, len(z.File))
	for _, f := range z.File {
		key := strings.ToLower(strings.TrimPrefix(f.Name, "/"))
		switch {
		case s.entries[key] != nil:
			return refuse("%s: found %.60q twice inside, expected each file once", s.name, f.Name)
		case strings.HasSuffix(key, "vbaproject.bin"):
			return refuse("%s: found macros, expected a workbook without (save it as .xlsx)", s.name)
		case strings.Contains(key, "externallinks/"):
			return refuse("%s: found links to other workbooks, expected none (break the links and save)", s.name)
		case key == "xl/workbook.bin":
			return refuse("%s: found a binary workbook, expected .xlsx", s.name)
		}
		s.entries[key] = f
	}
	if s.entries["mimetype"] != nil && s.entries["content.xml"] != nil {
		return refuse("%s: found an OpenDocument spreadsheet, expected it saved as .xlsx", s.name)
	}
	return nil
}

// open unpacks one file of the spreadsheet, within what is left of the limit.
func (s *spreadsheet) open(name string) (io.ReadCloser, error) {
	f := s.entries[strings.ToLower(name)]
	if f == nil {
		return nil, refuse("%s: found no %s inside, expected a whole .xlsx", s.name, name)
	}
	if f.UncompressedSize64 > uint64(s.left) {
		return nil, s.tooMuch()
	}
	r, err := f.Open()
	if err != nil {
		return nil, s.damaged(name, err)
	}
	return &limited{ReadCloser: r, left: &s.left}, nil
}

func (s *spreadsheet) tooMuch() error {
	return refuse("%s: found more than %d bytes when unpacked, expected less", s.name, s.limits.InflatedBytes)
}

// damaged words what went wrong in a file inside the spreadsheet.
func (s *spreadsheet) damaged(part string, err error) error {
	switch {
	case errors.Is(err, ErrRefused):
		return err
	case errors.Is(err, errInflated):
		return s.tooMuch()
	case errors.Is(err, errTooLong):
		return refuse("%s: found a text of more than %d bytes in %s, expected less", s.name, s.limits.TextBytes, part)
	case errors.Is(err, errXML):
		return refuse("%s: found %v in %s, expected a whole .xlsx", s.name, err, part)
	}
	return refuse("%s: found %s damaged (%v), expected a whole .xlsx", s.name, part, err)
}

var errInflated = errors.New("too many bytes")

// limited counts what is unpacked.
type limited struct {
	io.ReadCloser
	left *int64
}

func (l *limited) Read(p []byte) (int, error) {
	if *l.left < 0 {
		return 0, errInflated
	}
	n, err := l.ReadCloser.Read(p)
	*l.left -= int64(n)
	if *l.left < 0 {
		return n, errInflated
	}
	return n, err
}

// each reads an XML part and hands every token to visit.
func (s *spreadsheet) each(part string, visit func(x *scanner, t token) error) error {
	r, err := s.open(part)
	if err != nil {
		return err
	}
	defer func() { _ = r.Close() }()
	x := newScanner(r, s.limits.TextBytes)
	for {
		t, err := x.next()
		if err != nil {
			return s.damaged(part, err)
		}
		if t == tokenEnd {
			return nil
		}
		if err := visit(x, t); err != nil {
			return s.damaged(part, err)
		}
	}
}

// tab is one sheet as the workbook part lists it.
type tab struct{ name, relation string }

// workbook reads the list of sheets, then those that are the season's.
func (s *spreadsheet) workbook(in *workbook.Input) error {
	part := "xl/workbook.xml"
	if targets, err := s.relations("_rels/.rels", ""); err == nil {
		for _, t := range targets {
			if t.kind == "officeDocument" {
				part = t.target
			}
		}
	}
	var tabs []tab
	err := s.each(part, func(x *scanner, t token) error {
		switch {
		case t != tokenStart:
		case string(x.name) == "workbookPr":
			v := string(x.attr("date1904"))
			in.Date1904 = v == "1" || v == "true"
		case string(x.name) == "sheet" && len(tabs) < s.limits.Entries:
			tabs = append(tabs, tab{x.attrText("name"), x.attrText("id")})
		}
		return nil
	})
	if err != nil {
		return err
	}
	targets, err := s.relations(path.Join(path.Dir(part), "_rels", path.Base(part)+".rels"), path.Dir(part))
	if err != nil {
		return err
	}
	if err := s.readShared(targets); err != nil {
		return err
	}
	if err := s.readStyles(targets); err != nil {
		return err
	}
	return s.sheets(in, tabs, targets)
}

// sheets reads the season's sheets and names the others.
func (s *spreadsheet) sheets(in *workbook.Input, tabs []tab, targets map[string]relation) error {
	names, from := known(), map[string]string{}
	for _, t := range tabs {
		name := sheetName(t.name)
		if !names[name] {
			if !ours[name] && len(in.Notes) < s.limits.Entries {
				in.Notes = append(in.Notes, fmt.Sprintf("%s: sheet %q is no sheet of the season and was ignored", s.name, t.name))
			}
			continue
		}
		if first, twice := from[name]; twice {
			return refuse("%s: found the sheets %q and %q, expected one sheet %s", s.name, first, t.name, name)
		}
		from[name] = t.name
		target := targets[t.relation].target
		if target == "" {
			return refuse("%s: found no cells for the sheet %s, expected a whole .xlsx", s.name, t.name)
		}
		rows, err := s.sheet(name, target)
		if err != nil {
			return err
		}
		in.Sheets = append(in.Sheets, workbook.Sheetful{Name: name, Rows: rows})
	}
	if len(in.Sheets) == 0 {
		return refuse("%s: found no sheet of the season, expected sheets such as season, parts, stock", s.name)
	}
	return nil
}

// ours are the sheets of a new workbook that hold no rows of a season.
var ours = map[string]bool{"read-me": true, "lists": true}

// relation is where a part of the spreadsheet stands.
type relation struct{ kind, target string }

// relations reads a list of relations; the targets are relative to the folder given.
func (s *spreadsheet) relations(part, folder string) (map[string]relation, error) {
	out := map[string]relation{}
	err := s.each(part, func(x *scanner, t token) error {
		if t != tokenStart || string(x.name) != "Relationship" || len(out) > s.limits.Entries {
			return nil
		}
		id, kind, target := x.attrText("Id"), x.attrText("Type"), x.attrText("Target")
		if string(x.attr("TargetMode")) == "External" {
			return nil
		}
		if strings.HasPrefix(target, "/") {
			target = strings.TrimPrefix(target, "/")
		} else {
			target = path.Join(folder, target)
		}
		out[id] = relation{kind[strings.LastIndexByte(kind, '/')+1:], target}
		return nil
	})
	return out, err
}
