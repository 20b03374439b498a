package papers

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/forecast"
	"roundkit/planner/transport"
	"roundkit/planner/units"
)

// Returned is how much of a part is there after the trip: of one labelled thing where Tag
// is given. Quantity is in base units.
type Returned struct {
	Part, Tag string
	Quantity  units.Quantity
}

// Compared is one part (one labelled thing of a part that comes home) as listed when the
// trip left and as found when it came back. Quantities are in base units of Part.Unit.
type Compared struct {
	Part        planner.Part
	Tag, Serial string
	On          string // the fork or shock it left in: listed with its bike, not as a line
	Listed      units.Quantity
	Back        units.Quantity
	Where       string // by the book, of what is missing: "lent, due back 2027-06-06", "fitted to F02"; "" where the book has it nowhere
}

// Missing is what was listed and is not back; of a part that is used up it is what was used.
func (c Compared) Missing() units.Quantity { return max(c.Listed-c.Back, 0) }

// More is what came back beyond what was listed: bought, found or brought there.
func (c Compared) More() units.Quantity { return max(c.Back-c.Listed, 0) }

// Return is what came back, held against the lists the trip left with.
type Return struct {
	Trip      calendar.Trip
	ComesHome []Compared // every thing that comes home, in the order of the list; then what left fitted
	UsedUp    []Compared // every part of the used-up list; Missing is what was used
	Unlisted  []Compared // back, and on no list: to be declared, or its home changed
	Faults    []string   // what must be settled before the list is closed at the border or the desk
}

// CameBack holds what came back in the truck or the cases against the papers of the trip as
// they were when it left: Of with the outlook of pack day, whose Items are what was listed.
// now is the outlook after the trip: from it comes what is fitted to forks and shocks that
// travel, which came back with its bike, and where the book has what is missing. It
// returns an error for a part that no catalogue knows and a quantity of 0 or less.
//
// What comes home is compared thing by thing: a labelled thing by its tag, the rest by the
// part; pieces that come back without their label stand for listed labels of the same
// part, but never for a serial number. What is used up is compared by part over all its
// bottles and lots. Whoever records a return asks before the stock is moved home, with
// WithTrip(now, trip) for what the book has with the trip, or with what was counted.
func CameBack(listed *Papers, back []Returned, now *forecast.Outlook) (Return, error) {
	r := Return{Trip: listed.Trip}
	type key struct{ part, tag string }
	at := map[key]int{}
	used := map[string]int{}
	for _, i := range listed.Items {
		if !transport.ComesHome(i.Part) {
			k, ok := used[i.Part.Code]
			if !ok {
				k = len(r.UsedUp)
				used[i.Part.Code] = k
				r.UsedUp = append(r.UsedUp, Compared{Part: i.Part})
			}
			r.UsedUp[k].Listed += i.Quantity
			continue
		}
		k, ok := at[key{i.Part.Code, i.Tag}]
		if !ok {
			k = len(r.ComesHome)
			at[key{i.Part.Code, i.Tag}] = k
			r.ComesHome = append(r.ComesHome, Compared{Part: i.Part, Tag: i.Tag, Serial: i.Serial})
		}
		r.ComesHome[k].Listed += i.Quantity
	}
	for _, h := range fitted(listed.outlook, listed.Trip) {
		part, err := listed.part(h.Part)
		if err != nil || !transport.ComesHome(part) {
			continue
		}
		if k, ok := at[key{h.Part, h.Tag}]; ok && r.ComesHome[k].On != "" {
			r.ComesHome[k].Listed += h.Quantity
			continue
		}
		at[key{h.Part, h.Tag}] = len(r.ComesHome)
		r.ComesHome = append(r.ComesHome, Compared{Part: part, Tag: h.Tag, Serial: listed.serial(h.Tag), On: h.Place, Listed: h.Quantity})
	}
	for _, h := range fitted(now, listed.Trip) {
		if part, err := listed.part(h.Part); err == nil && transport.ComesHome(part) {
			back = append(back[:len(back):len(back)], Returned{Part: h.Part, Tag: h.Tag, Quantity: h.Quantity})
		}
	}
	extra := map[string]int{} // of Unlisted, by part and tag
	for _, b := range back {
		part, err := listed.part(b.Part)
		if err != nil {
			return Return{}, fmt.Errorf("what came back: %w", err)
		}
		if b.Quantity <= 0 {
			return Return{}, fmt.Errorf("what came back of %s: found %s, expected more than 0", b.Part, units.Say(b.Quantity, part.Unit))
		}
		if !transport.ComesHome(part) {
			if k, ok := used[b.Part]; ok {
				r.UsedUp[k].Back += b.Quantity
				continue
			}
		} else if left := r.give(part.Code, b.Tag, b.Quantity); left == 0 {
			continue
		} else {
			b.Quantity = left
		}
		name := b.Part + "\x00" + b.Tag
		k, ok := extra[name]
		if !ok {
			k = len(r.Unlisted)
			extra[name] = k
			r.Unlisted = append(r.Unlisted, Compared{Part: part, Tag: b.Tag})
		}
		r.Unlisted[k].Back += b.Quantity
	}
	for k := range r.ComesHome {
		if c := &r.ComesHome[k]; c.Missing() > 0 {
			c.Where = whereNow(now, *c)
		}
	}
	r.faults()
	return r, nil
}

// give puts what came back on the lines of its part, its own label first, and returns what
// no line takes.
func (r *Return) give(part, tag string, q units.Quantity) units.Quantity {
	for _, own := range []bool{true, false} {
		for k := range r.ComesHome {
			c := &r.ComesHome[k]
			if c.Part.Code != part || own != (c.Tag == tag) {
				continue
			}
			// Another label is another thing; no label may be any that has no serial number.
			if !own && (tag != "" || c.Serial != "") {
				continue
			}
			take := min(q, c.Missing())
			c.Back, q = c.Back+take, q-take
		}
	}
	return q
}

func (r *Return) faults() {
	add := func(format string, args ...any) { r.Faults = append(r.Faults, fmt.Sprintf(format, args...)) }
	for _, c := range r.ComesHome {
		if c.Missing() == 0 {
			continue
		}
		what := units.Say(c.Missing(), c.Part.Unit) + " of " + c.Part.Code
		if c.Tag != "" {
			what = c.Tag
		}
		if c.Serial != "" {
			what += " (serial no. " + c.Serial + ")"
		}
		switch {
		case c.Where != "":
			add("%s must come home and is not back: %s", what, c.Where)
		case c.On != "":
			add("%s left in %s and is not back: bring it or the pieces, and tell the agent what is in the bike now", what, c.On)
		default:
			add("%s must come home and is not back: bring it or the pieces, or settle it with the agent before the list is closed", what)
		}
	}
	for _, c := range r.UsedUp {
		if c.More() > 0 {
			add("%s: %s came back and %s were listed: what was bought there is declared on the way home", c.Part.Code, units.Say(c.Back, c.Part.Unit), units.Say(c.Listed, c.Part.Unit))
		}
	}
	for _, c := range r.Unlisted {
		what := c.Part.Code
		if c.Tag != "" {
			what = c.Tag
		}
		add("%s: %s came back and on no list: what was bought there is declared on the way home", what, units.Say(c.Back, c.Part.Unit))
	}
}

// part finds a part among what was listed, else in the catalogue.
func (p *Papers) part(code string) (planner.Part, error) { return p.outlook.Part(code) }

func (p *Papers) serial(tag string) string {
	for _, t := range p.outlook.Snapshot.Tags {
		if t.Code == tag && tag != "" {
			return t.SerialNumber
		}
	}
	return ""
}

// fitted is what sits in the forks and shocks that travel with a trip.
func fitted(o *forecast.Outlook, trip calendar.Trip) []planner.Holding {
	if o == nil {
		return nil
	}
	travels := map[string]bool{}
	for _, a := range o.Snapshot.Assemblies {
		travels[a.Code] = calendar.Travels(a, trip)
	}
	var out []planner.Holding
	for _, h := range o.Snapshot.Stock {
		if travels[h.Place] {
			out = append(out, h)
		}
	}
	return out
}

// whereNow says where a listed thing is by the book.
func whereNow(o *forecast.Outlook, c Compared) string {
	if o == nil {
		return ""
	}
	var found []string
	for _, h := range o.Snapshot.Stock {
		if h.Part != c.Part.Code || h.Tag != c.Tag {
			continue
		}
		text := ""
		switch {
		case o.Places.Assembly(h.Place):
			text = "fitted to " + h.Place
		case !o.Places.Ours(h.Place):
			text = "lent"
			if h.DueBackOn != nil {
				text += ", due back " + h.DueBackOn.String()
			}
		case c.Tag != "":
			text = "in " + h.Place
		default:
			continue // of what has no label, stock elsewhere may be other pieces
		}
		if !slices.Contains(found, text) {
			found = append(found, text)
		}
	}
	return strings.Join(found, "; ")
}
