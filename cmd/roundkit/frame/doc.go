// Package frame is what every command of roundkit stands in: the streams, the clock
// and the environment it is handed, the options all commands share, the order of
// options and arguments, the exit statuses and the way output is written.
//
// What goes where: answers, and nothing else, go to the standard output; a fault is one
// line on the standard error that begins with "roundkit:", then lines that begin with
// "hint:"; progress goes to the standard error, and only where that is a terminal.
//
// Exit statuses: 0 done, 1 refused (or a check that failed), 2 wrong usage.
//
// Nothing in here knows what a command is about: each is a package beside this one, and
// gets an *Env.
package frame
