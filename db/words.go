package db

import (
	"context"
	"time"

	"roundkit/planner"
)

// Part returns a part of the season's catalogue; an unknown code is an error that names a
// near one. What people type of it is read in its unit.
func (s *Store) Part(ctx context.Context, season, code string) (planner.Part, error) {
	k, err := s.known(ctx, season, false)
	if err != nil {
		return planner.Part{}, err
	}
	return k.book.Part(code)
}

// Density returns what a liquid weighs, in g/ml at 20 C; nil where it is not known.
func (s *Store) Density(ctx context.Context, season, part string) (planner.Decimal, error) {
	k, err := s.known(ctx, season, false)
	if err != nil {
		return nil, err
	}
	for _, l := range k.book.Liquids {
		if l.Part == part && l.DensityGML != nil && l.DensityGML.IsPositive() {
			return l.DensityGML, nil
		}
	}
	return nil, nil
}

// Parts returns the units of all parts, by code.
func (s *Store) Parts(ctx context.Context, season string) (map[string]planner.Part, error) {
	k, err := s.known(ctx, season, false)
	if err != nil {
		return nil, err
	}
	parts := make(map[string]planner.Part, len(k.book.Parts))
	for _, p := range k.book.Parts {
		parts[p.Code] = p
	}
	return parts, nil
}

// People returns who is known.
func (s *Store) People(ctx context.Context, season string) ([]planner.Person, error) {
	k, err := s.known(ctx, season, false)
	if err != nil {
		return nil, err
	}
	return k.book.People, nil
}

// Zone is the season's time zone: times are typed and shown in it.
func (s *Store) Zone(ctx context.Context, season string) (*time.Location, error) {
	k, err := s.known(ctx, season, false)
	if err != nil {
		return nil, err
	}
	return k.zone, nil
}
