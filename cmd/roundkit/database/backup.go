package database

import (
	"fmt"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
)

// backupCommands are "db backup" and "db restore".
func backupCommands(env *frame.Env) []*cli.Command {
	return []*cli.Command{
		{
			Name:      "backup",
			Usage:     "write the whole database to a file",
			ArgsUsage: "[FILE]",
			Description: "Without a name the file goes to the folder of back-ups in the data folder. Loads are backed\n" +
				"up there by themselves.",
			Flags:  frame.Flags(frame.Database),
			Action: func(c *cli.Context) error { return backup(env, c) },
		},
		{
			Name:      "restore",
			Usage:     "make the database from a back-up; what it holds now is kept under another name",
			ArgsUsage: "FILE",
			Flags:     frame.Flags(frame.Database),
			Action:    func(c *cli.Context) error { return restore(env, c) },
		},
	}
}

func backup(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "[FILE]")
	if err != nil {
		return err
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	store, err := env.OpenStore(c.Context, o)
	if err != nil {
		return err
	}
	defer store.Close()
	name, err := store.Name(c.Context)
	if err != nil {
		return err
	}
	file := filepath.Join(env.Backups(), name+"-"+env.Now().UTC().Format("20060102T150405Z")+".dump")
	if len(args) == 1 {
		if file, err = filepath.Abs(args[0]); err != nil {
			return err
		}
	}
	if err := store.Backup(c.Context, env.Cluster(o), file); err != nil {
		return err
	}
	fmt.Fprintf(env.Out, "database %s written to %s\n", name, file)
	return nil
}

func restore(env *frame.Env, c *cli.Context) error {
	args, err := frame.Arguments(c, "FILE")
	if err != nil {
		return err
	}
	o, err := frame.ReadOptions(c)
	if err != nil {
		return err
	}
	file, err := filepath.Abs(args[0])
	if err != nil {
		return err
	}
	kept, err := db.Restore(c.Context, env.Cluster(o), file, env.Now())
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Out, "restored from %s\n", args[0])
	if kept != "" {
		fmt.Fprintf(env.Out, "what was there before is kept in the database %s (look at it with --db %s)\n", kept, kept)
	}
	return nil
}
