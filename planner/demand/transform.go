package demand

import (
	"math"
	"math/bits"
	"math/cmplx"
)

// directLimit is the largest number of products a direct convolution makes
// (about a quarter of a second); beyond it the transform is used.
const directLimit = 1 << 29

// convolveFar convolves by a fast Fourier transform. Its error is absolute, not
// relative: at most transformError(n) of the product of the two Euclidean lengths in
// each entry. Entries below that are set to 0, so none is negative and nothing false is
// reported in the tail. The lengths matter: of a wide distribution they are far below 1,
// and a floor for a length of 1 would take real chances with it.
func convolveFar(x, y PMF) PMF {
	n := len(x.P) + len(y.P) - 1
	size := 1 << bits.Len(uint(n-1))
	z := make([]complex128, size)
	// Two real inputs ride in one complex transform: X as the real part, Y as
	// the imaginary one; their spectra part again by symmetry.
	for i, p := range x.P {
		z[i] = complex(p, 0)
	}
	for i, p := range y.P {
		z[i] += complex(0, p)
	}
	fft(z)
	prod := make([]complex128, size)
	for k := range z {
		a, b := z[k], cmplx.Conj(z[(size-k)&(size-1)])
		prod[k] = cmplx.Conj((a + b) / 2 * (a - b) / complex(0, 2))
	}
	fft(prod)
	out := make([]float64, n)
	floor := transformError(size) * length(x.P) * length(y.P)
	for i := range out {
		if v := real(prod[i]) / float64(size); v > floor {
			out[i] = v
		}
	}
	return PMF{From: x.From + y.From, P: out}
}

// length is the Euclidean length.
func length(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// transformError bounds the error of an entry of convolveFar, for inputs of length 1: three
// transforms, each with a relative error of at most 6 log2(n) units of rounding
// in the Euclidean norm (Higham, Accuracy and Stability of Numerical
// Algorithms, 2nd ed., theorem 24.2), here with a factor of two to spare.
func transformError(size int) float64 {
	return 36 * float64(bits.Len(uint(size))) * 0x1p-53
}

// fft transforms z in place; the length is a power of two. Each twiddle factor is
// taken from the library rather than by a recurrence, which would lose digits.
func fft(z []complex128) {
	n := len(z)
	shift := 64 - uint(bits.Len(uint(n-1)))
	for i := 1; i < n; i++ {
		if j := int(bits.Reverse64(uint64(i)) >> shift); j > i {
			z[i], z[j] = z[j], z[i]
		}
	}
	w := make([]complex128, n/2)
	for k := range w {
		s, c := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		w[k] = complex(c, s)
	}
	for half := 1; half < n; half *= 2 {
		stride := n / (2 * half)
		for start := 0; start < n; start += 2 * half {
			for k := 0; k < half; k++ {
				a, b := z[start+k], z[start+k+half]*w[k*stride]
				z[start+k], z[start+k+half] = a+b, a-b
			}
		}
	}
}
