// Package database is the command that starts, stops and looks at the database server.
package database

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"roundkit/cmd/roundkit/frame"
	"roundkit/db/cluster"
	"roundkit/reports/term"
)

// Command is "db".
func Command(env *frame.Env) *cli.Command {
	return &cli.Command{
		Name:  "db",
		Usage: "start, stop, look at, back up and restore the database",
		Subcommands: append([]*cli.Command{
			{
				Name:  "start",
				Usage: "start the private database server, making it first where there is none",
				Description: "Every command starts it when it is needed; this one only does it beforehand.\n" +
					"With DATABASE_URL set there is no private server, and the one named is asked for instead.",
				Action: func(c *cli.Context) error { return start(env, c) },
			},
			{
				Name:   "stop",
				Usage:  "stop the private database server; the data stays",
				Action: func(c *cli.Context) error { return stop(env, c) },
			},
			{
				Name:   "status",
				Usage:  "say whether the server runs, where its data is and which databases it holds",
				Flags:  frame.Flags(frame.JSON),
				Action: func(c *cli.Context) error { return status(env, c) },
			},
		}, append(backupCommands(env), verifyCommand(env))...),
	}
}

func start(env *frame.Env, c *cli.Context) error {
	if _, err := frame.Arguments(c); err != nil {
		return err
	}
	where := env.Cluster(frame.Options{})
	server, err := cluster.Start(c.Context, where)
	if err != nil {
		return err
	}
	state, err := cluster.Status(c.Context, where)
	if err != nil {
		return err
	}
	if !state.Running {
		if server.Private {
			return errors.New("the database server was started and does not answer")
		}
		return frame.WithHint(errors.New("the server of DATABASE_URL does not answer, and is not Roundkit's to start"),
			"start it, or unset DATABASE_URL to use the private server")
	}
	return say(env, state)
}

func stop(env *frame.Env, c *cli.Context) error {
	if _, err := frame.Arguments(c); err != nil {
		return err
	}
	wasRunning, err := cluster.Stop(c.Context, env.Cluster(frame.Options{}))
	if err != nil {
		return err
	}
	word := "stopped"
	if !wasRunning {
		word = "was not running"
	}
	_, err = fmt.Fprintln(env.Out, word)
	return err
}

func status(env *frame.Env, c *cli.Context) error {
	if _, err := frame.Arguments(c); err != nil {
		return err
	}
	state, err := cluster.Status(c.Context, env.Cluster(frame.Options{}))
	if err != nil {
		return err
	}
	good, err := backedUp(env, state.Databases)
	if err != nil {
		return err
	}
	if c.Bool(string(frame.JSON)) {
		r := row(state)
		r.Backups = good
		return env.PrintJSON(r)
	}
	if err := say(env, state); err != nil {
		return err
	}
	for _, b := range good {
		fmt.Fprintf(env.Out, "last good back-up of %s: %s old, %s\n", b.Database, age(b.AgeSeconds), b.File)
	}
	return nil
}

// backedUp finds, of each database that the folder of back-ups knows, the newest that is
// whole and ours.
func backedUp(env *frame.Env, databases []string) ([]backupRow, error) {
	rows := []backupRow{}
	for _, name := range databases {
		last, found, err := env.Backups().LastGood(name)
		if err != nil {
			return nil, err
		}
		if found {
			rows = append(rows, backupRow{name, last.Path, last.At.UTC().Format(time.RFC3339), int64(env.Now().Sub(last.At).Seconds())})
		}
	}
	return rows, nil
}

// age says a time as people do.
func age(seconds int64) string {
	switch {
	case seconds >= 2*86400:
		return fmt.Sprintf("%d days", seconds/86400)
	case seconds >= 2*3600:
		return fmt.Sprintf("%d h", seconds/3600)
	}
	return fmt.Sprintf("%d min", max(0, seconds/60))
}

// stateRow is the answer for machines.
type stateRow struct {
	Running   bool     `json:"running"`
	Private   bool     `json:"private"`
	Folder    string   `json:"folder,omitempty"`
	Log       string   `json:"log,omitempty"`
	Socket    string   `json:"socket,omitempty"`
	PID       int      `json:"pid,omitempty"`
	Version   string   `json:"version,omitempty"`
	Since     string   `json:"since,omitempty"`
	Databases []string `json:"databases"`

	Backups []backupRow `json:"backups"`
}

// backupRow is the last good back-up of one database.
type backupRow struct {
	Database   string `json:"database"`
	File       string `json:"file"`
	MadeAt     string `json:"made_at"`
	AgeSeconds int64  `json:"age_seconds"`
}

func row(s cluster.State) stateRow {
	r := stateRow{Running: s.Running, Private: s.Private, Folder: s.Folder, Log: s.LogFile, Socket: s.Socket,
		PID: s.PID, Version: s.Version, Databases: append([]string{}, s.Databases...)}
	if !s.Since.IsZero() {
		r.Since = s.Since.UTC().Format(time.RFC3339)
	}
	return r
}

func say(env *frame.Env, s cluster.State) error {
	answer := "not running"
	if s.Running {
		answer = "running"
	}
	kind := "the server of DATABASE_URL"
	if s.Private {
		kind = "private server"
	}
	fmt.Fprintf(env.Out, "%s (%s)\n", answer, kind)
	r := row(s)
	t := term.Table{Columns: []term.Column{{}, {Wrap: true}}}
	pid := ""
	if r.PID != 0 {
		pid = strconv.Itoa(r.PID)
	}
	for _, line := range [][]string{
		{"PostgreSQL", r.Version}, {"since", r.Since}, {"data", r.Folder}, {"log", r.Log}, {"socket", r.Socket},
		{"process", pid}, {"databases", strings.Join(r.Databases, ", ")},
	} {
		if line[1] != "" {
			t.Rows = append(t.Rows, line)
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return env.Look().Print(env.Out, t)
}
