package oil

import (
	"fmt"
	"math"
)

const (
	minDensity, maxDensity = 800, 1164 // kg/m3 at 15 C, the range of table 54D
	minVolumeC, maxVolumeC = -50, 150
	expansionK             = 0.6278 // kg/m3 per C, of lubricating oils (table 54D)
)

// Density is the density of one oil, in kg/m3 at 15 C. Make it with NewDensity or
// ObservedDensity.
type Density struct{ at15 float64 }

// NewDensity takes a density at 15 C, in kg/m3. It returns ErrOil outside 800 to 1164.
func NewDensity(at15 float64) (Density, error) {
	if !(at15 >= minDensity && at15 <= maxDensity) {
		return Density{}, fmt.Errorf("%w: density15: found %v, expected %d to %d kg/m3", ErrOil, at15, minDensity, maxDensity)
	}
	return Density{at15}, nil
}

// ObservedDensity takes a density in kg/m3 measured at c degrees Celsius and solves table
// 54D for the density at 15 C. It returns ErrOil when c is outside -50 to 150 or the
// density at 15 C would be outside 800 to 1164.
func ObservedDensity(density, c float64) (Density, error) {
	if err := checkC("density_c", c, minVolumeC, maxVolumeC); err != nil {
		return Density{}, err
	}
	// The density at c rises with the one at 15 C (its logarithm has the slope
	// (1 + x + 1.6 x^2)/rho, always above 0), so halving finds the only solution.
	low, high := Density{minDensity}, Density{maxDensity}
	if least, most := low.at(c), high.at(c); !(density >= least && density <= most) {
		return Density{}, fmt.Errorf("%w: density: found %v at %v C, expected %.1f to %.1f kg/m3 (%d to %d at 15 C)",
			ErrOil, density, c, least, most, minDensity, maxDensity)
	}
	for {
		middle := Density{(low.at15 + high.at15) / 2}
		if middle.at15 <= low.at15 || middle.at15 >= high.at15 {
			break // neighbouring floats
		}
		if middle.at(c) < density {
			low = middle
		} else {
			high = middle
		}
	}
	if density-low.at(c) < high.at(c)-density {
		return low, nil
	}
	return high, nil
}

// At15 returns the density at 15 C in kg/m3.
func (d Density) At15() float64 { return d.at15 }

// At returns the density in kg/m3 at c degrees Celsius, and the factor that brings a
// volume at c to 15 C. It returns ErrOil when c is outside -50 to 150.
func (d Density) At(c float64) (density, factor float64, err error) {
	if err := checkC("c", c, minVolumeC, maxVolumeC); err != nil {
		return 0, 0, err
	}
	return d.at(c), d.factor(c), nil
}

// Millilitres returns the volume in ml at c degrees Celsius of a mass in grams.
func (d Density) Millilitres(grams, c float64) (float64, error) {
	density, _, err := d.At(c)
	if err == nil {
		err = checkAmount("grams", grams)
	}
	if err != nil {
		return 0, err
	}
	return grams / density * 1000, nil
}

// Grams returns the mass in grams of a volume in ml at c degrees Celsius. Air buoyancy
// (0.1 %) is left out: it is below the error of a workshop scale.
func (d Density) Grams(millilitres, c float64) (float64, error) {
	density, _, err := d.At(c)
	if err == nil {
		err = checkAmount("ml", millilitres)
	}
	if err != nil {
		return 0, err
	}
	return millilitres * density / 1000, nil
}

func (d Density) at(c float64) float64 { return d.at15 * d.factor(c) }

// factor is exp(-x (1 + 0.8 x)), x = a (t - 15), a = K/rho (API MPMS 11.1).
func (d Density) factor(c float64) float64 {
	x := expansionK / d.at15 * (c - 15)
	return math.Exp(-x * (1 + 0.8*x))
}
