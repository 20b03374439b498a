package check

import (
	"roundkit/planner/oil"
)

// Ranges of the oil calculations: kinematic viscosity in cSt, temperature in C.
var (
	cst      = bound{least: 0.3, most: 1e6}
	lineC    = bound{least: -60, most: 250}
	volumeC  = bound{least: -50, most: 150}
	density  = bound{least: 800, most: 1164}
	observed = bound{least: 0, most: 1e5, openLow: true} // its real limits depend on density_c
)

func oilCalcs() []Calc {
	return []Calc{
		{
			Name: "viscosity", About: "viscosity at a temperature on the line through two points (ASTM D341)",
			In:  []Field{need("points", "two of {c: -60 to 250 C, cst: 0.3 to 1e6}, the hotter the thinner"), need("c", "-60 to 250 C")},
			Out: []Field{need("cst", "cSt at c"), need("a", "of W = a - b log10(c + 273.15)"), need("b", "of the same"), need("extrapolated", "c is outside the points")},
			run: runViscosity,
		},
		{
			Name: "viscosity-index", About: "viscosity index (ASTM D2270)",
			In:  []Field{need("cst40", "cSt at 40 C, above cst100"), need("cst100", "cSt at 100 C, 2 to 1e6")},
			Out: []Field{need("index", "unrounded"), need("l", "cSt at 40 C of index 0"), need("h", "cSt at 40 C of index 100")},
			run: runViscosityIndex,
		},
		{
			Name: "iso-grade", About: "viscosity grade of ISO 3448",
			In:  []Field{need("cst40", "cSt at 40 C, 0.2 to 1e5")},
			Out: []Field{need("grade", "number, or null between grades"), may("min", "cSt, included"), may("max", "cSt, included")},
			run: runGrade,
		},
		{
			Name: "blend", About: "viscosity of a mix at one temperature (ASTM D7152)",
			In:  []Field{need("oils", "list of {cst: 0.3 to 1e6, volume: 0 or more}, not all 0")},
			Out: []Field{need("cst", "cSt of the mix")},
			run: runBlend,
		},
		{
			Name: "blend-target", About: "how much of two oils makes a viscosity (ASTM D7152)",
			In:  []Field{need("light", "cSt, less than heavy"), need("heavy", "cSt"), need("target", "cSt, from light to heavy"), need("volume", "0 or more, any unit")},
			Out: []Field{need("light_fraction", "0 to 1"), need("light", "volume"), need("heavy", "volume")},
			run: runBlendTarget,
		},
		{
			Name: "volume", About: "density, grams and millilitres of a lubricating oil at a temperature (API MPMS 11.1, table 54D)",
			In: []Field{
				need("c", "-50 to 150 C"), may("density15", "kg/m3 at 15 C, 800 to 1164; or density and density_c"),
				may("density", "kg/m3 as measured"), may("density_c", "-50 to 150 C, of density"),
				may("grams", "0 or more; grams or ml or neither"), may("ml", "0 or more"),
			},
			Out: []Field{need("density15", "kg/m3 at 15 C"), need("factor", "volume at 15 C of a volume at c"), need("density", "kg/m3 at c"), may("grams", "with grams or ml"), may("ml", "with grams or ml")},
			run: runVolume,
		},
	}
}

func runViscosity(in *input) (output, error) {
	var points []oil.Point
	for _, p := range in.insides("points") {
		points = append(points, oil.Point{C: p.number("c", lineC), CSt: p.number("cst", cst)})
		p.close()
	}
	if n, ok := in.node.get("points"); ok && n.kind == list && len(points) != 2 {
		in.refuse("points", n.shown(), "a list of 2")
	}
	c := in.number("c", lineC)
	if err := in.ready(); err != nil {
		return nil, err
	}
	line, err := oil.NewLine(points[0], points[1])
	if err != nil {
		return nil, err
	}
	at, extrapolated, err := line.At(c)
	if err != nil {
		return nil, err
	}
	return output{"cst": at, "a": line.A, "b": line.B, "extrapolated": extrapolated}, nil
}

func runViscosityIndex(in *input) (output, error) {
	cst40, cst100 := in.number("cst40", cst), in.number("cst100", cst)
	if err := in.ready(); err != nil {
		return nil, err
	}
	index, err := oil.ViscosityIndex(cst40, cst100)
	if err != nil {
		return nil, err
	}
	return output{"index": index.Value, "l": index.L, "h": index.H}, nil
}

func runGrade(in *input) (output, error) {
	cst40 := in.number("cst40", bound{least: 0.2, most: 1e5})
	if err := in.ready(); err != nil {
		return nil, err
	}
	grade, found, err := oil.GradeOf(cst40)
	if err != nil {
		return nil, err
	}
	if !found {
		return output{"grade": nil, "min": nil, "max": nil}, nil
	}
	return output{"grade": grade.Number, "min": grade.Min, "max": grade.Max}, nil
}

func runBlend(in *input) (output, error) {
	var oils []oil.Share
	for _, o := range in.insides("oils") {
		oils = append(oils, oil.Share{CSt: o.number("cst", cst), Volume: o.number("volume", amount)})
		o.close()
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	mixed, err := oil.Blend(oils)
	if err != nil {
		return nil, err
	}
	return output{"cst": mixed}, nil
}

func runBlendTarget(in *input) (output, error) {
	target := oil.Target{
		Light: in.number("light", cst), Heavy: in.number("heavy", cst),
		Target: in.number("target", cst), Volume: in.number("volume", amount),
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	mix, err := oil.BlendTo(target)
	if err != nil {
		return nil, err
	}
	return output{"light_fraction": mix.LightFraction, "light": mix.Light, "heavy": mix.Heavy}, nil
}

func runVolume(in *input) (output, error) {
	c := in.number("c", volumeC)
	at15 := in.numberOr("density15", density, 0)
	measured := in.numberOr("density", observed, 0)
	measuredC := in.numberOr("density_c", volumeC, 0)
	grams := in.numberOr("grams", amount, 0)
	ml := in.numberOr("ml", amount, 0)
	switch {
	case in.has("density15") && (in.has("density") || in.has("density_c")):
		in.refuse("density15", "it with density or density_c", "density15 alone, or density with density_c")
	case !in.has("density15") && !in.has("density") && !in.has("density_c"):
		in.refuse("density15", "nothing", "it, or density with density_c")
	case in.has("density") != in.has("density_c"):
		in.refuse("density_c", "density or density_c alone", "both")
	}
	if in.has("grams") && in.has("ml") {
		in.refuse("grams", "it and ml", "one of them or neither")
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	of, err := oil.NewDensity(at15)
	if in.has("density") {
		of, err = oil.ObservedDensity(measured, measuredC)
	}
	if err != nil {
		return nil, err
	}
	at, factor, err := of.At(c)
	if err != nil {
		return nil, err
	}
	out := output{"density15": of.At15(), "factor": factor, "density": at}
	switch {
	case in.has("grams"):
		ml, err = of.Millilitres(grams, c)
		out["grams"], out["ml"] = grams, ml
	case in.has("ml"):
		grams, err = of.Grams(ml, c)
		out["grams"], out["ml"] = grams, ml
	}
	return out, err
}
