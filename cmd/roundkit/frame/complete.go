package frame

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"
)

// Candidates returns what could stand in the place of the last of words, the command
// line without the program's name: commands, or the options of the command. It returns
// nothing where a value or an argument is due, which leaves files to the shell.
func Candidates(commands []*cli.Command, words []string) []string {
	if len(words) == 0 {
		words = []string{""}
	}
	before, last := words[:len(words)-1], words[len(words)-1]
	known := everyOption(commands)
	level := commands
	var command *cli.Command
	given := map[string]bool{}
	for i := 0; i < len(before); i++ {
		if before[i] == "--" {
			return nil
		}
		if name, _, hasValue := optionOf(before[i]); name != "" {
			given[name] = true
			if known[name] && !hasValue {
				if i++; i == len(before) {
					return nil // the last word is this option's value
				}
			}
			continue
		}
		if len(level) > 0 {
			if command = commandOf(level, before[i]); command == nil {
				return nil
			}
			level = command.Subcommands
		}
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
		found = commandNames(level)
	}
	return slices.DeleteFunc(found, func(name string) bool { return !strings.HasPrefix(name, last) })
}
