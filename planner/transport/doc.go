// Package transport answers: what do the codes on a package say, and does what rides in
// the truck stay under the limits of the road rules?
//
// Method: GS1 check digits; the points of ADR 1.1.3.6 in decimal arithmetic, so that a
// load of exactly 1000 is told from one just above.
//
// Source: GS1 General Specifications; ADR 1.1.3.6.3 and 1.1.3.6.4 (2023 text).
//
// Limits: a packing aid for the person responsible, never a clearance. The safety data
// sheet (section 14), the rules in force where you drive, the carrier and a qualified
// dangerous-goods safety adviser decide. The rules change every odd year.
package transport
