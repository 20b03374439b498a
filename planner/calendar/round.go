package calendar

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/day"
)

// Over reports whether nothing more can be done at the round: its last day has ended.
func Over(r planner.Round, asOf day.Day) bool { return asOf >= r.LastOn }

// RidingDays returns how many days of the round are ridden: the last so many.
func RidingDays(r planner.Round) int {
	all := int(r.LastOn-r.FirstOn) + 1
	if r.RidingDays == nil {
		return all
	}
	return min(*r.RidingDays, all)
}

// RidingDaysLeft returns how many of them come after the end of the day.
func RidingDaysLeft(r planner.Round, asOf day.Day) int {
	return max(0, min(RidingDays(r), int(r.LastOn-asOf)))
}

// WetChance returns the chance, 0 to 1, that the round is wet, as it is known at
// the end of the day: what was seen replaces it from the end of the day it was
// seen on (a weather without that day is taken as known). It returns an error for
// a chance outside 0 to 100 %.
func WetChance(r planner.Round, asOf day.Day) (wet float64, seen bool, err error) {
	if r.Weather != "" && (r.WeatherSeenOn == nil || *r.WeatherSeenOn <= asOf) {
		switch r.Weather {
		case "dry":
			return 0, true, nil
		case "wet":
			return 1, true, nil
		}
		return 0, false, fmt.Errorf("round %s: weather: found %q, expected dry or wet", r.Code, r.Weather)
	}
	if r.WetChancePercent == nil {
		return 0, false, nil
	}
	percent := r.WetChancePercent.InexactFloat64()
	if !(percent >= 0 && percent <= 100) {
		return 0, false, fmt.Errorf("round %s: wet chance: found %v %%, expected 0 to 100", r.Code, percent)
	}
	return percent / 100, false, nil
}

// Rough returns the factor that the round puts on the exposure to unplanned jobs.
func Rough(r planner.Round) float64 {
	if r.RoughFactor == nil {
		return 1
	}
	return r.RoughFactor.InexactFloat64()
}

// Travels reports whether an assembly is on the trip: by air only what the plan
// says goes by air, else all.
func Travels(a planner.Assembly, t Trip) bool {
	return t.GoesBy != Air || a.GoesByAir != nil && *a.GoesByAir
}

// Bikes returns how many bikes are ridden at once at the round: the plan's number,
// else all that travel.
func Bikes(r planner.Round, t Trip, assemblies []planner.Assembly, kindOf map[string]string) int {
	if r.Bikes != nil {
		return *r.Bikes
	}
	n := 0
	for _, a := range assemblies {
		if kindOf[a.Model] == "bike" && Travels(a, t) {
			n++
		}
	}
	return n
}

// Exposure returns the bike-days still to be ridden at the round after the end of
// the day, times the rough factor (not the wet one, which is the service's own).
func Exposure(r planner.Round, t Trip, asOf day.Day, assemblies []planner.Assembly, kindOf map[string]string) float64 {
	return float64(Bikes(r, t, assemblies, kindOf)*RidingDaysLeft(r, asOf)) * Rough(r)
}
