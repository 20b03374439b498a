// Package ledger answers: what does a record do to the book?
//
// Method: records are taken in the order they happened. Each becomes an entry with
// movements; a movement takes a quantity of one lot (and tag) from one place to
// another, so what all places hold of a lot always sums to zero. A count fixes the
// book at its own minute: what its scope held too much or too little goes to or
// comes from "count difference", and a record that arrives after a later count does
// not take the same thing off twice. What people say they used is always recorded;
// what the book did not have is posted as found.
//
// Source: the team's stores rules (common practice of a stores ledger kept by
// counting; DeHoratius and Raman 2008 on why books drift). Limits: one season's
// records at a time; prices are not its business.
package ledger
