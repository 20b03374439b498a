package cluster

import "errors"

// Kinds of refusal, for errors.Is. Every error of this package is one line that
// says what was found and what to do.
var (
	// ErrName: a database name that cannot be used.
	ErrName = errors.New("database name refused")
	// ErrURL: a DATABASE_URL that cannot be read.
	ErrURL = errors.New("DATABASE_URL cannot be read")
	// ErrNoPrograms: no usable PostgreSQL server is installed.
	ErrNoPrograms = errors.New("no PostgreSQL server found")
	// ErrWrongMajor: the cluster was made by a major version that is not installed.
	ErrWrongMajor = errors.New("PostgreSQL version does not fit")
	// ErrNotWritable: the data folder cannot be written.
	ErrNotWritable = errors.New("data folder cannot be written")
	// ErrUnreachable: the user the server runs as cannot reach the data folder.
	ErrUnreachable = errors.New("data folder cannot be reached")
	// ErrDiskFull: too little free space to start.
	ErrDiskFull = errors.New("too little disk space")
	// ErrNotOurs: something is in the way that Roundkit did not make.
	ErrNotOurs = errors.New("not Roundkit's")
	// ErrStart: PostgreSQL refused to start.
	ErrStart = errors.New("PostgreSQL did not start")
	// ErrTurnedAway: the server answers, and lets this user or database not in.
	ErrTurnedAway = errors.New("the server turned us away")
	// ErrUnsupported: no private cluster on this system.
	ErrUnsupported = errors.New("no private database on this system")
)
