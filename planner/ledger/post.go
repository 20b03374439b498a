package ledger

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Input is a season's records, and which of them the ledger already holds.
type Input struct {
	Book *planner.Book // whole: the rows already held and the new ones
	// Catalogue is FactsOf the book's parts and places, made beforehand by who posts many
	// records one by one; nil: made here. It is not changed.
	Catalogue *Facts
	Zone      *time.Location
	// Opening is what the ledger holds before the first movement of Past: nothing, where
	// Past is the whole history; else the balances at that instant.
	Opening  map[Key]units.Quantity
	LastUsed map[[2]string]string // place, part -> the lot last used there, before Past
	Packed   map[string][]string  // trip -> cases packed for it, before Past
	Past     Past
	Crossed  []Crossed                    // undos that a count of these records may lie before
	Undo     *Undo                        // a person's undo; a workbook's undone jobs are in its rows
	Redo     *Redo                        // a person's redo of what an undo took back
	Live     bool                         // recorded by a person now, not loaded from a workbook: doubts are told
	Known    map[uuid.UUID]bool           // entries already held
	Undone   map[uuid.UUID]bool           // those of them that were taken back
	Stock    map[uuid.UUID]units.Quantity // what the stock rows already held say, by StockID
}

// Problem is a row that cannot be posted, named by its sheet and place in the book.
type Problem struct {
	Sheet, Column   string
	Index           int
	Found, Expected string
}

// Result is what the new records do.
type Result struct {
	Entries  []Entry
	Opened   map[string]day.Day // tags that a use opened
	Warnings []string
}

// StockID returns the identity of a stock row.
func StockID(season string, r planner.StockRow) uuid.UUID {
	key := strings.Join([]string{r.Place, r.Part, r.Lot, r.Tag, r.CountedAt.UTC().Format(time.RFC3339Nano)}, "\x00")
	return ID(season, "stock", key)
}

// UndoID returns the identity of the undo of an entry that a workbook says was undone.
func UndoID(undone uuid.UUID) uuid.UUID { return Because(undone, "undo") }

// event is a new record waiting for its turn.
type event struct {
	at   time.Time
	rank int // within a minute: counts fix the book after what happened before them
	n    int // row order
	post func(p *poster)
}

const (
	rankStock = iota
	rankReceipt
	rankMovement
	rankJob
	rankUndo
	rankCount
	rankWeighing
)

// poster walks the records in the order of time.
type poster struct {
	Facts
	in       Input
	season   string
	book     *book
	late     map[Key]units.Quantity // what new records changed and no later count has taken back
	parts    [][]int32              // per job: its rows of job-parts
	lastUsed map[[2]string]string   // place, part -> the lot last used there
	packed   map[string][]string    // trip -> cases packed for it
	trip     map[string]planner.Trip
	roundsOf map[string]planner.Round
	moveRows map[string][]int // count or weighing code -> its difference movements in the sheet
	counted  []PastCount      // counts posted so far
	moves    []PastMove       // what the ledger holds behind the record in hand
	counts   []PastCount      // likewise
	// movementCode are the codes of the movements sheet.
	movementCode map[string]bool
	out          Result
	problems     []Problem
}

// Post takes the new records into the book. It returns every row that cannot be
// posted, all at once; then nothing of the result may be used.
func Post(in Input) (Result, []Problem) {
	p := newPoster(in)
	booked := p.restore()
	if len(p.problems) > 0 {
		return p.out, p.problems
	}
	in = p.in // what was taken over is past now
	for _, k := range sortedKeys(in.Opening) {
		p.book.add(k, in.Opening[k])
	}
	events := p.events()
	slices.SortStableFunc(events, func(a, b event) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.rank, b.rank), cmp.Compare(a.n, b.n))
	})
	p.moves, p.counts = in.Past.Moves, in.Past.Counts
	for _, e := range events {
		p.catchUp(e.at, false)
		e.post(p)
	}
	p.catchUp(time.Time{}, true)
	p.guardTags()
	p.guardPresent()
	p.out.Entries = append(booked, p.out.Entries...)
	p.guardLoaded()
	return p.out, p.problems
}

// catchUp passes what the ledger already holds until a time, or all of it: within a minute it
// arrived first.
func (p *poster) catchUp(until time.Time, all bool) {
	for ; len(p.moves) > 0 && (all || !p.moves[0].At.After(until)); p.moves = p.moves[1:] {
		m := p.moves[0]
		p.book.move(Move{Lot: m.Lot, Tag: m.Tag, From: m.From, To: m.To, Quantity: m.Quantity})
		if m.To == Used && p.book.kept(m.From) {
			p.lastUsed[[2]string{m.From, p.Lots[m.Lot].Part}] = m.Lot
		}
	}
	for ; len(p.counts) > 0 && (all || !p.counts[0].At.After(until)); p.counts = p.counts[1:] {
		p.meetCount(p.counts[0])
	}
}

func newPoster(in Input) *poster {
	b := in.Book
	p := &poster{in: in, movementCode: make(map[string]bool, len(b.Movements)), late: map[Key]units.Quantity{}, lastUsed: map[[2]string]string{}, packed: map[string][]string{},
		trip: map[string]planner.Trip{}, roundsOf: map[string]planner.Round{}, moveRows: map[string][]int{},
		Facts: factsOf(in)}
	if len(b.Season) > 0 {
		p.season = b.Season[0].Code
	}
	outside := OutsideOf(b)
	p.book = newBook(func(lot string) string { return p.Lots[lot].Part }, func(place string) bool { return !outside[place] })
	for _, t := range b.Trips {
		p.trip[t.Code] = t
	}
	for _, r := range b.Rounds {
		p.roundsOf[r.Code] = r
	}
	for i, m := range b.Movements {
		p.movementCode[m.Code] = true
		if m.Reference != "" && (m.Reason == "count" || m.Reason == "weighing") {
			p.moveRows[m.Reference] = append(p.moveRows[m.Reference], i)
		}
		if m.Reason == "pack" && m.Reference != "" && !slices.Contains(p.packed[m.Reference], m.To) {
			p.packed[m.Reference] = append(p.packed[m.Reference], m.To)
		}
	}
	index := map[string]int{}
	for i, j := range b.Jobs {
		index[j.Code] = i
	}
	p.parts = make([][]int32, len(b.Jobs))
	for k, jp := range b.JobParts {
		if i, ok := index[jp.Job]; ok {
			p.parts[i] = append(p.parts[i], int32(k))
		}
	}
	maps.Copy(p.lastUsed, in.LastUsed)
	for trip, cases := range in.Packed {
		p.packed[trip] = append(p.packed[trip], cases...)
	}
	p.out.Opened = map[string]day.Day{}
	return p
}

func factsOf(in Input) Facts {
	if in.Catalogue == nil {
		return FactsOf(in.Book)
	}
	f := FactsOf(&planner.Book{History: planner.History{Lots: in.Book.Lots, Tags: in.Book.Tags}})
	f.Parts, f.Parent = in.Catalogue.Parts, in.Catalogue.Parent
	return f
}

// FactsOf gathers what the choice of stock needs from a book.
func FactsOf(b *planner.Book) Facts {
	f := Facts{Parts: map[string]planner.Part{}, Lots: map[string]planner.Lot{}, Tags: map[string]planner.Tag{}, Parent: map[string]string{}}
	for _, x := range b.Parts {
		f.Parts[x.Code] = x
	}
	for _, x := range b.Lots {
		f.Lots[x.Code] = x
	}
	for _, x := range b.Tags {
		f.Tags[x.Code] = x
	}
	for _, x := range b.Places {
		f.Parent[x.Code] = x.In
	}
	return f
}

func (p *poster) problem(sheet string, index int, column, found, expected string) {
	p.problems = append(p.problems, Problem{Sheet: sheet, Index: index, Column: column, Found: found, Expected: expected})
}

func (p *poster) warn(format string, args ...any) {
	p.out.Warnings = append(p.out.Warnings, fmt.Sprintf(format, args...))
}

// say writes a quantity of a part as people do.
func (p *poster) say(part string, q units.Quantity) string {
	u := p.Parts[part].Unit
	if u == units.PC {
		return units.Format(q, u)
	}
	return units.Format(q, u) + " " + string(u)
}

// post records an entry: its movements change the book and are remembered as changes
// that a later count, already held, will have to take back.
func (p *poster) post(e Entry) {
	for _, m := range e.Moves {
		p.book.move(m)
		p.changed(Key{m.Lot, m.Tag, m.From}, -m.Quantity)
		p.changed(Key{m.Lot, m.Tag, m.To}, m.Quantity)
	}
	p.out.Entries = append(p.out.Entries, e)
}

func (p *poster) changed(k Key, by units.Quantity) {
	if p.book.kept(k.Place) {
		p.late[k] += by
	}
}

// foundLot names the lot that found parts join: the last one used there, else the newest.
func (p *poster) foundLot(place, part string) (string, bool) {
	if lot, ok := p.lastUsed[[2]string{place, part}]; ok {
		return lot, true
	}
	best := ""
	for _, l := range p.in.Book.Lots {
		if l.Part != part {
			continue
		}
		if best == "" || received(l) > received(p.Lots[best]) || received(l) == received(p.Lots[best]) && l.Code > best {
			best = l.Code
		}
	}
	return best, best != ""
}

func received(l planner.Lot) day.Day {
	if l.ReceivedOn == nil {
		return -1 << 30
	}
	return *l.ReceivedOn
}

// take chooses what a record takes of a part at the roots and below them, and returns what
// was not there, with the reason where there is more to say than that.
func (p *poster) take(part string, roots []string, home string, at time.Time, to string, want units.Quantity) (taken []Candidate, missing units.Quantity, why string) {
	places := p.candidates(part, roots, home, day.At(at, p.in.Zone))
	if !p.comesLate() {
		taken, missing = Take(slices.Concat(places...), want)
		return taken, missing, ""
	}
	d, missing := p.drawTo(to), want
	for _, place := range places { // each for what it held then
		var held units.Quantity
		for _, c := range place {
			held += c.Quantity
		}
		share := min(missing, max(0, held))
		missing -= share - d.from(place, share)
	}
	for _, place := range places {
		missing = d.from(place, missing)
	}
	if missing > 0 {
		why = p.whyFound(places, cmp.Or(home, strings.Join(roots, ", ")), at, want)
	}
	return d.taken, missing, why
}

// candidates are the balances of a part at the roots or below them, place by place in the
// order in which a use takes them: its home first, then the places by code; and in the same
// order once more what is past its date, which goes only when nothing else is left. For a
// record that comes late those that hold nothing are among them.
func (p *poster) candidates(part string, roots []string, home string, on day.Day) (all [][]Candidate) {
	type shelf struct {
		past, away int // 0 before 1
		place      string
	}
	held := map[shelf][]Candidate{}
	for _, k := range p.keysOf(part) {
		if p.book.at[k] <= 0 && !p.comesLate() || !slices.ContainsFunc(roots, func(r string) bool { return p.Within(k.Place, r) }) {
			continue
		}
		at := shelf{away: 1, place: k.Place}
		if k.Place == home {
			at.away = 0
		}
		if last, limited := p.LastGoodOn(k.Lot, k.Tag); limited && last < on {
			at.past = 1
		}
		held[at] = append(held[at], Candidate{k, p.book.at[k]})
	}
	for _, at := range slices.SortedFunc(maps.Keys(held), func(a, b shelf) int {
		return cmp.Or(cmp.Compare(a.past, b.past), cmp.Compare(a.away, b.away), cmp.Compare(a.place, b.place))
	}) {
		p.Order(on, held[at])
		all = append(all, held[at])
	}
	return all
}

// sortedKeys lists keys in a fixed order, so that equal candidates keep it too.
func sortedKeys(m map[Key]units.Quantity) []Key {
	keys := slices.Collect(maps.Keys(m))
	slices.SortFunc(keys, compareKeys)
	return keys
}

// codeOf is the entry's own code of a row named "code/2", its second movement: "code" is
// another row of the sheet, or an id.
func (p *poster) codeOf(code string) string {
	slash := strings.LastIndexByte(code, '/')
	if slash < 0 {
		return code
	}
	if n, err := strconv.Atoi(code[slash+1:]); err != nil || n < 2 {
		return code
	}
	if _, err := uuid.Parse(code[:slash]); err != nil && !p.movementCode[code[:slash]] {
		return code
	}
	return code[:slash]
}
