package planner

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Plan is what a team means to do in a season, and at what price it can buy.
type Plan struct {
	Season         []Season        `sheet:"season"` // one row
	SpringChoices  []SpringChoice  `sheet:"spring-choices"`
	Rounds         []Round         `sheet:"rounds"`
	Trips          []Trip          `sheet:"trips"`
	TopUps         []TopUp         `sheet:"top-ups"`
	ServiceLines   []ServiceLine   `sheet:"service-lines"`
	PlannedJobs    []PlannedJobs   `sheet:"planned-jobs"`
	UnplannedRates []UnplannedRate `sheet:"unplanned-rates"`
	Offers         []Offer         `sheet:"offers"`
	PriceBreaks    []PriceBreak    `sheet:"price-breaks"`
	Closures       []Closure       `sheet:"closures"`
	Collections    []Collection    `sheet:"collections"`
	Allocations    []Allocation    `sheet:"allocations"`
	Budget         []BudgetLine    `sheet:"budget"`
}

// Season is the one row that names the season and its defaults.
type Season struct {
	Code                   string  `sheet:"season" is:"key" json:"code"`
	Name                   string  `sheet:"name" json:"name"`
	Team                   string  `sheet:"team" json:"team"`
	Base                   string  `sheet:"base" json:"base"`
	Country                string  `sheet:"country" json:"country"`
	TimeZone               string  `sheet:"time zone" is:"needed" json:"time_zone"`
	Currency               string  `sheet:"currency" is:"needed" json:"currency"`
	FirstOn                day.Day `sheet:"first day" is:"needed" json:"first_on"`
	LastOn                 day.Day `sheet:"last day" is:"needed" json:"last_on"`
	ConfidencePercent      Decimal `sheet:"confidence %" json:"confidence_percent"` // blank: 95
	HandlingDays           *int    `sheet:"handling days" json:"handling_days"`     // blank: 0
	HomeTaxPercent         Decimal `sheet:"home tax %" json:"home_tax_percent"`
	SpringTolerancePercent Decimal `sheet:"spring tolerance %" json:"spring_tolerance_percent"` // blank: 2
	TripReadinessPercent   Decimal `sheet:"trip readiness %" json:"trip_readiness_percent"`     // blank: 90
	ChancesWorth           string  `sheet:"chances worth jobs" json:"chances_worth"`            // blank: 10; known
	LastSeasonPercent      Decimal `sheet:"last season counts %" json:"last_season_percent"`    // blank: 50
	Address                string  `sheet:"address" json:"address"`
	Contact                string  `sheet:"contact" json:"contact"`
	Email                  string  `sheet:"e-mail" json:"email"`
	TaxNumber              string  `sheet:"tax number" json:"tax_number"`
	Notes                  string  `sheet:"notes" json:"notes"`
}

// SpringChoice is the chance (percent) that a rider wants a spring at each steepness.
type SpringChoice struct {
	Rider  string  `sheet:"rider" is:"key" ref:"rider" json:"rider"`
	Model  string  `sheet:"model" is:"key" ref:"model" json:"model"`
	Spring string  `sheet:"spring" is:"key" ref:"part" json:"spring"`
	Steep1 Decimal `sheet:"steepness 1 %" json:"steep_1"`
	Steep2 Decimal `sheet:"steepness 2 %" json:"steep_2"`
	Steep3 Decimal `sheet:"steepness 3 %" json:"steep_3"`
	Steep4 Decimal `sheet:"steepness 4 %" json:"steep_4"`
	Steep5 Decimal `sheet:"steepness 5 %" json:"steep_5"`
	Notes  string  `sheet:"notes" json:"notes"`
}

// Round is one race weekend, camp or workshop block.
type Round struct {
	Code             string   `sheet:"round" is:"key" json:"code"`
	Name             string   `sheet:"name" json:"name"`
	Kind             string   `sheet:"kind" oneof:"race|camp|workshop" json:"kind"`
	Trip             string   `sheet:"trip" ref:"trip" json:"trip"` // blank: a trip of its own, at home
	FirstOn          day.Day  `sheet:"first day" is:"needed" json:"first_on"`
	LastOn           day.Day  `sheet:"last day" is:"needed" json:"last_on"`
	Country          string   `sheet:"country" json:"country"`
	Currency         string   `sheet:"currency" json:"currency"`
	Steepness        *int     `sheet:"steepness" json:"steepness"` // 1 to 5; blank: no springs wanted
	WetChancePercent Decimal  `sheet:"wet chance %" json:"wet_chance_percent"`
	Bikes            *int     `sheet:"bikes" json:"bikes"`               // blank: all that travel
	RidingDays       *int     `sheet:"riding days" json:"riding_days"`   // the last so many; blank: all
	RoughFactor      Decimal  `sheet:"rough factor" json:"rough_factor"` // blank: 1
	Weather          string   `sheet:"weather" oneof:"dry|wet" json:"weather"`
	WeatherSeenOn    *day.Day `sheet:"weather seen on" json:"weather_seen_on"`
	Notes            string   `sheet:"notes" json:"notes"`
}

// Trip is the rounds served without coming home between them.
type Trip struct {
	Code          string   `sheet:"trip" is:"key" json:"code"`
	Name          string   `sheet:"name" json:"name"`
	GoesBy        string   `sheet:"goes by" oneof:"truck|air|home" json:"goes_by"`
	Truck         string   `sheet:"truck" ref:"place" json:"truck"` // blank: the cases packed for it
	PackBy        *day.Day `sheet:"pack by" json:"pack_by"`
	LeavesOn      *day.Day `sheet:"leaves" json:"leaves_on"`
	BackOn        *day.Day `sheet:"back" json:"back_on"`
	CustomsListBy *day.Day `sheet:"customs list by" json:"customs_list_by"`
	Customs       *bool    `sheet:"customs" json:"customs"` // blank: not said
	LimitKG       Decimal  `sheet:"limit kg" json:"limit_kg"`
	LimitL        Decimal  `sheet:"limit l" json:"limit_l"`
	LimitSpend    Decimal  `sheet:"limit spend" json:"limit_spend"`
	Notes         string   `sheet:"notes" json:"notes"`
}

// TopUp is a day and place where more stock can join a trip.
type TopUp struct {
	Trip    string  `sheet:"trip" is:"key" ref:"trip" json:"trip"`
	On      day.Day `sheet:"date" is:"key" json:"on_day"`
	Round   string  `sheet:"round" ref:"round" json:"round"`
	From    string  `sheet:"from" ref:"place" json:"from_place"`
	How     string  `sheet:"how" json:"how"`
	LimitKG Decimal `sheet:"limit kg" json:"limit_kg"`
	Notes   string  `sheet:"notes" json:"notes"`
}

// ServiceLine says what one job of a service uses. Exactly one of three forms:
// fixed (Quantity), chance (Quantity with a chance), range (Min..Max).
type ServiceLine struct {
	Service          string          `sheet:"service" is:"needed" ref:"service" json:"service"`
	Part             string          `sheet:"part" ref:"part" json:"part"`
	OwnPart          string          `sheet:"own part" oneof:"damper oil|fork spring|shock spring" json:"own_part"`
	Quantity         *units.Quantity `sheet:"quantity" in:"Part" json:"quantity"`
	Min              *units.Quantity `sheet:"min" in:"Part" json:"min"`
	Typical          *units.Quantity `sheet:"typical" in:"Part" json:"typical"`
	Max              *units.Quantity `sheet:"max" in:"Part" json:"max"`
	AllowancePercent Decimal         `sheet:"allowance %" json:"allowance_percent"`
	DryPercent       Decimal         `sheet:"chance dry %" json:"dry_percent"`
	WetPercent       Decimal         `sheet:"chance wet %" json:"wet_percent"`
	BetaDryA         Decimal         `sheet:"beta dry a" json:"beta_dry_a"`
	BetaDryB         Decimal         `sheet:"beta dry b" json:"beta_dry_b"`
	BetaWetA         Decimal         `sheet:"beta wet a" json:"beta_wet_a"`
	BetaWetB         Decimal         `sheet:"beta wet b" json:"beta_wet_b"`
	StopsJob         *bool           `sheet:"stops the job" json:"stops_job"` // blank: yes
	OnSite           *bool           `sheet:"on site" json:"on_site"`         // blank: no
	Notes            string          `sheet:"notes" json:"notes"`
}

// PlannedJobs is how many jobs of a service a round plans, of one assembly or any.
type PlannedJobs struct {
	Round    string `sheet:"round" is:"key" ref:"round" json:"round"`
	Service  string `sheet:"service" is:"key" ref:"service" json:"service"`
	Assembly string `sheet:"assembly" is:"key" ref:"assembly" json:"assembly"`
	Jobs     int    `sheet:"jobs" is:"needed" json:"jobs"`
	Notes    string `sheet:"notes" json:"notes"`
}

// UnplannedRate is how often an unplanned service happens per bike-day: a known
// rate, or Gamma(a, b).
type UnplannedRate struct {
	Service   string  `sheet:"service" is:"key" ref:"service" json:"service"`
	Rate      Decimal `sheet:"rate per bike-day" json:"rate"`
	GammaA    Decimal `sheet:"gamma a" json:"gamma_a"`
	GammaB    Decimal `sheet:"gamma b bike-days" json:"gamma_b"`
	WetFactor Decimal `sheet:"wet factor" json:"wet_factor"` // blank: 1
	Notes     string  `sheet:"notes" json:"notes"`
}

// Offer is a supplier's price for a part.
type Offer struct {
	Supplier       string          `sheet:"supplier" is:"key" ref:"supplier" json:"supplier"`
	Part           string          `sheet:"part" is:"key" ref:"part" json:"part"`
	Preference     *int            `sheet:"preference" json:"preference"` // 1: first choice, the list price
	SupplierNumber string          `sheet:"supplier number" json:"supplier_number"`
	Pack           *units.Quantity `sheet:"pack" in:"Part" json:"pack"` // blank: one of its unit
	PricePerPack   Decimal         `sheet:"price per pack" json:"price_per_pack"`
	Currency       string          `sheet:"currency" json:"currency"`
	MinimumPacks   *int            `sheet:"minimum packs" json:"minimum_packs"`
	LeadDays       *int            `sheet:"lead days" json:"lead_days"` // blank: 7
	LeadDays95     *int            `sheet:"lead days 95 %" json:"lead_days_95"`
	Notes          string          `sheet:"notes" json:"notes"`
}

// PriceBreak is a cheaper price from a number of packs on.
type PriceBreak struct {
	Supplier     string          `sheet:"supplier" is:"key" ref:"supplier" json:"supplier"`
	Part         string          `sheet:"part" is:"key" ref:"part" json:"part"`
	FromPacks    int             `sheet:"from packs" is:"key" json:"from_packs"`
	PricePerPack decimal.Decimal `sheet:"price per pack" is:"needed" json:"price_per_pack"`
	AppliesTo    string          `sheet:"applies to" oneof:"all packs|packs beyond" json:"applies_to"` // blank: all packs
	Notes        string          `sheet:"notes" json:"notes"`
}

// Closure is when a supplier does not work; both days are closed.
type Closure struct {
	Supplier string  `sheet:"supplier" is:"key" ref:"supplier" json:"supplier"`
	FirstOn  day.Day `sheet:"first day" is:"key" json:"first_on"`
	LastOn   day.Day `sheet:"last day" is:"needed" json:"last_on"`
	Notes    string  `sheet:"notes" json:"notes"`
}

// Collection is a round at which a supplier can be met; lead time 0.
type Collection struct {
	Supplier string `sheet:"supplier" is:"key" ref:"supplier" json:"supplier"`
	Round    string `sheet:"round" is:"key" ref:"round" json:"round"`
	Notes    string `sheet:"notes" json:"notes"`
}

// Allocation is what a supporting supplier gives free between two days, counted by use.
type Allocation struct {
	Supplier      string         `sheet:"supplier" is:"key" ref:"supplier" json:"supplier"`
	Part          string         `sheet:"part" is:"key" ref:"part" json:"part"`
	FreeQuantity  units.Quantity `sheet:"free quantity" is:"needed" in:"Part" json:"free_quantity"`
	BeyondPercent Decimal        `sheet:"beyond % of list" json:"beyond_percent"`
	FirstOn       *day.Day       `sheet:"first day" json:"first_on"`
	LastOn        *day.Day       `sheet:"last day" json:"last_on"`
	Notes         string         `sheet:"notes" json:"notes"`
}

// BudgetLine is money set aside, for a round or the whole season.
type BudgetLine struct {
	Line     string          `sheet:"line" is:"key" oneof:"parts|freight|customs lists and agents|oils and waste|courier|contingency" json:"line"`
	Round    string          `sheet:"round" is:"key" ref:"round" json:"round"`
	Amount   decimal.Decimal `sheet:"amount" is:"needed" json:"amount"`
	Currency string          `sheet:"currency" json:"currency"`
	Notes    string          `sheet:"notes" json:"notes"`
}
