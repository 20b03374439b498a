package frame

import (
	"fmt"

	"github.com/google/uuid"

	"roundkit/db"
)

// Change is what every command that changes the plan or an order says of it: who (--by, else
// ROUNDKIT_PERSON), and an id by which it is taken back.
func (e *Env) Change(o Options) (db.ChangeOptions, error) {
	id, err := uuid.NewV7()
	if err != nil {
		return db.ChangeOptions{}, fmt.Errorf("make an id for the change: %w", err)
	}
	c := db.ChangeOptions{ID: id, Season: o.Season, Person: o.By, DryRun: o.DryRun}
	if c.Person == "" {
		c.Person = e.Variable("ROUNDKIT_PERSON")
	}
	return c, nil
}

// SayTakeBack says how to take a change back, unless it was only looked at.
func (e *Env) SayTakeBack(c db.ChangeOptions) error {
	if c.DryRun {
		return nil
	}
	return e.Look().Say(e.Out, "note: "+howBack(c.ID, c.Person))
}
