package frame

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/reports/term"
)

// PrintOverview prints what the program is and its commands, in the order given.
func PrintOverview(w io.Writer, look term.Look, about string, commands []*cli.Command) error {
	if err := say(w, look, about, "", "usage: roundkit COMMAND [ARGUMENTS] [OPTIONS]", ""); err != nil {
		return err
	}
	return printCommands(w, look, commands, "roundkit help COMMAND says more of one; options may stand before and after arguments")
}

// PrintHelp prints how a command is used.
func PrintHelp(w io.Writer, look term.Look, path []string, c *cli.Command) error {
	name := "roundkit " + strings.Join(path, " ")
	if err := say(w, look, name+": "+c.Usage, ""); err != nil {
		return err
	}
	if len(c.Subcommands) > 0 && len(c.Flags) == 0 {
		if err := say(w, look, "usage: "+name+" COMMAND", ""); err != nil {
			return err
		}
		return printCommands(w, look, c.Subcommands, "roundkit help "+strings.Join(path, " ")+" COMMAND says more of one")
	}
	usage := strings.TrimSpace(name + " " + c.ArgsUsage)
	if len(c.Flags) > 0 {
		usage += " [OPTIONS]"
	}
	said := []string{"usage: " + usage}
	if c.Description != "" {
		said = append(append(said, ""), strings.Split(strings.TrimSpace(c.Description), "\n")...)
	}
	if err := say(w, look, said...); err != nil || len(c.Flags) == 0 {
		return err
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "option"}, {Title: "what it does", Wrap: true}}}
	for _, f := range c.Flags {
		doc, ok := f.(cli.DocGenerationFlag)
		if !ok {
			return fmt.Errorf("option %v of %s has no help", f.Names(), name)
		}
		// Usage marks the word that stands for the value with backquotes.
		text, value := doc.GetUsage(), ""
		if before, rest, ok := strings.Cut(text, "`"); ok {
			word, after, _ := strings.Cut(rest, "`")
			text, value = before+word+after, " "+word
		}
		t.Rows = append(t.Rows, []string{"--" + f.Names()[0] + value, text})
	}
	if err := look.Print(w, t); err != nil || len(c.Subcommands) == 0 {
		return err
	}
	// A command that does something itself and has commands below it shows both.
	fmt.Fprintln(w)
	return printCommands(w, look, c.Subcommands, "roundkit help "+strings.Join(path, " ")+" COMMAND says more of one")
}

func printCommands(w io.Writer, look term.Look, commands []*cli.Command, foot string) error {
	t := term.Table{Columns: []term.Column{{Title: "command"}, {Title: "what it does", Wrap: true}}}
	for _, c := range commands {
		if !c.Hidden {
			t.Rows = append(t.Rows, []string{c.Name, c.Usage})
		}
	}
	if err := look.Print(w, t); err != nil {
		return err
	}
	return say(w, look, "", foot)
}

func say(w io.Writer, look term.Look, lines ...string) error {
	for _, line := range lines {
		if err := look.Say(w, line); err != nil {
			return err
		}
	}
	return nil
}
