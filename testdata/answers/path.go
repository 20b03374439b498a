package answers

import (
	"fmt"
	"strconv"
	"strings"
)

// At returns the value at a path of a command's JSON.
func At(root any, path string) (any, error) {
	at := root
	for rest := path; rest != ""; {
		var err error
		switch {
		case strings.HasPrefix(rest, "["):
			end := strings.Index(rest, "]")
			if end < 0 {
				return nil, fmt.Errorf("path %q: no ] after [", path)
			}
			if at, err = pick(at, rest[1:end]); err != nil {
				return nil, err
			}
			rest = strings.TrimPrefix(rest[end+1:], ".")
		case strings.HasPrefix(rest, "sum "):
			return sum(at, rest[len("sum "):])
		case strings.HasPrefix(rest, "cdf "):
			return cdf(at, rest[len("cdf "):])
		default:
			end := strings.IndexAny(rest, ".[")
			if end < 0 {
				end = len(rest)
			}
			if at, err = field(at, rest[:end]); err != nil {
				return nil, err
			}
			rest = strings.TrimPrefix(rest[end:], ".")
		}
	}
	if rows, ok := at.([]any); ok {
		return nil, fmt.Errorf("found a list of %d, expected one value", len(rows))
	}
	return at, nil
}

// field returns a field of an object, or of the one row that is left of a list.
func field(at any, name string) (any, error) {
	if rows, ok := at.([]any); ok {
		if len(rows) != 1 {
			return nil, fmt.Errorf("found %d rows, expected one with %s", len(rows), name)
		}
		at = rows[0]
	}
	object, ok := at.(map[string]any)
	if !ok {
		return nil, fmt.Errorf("found %T, expected an object with %s", at, name)
	}
	v, ok := object[name]
	if !ok {
		return nil, fmt.Errorf("found no field %s", name)
	}
	return v, nil
}

// pick returns the rows of a list whose fields are as said: f=v or f=v,g=w.
func pick(at any, conditions string) (any, error) {
	rows, ok := at.([]any)
	if !ok {
		return nil, fmt.Errorf("found %T, expected a list for [%s]", at, conditions)
	}
	left := []any{}
	for _, row := range rows {
		hit := true
		for _, condition := range strings.Split(conditions, ",") {
			name, want, ok := strings.Cut(condition, "=")
			if !ok {
				return nil, fmt.Errorf("found [%s], expected field=value", condition)
			}
			v, err := field(row, name)
			if err != nil {
				return nil, err
			}
			hit = hit && said(v) == want
		}
		if hit {
			left = append(left, row)
		}
	}
	return left, nil
}

// said is a JSON value as a path writes it.
func said(v any) string {
	switch x := v.(type) {
	case nil:
		return ""
	case string:
		return x
	case float64:
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return fmt.Sprint(v)
}

// sum adds a field over the rows left; no row gives 0.
func sum(at any, name string) (any, error) {
	rows, ok := at.([]any)
	if !ok {
		return nil, fmt.Errorf("found %T, expected a list to sum %s over", at, name)
	}
	total := 0.0
	for _, row := range rows {
		v, err := field(row, name)
		if err != nil {
			return nil, err
		}
		x, err := asNumber(v)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		total += x
	}
	return total, nil
}

// cdf adds all p[i] of {"step","from","p"} with from + i x step <= x.
func cdf(at any, text string) (any, error) {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		return nil, err
	}
	step, err := numberField(at, "step")
	if err != nil {
		return nil, err
	}
	from, err := numberField(at, "from")
	if err != nil {
		return nil, err
	}
	v, err := field(at, "p")
	if err != nil {
		return nil, err
	}
	ps, ok := v.([]any)
	if !ok {
		return nil, fmt.Errorf("p: found %T, expected a list", v)
	}
	total := 0.0
	for i, p := range ps {
		if from+float64(i)*step > x+1e-9*step {
			break
		}
		n, err := asNumber(p)
		if err != nil {
			return nil, err
		}
		total += n
	}
	return total, nil
}

func numberField(at any, name string) (float64, error) {
	v, err := field(at, name)
	if err != nil {
		return 0, err
	}
	return asNumber(v)
}
