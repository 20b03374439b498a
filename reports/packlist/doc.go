// Package packlist answers: which sheets does a person print to pack for a trip?
//
// Method: a front sheet says how ready the trip is, what is short and what weighs what;
// then by air one sheet a case, so that each lies in its case, and by truck one sheet for
// all drawers, under a heading each: a drawer holds a few lines, and a page a drawer would
// be a pad of paper for whoever loads. Last come the
// papers of the trip: which list closes when, what rides by UN number, what must not fly,
// what comes home, what is used up, a form for personal things. Masses and rooms are
// totalled by formulas, so that a line struck out on a laptop changes them; the values are
// written beside, for readers that do not reckon. Everything fits the width of A4.
// Source: the project's own layout; common practice of race teams (from memory).
// Limits: it renders a planner/load result and decides nothing. It is an aid: the scale,
// the carrier and the customs agent decide.
package packlist
