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
	"slices"
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
// any error, the one of write included, nothing is left and what was there stays. A file that
// is there is written over only with --replace.
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
	case !e.Replace:
		return errThere
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

// errThere refuses to write over a file.
var errThere = errors.New("a file is there already, expected a new name, or --replace to write over it")

// Free refuses a file that is there, unless files are written over.
func (e *Env) Free(path string) error {
	if info, err := os.Stat(path); path != "" && !e.Replace && err == nil && info.Mode().IsRegular() {
		return fmt.Errorf("write %s: %w", path, errThere)
	}
	return nil
}

// NamedFile is one file of a folder.
type NamedFile struct {
	Name  string
	Write func(io.Writer) error
}

// WriteFolder writes the files of a folder, all of them or none: they are made in a folder
// beside it, which takes its name if there is none, else they are put into it one by one, and
// taken out again where that fails. Its other files stay; one of these names is written over
// only with --replace. Only a program killed while it puts them into a folder that is there
// leaves some of each.
func (e *Env) WriteFolder(path string, files []NamedFile) (err error) {
	path = filepath.Clean(path)
	defer func() {
		var inner *fs.PathError
		if errors.As(err, &inner) {
			err = inner.Err
		}
		if err != nil {
			err = fmt.Errorf("write the folder %s: %w", path, err)
		}
	}()
	there, err := os.ReadDir(path)
	isNew := errors.Is(err, fs.ErrNotExist)
	if err != nil && !isNew {
		return err
	}
	names := map[string]bool{}
	for _, f := range files {
		names[f.Name] = true
	}
	for _, f := range there {
		if names[f.Name()] && !(e.Replace && f.Type().IsRegular()) {
			return fmt.Errorf("%s: %w", f.Name(), errThere)
		}
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return err
	}
	made := fmt.Sprintf("%s.%d.part", filepath.Join(filepath.Dir(path), "."+filepath.Base(path)), os.Getpid())
	if err := os.Mkdir(made, 0o777); err != nil {
		return err
	}
	if e.parts != nil {
		e.parts.Store(made, nil)
		defer e.parts.Delete(made)
	}
	defer func() { _ = os.RemoveAll(made) }() // nothing is in it once all went well
	for _, f := range files {
		file, err := os.OpenFile(filepath.Join(made, f.Name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err != nil {
			return err
		}
		if err := fill(file, f.Write); err != nil {
			_ = file.Close()
			return fmt.Errorf("%s: %w", f.Name, err)
		}
	}
	if isNew {
		return os.Rename(made, path)
	}
	return putInto(path, made, files)
}

// putInto moves the files into a folder that is there; what was in their places is kept until
// all are there, and put back where one cannot be.
func putInto(path, made string, files []NamedFile) (err error) {
	var back []func()
	defer func() {
		if err == nil {
			return
		}
		for _, undo := range slices.Backward(back) {
			undo()
		}
	}()
	for _, f := range files {
		from, to, old := filepath.Join(made, f.Name), filepath.Join(path, f.Name), filepath.Join(made, f.Name+".before")
		switch err := os.Rename(to, old); {
		case err == nil:
			back = append(back, func() { _ = os.Rename(old, to) })
		case !errors.Is(err, fs.ErrNotExist):
			return err
		}
		if err := os.Rename(from, to); err != nil {
			return err
		}
		back = append(back, func() { _ = os.Rename(to, from) })
	}
	return nil
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
		_ = os.RemoveAll(path.(string))
		return true
	})
}
