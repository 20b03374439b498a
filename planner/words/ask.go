package words

import (
	"roundkit/planner/near"
)

// Part reads the words that name one part, in a question about it.
func (b *Bench) Part(line string) (code string, r Reading) {
	rd := &reader{b: b, toks: lex(line), fitting: map[string]fits{}}
	which, to := rd.longest(&b.parts, 0)
	if len(rd.toks) == 1 && isRate(rd.toks[0].unit) || len(rd.toks) == 1 && rd.toks[0].unit == "cSt" {
		which, to = rd.measured(rd.toks[0]), 1
	}
	if len(rd.toks) == 1 && len(which) == 0 && rd.toks[0].plain() {
		which, to = rd.measured(rd.toks[0]), 1
	}
	switch n := len(rd.toks); {
	case n == 0:
		rd.fault("found nothing, expected a part")
	case len(which) == 0:
		if meant := b.parts.nearest(rd.toks[0].text); len(meant) > 0 {
			rd.ask(0, n, b.parts.choices(meant), "no part %s; did you mean", rd.text(0, n))
			break
		}
		rd.fault("%s", near.MissNamed("part", rd.text(0, n), b.parts.near()))
	case to < n:
		rd.fault("found %q behind %s, expected one part", rd.text(to, n), b.parts.all[which[0]].code)
	case len(which) > 1:
		rd.ask(0, n, b.parts.choices(which), "found %q, which could be", rd.text(0, n))
	default:
		code = b.parts.all[which[0]].code
	}
	return code, rd.reading()
}

// Asked is what a question about jobs is about: a service or all (""), and the forks, shocks
// and bikes named that it is done on.
func (b *Bench) Asked(line string) (service string, forks []string, r Reading) {
	rd := &reader{b: b, toks: lex(line), fitting: map[string]fits{}}
	services, sFrom, sTo := rd.services()
	which, fFrom, fTo := rd.forks()
	if len(services) > 1 && len(which) > 0 {
		if narrowed := rd.servicesOn(services, which); len(narrowed) > 0 {
			services = narrowed
		}
	}
	switch {
	case len(rd.faults) > 0:
		return "", nil, rd.reading()
	case len(services) > 1:
		rd.ask(sFrom, sTo, b.services.choices(services), "found %q, which could be", rd.text(sFrom, sTo))
		return "", nil, rd.reading()
	}
	if i := rd.leftOver(); i >= 0 {
		noun, x := "service", &b.services
		if len(services) > 0 {
			noun, x = "fork, shock or bike", &b.forks
		}
		rd.fault("%s", near.MissNamed(noun, rd.toks[i].text, x.near()))
		return "", nil, rd.reading()
	}
	if len(services) == 1 {
		service = b.services.all[services[0]].code
	}
	for _, a := range which {
		if len(services) == 0 || b.fits(b.s.Services[services[0]], b.s.Assemblies[a]) {
			forks = append(forks, b.forks.all[a].code)
		}
	}
	if len(which) > 0 && len(forks) == 0 {
		kind := b.s.Services[services[0]].ModelKind
		rd.fault("found %q, a %s, expected a %s: %s is done on one", rd.text(fFrom, fTo), b.kindOf[b.s.Assemblies[which[0]].Model], kind, service)
	}
	return service, forks, rd.reading()
}
