package planner

import "roundkit/planner/near"

// Part returns the part of a code; an unknown one is an error that suggests near ones by
// code and by name.
func (c *Catalogue) Part(code string) (Part, error) {
	known := make([]near.Named, len(c.Parts))
	for i, p := range c.Parts {
		if p.Code == code {
			return p, nil
		}
		known[i] = near.Named{Code: p.Code, Name: p.Name}
	}
	return Part{}, near.MissNamed("part", code, known)
}
