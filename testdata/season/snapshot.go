package season

import (
	"cmp"
	"fmt"
	"io/fs"
	"slices"
	"time"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// key is where one balance is: a lot or one tag of it at a place.
type key struct{ part, lot, tag, place string }

// Load reads a folder and returns its snapshot as of the end of a day.
func Load(folder fs.FS, asOf day.Day) (*planner.Snapshot, error) {
	book, zone, err := Read(folder)
	if err != nil {
		return nil, err
	}
	return Snapshot(book, zone, asOf)
}

// Snapshot sums the book up to the end of a day. It returns an error where stock of
// ours would be below 0.
func Snapshot(book *planner.Book, zone *time.Location, asOf day.Day) (*planner.Snapshot, error) {
	end := asOf.End(zone)
	balance := map[key]units.Quantity{}
	dueBack := map[key]*day.Day{}
	used := map[string]units.Quantity{}
	move := func(part, lot, tag, from, to string, q units.Quantity) {
		balance[key{part, lot, tag, from}] -= q
		balance[key{part, lot, tag, to}] += q
	}
	for _, s := range book.Stock {
		if s.CountedAt.Before(end) {
			move(s.Part, s.Lot, s.Tag, "opening", s.Place, s.Quantity)
		}
	}
	counts := map[string]bool{} // jobs that count as of the day
	done := map[planner.DoneJobs]int{}
	for _, j := range book.Jobs {
		if !j.DoneAt.Before(end) || j.UndoneAt != nil && j.UndoneAt.Before(end) {
			continue
		}
		counts[j.Code] = true
		done[planner.DoneJobs{Round: j.Round, Service: j.Service, Assembly: j.Assembly}]++
	}
	for _, p := range book.JobParts {
		if !counts[p.Job] || p.Part == "" || p.Quantity == nil {
			continue
		}
		move(p.Part, p.Lot, p.Tag, p.From, p.To, *p.Quantity)
		if p.To == "used" {
			used[p.Part] += *p.Quantity
		}
	}
	packedFor := map[planner.PackedFor]bool{}
	for _, m := range book.Movements {
		if !m.At.Before(end) {
			continue
		}
		move(m.Part, m.Lot, m.Tag, m.From, m.To, m.Quantity)
		if m.DueBackOn != nil {
			dueBack[key{m.Part, m.Lot, m.Tag, m.To}] = m.DueBackOn
		}
		if m.Reason == "pack" {
			packedFor[planner.PackedFor{Trip: m.Reference, Case: m.To}] = true
		}
	}
	return assemble(book, zone, asOf, balance, dueBack, done, used, packedFor)
}

func assemble(book *planner.Book, zone *time.Location, asOf day.Day, balance map[key]units.Quantity,
	dueBack map[key]*day.Day, done map[planner.DoneJobs]int, used map[string]units.Quantity, packedFor map[planner.PackedFor]bool,
) (*planner.Snapshot, error) {
	s := &planner.Snapshot{
		Catalogue: book.Catalogue, Plan: book.Plan, Lots: book.Lots, Tags: book.Tags,
		OrderLines: book.OrderLines, AsOf: asOf, Zone: zone,
	}
	held := map[string]bool{} // our places, lent and assemblies
	for _, p := range book.Places {
		if p.Kind != "outside" {
			held[p.Code] = true
		}
	}
	for _, a := range book.Assemblies {
		held[a.Code] = true
	}
	full := map[string]bool{}
	for k, q := range balance {
		switch {
		case !held[k.place] || q == 0:
			continue
		case q < 0:
			return nil, fmt.Errorf("%s lot %s tag %s at %s: found %d, expected 0 or more", k.part, k.lot, k.tag, k.place, q)
		}
		full[k.place] = true
		s.Stock = append(s.Stock, planner.Holding{Part: k.part, Lot: k.lot, Tag: k.tag, Place: k.place, Quantity: q, DueBackOn: dueBack[k]})
	}
	slices.SortFunc(s.Stock, func(a, b planner.Holding) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Tag, b.Tag), cmp.Compare(a.Place, b.Place))
	})
	for d, n := range done {
		d.Jobs = n
		s.Done = append(s.Done, d)
	}
	slices.SortFunc(s.Done, func(a, b planner.DoneJobs) int {
		return cmp.Or(cmp.Compare(a.Round, b.Round), cmp.Compare(a.Service, b.Service), cmp.Compare(a.Assembly, b.Assembly))
	})
	seen := map[string]bool{}
	for _, a := range book.Allocations {
		if !seen[a.Part] {
			s.Use = append(s.Use, planner.PartUse{Part: a.Part, Quantity: used[a.Part]})
		}
		seen[a.Part] = true
	}
	for p := range packedFor {
		if full[p.Case] {
			s.Packed = append(s.Packed, p)
		}
	}
	slices.SortFunc(s.Packed, func(a, b planner.PackedFor) int {
		return cmp.Or(cmp.Compare(a.Trip, b.Trip), cmp.Compare(a.Case, b.Case))
	})
	for _, o := range book.Orders {
		if o.PlacedOn == nil || *o.PlacedOn <= asOf {
			s.Orders = append(s.Orders, o)
		}
	}
	return s, nil
}
