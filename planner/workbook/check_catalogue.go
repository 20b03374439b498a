package workbook

import (
	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// catalogue checks what a team knows from one season to the next.
func (c *checker) catalogue() {
	c.assemblies()
	c.parts()
	c.liquids()
	c.springs()
	c.kits()
	c.suppliers()
	c.places()
	for i, r := range c.book.Rates {
		c.currency("exchange-rates", i, r.Currency)
		if r.Rate.Sign() <= 0 {
			c.say("exchange-rates", i, "rate to home currency", "a rate above zero")
		}
		if len(c.book.Season) > 0 && r.Currency == c.book.Season[0].Currency && r.Currency != "" {
			c.say("exchange-rates", i, "currency", "a foreign currency: this is the season's own")
		}
	}
}

// kindOf returns what an assembly is: fork, shock or bike; "" if it is not known.
func (c *checker) kindOf(assembly string) string {
	i, ok := c.codes["assembly"][assembly]
	if !ok {
		return ""
	}
	j, ok := c.codes["model"][c.book.Assemblies[i].Model]
	if !ok {
		return ""
	}
	return c.book.Models[j].Kind
}

func (c *checker) assemblies() {
	for i, a := range c.book.Assemblies {
		if _, ok := c.codes["place"][a.Code]; ok {
			c.say("assemblies", i, "assembly", "a code that no place has: an assembly is a place too")
		}
		if a.OnBike != "" {
			switch kind := c.kindOf(a.OnBike); {
			case a.OnBike == a.Code:
				c.say("assemblies", i, "on bike", "another assembly, a bike")
			case kind != "" && kind != "bike":
				c.say("assemblies", i, "on bike", "a bike: that is a "+kind)
			case c.kindOf(a.Code) == "bike":
				c.say("assemblies", i, "on bike", "a blank: a bike is on no bike")
			}
		}
		if u := c.units[a.DamperOil]; u != "" && u != units.ML {
			c.say("assemblies", i, "damper oil", "a part counted in ml")
		}
	}
}

func (c *checker) parts() {
	for i, p := range c.book.Parts {
		c.some("parts", i, "contents", p.Contents)
		switch {
		case p.Kind == "spring" && p.Unit != "" && p.Unit != units.PC:
			c.say("parts", i, "unit", "pc for a spring")
		case p.Kind == "seal kit" && p.Unit != "" && p.Unit != units.PC:
			c.say("parts", i, "unit", "pc for a seal kit")
		}
		if p.MassMG != nil && *p.MassMG == 0 {
			c.say("parts", i, "mass g", "a mass above zero, or a blank")
		}
		if w := p.WaterUL; w != nil && (*w <= 0 || p.Unit != units.PC || p.PackedUL != nil && *w > *p.PackedUL) {
			c.say("parts", i, "water capacity ml", "of a cylinder counted in pc, above zero and at most its packed volume; else a blank")
		}
	}
}

// unitsStay refuses another unit for a part whose stock or use is written in the one before.
func (c *checker) unitsStay(old *planner.Book) {
	was := unitsOfParts(old)
	used := map[string]bool{}
	for _, r := range old.Stock {
		used[r.Part] = true
	}
	for _, r := range old.Lots {
		used[r.Part] = true
	}
	for _, r := range old.Movements {
		used[r.Part] = true
	}
	for _, r := range old.JobParts {
		used[r.Part] = true
	}
	for i, p := range c.book.Parts {
		if before := was[p.Code]; before != "" && p.Unit != before && used[p.Code] {
			c.say("parts", i, "unit", string(before)+": its stock is kept in that")
		}
	}
}

var (
	lightest = decimal.New(5, -1) // g/ml, below any liquid of the trade
	heaviest = decimal.New(2, 0)
)

func (c *checker) liquids() {
	for i, l := range c.book.Liquids {
		if u := c.units[l.Part]; u != "" && u != units.ML {
			c.say("liquids", i, "part", "a part counted in ml")
		}
		c.above("liquids", i, "viscosity at 40 C cSt", l.CSt40)
		c.above("liquids", i, "viscosity at 100 C cSt", l.CSt100)
		if l.CSt40 != nil && l.CSt100 != nil && l.CSt100.Sign() > 0 && !l.CSt100.LessThan(*l.CSt40) {
			c.say("liquids", i, "viscosity at 100 C cSt", "less than at 40 C: oil thins when warm")
		}
		if d := l.DensityGML; d != nil && (d.LessThan(lightest) || d.GreaterThan(heaviest)) {
			c.say("liquids", i, "density at 20 C g/ml", "a density of 0.5 to 2 g/ml")
		}
	}
}

// part returns the part of a code, nil if there is none.
func (c *checker) part(code string) *planner.Part {
	if i, ok := c.codes["part"][code]; ok {
		return &c.book.Parts[i]
	}
	return nil
}

func (c *checker) springs() {
	for i, s := range c.book.Springs {
		if p := c.part(s.Part); p != nil && p.Kind != "spring" && p.Kind != "" {
			c.say("springs", i, "part", "a part of kind spring: that is "+p.Kind)
		}
		if j, ok := c.codes["model"][s.Model]; ok && c.book.Models[j].Kind == "bike" {
			c.say("springs", i, "model", "a model of a fork or shock")
		}
		if s.Rate.Sign() <= 0 {
			c.say("springs", i, "rate", "a rate above zero, such as 450")
		}
	}
}

func (c *checker) kits() {
	for i, k := range c.book.KitContents {
		if p := c.part(k.Kit); p != nil && p.Kind != "seal kit" && p.Kind != "" {
			c.say("kit-contents", i, "kit", "a part of kind seal kit: that is "+p.Kind)
		}
		if p := c.part(k.Part); p != nil {
			switch {
			case p.Kind == "seal kit":
				c.say("kit-contents", i, "part", "a loose part: a kit holds no kits")
			case p.Unit != units.PC && p.Unit != "":
				c.say("kit-contents", i, "part", "a part counted in pc")
			}
		}
		c.some("kit-contents", i, "quantity", &c.book.KitContents[i].Quantity)
	}
	for i, a := range c.book.Alternatives {
		u, v := c.units[a.Part], c.units[a.Alternative]
		switch {
		case a.Part == a.Alternative:
			c.say("alternatives", i, "alternative", "another part")
		case u != "" && v != "" && u != v:
			c.say("alternatives", i, "alternative", "a part counted in "+string(u))
		}
		if a.Preference != nil && *a.Preference < 1 {
			c.say("alternatives", i, "preference", "1 or more: 1 is the first choice")
		}
	}
}

func (c *checker) suppliers() {
	for i, s := range c.book.Suppliers {
		c.country("suppliers", i, s.Country)
		c.currency("suppliers", i, s.Currency)
		if s.CutOffTime != "" && s.CutOffDay == "" {
			c.say("suppliers", i, "cut-off day", "a weekday for the cut-off time")
		}
	}
}

func (c *checker) places() {
	for i, p := range c.book.Places {
		switch {
		case Outside[p.Code] && p.Kind != "outside" && p.Kind != "":
			c.say("places", i, "kind", "outside: "+p.Code+" is beyond our places")
		case p.Kind == "outside" && !Outside[p.Code] && p.Code != "":
			c.say("places", i, "place", "one of supplier, used, scrap, count difference, opening, opened kit, relabelled for the kind outside")
		case Outside[p.In]:
			c.say("places", i, "in", "a place of ours")
		}
	}
	for _, row := range loops(len(c.book.Places), func(row int) int {
		if at, ok := c.codes["place"][c.book.Places[row].In]; ok && c.book.Places[row].In != "" {
			return at
		}
		return -1
	}) {
		c.say("places", row, "in", "a place that is not inside "+c.book.Places[row].Code+" itself")
	}
	for i, k := range c.book.Cases {
		if j, ok := c.codes["place"][k.Code]; ok && c.book.Places[j].Kind != "case" {
			c.say("cases", i, "case", "a place of kind case")
		}
		if k.LimitKG == nil {
			continue
		}
		empty := decimal.Zero
		if k.TareKG != nil {
			empty = empty.Add(*k.TareKG)
		}
		if k.FixedKG != nil {
			empty = empty.Add(*k.FixedKG)
		}
		if k.LimitKG.LessThan(empty) {
			c.say("cases", i, "limit kg", "at least "+empty.String()+", the case empty and its fixed content")
		}
	}
}
