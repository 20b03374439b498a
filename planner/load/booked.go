package load

import (
	"fmt"

	"roundkit/planner"
)

// Waiting is a line of a load that cannot be booked as packed yet, and why.
type Waiting struct {
	Line
	Why string
}

// Booked returns the load as movements: each line from where it is now into its case or
// drawer. What is not here yet, or has no case, is left out and named with the reason.
func (r *Result) Booked() (rows []planner.Movement, waiting []Waiting) {
	for _, l := range r.Lines {
		switch {
		case l.Order != "":
			why := "comes with order " + l.Order
			if l.DueOn != nil {
				why += fmt.Sprintf(", due %s", l.DueOn)
			}
			waiting = append(waiting, Waiting{l, why + ": book it in when it is here, then pack once more"})
		case l.Case == "":
			waiting = append(waiting, Waiting{l, "no case has room for it: move it by hand with move --trip " + r.Trip.Code})
		case l.Case != l.Place:
			rows = append(rows, planner.Movement{Part: l.Part.Code, Lot: l.Lot, Tag: l.Tag, From: l.Place, To: l.Case, Quantity: l.Quantity})
		}
	}
	return rows, waiting
}
