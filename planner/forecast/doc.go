// Package forecast answers: what will the coming rounds use of each part, and is
// what we have enough?
//
// Method: what is left to do at each round as of a day (planned less logged jobs,
// and the bike-days still to be ridden for jobs that nobody plans) is combined with
// what each service uses, part by part, into the exact distribution of the need
// (planner/demand; springs: the most wanted at the same time). It is set against
// what is on hand and on order, at the confidence wanted for each part. Everything
// read from the plan is exact; numbers become floats only as chances and amounts on
// a part's grid.
// Sources: the methods of planner/demand; the rules of what counts as left, on hand
// and on order are common practice of race teams (from memory).
// Limits: the figures are per part, and forty parts at 95 % each are not a trip at
// 95 %: that is Readiness. A forecast for one round reserves nothing for others.
package forecast
