package backup

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"time"
)

// Folder is where back-ups go that nobody named a file for.
type Folder struct {
	Path    string
	KeyFile string
	// DiskBytes tells the size of the disk a folder is on; nil: not known, no limit.
	DiskBytes func(folder string) (uint64, error)
}

// Key is the key that signs this folder's back-ups.
func (f Folder) Key() (Key, error) { return ReadKey(f.KeyFile) }

const stampForm = "20060102T150405.000Z"

// Auto is the path of a back-up that Roundkit makes by itself before something big.
func (f Folder) Auto(database, reason string, at time.Time) string {
	return filepath.Join(f.Path, database+"-"+at.UTC().Format(stampForm)+"-before-"+reason+Suffix)
}

// Manual is the path of one that a person asked for.
func (f Folder) Manual(database string, at time.Time) string {
	return filepath.Join(f.Path, database+"-"+at.UTC().Format(stampForm)+Suffix)
}

// Copy is a back-up in the folder, as its name has it.
type Copy struct {
	Path     string
	Database string
	At       time.Time
	Auto     bool // made by itself
	Bytes    int64
}

// copyName takes a name apart: a database's name may itself hold a minus and digits, never
// the capital T of a time. Until lately names ended in .dump.
var copyName = regexp.MustCompile(`^(.+)-(\d{8}T\d{6}(?:\.\d{3})?Z)(-before-[a-z]+)?\.(?:backup|dump)$`)

// List reads the folder, the newest first.
func (f Folder) List() ([]Copy, error) {
	entries, err := os.ReadDir(f.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the folder of back-ups: %w", err)
	}
	var all []Copy
	for _, e := range entries {
		m := copyName.FindStringSubmatch(e.Name())
		info, err := e.Info()
		if m == nil || err != nil || !info.Mode().IsRegular() {
			continue // something else, or gone meanwhile
		}
		at, err := time.Parse("20060102T150405Z0700", m[2]) // a fraction is read where there is one
		if err != nil {
			continue
		}
		all = append(all, Copy{Path: filepath.Join(f.Path, e.Name()), Database: m[1], At: at, Auto: m[3] != "", Bytes: info.Size()})
	}
	slices.SortFunc(all, func(a, b Copy) int { return b.At.Compare(a.At) })
	return all, nil
}

// LastGood is the newest back-up of a database that is whole and ours; found is false where
// there is none.
func (f Folder) LastGood(database string) (last Copy, found bool, err error) {
	all, err := f.List()
	if err != nil || len(all) == 0 {
		return Copy{}, false, err
	}
	key, err := f.Key()
	if err != nil {
		return Copy{}, false, err
	}
	for _, c := range all {
		if c.Database != database {
			continue
		}
		if file, err := Open(c.Path, key); err == nil {
			file.Close()
			return c, true, nil
		}
	}
	return Copy{}, false, nil
}

// What is kept of the back-ups made by themselves: all of a day, because the load that went
// wrong may be the one before the last, then the newest of each day, week and month.
const (
	keptAll    = 24 * time.Hour
	keptDays   = 7
	keptWeeks  = 4
	keptMonths = 12
	// diskShare is the part of the disk they may take, all databases together: a twentieth.
	diskShare = 20
)

// Prune lets the oldest back-ups go that were made by themselves, and what killed programs
// left half written. The newest of each database always stays.
func (f Folder) Prune(now time.Time) error {
	all, err := f.List()
	if err != nil {
		return err
	}
	limit := int64(-1)
	if f.DiskBytes != nil {
		disk, err := f.DiskBytes(f.Path)
		if err != nil {
			return fmt.Errorf("ask for the size of the disk of %s: %w", f.Path, err)
		}
		if disk > 0 { // else the system does not say
			limit = int64(disk / diskShare)
		}
	}
	var faults []error
	for _, c := range surplus(all, now, limit) {
		faults = append(faults, os.Remove(c.Path))
	}
	parts, _ := filepath.Glob(filepath.Join(globEscape(f.Path), partPattern)) // the pattern is ours
	for _, part := range parts {
		if info, err := os.Stat(part); err == nil && now.Sub(info.ModTime()) > keptAll {
			faults = append(faults, os.Remove(part))
		}
	}
	return errors.Join(faults...)
}

// surplus lists what may go: of each database beyond what is kept, then, where all together
// take more than the limit (below 0: none), the oldest.
func surplus(all []Copy, now time.Time, limit int64) []Copy {
	type slot struct{ database, span string }
	seen, used := map[slot]bool{}, map[slot]int{}
	// fits takes a copy if it is the newest of its span and there is room for the span.
	fits := func(c Copy, kind, span string, most int) bool {
		s, k := slot{c.Database, kind + span}, slot{c.Database, kind}
		if seen[s] || used[k] == most {
			return false
		}
		seen[s] = true
		used[k]++
		return true
	}
	var keep, drop []Copy
	bytes, newest := int64(0), map[string]bool{}
	for _, c := range all { // the newest first
		if !c.Auto {
			continue
		}
		at := c.At.UTC()
		year, week := at.ISOWeek()
		stays := !newest[c.Database] || now.Sub(c.At) < keptAll
		for _, s := range []struct {
			kind, span string
			most       int
		}{
			{"day", at.Format("2006-01-02"), keptDays}, {"week", fmt.Sprint(year, "-", week), keptWeeks}, {"month", at.Format("2006-01"), keptMonths},
		} {
			if fits(c, s.kind, s.span, s.most) { // each counts, also where another keeps it already
				stays = true
			}
		}
		newest[c.Database] = true
		if !stays {
			drop = append(drop, c)
			continue
		}
		keep = append(keep, c)
		bytes += c.Bytes
	}
	first := map[string]int{}
	for i := len(keep) - 1; i >= 0; i-- {
		first[keep[i].Database] = i
	}
	for i := len(keep) - 1; i >= 0 && limit >= 0 && bytes > limit; i-- {
		if first[keep[i].Database] == i {
			continue
		}
		bytes -= keep[i].Bytes
		drop = append(drop, keep[i])
	}
	return drop
}

// globEscape makes a path match only itself.
func globEscape(path string) string {
	return regexp.MustCompile(`[\\*?\[]`).ReplaceAllString(path, `\$0`)
}
