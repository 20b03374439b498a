package words

import (
	"fmt"
	"math/big"
	"strings"
	"time"

	"roundkit/planner/day"
)

// when takes the time of the line: "18:55", "yesterday 22:10", "2027-06-05 18:55",
// "2 h ago", with "at" before it or not.
func (r *reader) when() {
	found := []string{}
	take := func(at time.Time, from, to int) {
		found = append(found, r.text(from, to))
		r.out.At = at
		for i := from; i < to; i++ {
			r.toks[i].done = true
		}
		if from > 0 && r.toks[from-1].word == "at" {
			r.toks[from-1].done = true
		}
	}
	for i := 0; i < len(r.toks); i++ {
		t := r.toks[i]
		switch {
		case t.done:
		case (t.unit == "h" || t.unit == "min") && i+1 < len(r.toks) && r.toks[i+1].word == "ago":
			n, err := rat(t.number)
			if err != nil || n.Sign() < 0 {
				r.fault("found %q, expected a time such as \"2 h ago\"", t.text)
				return
			}
			seconds := int64(3600)
			if t.unit == "min" {
				seconds = 60
			}
			n.Mul(n, new(big.Rat).SetInt64(seconds))
			const most = 400 * 24 * 3600
			if n.Cmp(new(big.Rat).SetInt64(most)) > 0 || !n.IsInt() {
				r.fault("found %q, expected hours and minutes within a season", t.text+" ago")
				return
			}
			take(r.now.Add(-time.Duration(n.Num().Int64())*time.Second).Truncate(time.Minute), i, i+2)
		default:
			on, ok := r.dayWord(i)
			to, today := i, false
			if ok {
				to++
			} else if on, today = day.At(r.now, r.b.zone), true; true {
				if _, _, is := clock(t.text); !is {
					continue
				}
			}
			if to >= len(r.toks) {
				r.fault("found %q without a time, expected one such as \"%s 18:55\"", t.text, t.text)
				return
			}
			h, m, is := clock(r.toks[to].text)
			if !is {
				r.fault("found %q without a time, expected one such as \"%s 18:55\"", t.text, t.text)
				return
			}
			to++
			if d, after := r.dayWord(to); after && today {
				on, today = d, false
				to++
			}
			at, err := wall(on, h, m, r.b.zone)
			if err != nil {
				r.fault("%s", err)
				return
			}
			const slack = 10 * time.Minute // as a record is allowed to be ahead
			if at.After(r.now.Add(slack)) {
				f := Fault{Says: fmt.Sprintf("found %s, which is still to come (it is %s)", at.Format("2006-01-02 15:04"), r.now.Format("2006-01-02 15:04")), from: i, to: to}
				if today {
					f.Choices = []Choice{{fmt.Sprintf("yesterday %02d:%02d", h, m), fmt.Sprintf("yesterday %02d:%02d", h, m)}}
				}
				r.faults = append(r.faults, f)
				return
			}
			take(at, i, to)
			i = to - 1
		}
	}
	if len(found) > 1 {
		r.fault("found two times, %s, expected one", strings.Join(found, " and "))
	}
}

// dayWord reads a day: yesterday, today, or a date.
func (r *reader) dayWord(i int) (day.Day, bool) {
	if i >= len(r.toks) || r.toks[i].done {
		return 0, false
	}
	switch t := r.toks[i]; t.word {
	case "yesterday":
		return day.At(r.now, r.b.zone) - 1, true
	case "today":
		return day.At(r.now, r.b.zone), true
	default:
		if len(t.text) != len("2027-06-05") {
			return 0, false
		}
		on, err := day.Parse(t.text)
		return on, err == nil
	}
}

// clock reads "18:55"; ok is false for what is no such word.
func clock(text string) (hour, minute int, ok bool) {
	h, m, cut := strings.Cut(text, ":")
	if !cut || len(m) != 2 || len(h) < 1 || len(h) > 2 {
		return 0, 0, false
	}
	if _, err := fmt.Sscanf(h+" "+m, "%d %d", &hour, &minute); err != nil || strings.Trim(h+m, "0123456789") != "" {
		return 0, 0, false
	}
	return hour, minute, true
}

// wall is the instant at which the clock of a zone showed a time, once.
func wall(on day.Day, hour, minute int, zone *time.Location) (time.Time, error) {
	const form = "2006-01-02 15:04"
	text := fmt.Sprintf("%s %02d:%02d", on, hour, minute)
	t, err := time.ParseInLocation(form, text, zone)
	if err != nil {
		return t, fmt.Errorf("found %02d:%02d, expected a time of day", hour, minute)
	}
	return t, day.Wall(t, form, text)
}

// due takes the day behind "due" or "until".
func (r *reader) due() {
	for i, t := range r.toks {
		if t.done || t.word != "due" && t.word != "until" {
			continue
		}
		on, ok := r.dayWord(i + 1)
		if !ok {
			r.fault("found %q without a day, expected one such as \"%s 2027-06-09\"", t.text, t.text)
			return
		}
		if r.out.DueOn != nil {
			r.fault("found two days that it is due, expected one")
			return
		}
		r.out.DueOn = &on
		r.toks[i].done, r.toks[i+1].done = true, true
	}
}

// rat reads digits with a point or a comma.
func rat(digits string) (*big.Rat, error) {
	n, ok := new(big.Rat).SetString(strings.Replace(digits, ",", ".", 1))
	if !ok {
		return nil, fmt.Errorf("found %q, expected a number", digits)
	}
	return n, nil
}
