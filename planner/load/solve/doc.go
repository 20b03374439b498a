// Package solve answers: which one option of each item gives the most within limits, and
// how far can it be from the best? It knows numbers only: items, options, rows, cases with
// limits. What they stand for is the caller's.
//
// Method: see Problem.Solve and Packing.Solve; each search names its source.
// Limits: a search that ends early (its effort, its context) returns the best so far and a
// bound that is still true.
package solve
