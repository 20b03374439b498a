// Package ledger answers: what does a record do to the book?
//
// Method: records are taken in the order they happened. Each becomes an entry with
// movements; a movement takes a quantity of one lot (and tag) from one place to
// another, so what all places hold of a lot always sums to zero. A count fixes the
// book at its own minute: what its scope held too much or too little goes to or
// comes from "count difference", and a record that arrives after a later count does
// not take the same thing off twice. A use that arrives late takes what is still there,
// in the order of its own minute. What people say they used is always recorded; what the
// part as a whole does not have there is posted as found.
//
// Saved and brought back: a decision is made once. It depends on what had arrived before it, so
// rows alone cannot make it again: of two records at one minute, of a late job before a count, of
// an undo across one, the order of arrival decides. A saved season therefore gives every record
// its number of arrival, and every movement has a row: those of a job in job-parts, the rest in
// movements, with the undo of a job, the undo of what moved nothing and a case that was moved.
// What has a number is taken as it was booked (restore): nothing is chosen, found or corrected,
// and numbers that do not go on where the ledger ends are refused. What has none is new and is
// decided upon. A season whose rows alone bring it back is saved without numbers (Unnumbered).
//
// Source: the team's stores rules (common practice of a stores ledger kept by
// counting; DeHoratius and Raman 2008 on why books drift). Limits: one season's
// records at a time; prices are not its business.
package ledger
