package oil

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"roundkit/planner/day"
)

// ErrRubber is what errors.Is finds when a rubber or its quarter cannot be answered for.
var ErrRubber = errors.New("rubber")

// Quarter is a quarter of a year, as it stands on a seal bag: 2016-Q3.
type Quarter struct{ Year, Number int }

// ParseQuarter reads a quarter such as 2016-Q3, of the years 1900 to 2999.
func ParseQuarter(text string) (Quarter, error) {
	year, number, ok := strings.Cut(text, "-Q")
	y, yearErr := strconv.Atoi(year)
	n, numberErr := strconv.Atoi(number)
	if !ok || yearErr != nil || numberErr != nil || len(year) != 4 || len(number) != 1 || y < 1900 || y > 2999 || n < 1 || n > 4 {
		return Quarter{}, fmt.Errorf("%w: found %q, expected a quarter such as 2016-Q3", ErrRubber, text)
	}
	return Quarter{y, n}, nil
}

// after returns the last day of the quarter, some years on. A quarter never ends in
// February, so every year has that day.
func (q Quarter) after(years int) day.Day {
	return day.Of(q.Year+years, time.Month(3*q.Number+1), 0)
}

// Shelf is when a stored seal must be inspected and discarded by ISO 2230:2002.
type Shelf struct {
	Group            string // A, B or C
	Years, Extension int    // to the inspection, and from it to the end
	InspectBy        day.Day
	DiscardBy        day.Day
}

// shelfGroups are the groups of ISO 2230:2002 as two seal makers' sheets extract it. ACM
// was ambiguous there and is left out.
var shelfGroups = []struct {
	group            string
	years, extension int
	rubbers          []string
}{
	{"A", 5, 2, []string{"NR", "IR", "BR", "SBR", "AU", "EU"}},
	{"B", 7, 3, []string{"CR", "NBR", "HNBR"}},
	{"C", 10, 5, []string{"EPDM", "FKM", "VMQ", "FVMQ", "FFKM"}},
}

// ShelfLife returns the storage life of an unassembled seal of a rubber (NBR, FKM, ...)
// cured in a quarter, counted from the quarter's last day (common practice). It returns
// ErrRubber for a rubber the standard does not give. Source: ISO 2230:2002. It covers
// neither fitted seals nor service life.
func ShelfLife(rubber string, cured Quarter) (Shelf, error) {
	var known []string
	for _, g := range shelfGroups {
		for _, r := range g.rubbers {
			if r == rubber {
				return Shelf{g.group, g.years, g.extension, cured.after(g.years), cured.after(g.years + g.extension)}, nil
			}
			known = append(known, r)
		}
	}
	return Shelf{}, unknownRubber(rubber, known)
}

// sealLives are the lives of SAE ARP5316D (edition from memory; now AS5316), years from
// cure; 0 is no limit.
var sealLives = []struct {
	rubber string
	years  int
}{
	{"NBR", 15}, {"HNBR", 15}, {"CR", 15}, {"AU", 5}, {"EU", 5},
	{"FKM", 0}, {"EPDM", 0}, {"VMQ", 0}, {"FFKM", 0},
}

// SealLife returns the shelf life of a seal stored the way of SAE ARP5316D: its years
// and last day, or limited false for a rubber without a limit. It returns ErrRubber for a
// rubber the document does not give.
func SealLife(rubber string, cured Quarter) (years int, useBy day.Day, limited bool, err error) {
	var known []string
	for _, l := range sealLives {
		if l.rubber != rubber {
			known = append(known, l.rubber)
			continue
		}
		if l.years == 0 {
			return 0, 0, false, nil
		}
		return l.years, cured.after(l.years), true, nil
	}
	return 0, 0, false, unknownRubber(rubber, known)
}

func unknownRubber(rubber string, known []string) error {
	return fmt.Errorf("%w: found %q, expected one of %s: another has no known storage life", ErrRubber, rubber, strings.Join(known, ", "))
}
