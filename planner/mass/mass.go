// Package mass answers: what does this stock weigh, and how much room does it take?
//
// Method: a liquid weighs its ml times its density at 20 C (a ml in the book is a ml at
// 20 C), a grease or powder its grams, a piece its own mass; each container adds its
// empty mass. A tagged bottle is one container; untagged liquid and grease is as many
// containers as the quantity fills, rounded up. Exact decimals, so that a case's total is
// the sum of its lines to the last milligram.
//
// Source: common practice of weighing packed cases. Limits: what the catalogue does not
// say weighs nothing here and is reported as unknown; the scale's own figure of a packed
// case is always the better one.
package mass

import (
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Facts are the masses and densities of a catalogue.
type Facts struct {
	parts   map[string]planner.Part
	density map[string]decimal.Decimal // g/ml at 20 C
	tags    map[string]planner.Tag
}

// New gathers them.
func New(c planner.Catalogue, tags []planner.Tag) *Facts {
	f := &Facts{parts: map[string]planner.Part{}, density: map[string]decimal.Decimal{}, tags: map[string]planner.Tag{}}
	for _, p := range c.Parts {
		f.parts[p.Code] = p
	}
	for _, l := range c.Liquids {
		if l.DensityGML != nil {
			f.density[l.Part] = *l.DensityGML
		}
	}
	for _, t := range tags {
		f.tags[t.Code] = t
	}
	return f
}

// thousand turns mg into g, and ul times g/ml into g.
var thousand = decimal.NewFromInt(1000)

// Grams returns what a quantity of a part weighs with its containers. known is false
// where the catalogue lacks a density or a piece's mass.
func (f *Facts) Grams(part, tag string, q units.Quantity) (grams decimal.Decimal, known bool) {
	p := f.parts[part]
	switch p.Unit {
	case units.ML:
		d, ok := f.density[part]
		grams, known = decimal.NewFromInt(int64(q)).Mul(d).Div(thousand), ok
	case units.G:
		grams, known = decimal.NewFromInt(int64(q)).Div(thousand), true
	default:
		if p.MassMG == nil {
			return decimal.Zero, false
		}
		return decimal.NewFromInt(int64(q)).Mul(decimal.NewFromInt(int64(*p.MassMG))).Div(thousand), true
	}
	tare := p.TareMG
	if t, ok := f.tags[tag]; ok && tag != "" && t.TareMG != nil {
		tare = t.TareMG
	}
	if tare != nil {
		empties := int64(*tare) * f.Containers(part, tag, q)
		grams = grams.Add(decimal.NewFromInt(empties).Div(thousand))
	}
	return grams, known
}

// About is Grams where a liquid without a density counts as 1 g/ml; guess is what it weighs by
// that guess, in no container. known is false where a piece's mass is lacking.
func (f *Facts) About(part, tag string, q units.Quantity) (grams, guess decimal.Decimal, known bool) {
	grams, known = f.Grams(part, tag, q)
	if known || f.parts[part].Unit != units.ML {
		return grams, decimal.Zero, known
	}
	guess = decimal.NewFromInt(int64(q)).Div(thousand)
	return grams.Add(guess), guess, true
}

// Containers returns how many containers the quantity is in: a tagged thing is one;
// else as many as it fills, rounded up. A part without contents comes in single ones of
// its unit's container: one.
func (f *Facts) Containers(part, tag string, q units.Quantity) int64 {
	if q <= 0 {
		return 0
	}
	if tag != "" {
		return 1
	}
	p := f.parts[part]
	switch {
	case p.Contents != nil && *p.Contents > 0:
		return int64((q + *p.Contents - 1) / *p.Contents)
	case p.Unit == units.PC:
		return int64(q)
	}
	return 1
}

// PackedUL returns the room, in microlitres, that a quantity takes in its containers.
// known is false where the catalogue does not say.
func (f *Facts) PackedUL(part, tag string, q units.Quantity) (room units.Quantity, known bool) {
	p := f.parts[part]
	if p.PackedUL == nil {
		return 0, false
	}
	return units.Quantity(f.Containers(part, tag, q)) * *p.PackedUL, true
}
