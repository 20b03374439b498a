package frame

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// PrintJSON prints v indented, its fields in the order of the type. Nothing is printed
// where v cannot be written: JSON has no NaN, so a chance that went wrong is refused
// here rather than passed on.
func (e *Env) PrintJSON(v any) error {
	var buffer bytes.Buffer
	encoder := json.NewEncoder(&buffer)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(v); err != nil {
		return fmt.Errorf("write the answer as JSON: %w", err)
	}
	_, err := e.Out.Write(buffer.Bytes())
	return err
}

// WriteFile writes the file of --out: whole, or not at all. The content goes to a new
// file in the same folder, which takes the name only when all of it is on the disk; on
// any error, the one of write included, nothing is left and what was there stays.
// "-" is the standard output, which is refused where a person would get it on screen.
func (e *Env) WriteFile(path string, write func(io.Writer) error) error {
	if path == "-" {
		if e.OutTerminal {
			return Usagef("option --out: found -, expected a file, since the standard output is the terminal")
		}
		return write(e.Out)
	}
	if err := e.writeWhole(path, write); err != nil {
		// The path error names a file the user never typed: keep its cause only.
		var inner *fs.PathError
		if errors.As(err, &inner) {
			err = inner.Err
		}
		return fmt.Errorf("write %s: %w", path, err)
	}
	return nil
}

func (e *Env) writeWhole(path string, write func(io.Writer) error) (err error) {
	// A rename over a link would cut the link, so the file it leads to is the one.
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	mode := fs.FileMode(0o666)
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case info.IsDir():
		return errors.New("it is a folder, expected a file")
	case !info.Mode().IsRegular():
		// A device or a pipe is written to: putting a file in its place would destroy it.
		return writeInto(path, write)
	default:
		mode = info.Mode().Perm()
	}
	part, err := createBeside(path, mode)
	if err != nil {
		return err
	}
	if e.parts != nil {
		e.parts.Store(part.Name(), nil)
		defer e.parts.Delete(part.Name())
	}
	defer func() {
		if err != nil {
			part.Close() // a second close after a good one only errs
			os.Remove(part.Name())
		}
	}()
	if err := fill(part, write); err != nil {
		return err
	}
	return os.Rename(part.Name(), path)
}

// createBeside makes a new file in path's folder. os.CreateTemp would give it mode
// 0600; with OpenFile the user's umask decides, as for any other file.
func createBeside(path string, mode fs.FileMode) (*os.File, error) {
	folder, name := filepath.Split(path)
	for try := 0; ; try++ {
		part := filepath.Join(folder, fmt.Sprintf(".%s.%d-%d.part", name, os.Getpid(), try))
		file, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if errors.Is(err, fs.ErrExist) && try < 1000 {
			continue
		}
		return file, err
	}
}

func writeInto(path string, write func(io.Writer) error) error {
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriter(file)
	return errors.Join(write(buffered), buffered.Flush(), file.Close())
}

func fill(file *os.File, write func(io.Writer) error) error {
	buffered := bufio.NewWriterSize(file, 1<<16)
	if err := write(buffered); err != nil {
		return err
	}
	if err := buffered.Flush(); err != nil {
		return err
	}
	if err := file.Sync(); err != nil {
		return err
	}
	return file.Close()
}

// WatchParts lets RemoveParts know what is being written from now on.
func (e *Env) WatchParts() { e.parts = &sync.Map{} }

// RemoveParts removes what is being written, for a run that ends in the middle of it.
func (e *Env) RemoveParts() {
	e.parts.Range(func(path, _ any) bool {
		_ = os.Remove(path.(string))
		return true
	})
}
