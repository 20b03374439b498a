package forecast

import (
	"errors"
	"fmt"

	"roundkit/planner/calendar"
	"roundkit/planner/near"
)

// Left is how many jobs of a service are still to be done at a round, of one
// assembly or (blank) of any.
type Left struct {
	Service, Assembly string
	Jobs              int
}

// LeftAt returns what is left to do at a round, in the plan's order. Nothing is left
// once its last day is over.
func (o *Outlook) LeftAt(round string) []Left { return o.left[round] }

// readLeft takes the logged jobs off the planned ones, round by round: a job uses up
// the plan of its own fork or shock first, then the plan by number; more than were
// planned are extra.
func (o *Outlook) readLeft() error {
	var faults []error
	s := o.Snapshot
	type key struct{ round, service, assembly string }
	at := map[key]int{} // index into o.left[round]
	for i, p := range s.PlannedJobs {
		where := fmt.Sprintf("planned-jobs, row %d", i+1)
		if _, err := o.Calendar.Round(p.Round); err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", where, err))
			continue
		}
		faults = append(faults, o.knownService(where, p.Service))
		if _, ok := o.assembly[p.Assembly]; p.Assembly != "" && !ok {
			faults = append(faults, fmt.Errorf("%s: %w", where, near.Miss("assembly", p.Assembly, o.assemblyCodes())))
		}
		if p.Jobs < 0 {
			faults = append(faults, fmt.Errorf("%s: found %d jobs, expected 0 or more", where, p.Jobs))
			continue
		}
		k := key{p.Round, p.Service, p.Assembly}
		if n, ok := at[k]; ok {
			o.left[p.Round][n].Jobs += p.Jobs
			continue
		}
		at[k] = len(o.left[p.Round])
		o.left[p.Round] = append(o.left[p.Round], Left{p.Service, p.Assembly, p.Jobs})
	}
	for _, d := range s.Done {
		jobs := d.Jobs
		for _, k := range []key{{d.Round, d.Service, d.Assembly}, {d.Round, d.Service, ""}} {
			if n, ok := at[k]; ok {
				used := min(jobs, o.left[d.Round][n].Jobs)
				o.left[d.Round][n].Jobs -= used
				jobs -= used
			}
		}
	}
	for _, r := range o.Calendar.Rounds {
		if calendar.Over(r, s.AsOf) {
			delete(o.left, r.Code)
			continue
		}
		kept := o.left[r.Code][:0]
		for _, l := range o.left[r.Code] {
			if l.Jobs > 0 {
				kept = append(kept, l)
			}
		}
		o.left[r.Code] = kept
	}
	return errors.Join(faults...)
}

func (o *Outlook) assemblyCodes() []string {
	codes := make([]string, len(o.Snapshot.Assemblies))
	for i, a := range o.Snapshot.Assemblies {
		codes[i] = a.Code
	}
	return codes
}
