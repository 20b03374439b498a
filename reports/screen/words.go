package screen

import (
	"fmt"

	"roundkit/planner/day"
)

// plural is "1 part", "5 parts".
func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// optional writes a day that may be unknown.
func optional(d *day.Day) string {
	if d == nil {
		return ""
	}
	return d.String()
}
