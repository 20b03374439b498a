package forecast

import (
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/day"
)

// Options are what a forecast is asked for. The zero value is the trip under way,
// else the next, at the season's own confidence, with stock from everywhere.
type Options struct {
	Rounds     []string // these rounds
	Trip       string   // or the rounds of this trip
	Season     bool     // or all rounds
	Confidence float64  // chance wanted per part, above 0 and below 1; 0: the season's
	At         string   // place whose stock counts, with all below it; blank: everywhere of ours
	Alone      bool     // leave out what the trips before it leave
	Workers    int      // goroutines; below 2: none. The results are the same bits.
}

// Horizon is the rounds asked for and the dates that follow from them.
type Horizon struct {
	Rounds      []planner.Round // by first day
	Trips       []calendar.Trip // theirs, by start
	FirstPackOn day.Day         // the earliest pack date of the trips
	LastPackOn  day.Day         // the latest; top-ups do not count
	LastOn      day.Day         // last day of the last round: stock must be good until then
}

// Codes returns the rounds' codes.
func (h Horizon) Codes() []string {
	codes := make([]string, len(h.Rounds))
	for i, r := range h.Rounds {
		codes[i] = r.Code
	}
	return codes
}

// Horizon settles which rounds are asked for. An unknown name is an error that
// suggests a near one.
func (o *Outlook) Horizon(opts Options) (Horizon, error) {
	var rounds []planner.Round
	switch {
	case len(opts.Rounds) > 0 && opts.Trip != "":
		return Horizon{}, fmt.Errorf("found rounds and a trip, expected one of them")
	case len(opts.Rounds) > 0:
		for _, code := range opts.Rounds {
			r, err := o.Calendar.Round(code)
			if err != nil {
				return Horizon{}, err
			}
			if !slices.ContainsFunc(rounds, func(x planner.Round) bool { return x.Code == code }) {
				rounds = append(rounds, r)
			}
		}
		slices.SortStableFunc(rounds, func(a, b planner.Round) int { return int(a.FirstOn) - int(b.FirstOn) })
	case opts.Trip != "":
		t, err := o.Calendar.Trip(opts.Trip)
		if err != nil {
			return Horizon{}, err
		}
		rounds = t.Rounds
	case opts.Season:
		rounds = o.Calendar.Rounds
	default:
		t, err := o.Calendar.Current(o.Snapshot.AsOf)
		if err != nil {
			return Horizon{}, err
		}
		rounds = t.Rounds
	}
	if len(rounds) == 0 {
		return Horizon{}, fmt.Errorf("found no round, expected at least one")
	}
	return o.horizonOf(rounds)
}

func (o *Outlook) horizonOf(rounds []planner.Round) (Horizon, error) {
	h := Horizon{Rounds: rounds}
	for i, r := range rounds {
		t, err := o.Calendar.Trip(r.Trip)
		if err != nil {
			return Horizon{}, err
		}
		if i == 0 || t.PackOn < h.FirstPackOn {
			h.FirstPackOn = t.PackOn
		}
		if i == 0 || t.PackOn > h.LastPackOn {
			h.LastPackOn = t.PackOn
		}
		if i == 0 || r.LastOn > h.LastOn {
			h.LastOn = r.LastOn
		}
		if !slices.ContainsFunc(h.Trips, func(x calendar.Trip) bool { return x.Code == t.Code }) {
			h.Trips = append(h.Trips, t)
		}
	}
	slices.SortStableFunc(h.Trips, func(a, b calendar.Trip) int { return int(a.StartOn) - int(b.StartOn) })
	return h, nil
}

// tripOf returns the trip of a round of the horizon.
func (h Horizon) tripOf(r planner.Round) calendar.Trip {
	for _, t := range h.Trips {
		if t.Code == r.Trip {
			return t
		}
	}
	return calendar.Trip{}
}

// confidence returns the chance wanted per part: that asked for, else the season's,
// else 95 %.
func (o *Outlook) confidence(asked float64) (float64, error) {
	if asked == 0 {
		asked = 0.95
		if len(o.Snapshot.Season) > 0 {
			asked = float(o.Snapshot.Season[0].ConfidencePercent, 95) / 100
		}
	}
	if !(asked > 0 && asked < 1) {
		return 0, fmt.Errorf("confidence: found %v, expected a chance above 0 and below 1, such as 0.95", asked)
	}
	return asked, nil
}
