// Package screen answers: how does a result look to a person at a terminal?
//
// Method: the first line is the answer in words; a table that fits the width follows.
// Quantities are said as a mechanic says them. Source: the project's own words. Limits:
// it reckons nothing.
package screen
