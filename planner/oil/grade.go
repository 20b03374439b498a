package oil

import "fmt"

// Grade is a viscosity grade of ISO 3448 with its limits in cSt at 40 C, both included.
type Grade struct {
	Number   int
	Min, Max float64
}

// midTenths are the mid-points of the grades of ISO 3448:1992 in tenths of a cSt at
// 40 C; whole, so that the limits come out as the table prints them.
var midTenths = []struct{ number, tenths int }{
	{2, 22}, {3, 32}, {5, 46}, {7, 68}, {10, 100}, {15, 150}, {22, 220}, {32, 320}, {46, 460}, {68, 680},
	{100, 1000}, {150, 1500}, {220, 2200}, {320, 3200}, {460, 4600}, {680, 6800}, {1000, 10000},
	{1500, 15000}, {2200, 22000}, {3200, 32000},
}

// GradeOf returns the ISO 3448 grade of an oil of cst40 at 40 C. Many oils fall in the
// gaps between grades and have none: then found is false, and the nearest grade is not
// an answer. It returns ErrOil outside 0.2 to 1e5 cSt.
func GradeOf(cst40 float64) (grade Grade, found bool, err error) {
	if !(cst40 >= 0.2 && cst40 <= 1e5) {
		return Grade{}, false, fmt.Errorf("%w: cst40: found %v, expected 0.2 to 1e5 cSt", ErrOil, cst40)
	}
	for _, m := range midTenths {
		g := Grade{m.number, float64(m.tenths*9) / 100, float64(m.tenths*11) / 100} // +/- 10 %
		if cst40 >= g.Min && cst40 <= g.Max {
			return g, true, nil
		}
	}
	return Grade{}, false, nil
}
