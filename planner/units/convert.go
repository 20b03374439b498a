package units

import (
	"fmt"
	"math/big"
)

// Convert returns value, given in the unit from, in the unit to, exactly. Units go by
// their exact names (Names lists them). It returns ErrUnit for an unknown unit, for a
// measure that does not say US or UK, and for units of unlike kinds. Source: NIST SP 811.
func Convert(value *big.Rat, from, to string) (*big.Rat, error) {
	source, err := named(from)
	if err != nil {
		return nil, fmt.Errorf("from: %w", err)
	}
	target, err := named(to)
	if err != nil {
		return nil, fmt.Errorf("to: %w", err)
	}
	if source.kind != target.kind {
		return nil, fmt.Errorf("to: %w: found %s, a %s, expected a %s like %s: %s",
			ErrUnit, to, target.kind, source.kind, from, fitting(source.kind))
	}
	base := new(big.Rat).Mul(value, source.factor())
	return base.Quo(base, target.factor()), nil
}

// ConvertTyped is Convert for units as a person types them: any case, the usual words
// ("lb/in", "litre"). A word that stands for units of several kinds ("nm") is taken in
// the kind that the other unit settles.
func ConvertTyped(value *big.Rat, from, to string) (*big.Rat, error) {
	var refused error
	for _, k := range []kind{length, mass, volume, force, rate, torque, pressure} {
		source, err := typed(from, k)
		if err != nil {
			continue
		}
		target, err := typed(to, k)
		if err != nil {
			refused = fmt.Errorf("to: %w", err)
			continue
		}
		return Convert(value, source.name, target.name)
	}
	if refused != nil {
		return nil, refused
	}
	// Nothing knows from: let the strict look-up word the refusal.
	return Convert(value, from, to)
}

// Names returns the names of all units, kind by kind.
func Names() []string {
	names := make([]string, len(measures))
	for i, m := range measures {
		names[i] = m.name
	}
	return names
}
