package forecast

import (
	"fmt"
	"sync"
	"sync/atomic"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Part is one part's line of a forecast. Quantities are in base units, Mean and SD in
// the part's unit.
type Part struct {
	planner.Part
	Need

	Mean, SD     float64
	Confidence   float64
	AtConfidence units.Quantity // the smallest amount that is enough with that chance
	OnHand       units.Quantity
	OnOrder      units.Quantity // on its way and in time
	Short        units.Quantity // at confidence - on hand - on order, not below 0
	Cover        float64        // chance that on hand alone is enough
	RunShort     float64        // chance that it is not
	Containers   *int           // at confidence in whole containers; nil: contents not known
	StandIns     []StandIn      // what may stand in, first choice first
	Kits         *Kits          // of a seal kit whose contents are also used loose
	Then         *Then          // what the trips before leave; nil where none comes before, or by itself
}

// Result is a forecast: a line for every part of the catalogue, in its order.
type Result struct {
	AsOf       day.Day
	Horizon    Horizon
	At         string
	Confidence float64
	Parts      []Part
	Before     []string // the trips before it that use the same stock, in order
	Notes      []string // what could not be counted, and why
}

// Forecast returns what the rounds asked for will use of every part, and whether
// what there is is enough.
func (o *Outlook) Forecast(opts Options) (Result, error) {
	a, err := o.ask(opts)
	if err != nil {
		return Result{}, err
	}
	res := Result{AsOf: o.Snapshot.AsOf, Horizon: a.h, At: opts.At, Confidence: a.confidence, Notes: a.work.notes,
		Parts: make([]Part, len(o.Snapshot.Parts))}
	err = spread(len(res.Parts), opts.Workers, func(i int) (err error) {
		res.Parts[i], err = a.part(o.Snapshot.Parts[i])
		return err
	})
	if err != nil {
		return Result{}, err
	}
	if !opts.Alone {
		if err := a.then(&res, opts.Workers); err != nil {
			return Result{}, err
		}
	}
	return res, a.addKits(res.Parts)
}

// asked is a question made definite: horizon, confidence, what is left to do, what
// is on hand and on its way.
type asked struct {
	o          *Outlook
	h          Horizon
	confidence float64
	scope      Scope
	work       work
	onHand     map[string]units.Quantity
	onOrder    map[string]units.Quantity
}

func (o *Outlook) ask(opts Options) (asked, error) {
	a := asked{o: o}
	var err error
	if a.h, err = o.Horizon(opts); err != nil {
		return a, err
	}
	if a.confidence, err = o.confidence(opts.Confidence); err != nil {
		return a, err
	}
	if a.scope, err = o.ScopeOf(a.h, opts.At); err != nil {
		return a, err
	}
	a.work = o.workOf(a.h)
	a.onHand, a.onOrder = o.OnHand(a.h, a.scope), o.OnOrder(a.h, a.scope)
	return a, nil
}

// counts reports whether a holding is part of what is on hand.
func (a asked) counts(s planner.Holding) bool { return a.o.counts(s, a.h, a.scope) }

// part returns one part's line, but for the kits.
func (a asked) part(p planner.Part) (Part, error) {
	n, err := a.o.needOf(p, a.h, a.work)
	if err != nil {
		return Part{}, err
	}
	line := Part{
		Part: p, Need: n, Confidence: a.confidence,
		Mean: n.Dist.Mean(), SD: n.Dist.SD(),
		AtConfidence: n.AtConfidence(a.confidence),
		OnHand:       a.onHand[p.Code], OnOrder: a.onOrder[p.Code],
	}
	line.Short = max(0, line.AtConfidence-line.OnHand-line.OnOrder)
	line.Cover, line.RunShort = n.Cover(line.OnHand), n.RunShort(line.OnHand)
	line.Containers = containers(p, line.AtConfidence)
	line.StandIns = a.standIns(p)
	return line, nil
}

// containers returns how many whole containers hold a quantity. A piece without
// contents is its own container.
func containers(p planner.Part, q units.Quantity) *int {
	contents := units.Quantity(1)
	switch {
	case p.Contents != nil && *p.Contents > 0:
		contents = *p.Contents
	case p.Unit != units.PC:
		return nil
	}
	n := int((q + contents - 1) / contents)
	return &n
}

// spread runs a job for 0..n-1 on some goroutines and returns the error of the
// lowest number that failed, so that the outcome does not hang on their number.
func spread(n, workers int, job func(int) error) error {
	errs := make([]error, n)
	if workers < 2 {
		for i := range n {
			if errs[i] = job(i); errs[i] != nil {
				return errs[i]
			}
		}
		return nil
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(workers, n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				errs[i] = guarded(i, job)
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// guarded turns a panic on a goroutine of ours into an error: it could not be caught
// by the caller and would end the program.
func guarded(i int, job func(int) error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("part %d: %v", i+1, r)
		}
	}()
	return job(i)
}
