package act

import (
	"errors"
	"fmt"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
)

// Job is a job just done, as a person says it.
type Job struct {
	Service, Assembly string
	Round             string // blank: the one on then
	Used              []ledger.Amount
	Not               []string
	Spring            string // of a swap: the part, the tag or the rate that goes in
	Sure              bool
}

// LooksUp reports whether what is where must be known for it: most jobs take what they take.
func (j Job) LooksUp(b *planner.Book) bool {
	return j.Spring != "" || SwapsSpring(b.ServiceLines, j.Service)
}

// Rows returns the job of a day and what it used: what its service usually uses, changed by
// what was said, and the springs it swapped. Of what is where only a job that LooksUp needs
// to know; s is nil for any other.
func (j Job) Rows(b *planner.Book, on day.Day, s *State) (job planner.Job, parts []planner.JobPart, err error) {
	if j.Round == "" {
		j.Round = ledger.RoundOn(b, on)
	} else if _, err := b.Round(j.Round); err != nil {
		return job, nil, err
	}
	parts, err = ledger.JobParts(b, j.Service, j.Assembly, j.Used, j.Not)
	var swap []planner.JobPart
	if s != nil {
		var errSwap error
		swap, errSwap = Springs(s.Snapshot, s.Tree, Swap{Service: j.Service, Assembly: j.Assembly, Spring: j.Spring, Root: drawnOn(b, j.Round)})
		err = errors.Join(err, errSwap)
	}
	if err != nil {
		return job, nil, err
	}
	if len(swap) > 0 && len(parts) == 1 && parts[0].Part == "" {
		parts = nil
	}
	plan := &planner.Snapshot{Catalogue: b.Catalogue, Plan: b.Plan}
	said := State{When: When{Sure: j.Sure}}
	return planner.Job{Service: j.Service, Assembly: j.Assembly, Round: j.Round}, append(parts, swap...), said.doubt(Used(plan, j.Service, j.Assembly, j.Used)...)
}

// drawnOn is where the jobs of a round draw on: the trip's truck, or "" for anywhere.
func drawnOn(b *planner.Book, round string) string {
	for _, r := range b.Rounds {
		if r.Code != round {
			continue
		}
		for _, t := range b.Trips {
			if t.Code == r.Trip && t.GoesBy == "truck" {
				return t.Truck
			}
		}
	}
	return ""
}

// Cautions are what the person has to know of a job that was just recorded: the caution of
// its service, and how much of what it used is an allowance.
func Cautions(b *planner.Book, job planner.Job, parts []planner.JobPart) (notes []string) {
	for _, service := range b.Services {
		if service.Code == job.Service && service.Caution != "" {
			notes = append(notes, "caution: "+service.Caution)
		}
	}
	return append(notes, ledger.Allowances(b, job.Service, job.Assembly, parts)...)
}

// StandIns says what may be used next time of a part that the book no longer had; parts are
// those of the lots moved.
func StandIns(b *planner.Book, entries []ledger.Entry, parts map[string]string) []string {
	var out []string
	for _, e := range entries {
		for _, m := range e.Moves {
			if m.From != ledger.CountDifference || m.To != ledger.Used {
				continue
			}
			for _, a := range b.Alternatives {
				if parts[m.Lot] == a.Part {
					out = append(out, fmt.Sprintf("%s is out: %s may stand in; maker's word first, your decision, recorded", a.Part, a.Alternative))
				}
			}
		}
	}
	return out
}
