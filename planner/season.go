package planner

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
	"roundkit/planner/units"
)

// UsualJobsWorth is how many jobs a typed chance is worth where the season says nothing.
const UsualJobsWorth = 10

// JobsWorth is how many jobs a typed chance is worth beside what the log says; infinite where
// the season calls its chances known.
func (s Season) JobsWorth() (float64, error) {
	const least, most = 0.1, 10_000
	switch strings.TrimSpace(s.ChancesWorth) {
	case "":
		return UsualJobsWorth, nil
	case "known":
		return math.Inf(1), nil
	}
	if !jobsWorth.MatchString(s.ChancesWorth) {
		return 0, fmt.Errorf("found %q, expected a number of jobs or known", s.ChancesWorth)
	}
	n, err := strconv.ParseFloat(s.ChancesWorth, 64)
	if err != nil || n < least || n > most {
		return 0, fmt.Errorf("found %q, expected %g to %d jobs, or known", s.ChancesWorth, least, most)
	}
	return n, nil
}

var jobsWorth = regexp.MustCompile(`^[0-9]{1,5}([.][0-9]{1,6})?$`)

// LastSeasonWeight is how much a job of last season's log counts beside one of this season's.
func (s Season) LastSeasonWeight() float64 {
	const usual = 0.5
	if s.LastSeasonPercent == nil {
		return usual
	}
	return s.LastSeasonPercent.InexactFloat64() / 100
}

// AfterSeasonDays is how long after its last day a season is still recorded: cases come home,
// forks are stripped, late bills and counts come in. What lies further off is a slip of the year.
const AfterSeasonDays = 180

// RecordDays are the first and the last day that a record of the season may be of.
func (s Season) RecordDays() (first, last day.Day) { return s.FirstOn, s.LastOn + AfterSeasonDays }

// Most is the largest amount of a part that one row or record may say: 100,000 pieces, a
// thousand litres, a thousand kilos. It is far more than a team ever holds of anything, and
// what is planned with it still fits a laptop.
func Most(u units.Unit) units.Quantity {
	const pieces, thousand = 100_000, 1_000_000_000 // a thousand l in ul, a thousand kg in mg
	if u == units.PC {
		return pieces
	}
	return thousand
}

// MostJobs is the largest number of jobs that one row of the plan may say.
const MostJobs = 1_000

// mostMoney is above any amount of a season's row, in the currency with the smallest unit.
const mostMoney = 1_000_000_000

// MoneyCanBe reports whether an amount is one that a person means: below a thousand million,
// with at most 12 decimals. Its digits are looked at before it is compared: an exponent of
// millions would fill the memory.
func MoneyCanBe(d decimal.Decimal) bool {
	const digits, decimals = 10, 12
	if e := d.Exponent(); e > digits || e < -decimals || d.NumDigits() > digits+decimals {
		return false
	}
	return d.Abs().LessThan(decimal.New(mostMoney, 0))
}
