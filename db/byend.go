package db

import (
	"context"
	"fmt"
	"regexp"

	"roundkit/db/sqlcgen"
)

// endOfID is the end of a record's id, as screens show it: six to eleven of its last digits.
var endOfID = regexp.MustCompile(`^[0-9a-f]{6,11}$`)

// RecordByEnd returns the whole id of the record that somebody names by its end, as screens
// show it; any other name stays as it is.
func (s *Store) RecordByEnd(ctx context.Context, season, name string) (string, error) {
	if !endOfID.MatchString(name) {
		return name, nil
	}
	k, err := s.known(ctx, season, false)
	if err != nil {
		return "", err
	}
	found, err := sqlcgen.New(s.pool).EntriesByEnd(ctx, k.season.ID, name)
	switch {
	case err != nil:
		wrap(&err, "look for record %s", name)
		return "", err
	case len(found) == 0:
		return name, nil // it may be a code of a workbook
	case len(found) > 1:
		return "", fmt.Errorf("%w: found several records that end in %s, expected one: %v", ErrRefused, name, found)
	}
	return found[0].String(), nil
}
