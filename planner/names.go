package planner

import (
	"slices"

	"roundkit/planner/near"
)

// Part returns the part of a code; an unknown one is an error that suggests near ones by
// code and by name.
func (c *Catalogue) Part(code string) (Part, error) {
	if i := slices.IndexFunc(c.Parts, func(p Part) bool { return p.Code == code }); i >= 0 {
		return c.Parts[i], nil
	}
	known := make([]near.Named, len(c.Parts)) // for a miss alone
	for i, p := range c.Parts {
		known[i] = near.Named{Code: p.Code, Name: p.Name}
	}
	return Part{}, near.MissNamed("part", code, known)
}

// Round returns the round of a code; an unknown code is an error that names a near one.
func (p *Plan) Round(code string) (Round, error) {
	var known []string
	for _, r := range p.Rounds {
		if r.Code == code {
			return r, nil
		}
		known = append(known, r.Code)
	}
	return Round{}, near.Miss("round", code, known)
}
