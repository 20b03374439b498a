package db

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Move is stock going from one place to another: moved, scrapped, lent or come back. A tag
// names the thing itself; then part, quantity and the place it comes from may be blank.
type Move struct {
	Act
	Kind      string // move, scrap, lend, lent back
	Part, Tag string
	Quantity  units.Quantity
	From, To  string // blank: where the round is that is on, else the workshop; what was lent comes home to where it left
	DueBackOn *day.Day
}

// MoveStock records a move.
func (s *Store) MoveStock(ctx context.Context, m Move) (Recorded, error) {
	said := m
	return s.again(ctx, Request{ID: m.ID, Kind: m.Kind, Said: said}, func() (Recorded, error) { return s.moveStock(ctx, said, m) })
}

func (s *Store) moveStock(ctx context.Context, said any, m Move) (Recorded, error) {
	l, err := s.look(ctx, m.Act)
	if err != nil {
		return Recorded{}, err
	}
	row := planner.Movement{Part: m.Part, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity}
	if m.Kind == "scrap" {
		row.To = ledger.Scrap
	}
	here := l.here(m.Act)
	if m.Tag != "" {
		err = l.byTag(&row)
	} else {
		err = l.byPart(&row, m.Kind, here)
	}
	where := ""
	if m.Tag == "" && m.From == "" && m.Kind != "lent back" {
		where = "no place was named: from " + row.From + " in " + here.String()
	}
	if row.To == "" && m.Kind == "lent back" && err == nil {
		moved, _, err := s.History(ctx, row.Part, SnapshotOptions{Season: m.Season})
		if err != nil {
			return Recorded{}, err
		}
		if row.To = act.LeftFrom(l.tree, moved, row); row.To != "" {
			where = "home to " + row.To + ", where it left"
		}
	}
	if row.To == "" && m.Kind != "lend" {
		row.To = here.Home(l.snap, l.tree, row.Part)
		where = strings.TrimPrefix(where+"; ", "; ") + "no place was named: to " + row.To + " in " + here.String()
	}
	faults := []error{err}
	if m.Kind != "scrap" {
		faults = append(faults, l.placeFor(m.Kind, "to", row.To, m.Kind == "lend"))
	}
	if err == nil {
		faults = append(faults, l.placeFor(m.Kind, "from", row.From, m.Kind == "lent back"))
	}
	if row.From == row.To && row.From != "" {
		faults = append(faults, fmt.Errorf("found %s on both ends, expected two places", row.From))
	}
	if err := errors.Join(faults...); err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if err := l.doubtMove(m.Act, row); err != nil {
		return Recorded{}, err
	}
	return recordedAt(where)(s.recordAlone(ctx, Request{Said: said, ID: m.ID, Season: m.Season, Kind: m.Kind, Person: m.Person, At: m.At, DryRun: m.DryRun, Notes: m.Notes, DueBackOn: m.DueBackOn,
		Movements: []planner.Movement{row}}))
}

// here is where a record is when nobody says.
func (l *looked) here(a Act) act.Here {
	on := l.today
	if !a.At.IsZero() {
		on = day.At(a.At, l.known.zone)
	}
	return act.HereOn(l.snap, on)
}

// recordedAt puts where it was to what was recorded.
func recordedAt(where string) func(Recorded, error) (Recorded, error) {
	return func(done Recorded, err error) (Recorded, error) {
		done.Where = where
		return done, err
	}
}

// doubtMove is what is doubtful in a move. Of a late one the book has what is there now, not
// what was there then: only an amount far beyond all there is can be told.
func (l *looked) doubtMove(a Act, m planner.Movement) error {
	switch {
	case a.Sure:
		return nil
	case a.At.IsZero():
		return doubt(act.Moved(l.snap, l.tree, m))
	}
	return doubt(act.Received(l.snap, l.tree, m.Part, m.To, m.Quantity))
}

// doubt makes one error of what is doubtful; nil for nothing.
func doubt(all ...error) error {
	if err := errors.Join(all...); err != nil {
		return fmt.Errorf("%w: %s", ErrDoubt, strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	return nil
}

// MoveCase records that a case (or any place) now stands inside another; a blank In takes
// it out of where it stood.
func (s *Store) MoveCase(ctx context.Context, a Act, code, in string) (Recorded, error) {
	said := caseMoved{a, code, in}
	return s.again(ctx, Request{ID: a.ID, Kind: "move", Said: said}, func() (Recorded, error) { return s.moveCase(ctx, said, a, code, in) })
}

func (s *Store) moveCase(ctx context.Context, said any, a Act, code, in string) (Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return Recorded{}, err
	}
	err = l.tree.Find(code)
	if in != "" {
		err = errors.Join(err, l.tree.Find(in))
		if err == nil && l.tree.Within(in, code) {
			err = fmt.Errorf("found %s inside %s, expected a place that is not below it", in, code)
		}
	}
	if err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	return s.Record(ctx, Request{ID: a.ID, Season: a.Season, Kind: "move", Said: said, Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes, CaseMove: &CaseMove{code, in}})
}

// Counting is what was counted of a part at a place and below it.
type Counting struct {
	ID       uuid.UUID // of its record
	At, Part string
	Counted  units.Quantity
	Because  string // why it differs; blank: not known yet
}

// CountPart records what was counted of a part at a place and below it.
func (s *Store) CountPart(ctx context.Context, a Act, at, part string, counted units.Quantity) (Recorded, error) {
	done, err := s.CountParts(ctx, a, []Counting{{ID: a.ID, At: at, Part: part, Counted: counted}})
	return whole(done), err
}

// CountParts records what one command counted, all of it or nothing; what each count did is
// told by itself.
func (s *Store) CountParts(ctx context.Context, a Act, lines []Counting) ([]Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return nil, err
	}
	var all []Request
	var faults, doubts []error
	for _, c := range lines {
		doubts = append(doubts, act.Received(l.snap, l.tree, c.Part, c.At, c.Counted))
		_, partErr := l.part(c.Part)
		faults = append(faults, l.tree.Find(c.At), partErr)
		notes := strings.TrimSuffix(strings.TrimPrefix(c.Because+": "+a.Notes, ": "), ": ")
		all = append(all, Request{ID: c.ID, Season: a.Season, Kind: "count", Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: notes, Together: a.Together,
			Count: &planner.Count{Place: c.At, Part: c.Part, Counted: c.Counted}})
	}
	if err := errors.Join(faults...); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if !a.Sure {
		if err := doubt(doubts...); err != nil {
			return nil, err
		}
	}
	return s.recordAll(ctx, all)
}

// Weigh records what the scale said of a bottle.
func (s *Store) Weigh(ctx context.Context, a Act, tag string, grossMG units.Milligrams) (Recorded, error) {
	said := weighed{a, tag, grossMG}
	return s.again(ctx, Request{ID: a.ID, Kind: "weighing", Said: said}, func() (Recorded, error) { return s.weigh(ctx, said, a, tag, grossMG) })
}

func (s *Store) weigh(ctx context.Context, said any, a Act, tag string, grossMG units.Milligrams) (Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return Recorded{}, err
	}
	row := planner.Movement{Tag: tag}
	if err := l.byTag(&row); err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if err := doubt(act.Weighed(l.snap, tag, grossMG)); err != nil && !a.Sure {
		return Recorded{}, err
	}
	return s.Record(ctx, Request{ID: a.ID, Season: a.Season, Kind: "weighing", Said: said, Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes, Weighed: row.Part,
		Weighing: &planner.Weighing{Tag: tag, GrossMG: grossMG}})
}

// Receipt is what came in without an order of ours.
type Receipt struct {
	Act
	Part      string
	Quantity  units.Quantity
	To        string // blank: its home where the round is that is on, else in the workshop
	Supplier  string
	Cost      *decimal.Decimal // of all of it; nil: not known yet, not valued
	Currency  string
	ExpiresOn *day.Day // nil: by the part's storage life, if it has one
}

// Receive records a receipt: a lot of its own.
func (s *Store) Receive(ctx context.Context, r Receipt) (Recorded, error) {
	said := r
	return s.again(ctx, Request{ID: r.ID, Kind: "receipt", Said: said}, func() (Recorded, error) { return s.receive(ctx, said, r) })
}

func (s *Store) receive(ctx context.Context, said any, r Receipt) (Recorded, error) {
	l, err := s.look(ctx, r.Act)
	if err != nil {
		return Recorded{}, err
	}
	p, err := l.part(r.Part)
	faults := []error{err}
	where := ""
	if here := l.here(r.Act); r.To == "" {
		r.To = here.Home(l.snap, l.tree, r.Part)
		where = "no place was named: " + r.To + " in " + here.String()
	}
	faults = append(faults, l.placeFor("receive", "to", r.To, false))
	if r.Quantity <= 0 {
		faults = append(faults, fmt.Errorf("found a quantity of %s, expected more than 0", units.Say(r.Quantity, p.Unit)))
	}
	if r.Cost != nil && r.Currency == "" {
		r.Currency = l.known.season.Currency
	}
	if err := errors.Join(faults...); err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	if err := doubt(act.Received(l.snap, l.tree, r.Part, r.To, r.Quantity)); err != nil && !r.Sure {
		return Recorded{}, err
	}
	on := l.today
	if !r.At.IsZero() {
		on = day.At(r.At, l.known.zone)
	}
	if r.ExpiresOn == nil && p.StorageLifeMonths != nil {
		last := on.AddMonths(*p.StorageLifeMonths)
		r.ExpiresOn = &last
	}
	lot := planner.Lot{Code: "lot " + r.ID.String(), Part: r.Part, Supplier: r.Supplier, ReceivedOn: &on, ExpiresOn: r.ExpiresOn, Quantity: &r.Quantity,
		Cost: r.Cost, Currency: r.Currency}
	return recordedAt(where)(s.recordAlone(ctx, Request{ID: r.ID, Season: r.Season, Kind: "receipt", Said: said, Person: r.Person, At: r.At, DryRun: r.DryRun, Notes: r.Notes, Lots: []planner.Lot{lot},
		Movements: []planner.Movement{{Part: r.Part, Lot: lot.Code, From: ledger.Supplier, To: r.To, Quantity: r.Quantity}}}))
}

// OpenKit opens one seal kit: one kit out, its contents in as loose parts, in one record.
// The kit's cost is shared by list price; the last part takes the remainder.
func (s *Store) OpenKit(ctx context.Context, a Act, kit, at string) (Recorded, error) {
	said := kitOpened{a, kit, at}
	return s.again(ctx, Request{ID: a.ID, Kind: "open kit", Said: said}, func() (Recorded, error) { return s.openKit(ctx, said, a, kit, at) })
}

func (s *Store) openKit(ctx context.Context, said any, a Act, kit, at string) (Recorded, error) {
	l, err := s.look(ctx, a)
	if err != nil {
		return Recorded{}, err
	}
	_, partErr := l.part(kit)
	if at != "" {
		partErr = errors.Join(partErr, l.tree.Find(at))
	}
	if partErr != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, partErr)
	}
	var contents []planner.KitContent
	for _, c := range l.known.book.KitContents {
		if c.Kit == kit {
			contents = append(contents, c)
		}
	}
	if len(contents) == 0 {
		return Recorded{}, fmt.Errorf("%w: found nothing inside %s, expected a seal kit whose contents are known", ErrRefused, kit)
	}
	where, roots := "", []string{at}
	if here := l.here(a); at == "" {
		roots, where = here.Roots, "no place was named: "+here.String()
	}
	held, ok := l.first(kit, roots, "")
	if !ok {
		return Recorded{}, fmt.Errorf("%w: found no %s in %s to open, expected one%s", ErrRefused, kit, strings.Join(roots, ", "), l.lies(kit))
	}
	r := Request{ID: a.ID, Season: a.Season, Kind: "open kit", Said: said, Person: a.Person, At: a.At, DryRun: a.DryRun, Notes: a.Notes,
		Movements: []planner.Movement{{Part: kit, Lot: held.Lot, Tag: held.Tag, From: held.Place, To: ledger.OpenedKit, Quantity: 1}}}
	costs, currency := l.kitShares(held.Lot, contents)
	for i, c := range contents {
		lot := planner.Lot{Code: fmt.Sprintf("lot %s/%d", a.ID, i+1), Part: c.Part, FromLot: held.Lot, ReceivedOn: &l.today, Quantity: &contents[i].Quantity, Currency: currency}
		if costs != nil {
			lot.Cost = &costs[i]
		}
		if e := l.lots[held.Lot].ExpiresOn; e != nil {
			lot.ExpiresOn = e
		}
		r.Lots = append(r.Lots, lot)
		r.Movements = append(r.Movements, planner.Movement{Part: c.Part, Lot: lot.Code, From: ledger.OpenedKit, To: held.Place, Quantity: c.Quantity})
	}
	return recordedAt(where)(s.recordAlone(ctx, r))
}

// NewTag labels one thing of an untagged lot.
type NewTag struct {
	Act
	Tag      planner.Tag // Code and Part; tare, contents, opened on, measured rate, serial number as known
	At       string      // where it is; blank: its home
	Quantity units.Quantity
}

// TagNew records it: untagged out, tagged in, of the same lot.
func (s *Store) TagNew(ctx context.Context, n NewTag) (Recorded, error) {
	said := n
	return s.again(ctx, Request{ID: n.ID, Kind: "tag", Said: said}, func() (Recorded, error) { return s.tagNew(ctx, said, n) })
}

func (s *Store) tagNew(ctx context.Context, said any, n NewTag) (Recorded, error) {
	l, err := s.look(ctx, n.Act)
	if err != nil {
		return Recorded{}, err
	}
	p, err := l.part(n.Tag.Part)
	faults := []error{err}
	if n.Tag.Code == "" {
		faults = append(faults, errors.New("found no tag, expected the code on the label"))
	}
	if _, ok := l.tags[n.Tag.Code]; ok {
		faults = append(faults, fmt.Errorf("found tag %s, expected a new one: it names something already", n.Tag.Code))
	}
	where, roots := "", []string{n.At}
	if here := l.here(n.Act); n.At == "" {
		roots, where = here.Roots, "no place was named: "+here.String()
	}
	held, ok := l.untagged(n.Tag.Part, roots)
	if err == nil && !ok {
		faults = append(faults, fmt.Errorf("found no untagged %s in %s, expected some%s", n.Tag.Part, strings.Join(roots, ", "), l.lies(n.Tag.Part)))
	}
	if err := errors.Join(faults...); err != nil {
		return Recorded{}, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	q := n.Quantity
	switch {
	case p.Unit == units.PC:
		q = 1
	case q == 0 && p.Contents != nil:
		q = min(*p.Contents, held.Quantity)
	case q == 0:
		q = held.Quantity
	}
	n.Tag.Lot = held.Lot
	if err := doubt(act.Filled(l.snap, n.Tag, q)); err != nil && !n.Sure {
		return Recorded{}, err
	}
	return recordedAt(where)(s.Record(ctx, Request{ID: n.ID, Season: n.Season, Kind: "tag", Said: said, Person: n.Person, At: n.Act.At, DryRun: n.DryRun, Notes: n.Notes, Tags: []planner.Tag{n.Tag},
		Movements: []planner.Movement{
			{Part: p.Code, Lot: held.Lot, From: held.Place, To: ledger.Relabelled, Quantity: q},
			{Part: p.Code, Lot: held.Lot, Tag: n.Tag.Code, From: ledger.Relabelled, To: held.Place, Quantity: q},
		}}))
}

// What a person said, of which a record's rows are made.
type (
	caseMoved struct {
		Act
		Case, In string
	}
	kitOpened struct {
		Act
		Kit, At string
	}
	weighed struct {
		Act
		Tag     string
		GrossMG units.Milligrams
	}
)

// looked is what a record is checked against before it is written.
type looked struct {
	known *known
	tree  *place.Tree
	snap  *planner.Snapshot
	lots  map[string]planner.Lot
	tags  map[string]planner.Tag
	today day.Day
}

func (s *Store) look(ctx context.Context, a Act) (*looked, error) {
	k, snap, err := s.stores(ctx, a.Season)
	if err != nil {
		return nil, err
	}
	if err := k.person(a.Person); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	l := &looked{known: k, snap: snap, lots: map[string]planner.Lot{}, tags: map[string]planner.Tag{}, today: snap.AsOf}
	for _, x := range snap.Lots {
		l.lots[x.Code] = x
	}
	for _, x := range snap.Tags {
		l.tags[x.Code] = x
	}
	l.tree, err = place.New(snap.Places, snap.Assemblies)
	return l, err
}

func (l *looked) part(code string) (planner.Part, error) {
	return l.snap.Part(code)
}

// byTag fills a movement from where its tag is.
func (l *looked) byTag(m *planner.Movement) error {
	i := slices.IndexFunc(l.snap.Stock, func(h planner.Holding) bool { return h.Tag == m.Tag })
	if i < 0 {
		var known []string
		for _, t := range l.snap.Tags {
			known = append(known, t.Code)
		}
		if slices.Contains(known, m.Tag) {
			return fmt.Errorf("%s is nowhere in the book now", m.Tag)
		}
		return near.Miss("tag", m.Tag, known)
	}
	h := l.snap.Stock[i]
	if m.Part != "" && m.Part != h.Part {
		return fmt.Errorf("found %s, expected %s: %s is one", m.Part, h.Part, m.Tag)
	}
	if m.From != "" && m.From != h.Place {
		return fmt.Errorf("found %s, expected %s: %s is there", m.From, h.Place, m.Tag)
	}
	m.Part, m.Lot, m.From, m.Quantity = h.Part, h.Lot, h.Place, h.Quantity // a tag is moved whole
	return nil
}

// byPart fills a movement of a part from where a use would take it: here, but not from where
// it goes.
func (l *looked) byPart(m *planner.Movement, kind string, here act.Here) error {
	p, err := l.part(m.Part)
	if err != nil {
		return err
	}
	if m.Quantity <= 0 {
		return fmt.Errorf("found a quantity of %s, expected more than 0", units.Say(m.Quantity, p.Unit))
	}
	if m.From != "" {
		return nil
	}
	if kind == "lent back" {
		i := slices.IndexFunc(l.snap.Stock, func(h planner.Holding) bool { return h.Part == m.Part && l.tree.Kind(h.Place) == place.Lent })
		if i < 0 {
			return fmt.Errorf("found no %s lent to anybody", m.Part)
		}
		m.From = l.snap.Stock[i].Place
		return nil
	}
	held, ok := l.first(m.Part, here.Roots, m.To)
	if !ok {
		return fmt.Errorf("found no %s in %s, expected the place it leaves%s", m.Part, here, l.lies(m.Part))
	}
	m.From = held.Place
	return nil
}

// first is the stock of a part that a use would take first, at some places and below them
// (none: anywhere of ours), but not at one place.
func (l *looked) first(part string, roots []string, but string) (planner.Holding, bool) {
	return l.pick(part, roots, func(h planner.Holding) bool { return but == "" || !l.tree.Within(h.Place, but) })
}

func (l *looked) untagged(part string, roots []string) (planner.Holding, bool) {
	return l.pick(part, roots, func(h planner.Holding) bool { return h.Tag == "" })
}

// lies says where a part is, for who looked in the wrong place.
func (l *looked) lies(part string) string {
	var at []string
	for _, h := range l.snap.Stock {
		if h.Part == part && l.tree.Ours(h.Place) && !l.tree.Assembly(h.Place) && !slices.Contains(at, h.Place) {
			at = append(at, h.Place)
		}
	}
	if len(at) == 0 {
		return ""
	}
	return ": some lies in " + strings.Join(at, ", ")
}

func (l *looked) pick(part string, roots []string, fits func(planner.Holding) bool) (planner.Holding, bool) {
	facts := ledger.Facts{Parts: map[string]planner.Part{}, Lots: l.lots, Tags: l.tags}
	for _, p := range l.snap.Parts {
		facts.Parts[p.Code] = p
	}
	var found []ledger.Candidate
	for _, h := range l.snap.Stock {
		if h.Part == part && l.tree.Ours(h.Place) && !l.tree.Assembly(h.Place) && (len(roots) == 0 || slices.ContainsFunc(roots, func(r string) bool { return l.tree.Within(h.Place, r) })) && fits(h) {
			found = append(found, ledger.Candidate{Key: ledger.Key{Lot: h.Lot, Tag: h.Tag, Place: h.Place}, Quantity: h.Quantity})
		}
	}
	if len(found) == 0 {
		return planner.Holding{}, false
	}
	facts.Order(l.today, found)
	c := found[0]
	return planner.Holding{Part: part, Lot: c.Lot, Tag: c.Tag, Place: c.Place, Quantity: c.Quantity}, true
}

// home is where a part belongs: in the workshop, else in the truck.
func (l *looked) home(part, within string) string {
	p, _ := l.part(part)
	for _, home := range []string{p.HomeInWorkshop, p.HomeInTruck} {
		if home != "" && (within == "" || l.tree.Within(home, within)) {
			return home
		}
	}
	return ""
}

// placeFor checks an end of a move: a place of ours, or one of kind lent.
func (l *looked) placeFor(kind, end, code string, lent bool) error {
	if code == "" {
		return fmt.Errorf("found no place, expected --%s with one", end)
	}
	switch isLent := l.tree.Kind(code) == place.Lent; {
	case lent && isLent:
		return nil
	case lent:
		return fmt.Errorf("found %s, expected a place of kind lent for %s", code, kind)
	case isLent:
		return fmt.Errorf("found %s, expected a place of ours: use lend or lent-back", code)
	}
	return l.tree.Find(code)
}

// kitShares splits the cost of one kit of a lot by the list prices of its contents; nil
// where the kit is not valued.
func (l *looked) kitShares(lot string, contents []planner.KitContent) ([]decimal.Decimal, string) {
	kit := l.lots[lot]
	if kit.Cost == nil || kit.Quantity == nil {
		return nil, kit.Currency
	}
	const digits = 4
	total := kit.Cost.DivRound(decimal.NewFromInt(int64(*kit.Quantity)), digits)
	weights, sum := make([]decimal.Decimal, len(contents)), decimal.Zero
	for i, c := range contents {
		weights[i] = decimal.NewFromInt(int64(c.Quantity)) // without a list price, by pieces
		for _, o := range l.snap.Offers {
			if o.Part == c.Part && o.PricePerPack != nil && o.Pack != nil {
				weights[i] = o.PricePerPack.Mul(decimal.NewFromInt(int64(c.Quantity))).DivRound(decimal.NewFromInt(int64(*o.Pack)), digits)
				break
			}
		}
		sum = sum.Add(weights[i])
	}
	shares, left := make([]decimal.Decimal, len(contents)), total
	for i := range contents {
		if i == len(contents)-1 || sum.IsZero() {
			shares[i] = left
			left = decimal.Zero
			continue
		}
		shares[i] = total.Mul(weights[i]).DivRound(sum, digits)
		left = left.Sub(shares[i])
	}
	return shares, kit.Currency
}
