// Package series answers: what will a part use whose jobs nobody plans (gloves, rags), seen
// only as what it used month by month or week by week?
//
// Method: half and half of two distributions, both fitted to how well past forecasts of all
// parts in the file would have done (likelihood), with nothing later than the forecast's origin.
//
//  1. A belief by part: its mean is Gamma, updated by what was used, old periods fading (Harvey
//     and Fernandes 1989); what comes is negative binomial with lumps that go by the mean and by
//     how often anything is used, mixed with the part's own past values (belief.go, shape.go).
//  2. A hurdle: the chance that anything is used (logistic) and how much then (negative binomial
//     on one less), regressions over all parts on what was used lately and long ago (hurdle.go).
//
// Croston, SBA and TSB (planner/demand) are here to be measured beside them, with a Poisson or
// negative binomial around their mean. The rule that picks is in forecast.go; the comparison is
// testdata/bench/history, its table in DEVELOPERS.md.
//
// Sources: Harvey, Fernandes, J. Bus. Econ. Stat. 7 (1989) 407; Snyder, Ord, Beaumont, IJF 28
// (2012) 485; Mullahy, J. Econometrics 33 (1986) 341 (hurdle); Croston, Oper. Res. Q. 23 (1972)
// 289; Syntetos, Boylan, IJF 21 (2005) 303; Teunter, Syntetos, Babai, EJOR 214 (2011) 606.
//
// Limits: no season of the year and no trend beyond what fading gives; periods are taken as
// alike; all histories of a file are kept in memory, 4 bytes a period.
package series
