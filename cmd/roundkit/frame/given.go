package frame

import (
	"github.com/urfave/cli/v2"

	"roundkit/db"
)

// Given reads what a command was asked: its arguments by the names that Arguments explains, and
// the common options. What is wrong with them is wrong usage.
func Given(c *cli.Context, names ...string) (args []string, o Options, err error) {
	if args, err = Arguments(c, names...); err == nil {
		o, err = ReadOptions(c)
	}
	return args, o, err
}

// StoreFor is Given, and then opens the database; nothing is opened for wrong usage. The caller
// closes it.
func (e *Env) StoreFor(c *cli.Context, names ...string) (args []string, o Options, store *db.Store, err error) {
	if args, o, err = Given(c, names...); err == nil {
		store, err = e.OpenStore(c.Context, o)
	}
	return args, o, store, err
}

// SeasonFor is Given, and then reads the season that was asked about, as OpenSeason does.
func (e *Env) SeasonFor(c *cli.Context, names ...string) (args []string, o Options, season SeasonView, err error) {
	if args, o, err = Given(c, names...); err == nil {
		season, err = e.OpenSeason(c.Context, o)
	}
	return args, o, season, err
}
