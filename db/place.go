package db

import (
	"context"
	"encoding/json"
	"fmt"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
)

// NewPlace makes a drawer inside a place of ours, for what was found in one that the book
// does not know.
func (s *Store) NewPlace(ctx context.Context, code, in string, o ChangeOptions) error {
	return s.plan(ctx, o, func(q *sqlcgen.Queries, _ seasonRow, b *planner.Book, _ day.Day) (*change, error) {
		var codes []string
		found := false
		for _, p := range b.Places {
			if p.Code == code {
				return nil, fmt.Errorf("%w: place %s is there already, expected a new one", ErrRefused, code)
			}
			if p.Kind != "outside" && p.Kind != "lent" {
				codes = append(codes, p.Code)
				found = found || p.Code == in
			}
		}
		for _, a := range b.Assemblies {
			if a.Code == code {
				return nil, fmt.Errorf("%w: %s is a fork, shock or bike, expected a new place", ErrRefused, code)
			}
		}
		if !found {
			return nil, fmt.Errorf("%w: %w", ErrRefused, near.Miss("place", in, codes))
		}
		rows, err := json.Marshal([]map[string]any{{"code": code, "name": "", "parent": in, "kind": "drawer", "notes": "", "pos": len(b.Places)}})
		if err != nil {
			return nil, err
		}
		_, err = q.PlacePut(ctx, rows)
		wrap(&err, "make place %s", code)
		return nil, err
	})
}
