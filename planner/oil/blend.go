package oil

import "fmt"

// Share is one oil of a blend: its viscosity in cSt, all oils at the same temperature,
// and its volume in any unit, the same for all.
type Share struct{ CSt, Volume float64 }

// Blend returns the viscosity in cSt of a mix. It returns ErrOil when an oil is out of
// range or the volumes are all 0. Source: ASTM D7152, volume fractions. An estimate for
// polymer-thickened oils; mix only what the makers allow.
func Blend(oils []Share) (cst float64, err error) {
	var total float64
	for i, o := range oils {
		if err := checkCSt(fmt.Sprintf("oils[%d].cst", i), o.CSt); err != nil {
			return 0, err
		}
		if err := checkAmount(fmt.Sprintf("oils[%d].volume", i), o.Volume); err != nil {
			return 0, err
		}
		total += o.Volume
	}
	if total == 0 {
		return 0, fmt.Errorf("%w: oils: found no volume at all, expected at least one above 0", ErrOil)
	}
	var w float64
	for _, o := range oils {
		w += o.Volume / total * wOf(o.CSt)
	}
	return cstOf(w), nil
}

// Mix is how much of two oils makes a volume of the viscosity wanted.
type Mix struct {
	LightFraction float64 // of the volume, 0 to 1
	Light, Heavy  float64 // volumes, in the unit of the volume asked for
}

// Target is what a mix of two oils shall reach: viscosities in cSt at one temperature,
// and the volume wanted in any unit.
type Target struct{ Light, Heavy, Target, Volume float64 }

// BlendTo returns the mix of a lighter and a heavier oil that reaches a viscosity. It
// returns ErrOil when the light one is not the lighter, or the target not between them
// (their own viscosities included). Source and caution as Blend.
func BlendTo(t Target) (Mix, error) {
	for _, v := range []struct {
		field string
		cst   float64
	}{{"light", t.Light}, {"heavy", t.Heavy}, {"target", t.Target}} {
		if err := checkCSt(v.field, v.cst); err != nil {
			return Mix{}, err
		}
	}
	if err := checkAmount("volume", t.Volume); err != nil {
		return Mix{}, err
	}
	if t.Light >= t.Heavy {
		return Mix{}, fmt.Errorf("%w: light: found %v, expected less than heavy (%v)", ErrOil, t.Light, t.Heavy)
	}
	if t.Target < t.Light || t.Target > t.Heavy {
		return Mix{}, fmt.Errorf("%w: target: found %v, expected %v to %v: a blend cannot leave its oils", ErrOil, t.Target, t.Light, t.Heavy)
	}
	span := wOf(t.Heavy) - wOf(t.Light)
	if span <= 0 { // neighbouring floats
		return Mix{}, fmt.Errorf("%w: heavy: found %v, expected it further from light (%v)", ErrOil, t.Heavy, t.Light)
	}
	light := min(max((wOf(t.Heavy)-wOf(t.Target))/span, 0), 1)
	return Mix{light, light * t.Volume, (1 - light) * t.Volume}, nil
}
