package answer

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner/cameback"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/units"
)

// CameBack is `came-back TRIP --json`.
type CameBack struct {
	Trip         string         `json:"trip"`
	From         time.Time      `json:"from"`
	To           time.Time      `json:"to"`
	UnderWay     bool           `json:"under_way"`
	MustComeHome int            `json:"must_come_home"`
	CameHome     int            `json:"came_home"`
	NotHome      []NotHome      `json:"not_home"`
	Parts        []CameBackPart `json:"parts"`
	Differences  []Difference   `json:"differences"`
	Customs      []string       `json:"customs"`
}

// NotHome is a thing that had to come home and did not.
type NotHome struct {
	Part     string   `json:"part"`
	Tag      string   `json:"tag"`
	Quantity float64  `json:"quantity"`
	Unit     string   `json:"unit"`
	Where    string   `json:"where"`
	DueBack  *day.Day `json:"due_back"`
	Overdue  bool     `json:"overdue"`
}

// CameBackPart is the balance of one part: should_be_back = along - used - scrapped - lent -
// opened; back = should_be_back + difference.
type CameBackPart struct {
	Part         string     `json:"part"`
	Unit         string     `json:"unit"`
	Along        float64    `json:"along"`
	Used         float64    `json:"used"`
	Scrapped     float64    `json:"scrapped"`
	Lent         float64    `json:"lent"`
	Opened       float64    `json:"opened"`
	ShouldBeBack float64    `json:"should_be_back"`
	Difference   float64    `json:"difference"`
	Back         float64    `json:"back"`
	Unpacked     float64    `json:"unpacked"`
	There        float64    `json:"there"`
	CountedAt    *time.Time `json:"counted_at"`
	ComesHome    bool       `json:"comes_home"`
}

// Difference is one row of `difference list --json`: below 0 is missing.
type Difference struct {
	Day       day.Day    `json:"day"`
	At        time.Time  `json:"at"`
	Part      string     `json:"part"`
	Tag       string     `json:"tag"`
	Place     string     `json:"place"`
	Quantity  float64    `json:"quantity"`
	Unit      string     `json:"unit"`
	LastRight *time.Time `json:"last_right"`
	Kind      string     `json:"kind"`
	Small     bool       `json:"small"`
	Reason    string     `json:"reason"`
	Likely    []Likely   `json:"likely"`
	Record    uuid.UUID  `json:"record"`
	Code      string     `json:"code"`
}

// Likely is a usual cause that the log speaks for.
type Likely struct {
	Cause string `json:"cause"`
	Why   string `json:"why"`
}

// OfCameBack renders the account of a trip.
func OfCameBack(r *cameback.Result) CameBack {
	out := CameBack{Trip: r.Trip.Code, From: r.From, To: r.To, UnderWay: r.UnderWay, MustComeHome: r.ListedCount, CameHome: r.ListedBack,
		NotHome: []NotHome{}, Parts: []CameBackPart{}, Differences: OfDifferences(r.Differences),
		Customs: append([]string{}, r.Customs...)}
	for _, l := range r.Listed {
		out.NotHome = append(out.NotHome, NotHome{Part: l.Part.Code, Tag: l.Tag, Quantity: units.ToFloat(l.Quantity, l.Part.Unit), Unit: string(l.Part.Unit),
			Where: l.Where, DueBack: l.DueOn, Overdue: l.Overdue})
	}
	for _, p := range r.Parts {
		f := func(q units.Quantity) float64 { return units.ToFloat(q, p.Unit) }
		out.Parts = append(out.Parts, CameBackPart{Part: p.Code, Unit: string(p.Unit), Along: f(p.Along), Used: f(p.Used), Scrapped: f(p.Scrapped), Lent: f(p.Lent),
			Opened: f(p.Opened), ShouldBeBack: f(p.Should), Difference: f(p.Difference), Back: f(p.Back()), Unpacked: f(p.Unpacked), There: f(p.There),
			CountedAt: p.CountedAt, ComesHome: p.ComesHome})
	}
	return out
}

// OfDifferences renders differences.
func OfDifferences(found []difference.Difference) []Difference {
	out := []Difference{}
	for _, d := range found {
		x := Difference{Day: d.On, At: d.At, Part: d.Part.Code, Tag: d.Tag, Place: d.Place, Quantity: units.ToFloat(d.Quantity, d.Part.Unit), Unit: string(d.Part.Unit),
			LastRight: d.Since, Kind: d.Kind, Small: d.Small, Reason: d.Reason, Likely: []Likely{}, Record: d.Record, Code: d.Code}
		for _, l := range d.Likely {
			x.Likely = append(x.Likely, Likely{Cause: l.Cause, Why: l.Why})
		}
		out = append(out, x)
	}
	return out
}
