package load

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
)

// Curve returns the greatest readiness of a wish against one of its limits, from what must
// be carried on, the other limits as they are.
func Curve(ctx context.Context, w Wish, along string, points int) ([]Point, error) {
	if err := w.validate(); err != nil {
		return nil, err
	}
	names := slices.Sorted(maps.Keys(w.Limits))
	row := slices.Index(names, along)
	if row < 0 {
		return nil, fmt.Errorf("curve along %q: found no such limit, expected one of %v", along, names)
	}
	levels := make([][]level, len(w.Supplies))
	for i, s := range w.Supplies {
		levels[i] = s.levels()
	}
	p, _, hopeless := w.problem(levels, names)
	if hopeless {
		return nil, errors.New("curve: found a part that nothing within the limits makes enough for certain use")
	}
	at, err := p.Curve(ctx, row, points)
	return pointsOf(at, 0), err
}
