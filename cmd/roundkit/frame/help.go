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
	fmt.Fprintf(w, "%s\n\nusage: roundkit COMMAND [ARGUMENTS] [OPTIONS]\n\n", about)
	return printCommands(w, look, commands, "roundkit help COMMAND says more of one; options may stand before and after arguments")
}

// PrintHelp prints how a command is used.
func PrintHelp(w io.Writer, look term.Look, path []string, c *cli.Command) error {
	name := "roundkit " + strings.Join(path, " ")
	fmt.Fprintf(w, "%s: %s\n\n", name, c.Usage)
	if len(c.Subcommands) > 0 && len(c.Flags) == 0 {
		fmt.Fprintf(w, "usage: %s COMMAND\n\n", name)
		return printCommands(w, look, c.Subcommands, "roundkit help "+strings.Join(path, " ")+" COMMAND says more of one")
	}
	usage := strings.TrimSpace(name + " " + c.ArgsUsage)
	if len(c.Flags) > 0 {
		usage += " [OPTIONS]"
	}
	fmt.Fprintf(w, "usage: %s\n", usage)
	if c.Description != "" {
		fmt.Fprintf(w, "\n%s\n", strings.TrimSpace(c.Description))
	}
	if len(c.Flags) == 0 {
		return nil
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
	_, err := fmt.Fprintf(w, "\n%s\n", foot)
	return err
}
