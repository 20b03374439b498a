package answer

import (
	"time"

	"github.com/google/uuid"

	"roundkit/planner/glance"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

// Rider is one row of `who --json`: a rider with bikes, forks and shocks.
type Rider struct {
	Rider  string  `json:"rider"` // "" for what is nobody's
	Name   string  `json:"name"`
	Things []Thing `json:"things"`
}

// Thing is a fork, shock or bike, what is fitted and what was done to it last.
type Thing struct {
	Assembly   string   `json:"assembly"`
	Kind       string   `json:"kind"`
	OnBike     string   `json:"on_bike"`
	DamperOil  string   `json:"damper_oil"`
	Spring     string   `json:"spring"`
	SpringTag  string   `json:"spring_tag"`
	SpringRate string   `json:"spring_rate"`
	Last       *DoneJob `json:"last"`
}

// DoneJob is the last job of the log on a thing.
type DoneJob struct {
	Service string    `json:"service"`
	When    time.Time `json:"when"`
	Person  string    `json:"person"`
}

// OfWho renders who rides what.
func OfWho(riders []glance.Rider) []Rider {
	out := []Rider{}
	for _, r := range riders {
		x := Rider{r.Code, r.Name, []Thing{}}
		for _, t := range r.Things {
			y := Thing{t.Code, t.Kind, t.OnBike, t.DamperOil, t.Spring, t.SpringTag, t.SpringRate, nil}
			if t.Last != nil {
				y.Last = &DoneJob{t.Last.Service, t.Last.At, t.Last.Person}
			}
			x.Things = append(x.Things, y)
		}
		out = append(out, x)
	}
	return out
}

// Service is one row of `what --json`.
type Service struct {
	Service string        `json:"service"`
	Name    string        `json:"name"`
	Kind    string        `json:"kind"`
	Minutes *int          `json:"minutes"`
	Caution string        `json:"caution"`
	Lines   []ServiceLine `json:"lines"`
}

// ServiceLine is one part of a service; usual is null for what is replaced on inspection
// only and for springs. Own says that the part is the fork's own.
type ServiceLine struct {
	Part       string   `json:"part"`
	Own        string   `json:"own"`
	Unit       string   `json:"unit"`
	Usual      *float64 `json:"usual"`
	Inspection *float64 `json:"on_inspection"` // how much, where it is replaced
	DryPercent *float64 `json:"dry_percent"`
	WetPercent *float64 `json:"wet_percent"`
	OnSite     bool     `json:"on_site"`
}

// OfWhat renders what services use.
func OfWhat(services []glance.Service) []Service {
	out := []Service{}
	for _, v := range services {
		x := Service{v.Code, v.Name, v.ModelKind, v.Minutes, v.Caution, []ServiceLine{}}
		for _, l := range v.Lines {
			y := ServiceLine{Part: l.ServiceLine.Part, Own: l.OwnPart, Unit: string(l.Part.Unit), OnSite: l.OnSite != nil && *l.OnSite}
			if l.Usual != nil {
				q := units.ToFloat(*l.Usual, l.Part.Unit)
				y.Usual = &q
			} else if l.Quantity != nil && l.OwnPart == "" && !y.OnSite {
				q := units.ToFloat(*l.Quantity, l.Part.Unit)
				y.Inspection = &q
			}
			if l.DryPercent != nil {
				p := l.DryPercent.InexactFloat64()
				y.DryPercent = &p
			}
			if l.WetPercent != nil {
				p := l.WetPercent.InexactFloat64()
				y.WetPercent = &p
			}
			x.Lines = append(x.Lines, y)
		}
		out = append(out, x)
	}
	return out
}

// Lie is one row of `where --json`: a row of `stock --json` with the last hand.
type Lie struct {
	Stock
	Last *Hand `json:"last"`
}

// Hand is who last moved, used or counted something, and how.
type Hand struct {
	When   time.Time `json:"when"`
	Person string    `json:"person"`
	Kind   string    `json:"kind"`
	Record uuid.UUID `json:"record"`
}

// OfWhere renders where a part is.
func OfWhere(lies []glance.Lie) []Lie {
	out := []Lie{}
	for _, l := range lies {
		x := Lie{Stock: OfStock([]stock.Row{l.Row})[0]}
		if l.Last != nil {
			x.Last = &Hand{l.Last.At, l.Last.Person, l.Last.Kind, l.Last.Entry}
		}
		out = append(out, x)
	}
	return out
}

// Drawer is one row of `places --json`.
type Drawer struct {
	Place string `json:"place"`
	Name  string `json:"name"`
	In    string `json:"in"`
	Kind  string `json:"kind"`
	Parts int    `json:"parts"`
}

// OfPlaces renders the places.
func OfPlaces(all []glance.Drawer) []Drawer {
	out := []Drawer{}
	for _, d := range all {
		out = append(out, Drawer{d.Code, d.Name, d.In, d.Kind, d.Parts})
	}
	return out
}

// Evening is `evening --json`: how things stand.
type Evening struct {
	Round     string       `json:"round"` // "" between rounds
	Next      string       `json:"next"`
	Day       int          `json:"day"`
	Days      int          `json:"days"`
	Weather   string       `json:"weather"`
	WetChance float64      `json:"wet_chance"`
	At        string       `json:"at"`
	Done      []JobCount   `json:"done"`
	Left      []JobCount   `json:"left"`
	Stops     []JobsLeft   `json:"stops"`
	WantCount []Difference `json:"want_count"`
	Reason    []Difference `json:"want_reason"`
	Lent      []Stock      `json:"lent"`
}

// JobCount is how many jobs of a service.
type JobCount struct {
	Service string `json:"service"`
	Jobs    int    `json:"jobs"`
}

// OfEvening renders how things stand.
func OfEvening(e glance.Evening) Evening {
	counts := func(all []glance.Jobs) []JobCount {
		out := []JobCount{}
		for _, j := range all {
			out = append(out, JobCount{j.Service, j.Jobs})
		}
		return out
	}
	out := Evening{Day: e.DayOf, Days: e.Days, Weather: e.Weather, WetChance: e.WetChance, At: e.At, Done: counts(e.Done), Left: counts(e.Left),
		Stops: OfLeft(e.Stops), WantCount: OfDifferences(e.WantCount), Reason: OfDifferences(e.WantReason), Lent: OfStock(e.Lent)}
	if e.Round != nil {
		out.Round = e.Round.Code
	}
	if e.Next != nil {
		out.Next = e.Next.Code
	}
	return out
}
