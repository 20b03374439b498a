package frame

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// Complete returns what could stand in the place of the last of words, the command line
// without the program's name: commands, options, and the names of services, forks, parts,
// places and trips as they were kept last. No server is asked.
func (e *Env) Complete(commands []*cli.Command, words []string) []string {
	database := ""
	for i, w := range words {
		if name, value, has := optionOf(w); name == string(Database) && has {
			database = value
		} else if name == string(Database) && i+1 < len(words) {
			database = words[i+1]
		}
	}
	return Candidates(commands, words, e.readNames(database))
}

// Candidates is Complete with the names handed in. It returns nothing where a value or an
// argument is due that is no name, which leaves files to the shell.
func Candidates(commands []*cli.Command, words []string, names Names) []string {
	if len(words) == 0 {
		words = []string{""}
	}
	before, last := words[:len(words)-1], words[len(words)-1]
	known := everyOption(commands)
	level := commands
	var command *cli.Command
	given := map[string]bool{}
	arguments := 0
	for i := 0; i < len(before); i++ {
		if before[i] == "--" {
			return nil
		}
		if name, _, hasValue := optionOf(before[i]); name != "" {
			given[name] = true
			if known[name] && !hasValue {
				if i++; i == len(before) { // the last word is this option's value
					if command == nil {
						return nil
					}
					return names.begin(optionKinds(command, name), last)
				}
			}
			continue
		}
		if found := commandOf(level, before[i]); found != nil && arguments == 0 {
			command, level = found, found.Subcommands
			continue
		}
		if command == nil || len(command.Subcommands) > 0 && command.Action == nil {
			return nil
		}
		arguments++
	}
	var found []string
	switch {
	case strings.HasPrefix(last, "-") && command != nil:
		for _, f := range command.Flags {
			_, repeats := f.(*cli.StringSliceFlag)
			if name := f.Names()[0]; repeats || !given[name] {
				found = append(found, "--"+name)
			}
		}
		if !slices.Contains(before, "--help") {
			found = append(found, "--help")
		}
	case !strings.HasPrefix(last, "-"):
		if arguments == 0 {
			found = commandNames(level)
		}
		if command != nil {
			found = append(slices.DeleteFunc(found, func(name string) bool { return !strings.HasPrefix(name, last) }),
				names.begin(argumentKinds(command, arguments), last)...)
			return found
		}
	}
	return slices.DeleteFunc(found, func(name string) bool { return !strings.HasPrefix(name, last) })
}

// begin returns the names of some kinds that begin with what is typed, in any case. Of
// "wip=2" nothing is left to complete.
func (n Names) begin(kinds []string, typed string) (found []string) {
	for _, k := range kinds {
		for _, code := range n.of[k] {
			if len(code) >= len(typed) && strings.EqualFold(code[:len(typed)], typed) && !slices.Contains(found, code) {
				found = append(found, code)
			}
		}
	}
	return found
}
