package answer

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/papers"
	"roundkit/planner/transport"
)

// Papers is `papers --json`: the lists of one trip. Null stands where a figure is not
// known; each such blank is named in the list's to_settle.
type Papers struct {
	AsOf          day.Day        `json:"as_of"`
	Trip          string         `json:"trip"`
	GoesBy        string         `json:"goes_by"`
	Team          string         `json:"team"`
	Abroad        []string       `json:"abroad"`
	Leaves        day.Day        `json:"leaves"`
	Back          *day.Day       `json:"back"`
	PackBy        day.Day        `json:"pack_by"`
	OnlyThere     bool           `json:"only_what_is_there"`
	Currency      string         `json:"currency"`
	Lists         []PapersList   `json:"lists"`
	Goods         []PapersGood   `json:"un_goods"`
	Unknown       []string       `json:"un_unknown"`
	Road          *PapersRoad    `json:"road"`
	Air           *PapersAir     `json:"air"`
	ComesHome     []PapersListed `json:"comes_home"`
	UsedUp        []PapersUsed   `json:"used_up"`
	ListedByHand  []string       `json:"listed_by_hand"`
	DaysToMind    []string       `json:"days_to_mind"`
	Cautions      []string       `json:"cautions"`
	LimitedDuties string         `json:"limited_quantities_need,omitempty"`
}

// PapersList is one list and the last day on which it is handed in.
type PapersList struct {
	List     string   `json:"list"`
	Closes   *day.Day `json:"closes"`
	Lines    int      `json:"lines"`
	MassKG   float64  `json:"mass_kg"`
	Value    string   `json:"value"`
	ToSettle []string `json:"to_settle"`
}

// PapersGood is a part with a UN number.
type PapersGood struct {
	UN         string   `json:"un"`
	Code       string   `json:"code"`
	Substance  string   `json:"substance"`
	Label      string   `json:"label"`
	Part       string   `json:"part"`
	Name       string   `json:"name"`
	Containers int64    `json:"containers"`
	Quantity   float64  `json:"quantity"`
	Unit       string   `json:"unit"`
	AtMost     bool     `json:"at_most"`
	Category   int      `json:"category"`
	Tunnel     string   `json:"tunnel"`
	Points     float64  `json:"points"`
	Limited    bool     `json:"limited_quantity_possible"`
	Free       bool     `json:"small_enough_to_be_free"`
	Where      []string `json:"where"`
	Taken      string   `json:"taken_for_granted,omitempty"`
}

// PapersRoad is the count of ADR 1.1.3.6.
type PapersRoad struct {
	Points               float64  `json:"points"`
	Limit                int      `json:"limit"`
	Within               bool     `json:"within"`
	PointsWithoutLimited float64  `json:"points_without_limited"`
	WithinWithoutLimited bool     `json:"within_without_limited"`
	ReadTheSheetOf       []string `json:"read_the_sheet_of"`
	Edition              string   `json:"edition"`
	Warning              string   `json:"warning,omitempty"`
	Duties               []string `json:"duties"`
}

// PapersAir is what does not simply fly.
type PapersAir struct {
	Flagged     []PapersFlag `json:"flagged"`
	MustComeOut int          `json:"must_come_out"`
	Edition     string       `json:"edition"`
	Warning     string       `json:"warning,omitempty"`
	Notes       []string     `json:"notes"`
}

// PapersFlag is a part a carrier refuses or wants to be asked about.
type PapersFlag struct {
	Part    string   `json:"part"`
	Name    string   `json:"name"`
	UN      string   `json:"un"`
	Aboard  bool     `json:"aboard"`
	Verdict string   `json:"verdict"`
	Why     string   `json:"why"`
	Where   []string `json:"where"`
}

// PapersListed is a line of the list of what comes home, in the columns of an ATA carnet.
type PapersListed struct {
	Number      int      `json:"number"`
	Description string   `json:"description"`
	Pieces      int64    `json:"pieces"`
	MassKG      *float64 `json:"mass_kg"`
	Value       *string  `json:"value"`
	Origin      string   `json:"origin"`
	Part        string   `json:"part"`
	Where       []string `json:"where"`
}

// PapersUsed is a line of the list of what is used up.
type PapersUsed struct {
	Part        string   `json:"part"`
	Heading     string   `json:"heading"`
	Description string   `json:"description"`
	Origin      string   `json:"origin"`
	Quantity    float64  `json:"quantity"`
	Unit        string   `json:"unit"`
	UnitValue   *string  `json:"unit_value"`
	Amount      *string  `json:"amount"`
	MassKG      *float64 `json:"mass_kg"`
	Reason      string   `json:"reason"`
}

// OfPapers renders the papers of a trip.
func OfPapers(p *papers.Papers) Papers {
	out := Papers{
		AsOf: p.AsOf, Trip: p.Trip.Code, GoesBy: p.Trip.GoesBy, Team: p.Team, Abroad: texts(p.Abroad), Leaves: p.Trip.StartOn, Back: p.ReturnOn,
		PackBy: p.PackOn, OnlyThere: p.Here, Currency: p.Returnable.Currency, Lists: []PapersList{}, Goods: []PapersGood{}, Unknown: texts(p.Unknown),
		ComesHome: []PapersListed{}, UsedUp: []PapersUsed{}, ListedByHand: texts(p.Missing), DaysToMind: texts(p.Past),
		Cautions: []string{transport.Caution, transport.CustomsCaution},
	}
	for _, l := range p.Lists() {
		out.Lists = append(out.Lists, PapersList{List: l.Name, Closes: l.Closes, Lines: l.Lines, MassKG: kilos(l.Grams), Value: l.Value.StringFixed(2), ToSettle: texts(l.Blanks)})
	}
	for _, g := range p.Goods {
		out.Goods = append(out.Goods, PapersGood{
			UN: g.UN, Code: g.Code, Substance: g.Name, Label: g.Label, Part: g.Part, Name: g.PartName, Containers: g.Containers,
			Quantity: g.Amount.InexactFloat64(), Unit: string(g.Measure), AtMost: g.AtMost, Category: g.Category, Tunnel: g.Tunnel,
			Points: g.Points.InexactFloat64(), Limited: g.Small, Free: g.Free, Where: texts(g.Where), Taken: g.Taken,
		})
		if g.Small {
			out.LimitedDuties = transport.SmallDuties
		}
	}
	if r := p.Road; r != nil {
		out.Road = &PapersRoad{Points: r.Points.InexactFloat64(), Limit: transport.RoadLimit, Within: r.Within, PointsWithoutLimited: r.PointsSmall.InexactFloat64(),
			WithinWithoutLimited: r.WithinSmall, ReadTheSheetOf: texts(r.Confirm), Edition: transport.ADR.Name + " " + transport.ADR.Edition, Warning: r.Warning, Duties: transport.Duties}
	}
	if a := p.Air; a != nil {
		out.Air = &PapersAir{Flagged: []PapersFlag{}, MustComeOut: a.Never, Edition: transport.AirRules.Edition, Warning: a.Warning, Notes: a.Notes}
		for _, f := range a.Flagged {
			out.Air.Flagged = append(out.Air.Flagged, PapersFlag{Part: f.Part, Name: f.Name, UN: f.UN, Aboard: f.Aboard, Verdict: string(f.Verdict), Why: f.Why, Where: texts(f.Where)})
		}
	}
	for _, l := range p.Returnable.Lines {
		out.ComesHome = append(out.ComesHome, PapersListed{Number: l.Number, Description: l.Description, Pieces: l.Pieces, MassKG: kilosOf(l.Grams),
			Value: fixed(l.Value, 2), Origin: l.Origin, Part: l.Part, Where: texts(l.Where)})
	}
	for _, l := range p.UsedUp.Lines {
		out.UsedUp = append(out.UsedUp, PapersUsed{Part: l.Part, Heading: l.Heading, Description: l.Description, Origin: l.Origin, Quantity: l.Quantity.InexactFloat64(),
			Unit: l.Unit, UnitValue: fixed(l.UnitValue, 4), Amount: fixed(l.Amount, 2), MassKG: kilosOf(l.Grams), Reason: l.Reason})
	}
	return out
}

// texts is never null in JSON.
func texts(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func kilosOf(grams *decimal.Decimal) *float64 {
	if grams == nil {
		return nil
	}
	kg := kilos(*grams)
	return &kg
}

func fixed(d *decimal.Decimal, places int32) *string {
	if d == nil {
		return nil
	}
	text := d.StringFixed(places)
	return &text
}
