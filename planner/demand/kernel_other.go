//go:build !amd64 || purego

package demand

// hasFour: elsewhere the plain Go loop is used.
const hasFour = false

func addFourAVX(_, _ *float64, _ int, _ *[4]float64) {}
