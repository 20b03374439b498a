// Package check answers: does the planner give what the published record says?
//
// Method: every calculation of the planner can be called by name with plain JSON inputs.
// A case is one JSON object a line,
//
//	{"id":"..","calc":"poisson","in":{"mean":2,"x":[0]},"want":{"pmf":[0.1353]},"tol":5e-5,"source":".."}
//
// and passes when each field that want names agrees: a number when |got - want| is at
// most tol x max(1, |want|) (tol is 1e-9 unless given), text and true or false exactly,
// null when the field is null or absent, a list entry by entry at the same length.
// {"error":true} wants the input refused. Inputs are read strictly: an unknown or missing
// field, a wrong type, a count that is not whole, a number out of its range are refused
// in one line that names the field, what was found and what was expected.
//
// Limits: a line of at most MaxLine bytes; a distribution that would not fit in memory, or
// take minutes, is refused with its size. Nothing here computes: the numbers are those of
// the packages it calls.
package check
