package backup

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
)

// File is a back-up that is whole.
type File struct {
	Head     Head
	file     *os.File
	content  int64
	sections []section
}

// Open checks all of a file before anything is done with it: that it is whole, unaltered,
// ours, and can be read to its end. For a whole file of somebody else it returns the file
// and ErrUnsigned, and the caller decides. Close it when done.
func Open(path string, key Key) (_ *File, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() { // a pipe would be waited for
		return nil, fmt.Errorf("%w: %s is a %s, expected a plain file", ErrDamaged, path, kindOf(info.Mode()))
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	f := &File{file: file}
	defer func() {
		if err != nil && !errors.Is(err, ErrUnsigned) {
			_ = file.Close()
		}
	}()
	content, whose := check(file, key)
	if whose != nil && !errors.Is(whose, ErrUnsigned) {
		return nil, whose
	}
	f.content = content
	if err := f.Read(Into{}); err != nil {
		return nil, err
	}
	return f, whose
}

// Close lets the file go.
func (f *File) Close() { _ = f.file.Close() }

// Into is what takes the rows; nil functions skip.
type Into struct {
	Table    func(name string, columns []string, rows io.Reader) (took int64, err error)
	Sequence func(name string, last int64) error
}

// Read hands over every table and sequence in the order they were written.
func (f *File) Read(into Into) error {
	lines := bufio.NewReaderSize(io.NewSectionReader(f.file, int64(len(mark)), f.content-int64(len(mark))), 1<<16)
	text, err := lines.ReadSlice('\n') // no longer than the buffer, whoever wrote it
	if err != nil || json.Unmarshal(text, &f.Head) != nil {
		return fmt.Errorf("%w: found no line that says what it is a back-up of", ErrDamaged)
	}
	unpacked, err := gzip.NewReader(lines)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	f.sections = f.sections[:0]
	rows := bufio.NewReaderSize(unpacked, 1<<16)
	next := func() (s section, err error) {
		text, err := rows.ReadSlice('\n')
		if err != nil || json.Unmarshal(text, &s) != nil {
			return s, fmt.Errorf("%w: found no end", ErrDamaged)
		}
		f.sections = append(f.sections, s)
		return s, nil
	}
	for {
		s, err := next()
		switch {
		case err != nil:
			return err
		case s.End:
			return nil
		case s.Sequence != "":
			if into.Sequence != nil {
				if err := into.Sequence(s.Sequence, s.Last); err != nil {
					return err
				}
			}
			continue
		case s.Table == "":
			return fmt.Errorf("%w: found neither a table nor an end", ErrDamaged)
		}
		copied := &tableRows{from: rows}
		took := int64(-1)
		if into.Table != nil {
			if took, err = into.Table(s.Table, s.Columns, copied); err != nil {
				return err
			}
		}
		if _, err := io.Copy(io.Discard, copied); err != nil {
			return err
		}
		after, err := next()
		if err != nil {
			return err
		}
		if after.Rows == nil || *after.Rows != copied.count || took >= 0 && took != copied.count {
			return fmt.Errorf("%w: table %s has another number of rows than was written", ErrDamaged, s.Table)
		}
	}
}

// tableRows reads one table's rows, up to the line that ends them.
type tableRows struct {
	from  *bufio.Reader
	left  []byte // of the line in hand
	begun bool   // the line in hand goes on in the next piece
	count int64
	ended bool
}

func (r *tableRows) Read(p []byte) (int, error) {
	for len(r.left) == 0 {
		if r.ended {
			return 0, io.EOF
		}
		line, err := r.from.ReadSlice('\n') // a long line comes in pieces
		if err != nil && !errors.Is(err, bufio.ErrBufferFull) {
			return 0, fmt.Errorf("%w: found no end of a table", ErrDamaged)
		}
		if !r.begun && bytes.Equal(line, []byte(endOfRows)) {
			r.ended = true
			continue
		}
		r.begun = err != nil
		if !r.begun {
			r.count++
		}
		r.left = line
	}
	n := copy(p, r.left)
	r.left = r.left[n:]
	return n, nil
}
