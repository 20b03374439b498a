package frame

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/planner/near"
)

// Line is a command line taken apart: which command, with which options, on what.
type Line struct {
	Path      []string // the words that name the command: "db", "start"
	Command   *cli.Command
	Options   []string // "--name=value" or "--name", in the order typed
	Arguments []string
	Help      bool // -h or --help was among the options
}

// Args returns the line with its options before its arguments. The parser below stops
// looking for options at the first argument, and would take "--out" in
// "pack TR-ALP --out f" for an argument without a word of complaint.
func (l Line) Args() []string {
	args := slices.Concat(l.Path, l.Options)
	if len(l.Arguments) > 0 {
		args = append(append(args, "--"), l.Arguments...)
	}
	return args
}

// TakeApart reads args, the command line without the program's name. Options may stand
// anywhere, also before the command's name; "--" ends them; "--x=y" is "--x y"; one
// dash does for two. A value may begin with a dash ("--quantity -3") unless it is
// itself an option of some command. Errors are wrong usage, and name what was meant.
func TakeApart(commands []*cli.Command, args []string) (Line, error) {
	known := everyOption(commands)
	var line Line
	var words, names []string // names holds the bare name of each option
	for i := 0; i < len(args); i++ {
		arg := args[i]
		if arg == "--" {
			words = append(words, args[i+1:]...)
			break
		}
		name, value, hasValue := optionOf(arg)
		if name == "" {
			words = append(words, arg)
			continue
		}
		if name == "h" || name == "help" {
			line.Help = true
			continue
		}
		names = append(names, name)
		switch takesValue, isKnown := known[name]; {
		case hasValue:
			line.Options = append(line.Options, "--"+name+"="+value)
		case !isKnown || !takesValue:
			line.Options = append(line.Options, "--"+name)
		case i+1 == len(args):
			return Line{}, Usagef("option --%s: found nothing behind it, expected a value", name)
		default:
			i++
			if next, _, _ := optionOf(args[i]); isOption(known, next) || args[i] == "--" {
				return Line{}, WithHint(
					Usagef("option --%s: found %s behind it, expected a value", name, args[i]),
					"if that is the value, write --"+name+"="+args[i])
			}
			line.Options = append(line.Options, "--"+name+"="+args[i])
		}
	}
	if err := line.findCommand(commands, words); err != nil {
		return Line{}, err
	}
	return line, line.checkOptions(names)
}

// findCommand walks down the words that name a command; the rest are arguments.
func (l *Line) findCommand(commands []*cli.Command, words []string) error {
	for level := commands; len(words) > 0 && len(level) > 0; {
		found := commandOf(level, words[0])
		if found == nil && l.Command != nil && l.Command.Action != nil {
			break // a command of its own, with others behind it: the word is an argument
		}
		if found == nil {
			return l.unknownCommand(level, words[0])
		}
		l.Path, l.Command = append(l.Path, found.Name), found
		words, level = words[1:], found.Subcommands
	}
	l.Arguments = words
	if l.Command != nil && len(l.Command.Subcommands) > 0 && l.Command.Action == nil && !l.Help {
		return Usagef("%s: found nothing behind it, expected %s", strings.Join(l.Path, " "),
			orList(commandNames(l.Command.Subcommands)))
	}
	return nil
}

func (l *Line) unknownCommand(level []*cli.Command, word string) error {
	what := strings.Join(append([]string{"command"}, l.Path...), " ")
	if meant, ok := near.Name(word, commandNames(level)); ok {
		return Usagef("no %s %q; did you mean %s?", what, word, meant)
	}
	if len(l.Path) > 0 {
		return Usagef("no %s %q, expected %s", what, word, orList(commandNames(level)))
	}
	return WithHint(Usagef("no %s %q", what, word), "roundkit help lists the commands")
}

// checkOptions finds options that the command does not have, and those given twice
// that can hold one value: the parser would keep the last silently.
func (l *Line) checkOptions(names []string) error {
	if l.Command == nil {
		if len(names) > 0 && !l.Help {
			return WithHint(Usagef("option --%s stands without a command", names[0]), "roundkit help lists the commands")
		}
		return nil
	}
	own, repeats := map[string]bool{}, map[string]bool{}
	var all []string
	for _, f := range l.Command.Flags {
		for _, name := range f.Names() {
			own[name] = true
			all = append(all, name)
			if _, ok := f.(*cli.StringSliceFlag); ok {
				repeats[name] = true
			}
		}
	}
	seen := map[string]bool{}
	for _, name := range names {
		switch {
		case !own[name]:
			if meant, ok := near.Name(name, all); ok {
				return Usagef("%s has no option --%s; did you mean --%s?", strings.Join(l.Path, " "), name, meant)
			}
			return WithHint(Usagef("%s has no option --%s", strings.Join(l.Path, " "), name),
				"roundkit help "+strings.Join(l.Path, " ")+" lists its options")
		case seen[name] && !repeats[name]:
			return Usagef("option --%s: found twice, expected once", name)
		}
		seen[name] = true
	}
	return nil
}

// optionOf splits "--name=value". A lone dash, a negative number and what has no
// letter behind its dashes are words, not options: the name is "".
func optionOf(arg string) (name, value string, hasValue bool) {
	rest, ok := strings.CutPrefix(arg, "-")
	if !ok {
		return "", "", false
	}
	rest = strings.TrimPrefix(rest, "-")
	name, value, hasValue = strings.Cut(rest, "=")
	if name == "" || name[0] < 'A' || name[0] > 'z' || (name[0] > 'Z' && name[0] < 'a') {
		return "", "", false
	}
	return name, value, hasValue
}

func isOption(known map[string]bool, name string) bool {
	_, ok := known[name]
	return ok || name == "h" || name == "help"
}

// everyOption maps the options of all commands to whether they take a value. An option
// means the same everywhere, so this can be asked before the command is known; the
// tests of the app hold that.
func everyOption(commands []*cli.Command) map[string]bool {
	known := map[string]bool{}
	for _, c := range commands {
		for _, f := range c.Flags {
			for _, name := range f.Names() {
				_, isSwitch := f.(*cli.BoolFlag)
				known[name] = !isSwitch
			}
		}
		for name, takesValue := range everyOption(c.Subcommands) {
			known[name] = takesValue
		}
	}
	return known
}

func commandOf(level []*cli.Command, word string) *cli.Command {
	for _, c := range level {
		if c.HasName(word) {
			return c
		}
	}
	return nil
}

func commandNames(level []*cli.Command) []string {
	var names []string
	for _, c := range level {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	return names
}

// orList says "start, stop or status".
func orList(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}
