package ledger

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner/units"
)

// Key is what a balance is kept for.
type Key struct{ Lot, Tag, Place string }

// Past is what the ledger already holds, in the order of time and, within a minute,
// of arrival.
type Past struct {
	Moves  []PastMove
	Counts []PastCount
}

// PastMove is a movement already in the ledger.
type PastMove struct {
	At       time.Time
	Lot, Tag string
	From, To string
	Quantity units.Quantity
}

// PastCount is a count or weighing already in the ledger that has not been undone.
// A weighing is a count of its tag wherever it is: Place is empty.
type PastCount struct {
	At                    time.Time
	ID                    uuid.UUID
	Place, Part, Lot, Tag string
	Exact                 bool
	Seq                   int64 // its number of arrival; 0: not known
}

// book is the running balance per key, with the keys of each part in a stable order.
type book struct {
	at     map[Key]units.Quantity
	ofPart map[string][]Key
	ofTag  map[string][]Key
	part   func(lot string) string
	kept   func(place string) bool
}

func newBook(part func(string) string, kept func(string) bool) *book {
	return &book{at: map[Key]units.Quantity{}, ofPart: map[string][]Key{}, ofTag: map[string][]Key{}, part: part, kept: kept}
}

func (b *book) add(k Key, change units.Quantity) {
	if !b.kept(k.Place) {
		return
	}
	old, known := b.at[k]
	if !known {
		p := b.part(k.Lot)
		b.ofPart[p] = append(b.ofPart[p], k)
		if k.Tag != "" {
			b.ofTag[k.Tag] = append(b.ofTag[k.Tag], k)
		}
	}
	b.at[k] = old + change
}

func (b *book) move(m Move) {
	b.add(Key{m.Lot, m.Tag, m.From}, -m.Quantity)
	b.add(Key{m.Lot, m.Tag, m.To}, m.Quantity)
}

// tagPlace returns where a tag is: the kept place that holds something of it.
func (b *book) tagPlace(tag string) (Key, bool) {
	for _, k := range b.ofTag[tag] {
		if b.at[k] > 0 {
			return k, true
		}
	}
	return Key{}, false
}
