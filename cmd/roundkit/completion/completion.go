// Package completion is the command that prints what a shell needs to complete
// roundkit's commands and options. The scripts only ask the program itself, by a word
// of its own, so they never go stale.
package completion

import (
	"embed"
	"fmt"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
)

// Word is the first word of the command line by which the scripts ask for candidates;
// the words typed so far follow.
const Word = "complete-words"

//go:embed roundkit.bash roundkit.zsh roundkit.fish
var scripts embed.FS

// Command prints the script of a shell.
func Command(env *frame.Env) *cli.Command {
	shell := func(name, how string) *cli.Command {
		return &cli.Command{
			Name:        name,
			Usage:       "print the script for " + name,
			Description: how,
			Action: func(c *cli.Context) error {
				if _, err := frame.Arguments(c); err != nil {
					return err
				}
				script, err := scripts.ReadFile("roundkit." + name)
				if err != nil {
					return fmt.Errorf("read the script for %s: %w", name, err)
				}
				_, err = env.Out.Write(script)
				return err
			},
		}
	}
	return &cli.Command{
		Name:  "completion",
		Usage: "print the script that lets a shell complete commands and options",
		Subcommands: []*cli.Command{
			shell("bash", "Put this line into ~/.bashrc:\n  source <(roundkit completion bash)"),
			shell("zsh", "Put these lines into ~/.zshrc:\n  autoload -U compinit && compinit\n  source <(roundkit completion zsh)"),
			shell("fish", "Run once:\n  roundkit completion fish > ~/.config/fish/completions/roundkit.fish"),
		},
	}
}
