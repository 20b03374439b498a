package database

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db"
	"roundkit/db/backup"
)

// backupCommands are "db backup" and "db restore".
func backupCommands(env *frame.Env) []*cli.Command {
	return []*cli.Command{
		{
			Name:      "backup",
			Usage:     "write the whole database to a file",
			ArgsUsage: "[FILE]",
			Description: "Without a name the file goes to the folder of back-ups in the data folder. It holds rows only,\n" +
				"is read back before it takes its name, and is signed with the key beside the data. It is not\n" +
				"encrypted. Loads are backed up there by themselves.",
			Flags:  frame.Flags(frame.Replace, frame.Database),
			Action: func(c *cli.Context) error { return backUp(env, c) },
		},
		{
			Name:      "restore",
			Usage:     "make the database from a back-up; what it holds now is kept under another name",
			ArgsUsage: "FILE",
			Description: "The file is checked to its end before anything is touched. The database is made beside the one\n" +
				"that stands there and takes its place only when its books are sound (db verify).",
			Flags: append([]cli.Flag{&cli.BoolFlag{Name: "unsigned", Usage: "also a whole back-up that was signed with another key, as on another computer"}},
				frame.Flags(frame.Database)...),
			Action: func(c *cli.Context) error { return restore(env, c) },
		},
	}
}

func backUp(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "[FILE]")
	if err != nil {
		return err
	}
	to := db.BackupOptions{Replace: c.Bool(string(frame.Replace)), Now: env.Now()}
	if len(args) == 1 {
		if to.File, err = filepath.Abs(args[0]); err != nil {
			return err
		}
		if err := backup.Free(to.File, to.Replace); err != nil { // before a server is started for it
			return frame.WithHint(err, "choose another name; --replace writes over a plain file")
		}
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
	if to.File == "" {
		to.File = env.Backups().Manual(name, to.Now)
	}
	if to.Key, err = env.Backups().Key(); err != nil {
		return err
	}
	if err := store.Backup(c.Context, to); err != nil {
		return err
	}
	fmt.Fprintf(env.Out, "database %s written to %s and read back\n", name, to.File)
	return nil
}

func restore(env *frame.Env, c *cli.Context) error {
	args, o, err := frame.Given(c, "FILE")
	if err != nil {
		return err
	}
	from := db.RestoreOptions{Unsigned: c.Bool("unsigned"), Now: env.Now()}
	if from.File, err = filepath.Abs(args[0]); err != nil {
		return err
	}
	if from.Key, err = env.Backups().Key(); err != nil {
		return err
	}
	kept, err := db.Restore(c.Context, env.Cluster(o), from)
	switch {
	case errors.Is(err, backup.ErrUnsigned):
		return frame.WithHint(err, "nothing was changed; if you know who made it: --unsigned",
			"it is rows only and runs nothing, but whoever made it may have put any stock and any money into it")
	case errors.Is(err, backup.ErrDamaged):
		return frame.WithHint(err, "nothing was changed; older back-ups are in "+env.Backups().Path)
	case err != nil:
		return err
	}
	fmt.Fprintf(env.Out, "restored from %s\n", args[0])
	if kept != "" {
		fmt.Fprintf(env.Out, "what was there before is kept in the database %s (look at it with --db %s)\n", kept, kept)
	}
	return nil
}
