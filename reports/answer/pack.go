package answer

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/load"
	"roundkit/planner/units"
)

// Pack is `pack --json`.
type Pack struct {
	AsOf         day.Day       `json:"as_of"`
	Trip         string        `json:"trip"`
	Rounds       []string      `json:"rounds"`
	PackBy       day.Day       `json:"pack_by"`
	Confidence   float64       `json:"confidence"`
	Readiness    PackReadiness `json:"readiness"`
	Bound        float64       `json:"bound"`
	Gap          float64       `json:"gap"`
	Asked        PackAsked     `json:"asked"`
	Lines        []PackLine    `json:"lines"`
	Short        []PackShort   `json:"short"`
	MassKG       float64       `json:"mass_kg"`
	GrossKG      float64       `json:"gross_kg"`
	Litres       float64       `json:"litres"`
	Spend        string        `json:"spend"`
	Currency     string        `json:"currency"`
	FirstToLeave *PackStep     `json:"first_to_leave"`
	NextToAdd    *PackStep     `json:"next_to_add"`
	Certain      *PackOffer    `json:"every_certain_job,omitempty"`
	More         *PackOffer    `json:"next_readiness,omitempty"`
	Limits       []PackLimit   `json:"limits"`
	Cases        []PackCase    `json:"cases"`
	Services     []PackService `json:"services"`
	After        []string      `json:"after,omitempty"` // the trips that use the same stock before
	Left         []PackLeft    `json:"left,omitempty"`  // what they leave of what is with the trip now
	Notes        []string      `json:"notes,omitempty"`
}

// PackLeft is what the trips before leave of a part that is with the trip now: with 5 % at
// most the low figure, with 95 % at most the high one.
type PackLeft struct {
	Part  string  `json:"part"`
	Unit  string  `json:"unit"`
	There float64 `json:"there"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Moved float64 `json:"moved"` // to it for the trips before, by the plan
}

// PackReadiness is the chance that every job can be done. The figures "without short"
// leave out the parts that nothing could bring to the confidence.
type PackReadiness struct {
	Product             float64 `json:"product"`
	ProductWithoutShort float64 `json:"product_without_short"`
	WithinWeather       float64 `json:"within_weather"`
	WithinWithoutShort  float64 `json:"within_weather_without_short"`
	Simulated           float64 `json:"simulated"`
	SE                  float64 `json:"se"`
	SimulatedShort      float64 `json:"simulated_without_short"`
	SEShort             float64 `json:"se_without_short"`
	LowerBound          bool    `json:"product_is_lower_bound"`
}

// PackAsked is what the load was chosen for and how far that is proven. Product and bound are
// over all parts but those given up; the bound of least is that of any load with its product.
type PackAsked struct {
	For       string     `json:"for"` // parts, readiness or most
	Readiness float64    `json:"readiness,omitempty"`
	Reached   float64    `json:"reached,omitempty"`
	SE        float64    `json:"se,omitempty"`
	Without   []string   `json:"without,omitempty"`
	Fallback  string     `json:"fallback,omitempty"`
	Product   float64    `json:"product,omitempty"`
	Bound     float64    `json:"bound,omitempty"`
	Gap       float64    `json:"gap"`
	Least     *PackLeast `json:"least,omitempty"`
	Stopped   bool       `json:"time_is_up"`
}

// PackLeast is what the load makes least.
type PackLeast struct {
	What    string  `json:"what"`
	Amount  float64 `json:"amount"`
	Bound   float64 `json:"bound"`
	Gap     float64 `json:"gap"`
	Product float64 `json:"product"`
}

func ofAsked(a load.Asked) PackAsked {
	out := PackAsked{For: a.For, Readiness: a.Readiness, Reached: a.Reached, SE: a.SE, Without: a.Without, Fallback: a.Fallback, Product: a.Product, Stopped: a.Stopped}
	if a.For == load.ForMost {
		out.Bound, out.Gap = a.Bound, max(0, a.Bound-a.Product)
	}
	if l := a.Least; l != nil {
		out.Least = &PackLeast{What: l.What, Amount: l.Amount, Bound: l.Bound, Gap: max(0, l.Amount-l.Bound), Product: l.Product}
	}
	return out
}

// PackLine is one line of the list. MassG has the empty containers in it.
type PackLine struct {
	Part       string   `json:"part"`
	Unit       string   `json:"unit"`
	Quantity   float64  `json:"quantity"`
	Containers int      `json:"containers"`
	Place      string   `json:"place"`
	Case       string   `json:"case"`
	Lot        string   `json:"lot"`
	Tag        string   `json:"tag"`
	Order      string   `json:"order"`
	Expires    *day.Day `json:"expires"`
	Opened     *day.Day `json:"opened"`
	Chance     float64  `json:"chance"` // of its part, on its own, to be enough
	MassG      float64  `json:"mass_g"`
	VolumeML   float64  `json:"volume_ml"`
	Value      string   `json:"value,omitempty"` // of the goods; left out where it is not known
	ValueIn    string   `json:"value_in,omitempty"`
	StandsIn   string   `json:"stands_in_for,omitempty"`
	Layer      string   `json:"layer,omitempty"`         // by air, of its case: bottom or upper; the lines are in the order of putting in
	Waits      *float64 `json:"rounds_unused,omitempty"` // by air: rounds expected to pass before it is first used
	Cautions   []string `json:"cautions,omitempty"`
}

// PackShort is a part below the confidence.
type PackShort struct {
	Part   string  `json:"part"`
	Unit   string  `json:"unit"`
	Need   float64 `json:"need"`
	Have   float64 `json:"have"`
	Why    string  `json:"why"`
	Chance float64 `json:"chance"`
	OnSite bool    `json:"on_site"`
	Stops  bool    `json:"stops_a_job"`
	Remedy string  `json:"remedy,omitempty"`
	Given  bool    `json:"given_up,omitempty"` // what is used for certain cannot be saved
}

// PackStep is one change to the load; readiness is product_without_short after it.
type PackStep struct {
	Part       string  `json:"part"`
	Container  string  `json:"container"`
	Containers int     `json:"containers"`
	MassG      float64 `json:"mass_g"`
	Readiness  float64 `json:"readiness"`
}

// PackOffer is another load, by its kilos with the cases that go: the lightest that does every
// certain job, or that reaches the next readiness. More is beyond what is packed, below 0 less.
type PackOffer struct {
	Readiness float64 `json:"readiness,omitempty"`
	KG        float64 `json:"kg"`
	More      float64 `json:"more_kg"`
}

// PackLimit is a limit and how much of it is taken.
type PackLimit struct {
	What string  `json:"what"`
	Most float64 `json:"most"`
	Used float64 `json:"used"`
	Per  string  `json:"per"`
	// Worth is what one more would raise the readiness by, as a share of it.
	Worth float64 `json:"worth"`
	Binds bool    `json:"binds"`
	// OneMore is the readiness (product_without_short) of the best load with one more.
	OneMore float64 `json:"readiness_with_one_more"`
}

// PackCase is a case used by air.
type PackCase struct {
	Case      string   `json:"case"`
	GrossKG   float64  `json:"gross_kg"`
	LimitKG   *float64 `json:"limit_kg"`
	Litres    float64  `json:"litres"`
	VolumeL   *float64 `json:"volume_l"`
	TwoPeople bool     `json:"two_people"`
	GuessKG   float64  `json:"guess_kg"` // of gross_kg: liquids without a density count as 1 g/ml
	MayPass   bool     `json:"guess_may_pass_limit"`
}

// PackService is the chance that nothing stops a service's jobs.
type PackService struct {
	Service string  `json:"service"`
	Jobs    float64 `json:"jobs"`
	Ready   float64 `json:"ready"`
	Least   string  `json:"least_sure"`
}

// OfPack renders a load.
func OfPack(r *load.Result) Pack {
	f := r.Readiness
	out := Pack{
		AsOf: r.AsOf, Trip: r.Trip.Code, Rounds: r.Horizon.Codes(), PackBy: r.PackOn, Confidence: r.Confidence,
		Readiness: PackReadiness{
			Product: f.Product, ProductWithoutShort: f.ProductWithoutShort, WithinWeather: f.WithinWeather, WithinWithoutShort: f.WithinWithoutShort,
			Simulated: f.Simulated, SE: f.SE, SimulatedShort: f.SimulatedShort, SEShort: f.SEShort, LowerBound: f.Bound,
		},
		Bound: r.Bound, Gap: r.Gap, Asked: ofAsked(r.Asked), Lines: []PackLine{}, Short: []PackShort{}, Limits: []PackLimit{}, Cases: []PackCase{}, Services: []PackService{},
		MassKG: kilos(r.Grams), GrossKG: kilos(r.Gross), Litres: float64(r.UL) / 1e6, Spend: r.Spend.Amount.StringFixed(2), Currency: r.Spend.Currency,
		FirstToLeave: ofStep(r.FirstToLeave), NextToAdd: ofStep(r.NextToAdd), Certain: (*PackOffer)(r.Certain), More: (*PackOffer)(r.More), After: r.After, Notes: r.Notes,
	}
	for _, b := range r.Left {
		in := func(q units.Quantity) float64 { return units.ToFloat(q, b.Part.Unit) }
		out.Left = append(out.Left, PackLeft{Part: b.Part.Code, Unit: string(b.Part.Unit), There: in(b.There), Low: in(b.Low), High: in(b.High), Moved: in(b.Moved)})
	}
	for _, l := range r.Lines {
		value := ""
		if l.Value != nil {
			value = l.Value.StringFixed(2)
		}
		var waits *float64
		if l.Layer != "" {
			waits = &l.Waits
		}
		out.Lines = append(out.Lines, PackLine{
			Part: l.Part.Code, Unit: string(l.Part.Unit), Quantity: units.ToFloat(l.Quantity, l.Part.Unit), Containers: l.Containers,
			Place: l.Place, Case: l.Case, Lot: l.Lot, Tag: l.Tag, Order: l.Order, Expires: l.Expires, Opened: l.Opened,
			Chance: l.Chance, MassG: l.Grams.InexactFloat64(), VolumeML: float64(l.UL) / 1000, Value: value, ValueIn: l.ValueIn, StandsIn: l.For, Layer: l.Layer, Waits: waits, Cautions: l.Cautions(r.Trip.GoesBy == "air"),
		})
	}
	for _, s := range r.Short {
		out.Short = append(out.Short, PackShort{
			Part: s.Part.Code, Unit: string(s.Part.Unit), Need: units.ToFloat(s.Need, s.Part.Unit), Have: units.ToFloat(s.Have, s.Part.Unit),
			Why: s.Why, Chance: s.Chance, OnSite: s.OnSite, Stops: s.Stops, Remedy: s.Remedy, Given: s.GivenUp,
		})
	}
	for _, l := range r.Limits {
		out.Limits = append(out.Limits, PackLimit{What: l.What, Most: l.Most.InexactFloat64(), Used: l.Used.InexactFloat64(), Per: l.Per, Worth: l.Worth, Binds: l.Binds, OneMore: l.OneMore})
	}
	for _, c := range r.Cases {
		k := PackCase{Case: c.Code, GrossKG: kilos(c.Gross), Litres: float64(c.UL) / 1e6, TwoPeople: c.Heavy, GuessKG: kilos(c.Guess), MayPass: c.MayPass()}
		k.LimitKG, k.VolumeL = floatOf(c.LimitKG), floatOf(c.VolumeL)
		out.Cases = append(out.Cases, k)
	}
	for _, s := range r.Services {
		out.Services = append(out.Services, PackService{Service: s.Code, Jobs: s.Jobs, Ready: s.Ready, Least: s.Least})
	}
	return out
}

func ofStep(s *load.Step) *PackStep {
	if s == nil {
		return nil
	}
	return &PackStep{Part: s.Part.Code, Container: s.Container, Containers: s.Containers, MassG: s.Grams.InexactFloat64(), Readiness: s.Readiness}
}

// kilos turns exact grams into kg.
func kilos(grams decimal.Decimal) float64 { return grams.Shift(-3).InexactFloat64() }

func floatOf(d *decimal.Decimal) *float64 {
	if d == nil {
		return nil
	}
	f := d.InexactFloat64()
	return &f
}
