package answer

import (
	"roundkit/planner/day"
	"roundkit/planner/mix"
)

// OilBlend is `oil blend --json`: what can be made of the oils at a place. Volumes in ml,
// viscosities in cSt; null where it is not known.
type OilBlend struct {
	AsOf     day.Day  `json:"as_of"`
	At       string   `json:"at"`
	Part     string   `json:"part"`
	CSt40    float64  `json:"cst_40"`
	ML       float64  `json:"ml"`
	HaveML   float64  `json:"have_ml"`
	ShortML  float64  `json:"short_ml"`
	Oils     []OilAt  `json:"oils"`
	Mixes    []OilMix `json:"mixes"`
	Cautions []string `json:"cautions"`
}

// OilAt is an oil that is here.
type OilAt struct {
	Part   string   `json:"part"`
	Name   string   `json:"name"`
	Label  string   `json:"label_weight"`
	CSt40  float64  `json:"cst_40"`
	CSt100 *float64 `json:"cst_100"`
	ML     float64  `json:"ml"`
	PastML float64  `json:"past_date_ml"`
}

// OilMix is one way to make it; off is (cst_40 - wanted)/wanted.
type OilMix struct {
	Shares  []OilShare `json:"shares"`
	CSt40   float64    `json:"cst_40"`
	CSt100  *float64   `json:"cst_100"`
	Index   *float64   `json:"viscosity_index"`
	Off     float64    `json:"off"`
	Enough  bool       `json:"enough"`
	SameUse bool       `json:"same_use"`
	Line    []OilPoint `json:"line"`
}

// OilShare is how much of one oil goes in.
type OilShare struct {
	Part     string  `json:"part"`
	ML       float64 `json:"ml"`
	Fraction float64 `json:"fraction"`
}

// OilPoint is the viscosity at a temperature.
type OilPoint struct {
	C            float64 `json:"c"`
	CSt          float64 `json:"cst"`
	Extrapolated bool    `json:"extrapolated"`
}

// LineC are the temperatures at which a mix is shown: a cold morning to a hot damper.
var LineC = []float64{0, 10, 20, 30, 40, 60}

// OfOilBlend renders what can be made.
func OfOilBlend(a mix.Answer, asOf day.Day, at string, cautions []string) OilBlend {
	out := OilBlend{AsOf: asOf, At: at, Part: a.Want.Part, CSt40: a.Want.CSt40, ML: a.Want.ML, HaveML: a.HaveML, ShortML: a.ShortML,
		Oils: []OilAt{}, Mixes: []OilMix{}, Cautions: cautions}
	for _, o := range a.Oils {
		out.Oils = append(out.Oils, OilAt{Part: o.Part, Name: o.Name, Label: o.Label, CSt40: o.CSt40, CSt100: above0(o.CSt100), ML: o.ML, PastML: o.PastML})
	}
	for _, m := range a.Mixes {
		x := OilMix{Shares: []OilShare{}, CSt40: m.CSt40, CSt100: above0(m.CSt100), Off: m.Off, Enough: m.Enough, SameUse: m.SameUse, Line: []OilPoint{}}
		if m.Index != nil {
			x.Index = &m.Index.Value
		}
		for _, s := range m.Shares {
			x.Shares = append(x.Shares, OilShare{Part: s.Oil.Part, ML: s.ML, Fraction: s.Fraction})
		}
		if m.Line != nil {
			for _, c := range LineC {
				if cst, beyond, err := m.Line.At(c); err == nil {
					x.Line = append(x.Line, OilPoint{C: c, CSt: cst, Extrapolated: beyond})
				}
			}
		}
		out.Mixes = append(out.Mixes, x)
	}
	return out
}

func above0(v float64) *float64 {
	if v <= 0 {
		return nil
	}
	return &v
}

// OilConvert is `oil convert --json`.
type OilConvert struct {
	Value   string   `json:"value"`
	From    string   `json:"from"`
	Result  float64  `json:"result"`
	To      string   `json:"to"`
	Part    string   `json:"part,omitempty"`
	Density *float64 `json:"density_g_ml,omitempty"` // at celsius
	Celsius *float64 `json:"celsius,omitempty"`
}

// Rubber is `rubber --json`; null where the rule does not know the rubber.
type Rubber struct {
	Rubber   string      `json:"rubber"`
	Cured    string      `json:"cured"`
	ISO2230  *RubberISO  `json:"iso_2230"`
	ARP5316  *RubberARP  `json:"arp_5316"`
	AsOf     day.Day     `json:"as_of"`
	State    RubberState `json:"state"`
	Cautions []string    `json:"cautions"`
}

// RubberISO is the storage life by ISO 2230.
type RubberISO struct {
	Group     string  `json:"group"`
	Years     int     `json:"years"`
	Extension int     `json:"extension"`
	InspectBy day.Day `json:"inspect_by"`
	DiscardBy day.Day `json:"discard_by"`
}

// RubberARP is the shelf life by SAE ARP5316; use_by is null for a rubber without a limit.
type RubberARP struct {
	Years int      `json:"years"`
	UseBy *day.Day `json:"use_by"`
}

// RubberState says what ISO 2230 asks for on the day: "" where it does not know the rubber.
type RubberState string

// The states of a stored seal.
const (
	RubberGood    RubberState = "good"
	RubberInspect RubberState = "inspect"
	RubberDiscard RubberState = "discard"
)
