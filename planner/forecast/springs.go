package forecast

import (
	"errors"
	"fmt"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/demand"
	"roundkit/planner/near"
	"roundkit/planner/spring"
)

// SpringRound is how many of a spring one round wants at once.
type SpringRound struct {
	Round  string
	Wanted demand.PMF
	Breaks float64 // expected, on the riding days left
	Riders []SpringRider
}

// SpringRider is a rider's choice of one spring at one round.
type SpringRider struct {
	Rider  string
	Chance float64 // wants it in all Bikes at once
	Bikes  int     // forks or shocks of the model that travel
	Keeps  float64 // chance of keeping what is fitted
	Fitted int     // how many of them have this spring fitted
}

// readChoices checks the springs and their choices.
func (o *Outlook) readChoices() error {
	var faults []error
	type choice struct{ rider, model string }
	total := map[choice]*[5]float64{}
	var order []choice
	for i, c := range o.Snapshot.SpringChoices {
		where := fmt.Sprintf("spring-choices, row %d", i+1)
		sp, ok := o.springs[c.Spring]
		switch {
		case !ok:
			faults = append(faults, fmt.Errorf("%s: %w", where, near.Miss("spring", c.Spring, o.springCodes())))
		case sp.Model != c.Model:
			faults = append(faults, fmt.Errorf("%s: found %s for model %s, expected a spring of that model (%s is for %s)", where, c.Spring, c.Model, c.Spring, sp.Model))
		}
		k := choice{c.Rider, c.Model}
		if total[k] == nil {
			total[k] = &[5]float64{}
			order = append(order, k)
		}
		for s := range total[k] {
			p := float(steepPercent(c, s+1), 0)
			if !(p >= 0 && p <= 100) {
				faults = append(faults, fmt.Errorf("%s: steepness %d: found %v %%, expected 0 to 100", where, s+1, p))
			}
			total[k][s] += p
		}
	}
	for _, k := range order {
		for s, p := range total[k] {
			if p > 100+1e-9 {
				faults = append(faults, fmt.Errorf("spring-choices of %s on %s, steepness %d: found %v %% in all, expected at most 100", k.rider, k.model, s+1, p))
			}
		}
	}
	for _, r := range o.Snapshot.Rounds {
		if r.Steepness != nil && (*r.Steepness < 1 || *r.Steepness > 5) {
			faults = append(faults, fmt.Errorf("round %s: steepness: found %d, expected 1 to 5", r.Code, *r.Steepness))
		}
	}
	return errors.Join(faults...)
}

func (o *Outlook) springCodes() []string {
	codes := make([]string, len(o.Snapshot.Springs))
	for i, s := range o.Snapshot.Springs {
		codes[i] = s.Part
	}
	return codes
}

func steepPercent(c planner.SpringChoice, steepness int) planner.Decimal {
	return [...]planner.Decimal{c.Steep1, c.Steep2, c.Steep3, c.Steep4, c.Steep5}[steepness-1]
}

// onTrip reports whether an assembly travels on one of the horizon's trips.
func (o *Outlook) onTrip(a planner.Assembly, h Horizon) bool {
	for _, t := range h.Trips {
		if calendar.Travels(a, t) {
			return true
		}
	}
	return false
}

// springRounds returns what each round still ahead wants of a spring at once: each
// rider one choice for all forks or shocks of the model that travel. A round
// without a steepness wants none. What a rider's choices leave of 100 % keeps the
// rate that is fitted.
func (o *Outlook) springRounds(code string, h Horizon) ([]SpringRound, error) {
	sp, ok := o.springs[code]
	if !ok {
		return nil, nil
	}
	fitted := map[string]int{} // of this spring, in an assembly
	for _, s := range o.Snapshot.Stock {
		if s.Part == code && o.Places.Assembly(s.Place) {
			fitted[s.Place] += int(s.Quantity)
		}
	}
	var out []SpringRound
	for _, r := range h.Rounds {
		if r.Steepness == nil || calendar.Over(r, o.Snapshot.AsOf) {
			continue
		}
		sr := SpringRound{Round: r.Code}
		for _, rider := range o.riders(sp.Model, h.tripOf(r)) {
			one := SpringRider{Rider: rider.code, Bikes: len(rider.assemblies), Keeps: 1}
			for _, c := range o.Snapshot.SpringChoices {
				if c.Rider == rider.code && c.Model == sp.Model {
					p := float(steepPercent(c, *r.Steepness), 0) / 100
					one.Keeps -= p
					if c.Spring == code {
						one.Chance += p
					}
				}
			}
			if one.Keeps < 1e-12 { // percentages that add up to 100 but for rounding
				one.Keeps = 0
			}
			for _, a := range rider.assemblies {
				one.Fitted += min(fitted[a], 1)
			}
			if one.Chance > 0 || one.Keeps > 0 && one.Fitted > 0 {
				sr.Riders = append(sr.Riders, one)
			}
		}
		if len(sr.Riders) > 0 {
			sr.Breaks = float(sp.BreaksPerDay, 0) * float64(calendar.RidingDaysLeft(r, o.Snapshot.AsOf))
		}
		var err error
		if sr.Wanted, err = sr.round().Wanted(); err != nil {
			return nil, fmt.Errorf("spring %s, round %s: %w", code, r.Code, err)
		}
		out = append(out, sr)
	}
	return out, nil
}

type riderOf struct {
	code       string
	assemblies []string
}

// riders returns who has forks or shocks of a model on a trip, in the plan's order.
// What belongs to nobody is not ridden.
func (o *Outlook) riders(model string, t calendar.Trip) []riderOf {
	var out []riderOf
	at := map[string]int{}
	for _, a := range o.Snapshot.Assemblies {
		if a.Model != model || a.Rider == "" || !calendar.Travels(a, t) {
			continue
		}
		if _, ok := at[a.Rider]; !ok {
			at[a.Rider] = len(out)
			out = append(out, riderOf{code: a.Rider})
		}
		out[at[a.Rider]].assemblies = append(out[at[a.Rider]].assemblies, a.Code)
	}
	return out
}

// round is the riders' choices as planner/spring takes them. A rider who may either
// choose the spring for all bikes or keep it in some of them makes rides of its own:
// the two exclude each other.
func (sr SpringRound) round() spring.Round {
	round := spring.Round{{Chance: 1}}
	for _, r := range sr.Riders {
		keeps := r.Keeps
		if r.Fitted == 0 {
			keeps = 0
		}
		if keeps == 0 || r.Chance == 0 || r.Fitted == r.Bikes {
			one := spring.Rider{P: r.Chance + keeps, Bikes: r.Bikes}
			if r.Chance == 0 {
				one.Bikes = r.Fitted
			}
			for i := range round {
				round[i].Riders = append(round[i].Riders, one)
			}
			continue
		}
		var split spring.Round
		for _, ride := range round {
			for _, o := range [...]struct {
				p     float64
				bikes int
			}{{r.Chance, r.Bikes}, {keeps, r.Fitted}, {1 - r.Chance - keeps, 0}} {
				if o.p > 0 {
					riders := append(append([]spring.Rider(nil), ride.Riders...), spring.Rider{P: 1, Bikes: o.bikes})
					split = append(split, spring.Ride{Chance: ride.Chance * o.p, Riders: riders})
				}
			}
		}
		round = split
	}
	return round
}

// springNeed returns how many of a spring are wanted at once over the rounds, without
// and with breakage on the riding days left of rounds where some rider may want it.
func springNeed(rounds []SpringRound) (wanted, total demand.PMF, err error) {
	breaks := 0.0
	of := make([]spring.Round, len(rounds))
	for i, r := range rounds {
		of[i] = r.round()
		breaks += r.Breaks
	}
	if wanted, err = spring.Need(of, demand.Point(0)); err != nil {
		return wanted, total, err
	}
	breakage, err := demand.Poisson(breaks)
	if err != nil {
		return wanted, total, fmt.Errorf("breakage: %w", err)
	}
	total, err = demand.Convolve(wanted, breakage)
	return wanted, total, err
}
