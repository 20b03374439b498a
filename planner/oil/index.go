package oil

import (
	_ "embed"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
)

// tableText is table 1 of ASTM D2270: Y = cst100, L and H, 2 to 70 cSt, rising.
//
//go:embed viscosity-index.csv
var tableText string

// Index is the viscosity index and the two reference viscosities it was read from.
type Index struct {
	Value float64 // unrounded; shown as a whole number
	L     float64 // cSt at 40 C of the oil of index 0 with the same cst100
	H     float64 // cSt at 40 C of the oil of index 100 with the same cst100
}

// ViscosityIndex returns the index of an oil of cst40 at 40 C and cst100 at 100 C. It
// returns ErrOil when cst100 is below 2, where the index is not defined, or cst40 not
// above it. Source: ASTM D2270 / ISO 2909, procedures A and B, with linear interpolation
// in table 1.
func ViscosityIndex(cst40, cst100 float64) (Index, error) {
	if err := checkCSt("cst40", cst40); err != nil {
		return Index{}, err
	}
	if !(cst100 >= 2 && cst100 <= maxCSt) {
		return Index{}, fmt.Errorf("%w: cst100: found %v, expected 2 to %v cSt: the index is not defined below 2", ErrOil, cst100, maxCSt)
	}
	if cst40 <= cst100 {
		return Index{}, fmt.Errorf("%w: cst40: found %v, expected more than cst100 (%v)", ErrOil, cst40, cst100)
	}
	l, h, err := references(cst100)
	if err != nil {
		return Index{}, err
	}
	if cst40 >= h {
		return Index{(l - cst40) / (l - h) * 100, l, h}, nil
	}
	n := math.Log(h/cst40) / math.Log(cst100)
	return Index{(math.Pow(10, n)-1)/0.00715 + 100, l, h}, nil
}

// references returns L and H at a cst100 of 2 or more.
func references(cst100 float64) (l, h float64, err error) {
	rows, err := table()
	if err != nil {
		return 0, 0, err
	}
	if y := cst100; y > rows[len(rows)-1].y {
		return 0.8353*y*y + 14.67*y - 216, 0.1684*y*y + 11.85*y - 97, nil
	}
	above := sort.Search(len(rows), func(i int) bool { return rows[i].y >= cst100 })
	if rows[above].y == cst100 {
		return rows[above].l, rows[above].h, nil
	}
	low, high := rows[above-1], rows[above]
	part := (cst100 - low.y) / (high.y - low.y)
	return low.l + part*(high.l-low.l), low.h + part*(high.h-low.h), nil
}

type row struct{ y, l, h float64 }

// table reads the embedded table; a fault in it is one of the build, found by the tests.
func table() ([]row, error) {
	lines := strings.Split(strings.TrimSpace(tableText), "\n")[1:]
	rows := make([]row, len(lines))
	for i, line := range lines {
		cells := strings.Split(strings.TrimSpace(line), ",")
		if len(cells) != 3 {
			return nil, fmt.Errorf("viscosity index table, line %d: found %d cells, expected 3", i+2, len(cells))
		}
		for k, into := range []*float64{&rows[i].y, &rows[i].l, &rows[i].h} {
			value, err := strconv.ParseFloat(cells[k], 64)
			if err != nil {
				return nil, fmt.Errorf("viscosity index table, line %d: %w", i+2, err)
			}
			*into = value
		}
	}
	return rows, nil
}
