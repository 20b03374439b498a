package solve

import "context"

// clock tells a search that its context is done. It looks now and then: a look costs more
// than a step of a search.
type clock struct {
	done  <-chan struct{}
	steps int
	over  bool
}

// looks is how many steps lie between two looks, of a tenth of a microsecond and more each.
const looks = 4096

func newClock(ctx context.Context) *clock { return &clock{done: ctx.Done()} }

// step counts a short step and reports whether the search must end.
func (c *clock) step() bool {
	if c == nil || c.over {
		return c != nil
	}
	if c.steps++; c.steps < looks {
		return false
	}
	return c.now()
}

// now looks at once: before a long step.
func (c *clock) now() bool {
	if c == nil || c.over {
		return c != nil
	}
	c.steps = 0
	select {
	case <-c.done:
		c.over = true
	default:
	}
	return c.over
}
