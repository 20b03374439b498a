package planner

import (
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// Decimal is an exact decimal cell that may be blank.
type Decimal = *decimal.Decimal

// Catalogue is what a team knows from one season to the next.
type Catalogue struct {
	People       []Person       `sheet:"people"`
	Riders       []Rider        `sheet:"riders"`
	Models       []Model        `sheet:"models"`
	Suppliers    []Supplier     `sheet:"suppliers"`
	Places       []Place        `sheet:"places"`
	Cases        []Case         `sheet:"cases"`
	Parts        []Part         `sheet:"parts"`
	Liquids      []Liquid       `sheet:"liquids"`
	Springs      []Spring       `sheet:"springs"`
	KitContents  []KitContent   `sheet:"kit-contents"`
	Alternatives []Alternative  `sheet:"alternatives"`
	Assemblies   []Assembly     `sheet:"assemblies"`
	Services     []Service      `sheet:"services"`
	Rates        []ExchangeRate `sheet:"exchange-rates"`
}

// Person may log, pack and spend.
type Person struct {
	Code  string `sheet:"person" is:"key" json:"code"`
	Name  string `sheet:"name" json:"name"`
	Role  string `sheet:"role" oneof:"mechanic|logistics|manager" json:"role"`
	Notes string `sheet:"notes" json:"notes"`
}

// Rider is a rider or a crew.
type Rider struct {
	Code         string  `sheet:"rider" is:"key" json:"code"`
	Name         string  `sheet:"name" json:"name"`
	KittedMassKG Decimal `sheet:"kitted mass kg" json:"kitted_mass_kg"`
	Notes        string  `sheet:"notes" json:"notes"`
}

// Model is a kind of fork, shock or bike.
type Model struct {
	Code  string `sheet:"model" is:"key" json:"code"`
	Name  string `sheet:"name" json:"name"`
	Kind  string `sheet:"kind" is:"needed" oneof:"fork|shock|bike" json:"kind"`
	Notes string `sheet:"notes" json:"notes"`
}

// Assembly is one fork, shock or bike; it is also a place where a spring can be.
type Assembly struct {
	Code      string  `sheet:"assembly" is:"key" json:"code"`
	Model     string  `sheet:"model" is:"needed" ref:"model" json:"model"`
	Rider     string  `sheet:"rider" ref:"rider" json:"rider"`
	OnBike    string  `sheet:"on bike" ref:"assembly" json:"on_bike"`
	DamperOil string  `sheet:"damper oil" ref:"part" json:"damper_oil"`
	Hours     Decimal `sheet:"hours" json:"hours"`
	GoesByAir *bool   `sheet:"goes by air" json:"goes_by_air"`
	Notes     string  `sheet:"notes" json:"notes"`
}

// Supplier sells parts under its order rules; money is in Currency.
type Supplier struct {
	Code         string  `sheet:"supplier" is:"key" json:"code"`
	Name         string  `sheet:"name" json:"name"`
	Country      string  `sheet:"country" json:"country"`
	Currency     string  `sheet:"currency" json:"currency"`
	CutOffDay    string  `sheet:"cut-off day" oneof:"Monday|Tuesday|Wednesday|Thursday|Friday|Saturday|Sunday" json:"cut_off_day"`
	CutOffTime   string  `sheet:"cut-off time" json:"cut_off_time"` // HH:MM, season time zone
	MinimumOrder Decimal `sheet:"minimum order" json:"minimum_order"`
	Carriage     Decimal `sheet:"carriage" json:"carriage"`
	FreeFrom     Decimal `sheet:"free carriage from" json:"free_from"`
	FreeFromL    Decimal `sheet:"free carriage from l" json:"free_from_l"`
	EntryFee     Decimal `sheet:"import entry fee" json:"entry_fee"`
	DutyPercent  Decimal `sheet:"duty %" json:"duty_percent"`
	Address      string  `sheet:"address" json:"address"`
	Contact      string  `sheet:"contact" json:"contact"`
	Email        string  `sheet:"e-mail" json:"email"`
	CustomerNo   string  `sheet:"customer number" json:"customer_number"` // ours, there
	TaxNumber    string  `sheet:"tax number" json:"tax_number"`
	Terms        string  `sheet:"terms" json:"terms"`
	Notes        string  `sheet:"notes" json:"notes"`
}

// Part is anything stocked. Quantities are in its unit; Unit says which people see.
type Part struct {
	Code               string            `sheet:"part" is:"key" json:"code"`
	Name               string            `sheet:"name" json:"name"`
	Kind               string            `sheet:"kind" is:"needed" oneof:"seal kit|seal|hardware|bushing|spring|oil|grease|cleaner|gas|tool|other" json:"kind"`
	Unit               units.Unit        `sheet:"unit" is:"needed" oneof:"pc|ml|g" json:"unit"`
	CarriedIn          string            `sheet:"carried in" json:"carried_in"`
	Contents           *units.Quantity   `sheet:"contents" in:"Code" json:"contents"`
	TareMG             *units.Milligrams `sheet:"tare g" json:"tare_mg"`
	MassMG             *units.Milligrams `sheet:"mass g" json:"mass_mg"` // of one piece
	PackedUL           *units.Quantity   `sheet:"packed volume ml" in:"ml" json:"packed_ul"`
	WaterUL            *units.Quantity   `sheet:"water capacity ml" in:"ml" json:"water_ul"` // of a cylinder
	StorageLifeMonths  *int              `sheet:"storage life months" json:"storage_life_months"`
	MonthsAfterOpening *int              `sheet:"months after opening" json:"months_after_opening"`
	Reusable           *bool             `sheet:"reusable" json:"reusable"`
	SerialNumbers      *bool             `sheet:"serial numbers" json:"serial_numbers"`
	ComesHome          *bool             `sheet:"comes home" json:"comes_home"`
	ByAir              *bool             `sheet:"by air" json:"by_air"`
	UNNumber           string            `sheet:"un number" json:"un_number"`
	HomeInTruck        string            `sheet:"home in truck" ref:"place" json:"home_in_truck"`
	HomeInWorkshop     string            `sheet:"home in workshop" ref:"place" json:"home_in_workshop"`
	TruckMinimum       *units.Quantity   `sheet:"truck minimum" in:"Code" json:"truck_minimum"`
	CustomsHeading     string            `sheet:"customs heading" json:"customs_heading"`
	Origin             string            `sheet:"origin" json:"origin"`
	Notes              string            `sheet:"notes" json:"notes"`
}

// Liquid is what a part counted in ml is: its viscosity and density.
type Liquid struct {
	Part        string  `sheet:"part" is:"key" ref:"part" json:"part"`
	LabelWeight string  `sheet:"label weight" json:"label_weight"`
	CSt40       Decimal `sheet:"viscosity at 40 C cSt" json:"cst_40"`
	CSt100      Decimal `sheet:"viscosity at 100 C cSt" json:"cst_100"`
	DensityGML  Decimal `sheet:"density at 20 C g/ml" json:"density_g_ml"`
	Notes       string  `sheet:"notes" json:"notes"`
}

// Spring is a spring part: the model it fits and its rate as ordered.
type Spring struct {
	Part         string          `sheet:"part" is:"key" ref:"part" json:"part"`
	Model        string          `sheet:"model" is:"needed" ref:"model" json:"model"`
	Rate         decimal.Decimal `sheet:"rate" is:"needed" json:"rate"`
	RateUnit     string          `sheet:"rate unit" is:"needed" oneof:"lb/in|N/mm|kgf/mm" json:"rate_unit"`
	BreaksPerDay Decimal         `sheet:"breaks per riding day" json:"breaks_per_day"`
	Notes        string          `sheet:"notes" json:"notes"`
}

// KitContent is one part inside a seal kit.
type KitContent struct {
	Kit      string         `sheet:"kit" is:"key" ref:"part" json:"kit"`
	Part     string         `sheet:"part" is:"key" ref:"part" json:"part"`
	Quantity units.Quantity `sheet:"quantity" is:"needed" in:"pc" json:"quantity"`
	Notes    string         `sheet:"notes" json:"notes"`
}

// Alternative is a part that may stand in for another; preference 1 is first.
type Alternative struct {
	Part        string `sheet:"part" is:"key" ref:"part" json:"part"`
	Alternative string `sheet:"alternative" is:"key" ref:"part" json:"alternative"`
	Preference  *int   `sheet:"preference" json:"preference"`
	Notes       string `sheet:"notes" json:"notes"`
}

// Place is where stock can be, in a tree, or the outside.
type Place struct {
	Code  string `sheet:"place" is:"key" json:"code"`
	Name  string `sheet:"name" json:"name"`
	In    string `sheet:"in" ref:"place" json:"parent"`
	Kind  string `sheet:"kind" oneof:"workshop|truck|pit|case|drawer|lent|outside" json:"kind"`
	Notes string `sheet:"notes" json:"notes"`
}

// Case gives the limits of a place that is a case.
type Case struct {
	Code      string  `sheet:"case" is:"key" ref:"place" json:"code"`
	LimitKG   Decimal `sheet:"limit kg" json:"limit_kg"`
	TareKG    Decimal `sheet:"tare kg" json:"tare_kg"`
	FixedKG   Decimal `sheet:"fixed content kg" json:"fixed_kg"`
	VolumeL   Decimal `sheet:"volume l" json:"volume_l"`
	GoesBy    string  `sheet:"goes by" oneof:"air|truck" json:"goes_by"`
	KeepApart string  `sheet:"keep apart from" oneof:"liquids|seals" json:"keep_apart"`
	Notes     string  `sheet:"notes" json:"notes"`
}

// Service is a kind of work on a kind of model.
type Service struct {
	Code      string `sheet:"service" is:"key" json:"code"`
	Name      string `sheet:"name" json:"name"`
	ModelKind string `sheet:"model kind" oneof:"fork|shock|bike" json:"model_kind"`
	Minutes   *int   `sheet:"minutes" json:"minutes"`
	Planned   *bool  `sheet:"planned" json:"planned"` // no: only happens unplanned
	Caution   string `sheet:"caution" json:"caution"`
	Notes     string `sheet:"notes" json:"notes"`
}

// ExchangeRate is home currency for one of a foreign currency, from a day on.
type ExchangeRate struct {
	Currency string          `sheet:"currency" is:"key" json:"currency"`
	FromOn   day.Day         `sheet:"from day" is:"key" json:"from_on"`
	Rate     decimal.Decimal `sheet:"rate to home currency" is:"needed" json:"rate"`
	Notes    string          `sheet:"notes" json:"notes"`
}

// Moment is a local time cell that may be blank.
type Moment = *time.Time
