package transport

import (
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// Item is stock that rides on a trip: one part from one lot (and tag) in one place.
type Item struct {
	Part       planner.Part
	Quantity   units.Quantity // base units
	Containers int64
	LargestUL  units.Quantity   // what its largest container holds, ul or mg; of pieces 0
	Grams      *decimal.Decimal // with the empty containers; nil where the catalogue does not say
	RoomUL     *units.Quantity  // packed volume of all; nil where the catalogue does not say
	DensityGML *decimal.Decimal // at 20 C
	Tag        string           // of a labelled thing
	Serial     string           // of a numbered thing
	Place      string           // the case or drawer it rides in
	Stays      bool             // it is there already
	Value      *decimal.Decimal // of all, in Currency; nil where it is not known
	Currency   string
}

var (
	thousand = decimal.NewFromInt(1000)
	million  = decimal.NewFromInt(1_000_000)
)

// amount returns what the item counts by a measure of the road rules, in kg or l. known is
// false where the catalogue cannot tell. atMost says that it is an upper bound: a vessel is
// no larger than the room it takes, its gas no heavier than the whole.
func (i Item) amount(m Measure) (amount decimal.Decimal, atMost, known bool) {
	q := decimal.NewFromInt(int64(i.Quantity))
	room := func() (decimal.Decimal, bool, bool) {
		if i.RoomUL == nil {
			return decimal.Zero, false, false
		}
		return decimal.NewFromInt(int64(*i.RoomUL)).Div(million), true, true
	}
	whole := func(bound bool) (decimal.Decimal, bool, bool) {
		if i.Grams == nil {
			return decimal.Zero, false, false
		}
		return i.Grams.Div(thousand), bound, true
	}
	switch m {
	case MassOfArticles:
		return whole(false)
	case WaterCapacity:
		if i.Part.WaterUL != nil {
			return decimal.NewFromInt(i.Containers).Mul(decimal.NewFromInt(int64(*i.Part.WaterUL))).Div(million), false, true
		}
		return room()
	case NetMass:
		switch {
		case i.Part.Unit == units.G:
			return q.Div(million), false, true
		case i.Part.Unit == units.ML && i.DensityGML != nil:
			return q.Mul(*i.DensityGML).Div(million), false, true
		}
		return whole(true)
	}
	switch { // litres
	case i.Part.Unit == units.ML:
		return q.Div(million), false, true
	case i.Part.Unit == units.G && i.DensityGML != nil && i.DensityGML.IsPositive():
		return q.Div(million).Div(*i.DensityGML), false, true
	}
	return room()
}

// inner returns what one container holds at most, ul or mg, and whether that is known.
func (i Item) inner() (units.Quantity, bool) {
	switch {
	case i.Part.WaterUL != nil:
		return *i.Part.WaterUL, true
	case i.Part.Unit != units.PC:
		return i.LargestUL, i.LargestUL > 0
	case i.Part.PackedUL != nil:
		return *i.Part.PackedUL, true
	}
	return 0, false
}
