// Package units answers: how much is that, in the units the program counts in?
//
// Method: every unit is an exact rational multiple of the base of its kind, so a
// conversion is one multiplication of rationals (math/big) and loses nothing. What
// people type becomes a whole number of base units (pieces, microlitres, milligrams)
// at once and stays whole inside the program; it is rounded only where a unit of
// another system (ounce, pound, US or UK measures) does not come out whole, once, half
// to even. Showing rounds again, and never feeds back.
//
// Source: NIST SP 811 (2008), appendix B: the inch is 25.4 mm, the pound 0.45359237 kg,
// standard gravity 9.80665 m/s2, the US gallon 231 cubic inches; UK Weights and Measures:
// the gallon is 4.54609 l. Ties to even: ISO 80000-1 (from memory).
//
// Limits: a fluid ounce, quart or gallon must say US or UK; a bare "oz" is mass. Nothing
// here knows density: mass to volume is the question of planner/oil.
package units
