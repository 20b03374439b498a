package spend

import (
	"math/big"
	"math/rand/v2"
	"slices"

	"roundkit/planner/demand"
	"roundkit/planner/draw"
)

// Band is where the spend will stand when the season ends: one season in ten ends below
// P10, half below P50, one in ten above P90. Nil where nothing is left to draw from.
//
// It is what has been spent (used, scrapped, missing, charges) and, drawn job by job, the
// cash of what is left to do: at list price, where an allocation gives a part free until it
// is used up and then at its share of the list. Seasons share the weather of a round, an
// unknown chance and an unknown rate, as in planner/demand.
type Band struct{ P10, P50, P90 *big.Rat }

// seasons is how many are drawn: a quantile at 10 % then has a standard error of about
// 4 % of the spread (sqrt(0.1 x 0.9 / 2000) over the normal density there).
const seasons = 2000

// seed and stream fix the draws: the same books give the same band.
const seed, stream = 1, 0x7370656e64

// fan draws the band of every row, of every line and of all together.
func (p *plan) fan(w *work) {
	rowAt, lineAt := map[string]int{}, map[string]int{}
	at := func(places map[string]int, key string) int {
		n, ok := places[key]
		if !ok {
			n = len(places)
			places[key] = n
		}
		return n
	}
	d := &dice{rng: rand.New(rand.NewPCG(seed, stream))}
	var uses []drawnUse
	for j := range p.jobs {
		for k := range p.jobs[j].uses {
			u := &p.jobs[j].uses[k]
			uses = append(uses, drawnUse{u, j, at(rowAt, u.key), at(lineAt, u.line)})
		}
	}
	rows, lines := make([][]float64, len(rowAt)), make([][]float64, len(lineAt))
	var all []float64
	if len(uses) > 0 {
		for range seasons {
			row, line, sum := d.season(p, uses, len(rows), len(lines))
			for i := range rows {
				rows[i] = append(rows[i], row[i])
			}
			for i := range lines {
				lines[i] = append(lines[i], line[i])
			}
			all = append(all, sum)
		}
	}
	spent := new(big.Rat)
	for key, r := range w.rows {
		r.Band = bandOf(r.Spent(), drawsOf(rows, rowAt, key))
		spent.Add(spent, r.Spent())
	}
	for key, r := range w.lines {
		r.Band = bandOf(r.Spent(), drawsOf(lines, lineAt, key))
	}
	p.total = bandOf(spent, all)
}

func drawsOf(draws [][]float64, at map[string]int, key string) []float64 {
	if n, ok := at[key]; ok {
		return draws[n]
	}
	return nil
}

// bandOf adds the quantiles of what is to come to what has been spent.
func bandOf(spent *big.Rat, draws []float64) Band {
	slices.Sort(draws)
	at := func(share float64) *big.Rat {
		sum := new(big.Rat).Set(spent)
		if len(draws) > 0 {
			if cash := new(big.Rat).SetFloat64(draws[int(share*float64(len(draws)))]); cash != nil {
				sum.Add(sum, cash)
			}
		}
		return sum
	}
	return Band{at(0.1), at(0.5), at(0.9)}
}

// drawnUse is a use with its jobs and the places of its money.
type drawnUse struct {
	*priced
	jobs, row, line int
}

// season draws one: the cash of each row, of each line and in all.
func (d *dice) season(p *plan, uses []drawnUse, rowCount, lineCount int) (rows, lines []float64, sum float64) {
	rows, lines = make([]float64, rowCount), make([]float64, lineCount)
	d.rates, d.chances = map[string]float64{}, map[chanceKey]float64{}
	wet := make([]bool, len(p.wet))
	for i, chance := range p.wet {
		wet[i] = d.rng.Float64() < chance
	}
	for _, f := range p.free {
		f.now = f.from
	}
	last, jobs := -1, 0
	for _, u := range uses {
		j := &p.jobs[u.jobs]
		if u.jobs != last { // all uses of the same jobs share their number
			last, jobs = u.jobs, j.Jobs
			if j.Unplanned {
				jobs = d.unplanned(j, wet[j.Round])
			}
		}
		amount := d.amount(j, u.priced, jobs, wet[j.Round])
		cash := amount * u.price
		if u.free != nil {
			beyond := max(0, amount-u.free.now)
			u.free.now -= amount - beyond
			cash = beyond * u.price * u.beyond
		}
		rows[u.row] += cash
		lines[u.line] += cash
		sum += cash
	}
	return rows, lines, sum
}

// unplanned draws how many jobs of a service that nobody planned a round brings.
func (d *dice) unplanned(j *planned, wet bool) int {
	rate, ok := d.rates[j.Service]
	if !ok {
		rate = j.Rate.Value
		if !j.Rate.Known() {
			rate = draw.Gamma(d.rng, j.Rate.Alpha) / j.Rate.Beta
		}
		d.rates[j.Service] = rate
	}
	mean := rate * j.Exposure
	if wet {
		mean *= j.WetFactor
	}
	return draw.Poisson(d.rng, mean)
}

// amount draws what the jobs use of a part.
func (d *dice) amount(j *planned, u *priced, jobs int, wet bool) float64 {
	switch u.Kind {
	case demand.Ranged:
		sum := 0.0
		for range jobs {
			sum += d.ranged(u.Line)
		}
		return sum * (1 + u.Allowance)
	case demand.Chanced:
		c, side := u.Dry, false
		if wet && u.Wet != nil {
			c, side = *u.Wet, true
		}
		chance := c.P
		if !c.Known() {
			key := chanceKey{j.Service, u.Row, side}
			var ok bool
			if chance, ok = d.chances[key]; !ok {
				chance = draw.Beta(d.rng, c.A, c.B)
				d.chances[key] = chance
			}
		}
		return u.Quantity * float64(draw.Binomial(d.rng, jobs, chance))
	}
	return u.Quantity * float64(jobs)
}
