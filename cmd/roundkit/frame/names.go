package frame

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/db"
)

// kindsOf says which names a word of a help text stands for: "PLACE" is a place. What is
// not here is no name.
var kindsOf = map[string][]string{
	"ASSEMBLY": {"assembly"}, "CASE": {"place"}, "KIT": {"part"}, "OIL": {"part"}, "ORDER": {"order"}, "PART": {"part"}, "PERSON": {"person"}, "PLACE": {"place"},
	"ROUND": {"round"}, "SEASON": {"season"}, "SERVICE": {"service"}, "SPRING": {"part", "tag"}, "SUPPLIER": {"supplier"}, "TAG": {"tag"}, "TRIP": {"trip"},
	"WORDS": {"service", "assembly", "part", "place", "tag"},
}

// Names are the names that people type, by kind, as the database had them last.
type Names struct {
	version string
	of      map[string][]string
}

// namesFile is where the names of the database in use are kept, beside the data: shells
// complete them without the server. It is "" where there is no data folder.
func (e *Env) namesFile(database string) string {
	home := e.Variable("ROUNDKIT_HOME")
	if home == "" && e.DataHome != "" {
		home = filepath.Join(e.DataHome, "roundkit")
	}
	if home == "" {
		return ""
	}
	o := e.Cluster(Options{Database: database})
	name := "names"
	if o.Database != "" {
		name += "-" + o.Database
	}
	if o.URL != "" {
		const enough = 6
		sum := sha256.Sum256([]byte(o.URL))
		name += "-" + hex.EncodeToString(sum[:enough])
	}
	return filepath.Join(home, "names", name+".txt")
}

// readNames reads the file; nothing where there is none.
func (e *Env) readNames(database string) Names {
	n := Names{of: map[string][]string{}}
	file := e.namesFile(database)
	if file == "" {
		return n
	}
	content, err := os.ReadFile(file)
	if err != nil {
		return n
	}
	lines := strings.Split(string(content), "\n")
	n.version = lines[0]
	for _, line := range lines[1:] {
		if kind, code, ok := strings.Cut(line, "\t"); ok {
			n.of[kind] = append(n.of[kind], code)
		}
	}
	return n
}

// keepNames brings the file up to date. It is a help for shells: where it cannot be
// written, nothing is said.
func (e *Env) keepNames(ctx context.Context, store *db.Store, database string) {
	file := e.namesFile(database)
	if file == "" {
		return
	}
	version, err := store.NamesVersion(ctx)
	if err != nil || version == e.readNames(database).version {
		return
	}
	all, err := store.Names(ctx)
	if err != nil || os.MkdirAll(filepath.Dir(file), 0o755) != nil {
		return
	}
	ours := *e
	ours.Replace = true // nobody asked for this file
	_ = ours.WriteFile(file, func(w io.Writer) error {
		lines := []string{version}
		for _, n := range all {
			lines = append(lines, n.Kind+"\t"+n.Code)
		}
		_, err := io.WriteString(w, strings.Join(lines, "\n")+"\n")
		return err
	})
}

// knows reports whether a name is one of some kinds, as it is typed.
func (n Names) knows(kinds []string, name string) bool {
	return slices.ContainsFunc(kinds, func(k string) bool { return slices.Contains(n.of[k], name) })
}

// folded is the one name of some kinds that is the same but for capitals.
func (n Names) folded(kinds []string, name string) (string, bool) {
	var found []string
	for _, k := range kinds {
		for _, code := range n.of[k] {
			if strings.EqualFold(code, name) && !slices.Contains(found, code) {
				found = append(found, code)
			}
		}
	}
	if len(found) != 1 {
		return name, false
	}
	return found[0], true
}

// argumentKinds says which names may stand as a command's n-th argument, by its help:
// "[PART QUANTITY | CASE]", "PLACE [PART=QUANTITY...]".
func argumentKinds(c *cli.Command, n int) (kinds []string) {
	for _, way := range strings.Split(c.ArgsUsage, " | ") {
		words := strings.Fields(strings.NewReplacer("[", "", "]", "").Replace(way))
		if len(words) == 0 {
			continue
		}
		at := n
		if last := len(words) - 1; at > last && strings.HasSuffix(words[last], "...") {
			at = last
		}
		if at < len(words) {
			kinds = append(kinds, wordKinds(words[at])...)
		}
	}
	return kinds
}

// optionKinds says which names an option's value may be: its help has the word in
// backquotes.
func optionKinds(c *cli.Command, name string) []string {
	for _, f := range c.Flags {
		doc, ok := f.(cli.DocGenerationFlag)
		if !ok || !slices.Contains(f.Names(), name) {
			continue
		}
		if _, rest, ok := strings.Cut(doc.GetUsage(), "`"); ok {
			word, _, _ := strings.Cut(rest, "`")
			return wordKinds(word)
		}
	}
	return nil
}

func wordKinds(word string) (kinds []string) {
	for _, w := range strings.Split(strings.TrimSuffix(word, "..."), "|") {
		w, _, _ = strings.Cut(w, "=")
		kinds = append(kinds, kindsOf[w]...)
	}
	return kinds
}

// FoldNames writes the names of a line as the database has them: any case will do. What is
// not known in any case is left for the command to refuse, which offers near ones.
func (e *Env) FoldNames(ctx context.Context, line *Line) {
	type typed struct {
		kinds        []string
		at           *string
		before, name string
	}
	database := ""
	if !Has(line.Command, Database) || strings.Contains(line.Command.ArgsUsage, "WORDS") {
		return
	}
	var all []typed
	for i := range line.Options {
		option, value, _ := strings.Cut(strings.TrimPrefix(line.Options[i], "--"), "=")
		if option == string(Database) {
			database = value
		}
		if kinds := optionKinds(line.Command, option); len(kinds) > 0 {
			all = append(all, typed{kinds, &line.Options[i], "--" + option + "=", value})
		}
	}
	for i := range line.Arguments {
		if kinds := argumentKinds(line.Command, i); len(kinds) > 0 {
			all = append(all, typed{kinds, &line.Arguments[i], "", line.Arguments[i]})
		}
	}
	named := func(text string) string { // of PART=QUANTITY
		name, _, _ := strings.Cut(text, "=")
		return strings.TrimSpace(name)
	}
	kept := e.readNames(database)
	all = slices.DeleteFunc(all, func(t typed) bool { return t.name == "" || kept.knows(t.kinds, named(t.name)) })
	if len(all) == 0 {
		return
	}
	store, err := e.OpenStore(ctx, Options{Database: database})
	if err != nil {
		return // the command says it
	}
	rows, err := store.Names(ctx)
	if e.Hand(store); err != nil {
		return
	}
	fresh := Names{of: map[string][]string{}}
	for _, r := range rows {
		fresh.of[r.Kind] = append(fresh.of[r.Kind], r.Code)
	}
	for _, t := range all {
		name := named(t.name)
		if code, ok := fresh.folded(t.kinds, name); ok && !fresh.knows(t.kinds, name) {
			*t.at = t.before + strings.Replace(t.name, name, code, 1)
		}
	}
}

// Season reports whether the database in use is known to hold a season: a command before
// has seen one.
func (e *Env) Season() bool { return len(e.readNames("").of["season"]) > 0 }
