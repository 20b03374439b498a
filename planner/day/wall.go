package day

import (
	"fmt"
	"time"
)

// Wall checks that the clock on the wall showed a time once: t is what text was read as by
// the layout, in its zone. In the gap of a clock change no clock showed it, and in the hour
// that comes twice only an offset says which; the error names both.
func Wall(t time.Time, layout, text string) error {
	if t.Format(layout) != text {
		return fmt.Errorf("found %q, expected a time that exists: clocks go forward over it", text)
	}
	for _, other := range []time.Time{t.Add(-time.Hour), t.Add(time.Hour)} {
		if other.Format(layout) == text {
			const offset = "2006-01-02 15:04-07:00"
			first, second := t, other
			if second.Before(first) {
				first, second = second, first
			}
			return fmt.Errorf("found %q, expected %s or %s: clocks go back over that hour", text, first.Format(offset), second.Format(offset))
		}
	}
	return nil
}
