// Package reorder answers: which sheets does a person print, send and file to move and
// to order what a season needs?
//
// Method: a front sheet lists the orders by the day they must be out, each with a word
// that says how urgent it is, so that a black and white print says it too; what cannot
// come in time stands on it with the ways out, and what was left out and why. Then a
// sheet for whoever drives the van, one sheet a supplier that can be sent as it is, each
// order on a page of its own, and last the reasons, which are nobody's business but
// ours. Amounts and totals are formulas, so that a pack struck out on a laptop changes
// them; the values are written beside, for readers that do not reckon.
// Source: the project's own layout; common practice of race teams (from memory).
// Limits: it renders a planner/order result and decides nothing.
package reorder
