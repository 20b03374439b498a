package frame

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"roundkit/db"
	"roundkit/planner/words"
)

// Understand reads a line, and asks what is open where somebody can be asked; elsewhere
// what could mean two things is refused, with both.
func (e *Env) Understand(ctx context.Context, line string, asks bool, read func(line string) words.Reading) (words.Reading, error) {
	const most = 20 // questions; each settles one thing
	for range most {
		r := read(line)
		if r.Understood() {
			return r, nil
		}
		f := r.Faults[0]
		settles := len(f.Choices) > 0 && !slices.ContainsFunc(f.Choices, func(c words.Choice) bool { return c.Put == "" })
		if !asks || !settles {
			return r, fmt.Errorf("%w: %w", db.ErrRefused, f)
		}
		put, err := e.choose(ctx, f)
		if err != nil {
			return r, err
		}
		line = r.With(f, put)
	}
	return words.Reading{}, fmt.Errorf("%w: the line is still not clear", db.ErrRefused)
}

// choose asks which of several things was meant: its number, or other words for it.
func (e *Env) choose(ctx context.Context, f words.Fault) (words.Choice, error) {
	e.Tell("%s:", f.Says)
	for i, c := range f.Choices {
		e.Tell("  %2d  %s", i+1, c.Says)
	}
	for {
		text, err := e.Ask(ctx, "which? [1 to %d, or words; Enter: stop]", len(f.Choices))
		switch n, noNumber := strconv.Atoi(text); {
		case err != nil:
			return words.Choice{}, err
		case text == "":
			return words.Choice{}, ErrStopped
		case noNumber != nil:
			return words.Choice{Put: text}, nil
		case n >= 1 && n <= len(f.Choices):
			return f.Choices[n-1], nil
		default:
			e.Tell("  found %d, expected 1 to %d", n, len(f.Choices))
		}
	}
}
