// Package order answers: what must be moved or ordered, from where, how much, and by
// what date?
//
// Method: the trips of the rest of the season and their top-ups are walked in date
// order. What has to be there by a pack or top-up date is the confidence quantile of
// the need of all trips up to it, not the sum of their quantiles: a wet round and a dry
// one make up for each other. From it is taken what is on hand and still good, and what
// is on its way to a place that helps in time; stock that expires between two trips
// serves only the first, so every stretch of trips is checked for itself. Loads that
// are away at a pack date serve nobody else: their own quantile is added. Springs come
// back, so for them it is the most wanted at once on the trip, and the breakage so far.
// A trip under way has what is with it; what is short is moved from where its top-up
// comes from, before anything is bought. What is left is bought in whole packs at the
// first-choice offer, free packs of an allocation first, so that it arrives within its
// lead time at the 95 % point, our own handling days before it is needed.
// Which needs of one supplier share an order is what costs the least in all: goods,
// carriage, fees, keeping what comes early, and what of it is likely bought in vain. It is
// the cheapest of the best orders of neighbouring days (a shortest path) and what the joint
// search finds (Joint), which also proves below what no plan is (Compared, bound.go).
//
// Sources: netting of needs against stock, common practice; lot sizes, Wagner and Whitin
// 1958; the others are named where they are used.
// Limits: the confidence is per part and trip, not over all of them at once. A lead
// time is a number of days, its 95 % point. Where stock expires, the quantiles of the
// two stretches are compared, not their joint distribution. Supplier
// and place are chosen part by part, before the orders are. Seal kits are not opened by the
// plan; that is named as a remedy.
package order
