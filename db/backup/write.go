package backup

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Writer writes one file. After Close it has its name; after Abort nothing is left of it.
type Writer struct {
	path    string
	replace bool
	key     Key
	part    *os.File
	buffer  *bufio.Writer
	seal    *seal
	packed  *gzip.Writer
	wrote   []section
}

// section is a line of JSON between the rows.
type section struct {
	Table    string   `json:"table,omitempty"`
	Columns  []string `json:"columns,omitempty"`
	Rows     *int64   `json:"rows,omitempty"` // after a table's rows
	Sequence string   `json:"sequence,omitempty"`
	Last     int64    `json:"last,omitempty"`
	End      bool     `json:"end,omitempty"`
}

// Create begins a file. What stands there already is left alone (ErrExists) unless it is to
// be replaced, and even then only a plain file is.
func Create(path string, key Key, head Head, replace bool) (*Writer, error) {
	if err := Free(path, replace); err != nil {
		return nil, err
	}
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	part, err := os.CreateTemp(folder, partPattern) // of mode 0600
	if err != nil {
		return nil, err
	}
	w := &Writer{path: path, replace: replace, key: key, part: part, seal: newSeal(key)}
	w.buffer = bufio.NewWriterSize(io.MultiWriter(part, w.seal), 1<<16)
	w.packed, _ = gzip.NewWriterLevel(w.buffer, gzip.BestSpeed) // the level is one of gzip's own
	text, err := json.Marshal(head)
	if err == nil {
		_, err = w.buffer.WriteString(mark + string(text) + "\n")
	}
	if err != nil {
		w.Abort()
		return nil, err
	}
	return w, nil
}

// partPattern names a file in the making.
const partPattern = ".back-up-*.part"

// Free refuses a path on which something stands that may not be replaced.
func Free(path string, replace bool) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case !info.Mode().IsRegular():
		return fmt.Errorf("%w: %s is a %s, expected a plain file or a new name", ErrExists, path, kindOf(info.Mode()))
	case !replace:
		return fmt.Errorf("%w: %s is there already", ErrExists, path)
	}
	return nil
}

func kindOf(mode fs.FileMode) string {
	switch {
	case mode.IsDir():
		return "folder"
	case mode&fs.ModeSymlink != 0:
		return "link"
	case mode&fs.ModeNamedPipe != 0:
		return "pipe"
	case mode&fs.ModeSocket != 0:
		return "socket"
	}
	return "device"
}

// Table writes the rows of a table: copy writes them as COPY does and returns how many.
func (w *Writer) Table(name string, columns []string, copy func(io.Writer) (rows int64, err error)) error {
	if err := w.say(section{Table: name, Columns: columns}); err != nil {
		return err
	}
	rows, err := copy(w.packed)
	if err != nil {
		return err
	}
	if _, err := io.WriteString(w.packed, endOfRows); err != nil {
		return err
	}
	return w.say(section{Rows: &rows})
}

// Sequence writes the last number a sequence gave.
func (w *Writer) Sequence(name string, last int64) error {
	return w.say(section{Sequence: name, Last: last})
}

const endOfRows = "\\.\n"

func (w *Writer) say(s section) error {
	text, err := json.Marshal(s)
	if err != nil {
		return err
	}
	w.wrote = append(w.wrote, s)
	_, err = w.packed.Write(append(text, '\n'))
	return err
}

// Close ends the file, reads all of it back and gives it its name.
func (w *Writer) Close() (err error) {
	defer func() {
		if err != nil {
			w.Abort()
		}
	}()
	if err := w.say(section{End: true}); err != nil {
		return err
	}
	if err := errors.Join(w.packed.Close(), w.buffer.Flush()); err != nil {
		return err
	}
	if _, err := w.part.WriteString(w.seal.footer()); err != nil {
		return err
	}
	if err := errors.Join(w.part.Sync(), w.part.Close()); err != nil {
		return err
	}
	if err := w.readBack(); err != nil {
		return fmt.Errorf("read back what was written: %w", err)
	}
	if err := w.name(); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(w.path))
}

// readBack compares what the disk holds with what was written.
func (w *Writer) readBack() error {
	f, err := Open(w.part.Name(), w.key)
	if err != nil {
		return err
	}
	defer f.Close()
	var read []byte
	for _, s := range f.sections {
		text, err := json.Marshal(s)
		if err != nil {
			return err
		}
		read = append(read, text...)
	}
	var wrote []byte
	for _, s := range w.wrote {
		text, err := json.Marshal(s)
		if err != nil {
			return err
		}
		wrote = append(wrote, text...)
	}
	if !bytes.Equal(wrote, read) {
		return fmt.Errorf("%w: its tables are not those written", ErrDamaged)
	}
	return nil
}

// name gives the finished file its name; where nothing may be replaced, in a way that
// fails if the name was taken meanwhile.
func (w *Writer) name() error {
	if err := Free(w.path, w.replace); err != nil {
		return err
	}
	if !w.replace {
		if err := os.Link(w.part.Name(), w.path); err == nil {
			return os.Remove(w.part.Name())
		} else if errors.Is(err, fs.ErrExist) {
			return fmt.Errorf("%w: %s is there already", ErrExists, w.path)
		} // some file systems have no links
	}
	return os.Rename(w.part.Name(), w.path)
}

// Abort leaves nothing behind.
func (w *Writer) Abort() {
	_ = w.part.Close()
	_ = os.Remove(w.part.Name())
}

// Forget removes the name of what is being written, at any time and from any goroutine: what
// is not finished by then fails to take its own.
func (w *Writer) Forget() { _ = os.Remove(w.part.Name()) }

// syncFolder makes a name survive a power cut, where the system can.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() { _ = folder.Close() }()
	_ = folder.Sync() // some file systems cannot
	return nil
}
