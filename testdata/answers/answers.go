// Package answers reads answers.json, the known answers of the invented season, and
// checks a command's JSON against them. The rules for reading its paths are in the
// workbook format's description: rows of a list are picked by [field=value], "sum
// field" adds a field over the rows left, "pmf.cdf x" adds chances up to x.
package answers

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing/fstest"
)

// Answer is one known answer: a command and what its JSON must hold.
type Answer struct {
	ID       string  `json:"id"`
	Question string  `json:"question"`
	Command  string  `json:"command"`
	Patch    []Patch `json:"patch"`
	Want     []Want  `json:"want"`
}

// Patch is a change to a sheet: every row where the cells match.
type Patch struct {
	File  string            `json:"file"`
	Where map[string]string `json:"where"`
	Set   map[string]string `json:"set"`
}

// Want is the value at a path, and how far a number may be off.
type Want struct {
	Path  string  `json:"path"`
	Value any     `json:"value"`
	Tol   float64 `json:"tol"`
}

// Read returns the known answers of a folder's answers.json.
func Read(folder fs.FS) ([]Answer, error) {
	text, err := fs.ReadFile(folder, "answers.json")
	if err != nil {
		return nil, err
	}
	var file struct{ Answers []Answer }
	if err := json.Unmarshal(text, &file); err != nil {
		return nil, fmt.Errorf("answers.json: %w", err)
	}
	return file.Answers, nil
}

// Find returns the answer of an id.
func Find(all []Answer, id string) (Answer, error) {
	i := slices.IndexFunc(all, func(a Answer) bool { return a.ID == id })
	if i < 0 {
		return Answer{}, fmt.Errorf("no answer %s", id)
	}
	return all[i], nil
}

// Args returns the command's arguments, without the program's name.
func (a Answer) Args() []string { return strings.Fields(a.Command)[1:] }

// Check compares a command's JSON with everything the answer wants and returns all
// that differs.
func (a Answer) Check(output []byte) error {
	var got any
	if err := json.Unmarshal(output, &got); err != nil {
		return fmt.Errorf("%s: %w", a.ID, err)
	}
	var faults []error
	for _, w := range a.Want {
		if w.Path == "" { // said for the reader, not read from the program
			continue
		}
		if err := w.check(got); err != nil {
			faults = append(faults, fmt.Errorf("%s: %s: %w", a.ID, w.Path, err))
		}
	}
	return errors.Join(faults...)
}

func (w Want) check(root any) error {
	got, err := At(root, w.Path)
	if err != nil {
		return err
	}
	if want, isNumber := w.Value.(float64); isNumber {
		number, err := asNumber(got)
		if err != nil {
			return err
		}
		// the tolerance is decimal: 1e-9 of slack for what binary cannot hold
		if !(math.Abs(number-want) <= w.Tol+1e-9*max(1, math.Abs(want))) {
			return fmt.Errorf("found %v, expected %v within %g", number, want, w.Tol)
		}
		return nil
	}
	if got != w.Value {
		return fmt.Errorf("found %v, expected %v", got, w.Value)
	}
	return nil
}

// Patched returns the folder with the changes made; a change that matches no row is
// an error.
func Patched(folder fs.FS, patches []Patch) (fs.FS, error) {
	changed := fstest.MapFS{}
	names, err := fs.Glob(folder, "*")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		text, err := fs.ReadFile(folder, name)
		if err != nil {
			return nil, err
		}
		changed[name] = &fstest.MapFile{Data: text, Mode: 0o644}
	}
	for _, p := range patches {
		file, ok := changed[p.File]
		if !ok {
			return nil, fmt.Errorf("patch: no file %s", p.File)
		}
		if file.Data, err = p.apply(string(file.Data)); err != nil {
			return nil, fmt.Errorf("patch: %s: %w", p.File, err)
		}
	}
	return changed, nil
}

func (p Patch) apply(text string) ([]byte, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	column := func(name string) (int, error) {
		if i := slices.Index(rows[0], name); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("no column %s", name)
	}
	hits := 0
	for _, row := range rows[1:] {
		match := true
		for name, value := range p.Where {
			i, err := column(name)
			if err != nil {
				return nil, err
			}
			match = match && row[i] == value
		}
		if !match {
			continue
		}
		hits++
		for name, value := range p.Set {
			i, err := column(name)
			if err != nil {
				return nil, err
			}
			row[i] = value
		}
	}
	if hits == 0 {
		return nil, fmt.Errorf("no row with %v", p.Where)
	}
	var out strings.Builder
	w := csv.NewWriter(&out)
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return []byte(out.String()), nil
}

// asNumber takes a JSON number or a decimal string.
func asNumber(v any) (float64, error) {
	switch x := v.(type) {
	case float64:
		return x, nil
	case string:
		return strconv.ParseFloat(x, 64)
	}
	return 0, fmt.Errorf("found %v, expected a number", v)
}
