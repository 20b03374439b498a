// Package transport answers: what do the codes on a package say, does what rides in the
// truck stay under the limits of the road rules, what of it must not fly, and which lists
// does customs want?
//
// Method: GS1 check digits; the points of ADR 1.1.3.6 in decimal arithmetic, so that a
// load of exactly 1000 is told from one just above; a dated table of the substances a race
// truck meets; returnable goods apart from what is used up, each in the columns its list
// has. A number that the table does not know, and a cell that a list may not leave blank,
// are named, never guessed.
//
// Source: GS1 General Specifications; ADR 1.1.3.6.3, 1.1.3.6.4 and 3.4 (2023 text), table
// A (2017 text, data sheets agree); carriers' and authorities' pages on air; the general
// list of the ATA carnet (Istanbul Convention); the Harmonized System, Section XVII note 2.
//
// Limits: a packing aid for the person responsible, never a clearance. The safety data
// sheet (section 14), the rules in force where you drive or fly, the carrier and a
// qualified dangerous-goods safety adviser decide; for the lists the customs agent does.
// Goods without a UN number count as not dangerous: whether that is right the data sheet
// says. Uncleaned empty packagings are not counted. The rules change every odd year on the
// road and every year in the air: each set says its days.
package transport
