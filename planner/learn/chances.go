// Package learn answers: what does the log say of the plan's chances, and which have drifted?
//
// Method: a typed chance d is a guess worth s jobs, Beta(s d, s (1-d)) in each weather; x of n
// logged jobs that used the part make it Beta(s d + x, s (1-d) + n - x). It has drifted where x is
// in a 2.5 % tail of what the guess foresaw, beta-binomial over n jobs. Source: the conjugate rule,
// Gelman et al., Bayesian Data Analysis, 3rd ed., 2.4.
//
// Limits: chance lines only; each line by itself; a job of a round whose weather is not known, or
// of none, is left out where the line tells dry from wet. A chance of 0 or 100 is a rule, not learned.
package learn

import (
	"fmt"
	"math"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Chance is one chance of a line: planned, logged and learned.
type Chance struct {
	Service, Part, Weather string  // weather empty: any
	Planned                float64 // its mean, where the plan has a Beta
	Worth                  float64 // jobs
	Used, Jobs             int     // in the log
	Learned, Low, High     float64 // mean and the middle 80 %
	Drifted                bool
}

// Chances learns every chance line of the season from its log. worth is how many jobs a typed
// chance is worth, not infinite.
func Chances(b *planner.Book, worth float64) ([]Chance, error) {
	if math.IsInf(worth, 1) || !(worth > 0) {
		return nil, fmt.Errorf("worth: found %v jobs, expected a number above 0", worth)
	}
	log := count(b)
	var out []Chance
	for _, l := range b.ServiceLines {
		if l.Part == "" || l.DryPercent == nil && l.BetaDryA == nil {
			continue
		}
		one := func(weather string, percent, a, beta planner.Decimal, c seen) error {
			prior := demand.BetaBelief{}
			if percent != nil {
				d := percent.InexactFloat64() / 100
				if d <= 0 || d >= 1 {
					return nil
				}
				prior = demand.BetaBelief{A: worth * d, B: worth * (1 - d)}
			} else {
				prior = demand.BetaBelief{A: a.InexactFloat64(), B: beta.InexactFloat64()}
			}
			learned, err := prior.Update(c.jobs, c.used)
			if err != nil {
				return fmt.Errorf("%s of %s: %w", l.Part, l.Service, err)
			}
			x := Chance{Service: l.Service, Part: l.Part, Weather: weather, Planned: prior.Mean(), Worth: prior.A + prior.B, Used: c.used, Jobs: c.jobs, Learned: learned.Mean()}
			if x.Low, err = learned.Quantile(0.1); err != nil {
				return err
			}
			if x.High, err = learned.Quantile(0.9); err != nil {
				return err
			}
			x.Drifted, err = drifted(prior, c)
			out = append(out, x)
			return err
		}
		dry, wet := log[key{l.Service, l.Part, "dry"}], log[key{l.Service, l.Part, "wet"}]
		none := log[key{l.Service, l.Part, ""}]
		if l.WetPercent == nil && l.BetaWetA == nil {
			all := seen{dry.jobs + wet.jobs + none.jobs, dry.used + wet.used + none.used}
			if err := one("", l.DryPercent, l.BetaDryA, l.BetaDryB, all); err != nil {
				return nil, err
			}
			continue
		}
		if err := one("dry", l.DryPercent, l.BetaDryA, l.BetaDryB, dry); err != nil {
			return nil, err
		}
		if err := one("wet", l.WetPercent, l.BetaWetA, l.BetaWetB, wet); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// drifted reports whether as many uses, or as few, were foreseen with less than 2.5 %.
func drifted(prior demand.BetaBelief, c seen) (bool, error) {
	const tail = 0.025
	if c.jobs == 0 {
		return false, nil
	}
	foreseen, err := prior.Next(c.jobs)
	if err != nil {
		return false, err
	}
	few, many := 0.0, 0.0
	for i, p := range foreseen.P {
		if at := foreseen.From + i; at <= c.used {
			few += p
			if at == c.used {
				many += p
			}
		} else {
			many += p
		}
	}
	return few < tail || many < tail, nil
}

type key struct{ service, part, weather string }

type seen struct{ jobs, used int }

// count goes through the jobs that stand: how many of each service, and how many used each part.
func count(b *planner.Book) map[key]seen {
	weather := map[string]string{}
	for _, r := range b.Rounds {
		weather[r.Code] = r.Weather
	}
	used := map[[2]string]units.Quantity{}
	for _, p := range b.JobParts {
		if p.Quantity == nil || p.Part == "" {
			continue
		}
		switch {
		case p.To == "used":
			used[[2]string{p.Job, p.Part}] += *p.Quantity
		case p.From == "used":
			used[[2]string{p.Job, p.Part}] -= *p.Quantity
		}
	}
	parts := map[string][]string{}
	for _, l := range b.ServiceLines {
		if l.Part != "" {
			parts[l.Service] = append(parts[l.Service], l.Part)
		}
	}
	log := map[key]seen{}
	for _, j := range b.Jobs {
		if j.UndoneAt == nil {
			for _, part := range parts[j.Service] {
				k := key{j.Service, part, weather[j.Round]}
				c := log[k]
				c.jobs++
				if used[[2]string{j.Code, part}] > 0 {
					c.used++
				}
				log[k] = c
			}
		}
	}
	return log
}
