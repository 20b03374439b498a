package check

import (
	"fmt"
	"math"

	"roundkit/planner/demand"
	"roundkit/planner/spring"
)

// stockCalcs are the needs that are no sum of lines: kits opened for what is inside, and
// springs wanted at the same time.
func stockCalcs() []Calc {
	return []Calc{
		{
			Name: "open-kits", About: "kits wanted: used whole, and opened for what the loose components do not cover",
			In: append([]Field{
				need("full", "distribution of whole kits used"),
				need("components", "list of {need: distribution, loose: whole, per_kit: whole, 1 or more}"),
			}, distributionIn()...),
			Out: distributionOut(),
			run: runOpenKits,
		},
		{
			Name: "springs", About: "springs of a rate wanted at the same time: the largest round, plus breakage",
			In: append([]Field{
				need("rounds", "list of lists of rides {chance, riders: [{p: chance, bikes: 0 to 100 (1)}]}, a round's chances summing to 1"),
				may("breakage", "distribution"),
			}, distributionIn()...),
			Out: distributionOut(),
			run: runSprings,
		},
	}
}

func runOpenKits(in *input) (output, error) {
	full := in.distribution("full", 0)
	var components []demand.Component
	var needs []build
	for _, c := range in.insides("components") {
		needs = append(needs, c.distribution("need", 0))
		components = append(components, demand.Component{Loose: c.count("loose", count), PerKit: c.count("per_kit", from(1, 1e6))})
		c.close()
	}
	ask := readAsk(in)
	if err := in.ready(); err != nil {
		return nil, err
	}
	return ask.answer(in.budget, func(b *budget) (demand.PMF, error) {
		whole, err := full.make(b)
		if err != nil {
			return demand.PMF{}, err
		}
		least, most := 0.0, 0.0 // kits that may be opened
		for i, n := range needs {
			if components[i].Need, err = n.make(b); err != nil {
				return demand.PMF{}, err
			}
			perKit, loose := float64(components[i].PerKit), float64(components[i].Loose)
			least = max(least, (float64(components[i].Need.From)-loose)/perKit)
			most = max(most, (float64(components[i].Need.Max())-loose)/perKit)
			if err := b.spend("components", 2*(most-least)+float64(len(components[i].Need.P))); err != nil {
				return demand.PMF{}, err
			}
		}
		if err := b.spend("full", convolveWork(float64(len(whole.P)), most-least+1)); err != nil {
			return demand.PMF{}, err
		}
		return demand.OpenKits(whole, components)
	})
}

func runSprings(in *input) (output, error) {
	var rounds []spring.Round
	for i, n := range in.list("rounds") {
		at := fmt.Sprintf("rounds[%d]", i)
		if !in.is(at, n, list) {
			continue
		}
		rounds = append(rounds, readRound(in, at, n.list))
	}
	breakage := plain(func() (demand.PMF, error) { return demand.Point(0), nil })
	if in.has("breakage") {
		breakage = in.distribution("breakage", 0)
	}
	ask := readAsk(in)
	if err := in.ready(); err != nil {
		return nil, err
	}
	if err := in.budget.spend("rounds", 0); err != nil {
		return nil, err
	}
	return ask.answer(in.budget, func(b *budget) (demand.PMF, error) {
		broken, err := breakage.make(b)
		if err != nil {
			return demand.PMF{}, err
		}
		return spring.Need(rounds, broken)
	})
}

// readRound reads the rides of a round and notes what it will cost.
func readRound(in *input, at string, entries []node) spring.Round {
	var round spring.Round
	sum := 0.0
	for j, n := range entries {
		name := fmt.Sprintf("%s[%d]", at, j)
		r := in.enter(name, n, in.is(name, n, object))
		ride := spring.Ride{Chance: r.number("chance", chance)}
		bikes := 0
		for _, one := range r.insides("riders") {
			rider := spring.Rider{P: one.number("p", chance), Bikes: one.countOr("bikes", from(0, spring.MaxBikes), 1)}
			one.close()
			ride.Riders = append(ride.Riders, rider)
			bikes += rider.Bikes
		}
		r.close()
		in.budget.spent += 2 * float64(len(ride.Riders)) * float64(bikes)
		sum += ride.Chance
		round = append(round, ride)
	}
	if !(math.Abs(sum-1) <= demand.SumTolerance) {
		in.refuse(at, fmt.Sprintf("chances that sum to %v", sum), "1 within 1e-9")
	}
	return round
}
