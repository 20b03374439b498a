// Package load answers: what is packed for a trip, in which case, within kilos, litres
// and money, and how likely is it to be enough?
//
// Method: a part's need on the trip is its exact distribution (planner/forecast). What
// may be had by pack day is ordered as it would be used: opened bottles first, then the
// earliest expiry and the oldest receipt; what is packed of a part is a prefix of that
// order, in whole containers. The usual load reaches the confidence for each part.
// Readiness, the chance that every job of the trip can be done, is the product over
// blocks of parts: the springs of a model (one rider wants one rate or the other), a
// seal kit with its loose parts, a part with its alternatives; within a block needs are
// independent with their own distributions. Beside it stands a figure drawn job by job.
// Where a limit binds, or a readiness is asked for, the load is the best there is: each
// block's loads are options of a multiple-choice knapsack, the Lagrangian bound (which is
// that of the concave hulls of ln F) proves how far it may be from the best, and a search
// of the minimal core closes what the bound leaves open (see problem.solve). What cannot
// reach the confidence, for stock or for a limit, is packed as far as it goes, listed
// short and left out of what is optimised. Of a part the numbers of containers at which
// its own chance rises are weighed.
// Cases are filled part by part within their kilos, litres and what they are kept apart
// from, in as few cases as can be found; the lines of a case are in the order of putting
// in, what is needed first on top (see putIn).
// Sources: the product as a lower bound on the joint chance: Esary, Proschan and Walkup,
// Annals of Mathematical Statistics 38 (1967); marginal analysis: Fox, Management Science
// 13 (1966) 210, and Sherbrooke, Optimal Inventory Modeling of Systems; the searches name
// theirs; the rules of packing are common practice of race teams (from memory).
// Limits: by air the empty cases come in steps, so the bound of a load that had to be
// fitted to its cases is not tight. Readiness is per trip, confidence per part, and forty parts at 95 % each are
// not a trip at 95 %. What is not known of mass or room counts as nothing and is said.
package load
