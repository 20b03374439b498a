package frame

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"roundkit/planner/day"
)

// Common names the options that mean the same on every command that has them.
type Common string

// The common options. A command lists those it has.
const (
	Rounds     Common = "round"
	Trip       Common = "trip"
	Season     Common = "season"
	Confidence Common = "confidence"
	At         Common = "at"
	By         Common = "by"
	When       Common = "when"
	Database   Common = "db"
	JSON       Common = "json"
	Out        Common = "out"
	AsOf       Common = "as-of"
	DryRun     Common = "dry-run"
	Replace    Common = "replace"
	All        Common = "all"
)

// Flags returns the named common options, fresh for one run of the program.
func Flags(names ...Common) []cli.Flag {
	usage := map[Common]string{
		Rounds:     "the `ROUND` asked about (may be repeated)",
		Trip:       "the `TRIP` asked about",
		Season:     "the `SEASON`; without it the one that holds today, else the latest",
		Confidence: "the `CHANCE` wanted, of each part, that it does not run short, such as 0.95 or 95%",
		At:         "a `PLACE`, and all that is below it",
		By:         "the `PERSON` who did it; without it ROUNDKIT_PERSON",
		When:       "the `TIME` it was done, such as \"2027-06-05 10:12\"; without it now",
		Database:   "the `NAME` of the database; without it ROUNDKIT_DB",
		JSON:       "print JSON, for machines",
		Out:        "write to `FILE`",
		AsOf:       "what was known at the end of `DATE`, such as 2027-06-05",
		DryRun:     "show what would change, and change nothing",
		Replace:    "write over a file that is there already",
		All:        "print all of it at once, however small the terminal",
	}
	var flags []cli.Flag
	if slices.Contains(names, Out) && !slices.Contains(names, Replace) {
		names = append(slices.Clone(names), Replace)
	}
	has := func(name Common) bool { return slices.Contains(names, name) }
	if has(JSON) && has(Database) && !has(All) && !(has(By) && has(DryRun)) { // no record: a listing
		names = append(slices.Clone(names), All)
	}
	for _, name := range names {
		switch name {
		case Rounds:
			flags = append(flags, &cli.StringSliceFlag{Name: string(name), Usage: usage[name]})
		case JSON, DryRun, Replace, All:
			flags = append(flags, &cli.BoolFlag{Name: string(name), Usage: usage[name]})
		default:
			flags = append(flags, &cli.StringFlag{Name: string(name), Usage: usage[name]})
		}
	}
	return flags
}

// Has reports whether a command has a common option.
func Has(c *cli.Command, option Common) bool {
	return slices.ContainsFunc(c.Flags, func(f cli.Flag) bool { return slices.Contains(f.Names(), string(option)) })
}

// Options are the values of the common options. What was not given is zero; a
// Confidence of zero leaves it to the season.
type Options struct {
	Rounds                 []string
	Trip, Season           string
	Confidence             float64
	At, By, When, Database string
	Out                    string
	JSON, DryRun           bool
	AsOf                   *day.Day
}

// ReadOptions reads and checks the common options; its error is wrong usage and names
// all that is wrong.
func ReadOptions(c *cli.Context) (Options, error) {
	o := Options{JSON: c.Bool(string(JSON)), DryRun: c.Bool(string(DryRun))}
	var faults []error
	wrong := func(name Common, err error) { faults = append(faults, fmt.Errorf("option --%s: %w", name, err)) }

	texts := map[Common]*string{Trip: &o.Trip, Season: &o.Season, At: &o.At, By: &o.By,
		When: &o.When, Database: &o.Database, Out: &o.Out}
	for _, name := range []Common{Trip, Season, At, By, When, Database, Out} {
		if !c.IsSet(string(name)) {
			continue
		}
		*texts[name] = strings.TrimSpace(c.String(string(name)))
		if *texts[name] == "" {
			wrong(name, errors.New("found nothing, expected a value"))
		}
	}
	for _, name := range c.StringSlice(string(Rounds)) {
		if name = strings.TrimSpace(name); name == "" {
			wrong(Rounds, errors.New("found nothing, expected a round"))
			continue
		}
		o.Rounds = append(o.Rounds, name)
	}
	var err error
	if c.IsSet(string(Confidence)) {
		if o.Confidence, err = ParseChance(c.String(string(Confidence))); err != nil {
			wrong(Confidence, err)
		}
	}
	if c.IsSet(string(AsOf)) {
		asOf, err := day.Parse(strings.TrimSpace(c.String(string(AsOf))))
		if err != nil {
			wrong(AsOf, err)
		}
		o.AsOf = &asOf
	}
	if len(faults) > 0 {
		// One line, however many: it is the typing that is wrong, not a file.
		return Options{}, Usagef("%s", strings.ReplaceAll(errors.Join(faults...).Error(), "\n", "; "))
	}
	return o, nil
}

// ParseChance reads a chance strictly between 0 and 1, typed as 0.95 or as 95%.
func ParseChance(text string) (float64, error) {
	trimmed := strings.TrimSpace(text)
	number, percent := strings.CutSuffix(trimmed, "%")
	// A decimal comma is what half of Europe types.
	value, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(number), ",", ".", 1), 64)
	if percent {
		value /= 100
	}
	if err != nil || math.IsNaN(value) || value <= 0 || value >= 1 {
		return 0, fmt.Errorf("found %q, expected a chance above 0 and below 1, such as 0.95 or 95%%", text)
	}
	return value, nil
}

// Arguments checks that a command got the arguments it names, such as "TRIP", "[PART]"
// (may be left out) or "FILE..." (one or more), and returns them.
func Arguments(c *cli.Context, names ...string) ([]string, error) {
	got := c.Args().Slice()
	least, most := 0, len(names)
	for _, name := range names {
		if !strings.HasPrefix(name, "[") {
			least++
		}
		if strings.HasSuffix(strings.TrimSuffix(name, "]"), "...") {
			most = int(^uint(0) >> 1)
		}
	}
	switch {
	case len(got) < least:
		return nil, Usagef("%s: found nothing for %s, expected %s", commandOfContext(c), names[len(got)], strings.Join(names, " "))
	case len(got) > most && len(names) == 0:
		return nil, Usagef("%s: found %q, expected no argument", commandOfContext(c), got[0])
	case len(got) > most:
		return nil, Usagef("%s: found %q left over, expected only %s", commandOfContext(c), got[most], strings.Join(names, " "))
	}
	for i, arg := range got {
		if strings.TrimSpace(arg) == "" {
			return nil, Usagef("%s: found an empty %s", commandOfContext(c), strings.Trim(names[min(i, len(names)-1)], "[]."))
		}
	}
	return got, nil
}

// commandOfContext is the command's name without the program's.
func commandOfContext(c *cli.Context) string {
	return strings.TrimPrefix(c.Command.HelpName, "roundkit ")
}
