package demand

import "math"

// The incomplete gamma and beta functions and their inverses, for the quantiles of
// beliefs. Their leading factors are the probabilities of a Poisson and a
// binomial count in Loader's form (Fast and accurate computation of binomial
// probabilities, 2000), which keeps its digits where logarithms of factorials lose
// theirs; the rest is the usual series or continued fraction (Abramowitz and
// Stegun 6.5.29, 6.5.31, 26.5.8), with about the square root of the parameter as
// many terms. Limits: parameters to 1e12; relative accuracy about 1e-12.

// stirlingRest returns ln Gamma(x+1) less Stirling's formula.
func stirlingRest(x float64) float64 {
	if x < 16 {
		if x == 0 {
			return math.Inf(1)
		}
		lg, _ := math.Lgamma(x + 1)
		return lg - (x+0.5)*math.Log(x) + x - 0.5*math.Log(2*math.Pi)
	}
	r := 1 / (x * x)
	return (1./12 - (1./360-(1./1260-(1./1680-(1./1188-691./360360*r)*r)*r)*r)*r) / x
}

// deviance returns x ln(x/m) + m - x without cancellation where x is near m.
func deviance(x, m float64) float64 {
	if x == 0 {
		return m
	}
	if math.Abs(x-m) >= 0.1*(x+m) {
		return x*math.Log(x/m) + m - x
	}
	// With v = (x-m)/(x+m): (x-m) v + 2 x (v^3/3 + v^5/5 + ...)
	v := (x - m) / (x + m)
	sum := (x - m) * v
	term := 2 * x * v
	for j := 3.0; ; j += 2 {
		term *= v * v
		next := sum + term/j
		if next == sum {
			return sum
		}
		sum = next
	}
}

// poissonTerm returns m^x e^-m / Gamma(x+1) for real x >= 0.
func poissonTerm(x, m float64) float64 {
	switch {
	case m == 0 && x == 0:
		return 1
	case m == 0:
		return 0
	case x < 1:
		lg, _ := math.Lgamma(x + 1)
		return math.Exp(x*math.Log(m) - m - lg)
	}
	return math.Exp(-stirlingRest(x)-deviance(x, m)) / math.Sqrt(2*math.Pi*x)
}

// binomialTerm returns Gamma(a+b+1)/(Gamma(a+1) Gamma(b+1)) x^a y^b, y = 1-x.
func binomialTerm(a, b, x, y float64) float64 {
	n := a + b
	switch {
	case x == 0 && a > 0 || y == 0 && b > 0:
		return 0
	case a < 1 || b < 1:
		return math.Exp(-logBetaPlus(a, b) + a*math.Log(x) + b*math.Log(y))
	}
	e := stirlingRest(n) - stirlingRest(a) - stirlingRest(b) - deviance(a, n*x) - deviance(b, n*y)
	return math.Exp(e) * math.Sqrt(n/(2*math.Pi*a*b))
}

// logBetaPlus returns ln [Gamma(a+1) Gamma(b+1) / Gamma(a+b+1)] where a or b is
// small; Gamma(b+1)/Gamma(b+a+1) is taken by Stirling's formula where b is large.
func logBetaPlus(a, b float64) float64 {
	if a > b {
		a, b = b, a
	}
	la, _ := math.Lgamma(a + 1)
	if b < 16 {
		lb, _ := math.Lgamma(b + 1)
		ln, _ := math.Lgamma(a + b + 1)
		return la + lb - ln
	}
	n := a + b
	return la + stirlingRest(b) - stirlingRest(n) - (b+0.5)*math.Log1p(a/b) - a*math.Log(n) + a
}

const (
	fractionEps   = 0x1p-52
	fractionTiny  = 1e-300
	fractionTerms = 100_000_000
)

// incompleteGamma returns P(a, x) and Q(a, x) = 1 - P, each accurate when small.
func incompleteGamma(a, x float64) (lower, upper float64) {
	if x <= 0 {
		return 0, 1
	}
	if math.IsInf(x, 1) {
		return 1, 0
	}
	lead := poissonTerm(a, x)
	if x < a+1 {
		sum, term := 1.0, 1.0
		for n := 1.0; n < fractionTerms; n++ {
			term *= x / (a + n)
			sum += term
			if term < sum*fractionEps {
				break
			}
		}
		lower = min(1, lead*sum)
		return lower, 1 - lower
	}
	// Q = lead a / (x+1-a - 1(1-a)/(x+3-a - 2(2-a)/(x+5-a - ...)))
	b := x + 1 - a
	c, d := 1/fractionTiny, 1/b
	h := d
	for n := 1.0; n < fractionTerms; n++ {
		an := -n * (n - a)
		b += 2
		d = 1 / notZero(an*d+b)
		c = notZero(b + an/c)
		h *= c * d
		if math.Abs(c*d-1) < fractionEps {
			break
		}
	}
	upper = min(1, lead*a*h)
	return 1 - upper, upper
}

func notZero(x float64) float64 {
	if math.Abs(x) < fractionTiny {
		return fractionTiny
	}
	return x
}

// incompleteBeta returns I_x(a, b) and 1 - I, each accurate when small; y = 1-x is
// given too, so that an x near 1 keeps its digits.
func incompleteBeta(a, b, x, y float64) (lower, upper float64) {
	if x <= 0 {
		return 0, 1
	}
	if y <= 0 {
		return 1, 0
	}
	if n, ok := gammaLike(a, b, x); ok {
		return incompleteGamma(a, -n*math.Log1p(-x))
	}
	if n, ok := gammaLike(b, a, y); ok {
		upper, lower = incompleteGamma(b, -n*math.Log1p(-y))
		return lower, upper
	}
	if x > (a+1)/(a+b+2) {
		upper, lower = incompleteBeta(b, a, y, x)
		return lower, upper
	}
	lead := binomialTerm(a, b, x, y) * (b / (a + b))
	c, d := 1.0, 1/notZero(1-(a+b)*x/(a+1))
	h := d
	for m := 1.0; m < fractionTerms; m++ {
		step := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d = 1 / notZero(1+step*d)
		c = notZero(1 + step/c)
		h *= c * d
		step = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d = 1 / notZero(1+step*d)
		c = notZero(1 + step/c)
		h *= c * d
		if math.Abs(c*d-1) < fractionEps {
			break
		}
	}
	lower = min(1, lead*h)
	return lower, 1 - lower
}

const (
	smallChance = 1e-5 // above it the continued fraction keeps its digits
	gammaFar    = 2e5  // with n beyond this times a^1.5 the error a^3/(24 n^2) is below 1e-12
)

// gammaLike reports whether I_x(a, b) is a gamma's P(a, -n ln(1-x)) to all digits wanted,
// n = b + (a-1)/2: a small chance of very many trials, where the continued fraction loses
// digits to cancellation. Source: DiDonato and Morris 1992 (ACM TOMS 18), the leading
// term of their expansion for one large parameter; the next one is a^3/(24 n^2) of it.
func gammaLike(a, b, x float64) (n float64, ok bool) {
	n = b + (a-1)/2
	return n, x < smallChance && n > gammaFar*math.Pow(max(1, a), 1.5)
}

// gammaQuantile returns the x with P(a, x) = q.
func gammaQuantile(a, q float64) float64 {
	t := solve(q, math.Log(a), func(t float64) (lower, upper, slope float64) {
		x := math.Exp(t)
		lower, upper = incompleteGamma(a, x)
		return lower, upper, a * poissonTerm(a, x)
	})
	return math.Exp(t)
}

// betaQuantile returns the x with I_x(a, b) = q.
func betaQuantile(a, b, q float64) float64 {
	t := solve(q, math.Log(a/b), func(t float64) (lower, upper, slope float64) {
		x, y := 1/(1+math.Exp(-t)), 1/(1+math.Exp(t))
		lower, upper = incompleteBeta(a, b, x, y)
		return lower, upper, a * (b / (a + b)) * binomialTerm(a, b, x, y)
	})
	return 1 / (1 + math.Exp(-t))
}

// solveEnd is where the logarithm of a quantile is as good as 0 or infinity.
const solveEnd = 740

// solve finds the t where a rising cdf is q, by Newton's steps from start, kept
// inside a bracket that halves when they do not help. The smaller of the two
// tails is matched, so that extreme quantiles keep their digits.
func solve(q, start float64, cdf func(t float64) (lower, upper, slope float64)) float64 {
	lo, hi := -float64(solveEnd), float64(solveEnd)
	t := max(lo, min(hi, start))
	for i := 0; i < 400 && hi-lo > 1e-15*max(1e-3, math.Abs(t)); i++ {
		lower, upper, slope := cdf(t)
		miss := lower - q
		if q > 0.5 {
			miss = (1 - q) - upper
		}
		switch {
		case miss == 0:
			return t
		case miss > 0:
			hi = t
		default:
			lo = t
		}
		next := t - miss/slope
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if next == t {
			return t
		}
		if math.Abs(next-t) < 1e-15*math.Abs(t) {
			return next
		}
		t = next
	}
	return t
}
