// Package load answers: what is packed for a trip, in which case, within kilos, litres
// and money, and how likely is it to be enough?
//
// Method: a part's need on the trip is its exact distribution (planner/forecast). A part's
// choices are its efficient sets of whole containers (see makeSets): an opened can stays at
// home where the sealed one covers the need. Readiness, the chance that every job of the trip
// can be done, is the product over blocks of parts: the springs of a model (one rider wants
// one rate or the other), a seal kit with its loose parts, a part with its alternatives;
// within a block needs are independent with their own distributions. Beside it stand the
// exact mixture over the weather and a figure drawn job by job.
// The usual load is the least (kilos by air, money first for a truck) whose joint readiness
// reaches the trip's, on the efficient frontier of the product; a limit caps it, and below
// that the product is made as great as the limits allow. By air the containers and the cases
// are chosen in one search (planner/load/solve), which says how far it is from the best. A
// part is left out of what is chosen only where no load gives its block a chance, or the
// limits hold not all that is used for certain; then as few blocks as can be are given up.
// The lines of a case are in the order of putting in, what is needed first on top (see putIn).
// Sources: the product as a lower bound on the joint chance: Esary, Proschan and Walkup,
// Annals of Mathematical Statistics 38 (1967); marginal analysis: Fox, Management Science
// 13 (1966) 210, and Sherbrooke, Optimal Inventory Modeling of Systems; the searches name
// theirs; the rules of packing are common practice of race teams (from memory).
// Limits: what is proven is the product; the joint chance is evaluated on its frontier only.
// Readiness is per trip, confidence per part, and forty parts at 95 % each are
// not a trip at 95 %. What is not known of mass or room counts as nothing and is said.
package load
