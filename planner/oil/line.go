package oil

import (
	"errors"
	"fmt"
	"math"
)

// ErrOil is what errors.Is finds when an oil or a temperature cannot be answered for.
var ErrOil = errors.New("oil")

const (
	minCSt, maxCSt         = 0.3, 1e6 // kinematic viscosities taken
	minC, maxC             = -60, 250 // temperatures of the viscosity line
	kelvin         float64 = 273.15   // of 0 C
	shift          float64 = 0.7      // what ASTM D341 adds to the viscosity
)

// Point is one measured kinematic viscosity: CSt (mm2/s) at C (degrees Celsius).
type Point struct{ C, CSt float64 }

// Line is the viscosity of one oil over temperature: log10 log10 Z = A - B log10(T),
// T in kelvin. Build it with NewLine.
type Line struct {
	A, B         float64
	coldC, warmC float64
}

// NewLine draws the line through two measured points. It returns ErrOil when a point is
// out of range, or when the hotter one is not the thinner. Source: ASTM D341.
func NewLine(p, q Point) (Line, error) {
	for _, point := range []Point{p, q} {
		if err := errors.Join(checkC("c", point.C, minC, maxC), checkCSt("cst", point.CSt)); err != nil {
			return Line{}, err
		}
	}
	if p.C > q.C {
		p, q = q, p
	}
	if p.C == q.C || p.CSt <= q.CSt {
		return Line{}, fmt.Errorf("%w: found %v cSt at %v C and %v cSt at %v C, expected the hotter to be thinner",
			ErrOil, p.CSt, p.C, q.CSt, q.C)
	}
	x, y := math.Log10(p.C+kelvin), math.Log10(q.C+kelvin)
	b := (wOf(p.CSt) - wOf(q.CSt)) / (y - x)
	return Line{A: wOf(p.CSt) + b*x, B: b, coldC: p.C, warmC: q.C}, nil
}

// At returns the viscosity in cSt at c degrees Celsius, and whether that lies outside the
// two measured points. It returns ErrOil when c is out of range, or so cold that the line
// leaves all numbers.
func (l Line) At(c float64) (cst float64, extrapolated bool, err error) {
	if err := checkC("c", c, minC, maxC); err != nil {
		return 0, false, err
	}
	cst = cstOf(l.A - l.B*math.Log10(c+kelvin))
	if math.IsNaN(cst) || cst > maxAnswer {
		return 0, true, fmt.Errorf("%w: found no viscosity at %v C on the line through %v and %v C, expected a c nearer to them",
			ErrOil, c, l.coldC, l.warmC)
	}
	return cst, c < l.coldC || c > l.warmC, nil
}

// maxAnswer is the thickest viscosity an extrapolation may answer; beyond, it is glass.
const maxAnswer = 1e15

// wOf returns W = log10 log10 Z of a viscosity, by the full form of ASTM D341.
func wOf(cst float64) float64 {
	z := cst + shift + math.Exp(-1.47-1.84*cst-0.51*cst*cst)
	return math.Log10(math.Log10(z))
}

// cstOf returns the viscosity of a W, by the full inverse form of ASTM D341. The two
// forms are fits of one another: there and back is within 0.1 % above 2 cSt, and within
// 3 % at 0.3.
func cstOf(w float64) float64 {
	u := math.Pow(10, math.Pow(10, w)) - shift
	// The correction is for thin oils; its cubic runs away to +Inf only below u = 0.
	return u - math.Exp(-0.7487-3.295*u+0.6119*u*u-0.3193*u*u*u)
}

func checkCSt(field string, cst float64) error {
	if !(cst >= minCSt && cst <= maxCSt) {
		return fmt.Errorf("%w: %s: found %v, expected %v to %v cSt", ErrOil, field, cst, minCSt, maxCSt)
	}
	return nil
}

func checkC(field string, c, least, most float64) error {
	if !(c >= least && c <= most) {
		return fmt.Errorf("%w: %s: found %v, expected %v to %v C", ErrOil, field, c, least, most)
	}
	return nil
}

func checkAmount(field string, amount float64) error {
	if !(amount >= 0 && amount <= 1e9) {
		return fmt.Errorf("%w: %s: found %v, expected 0 to 1e9", ErrOil, field, amount)
	}
	return nil
}
