package db

import (
	"context"

	"roundkit/db/sqlcgen"
)

// Name is one name that people type, and what it names: part, service, place, ...
type Name struct{ Kind, Code string }

// NamesVersion changes whenever a name is added or goes.
func (s *Store) NamesVersion(ctx context.Context) (version string, err error) {
	defer wrap(&err, "look for new names")
	return sqlcgen.New(s.pool).NamesVersion(ctx)
}

// Names lists every name that people type, of all seasons, by kind and code.
func (s *Store) Names(ctx context.Context) (all []Name, err error) {
	defer wrap(&err, "read the names")
	rows, err := sqlcgen.New(s.pool).NameList(ctx)
	for _, r := range rows {
		all = append(all, Name{r.Kind, r.Code})
	}
	return all, err
}
