package workbook

import (
	"fmt"

	"roundkit/planner"
)

// Outside are the places beyond our own: stock comes from them and goes to them, and a
// workbook needs no row for them.
var Outside = map[string]bool{
	"supplier": true, "used": true, "scrap": true, "count difference": true,
	"opening": true, "opened kit": true, "relabelled": true,
}

// Complete makes the rows that a blank implies: a round without a trip is its own trip, at
// home, packed by its first day; a place that only stock names is a workshop; stock of a
// tag is of the tag's lot. It returns a line for each. The lots of stock without a lot are
// left to the ledger, which prices them.
func Complete(book *planner.Book) []string {
	return complete(book, func(string) bool { return false })
}

// complete is Complete where some trips are told by the workbook itself and stay so.
func complete(book *planner.Book, told func(trip string) bool) []string {
	notes := homeTrips(book, told)
	notes = append(notes, stockPlaces(book)...)
	lotOf := make(map[string]string, len(book.Tags))
	for _, t := range book.Tags {
		lotOf[t.Code] = t.Lot
	}
	for i := range book.Stock {
		if s := &book.Stock[i]; s.Lot == "" && s.Tag != "" {
			s.Lot = lotOf[s.Tag]
		}
	}
	return notes
}

func homeTrips(book *planner.Book, told func(trip string) bool) []string {
	var notes []string
	at := make(map[string]int, len(book.Trips))
	for i, t := range book.Trips {
		at[t.Code] = i
	}
	for i := range book.Rounds {
		r := &book.Rounds[i]
		j, known := at[r.Code]
		own := r.Trip == "" || r.Trip == r.Code && (!known || book.Trips[j].GoesBy == "home" && !told(r.Code))
		if !own || r.Code == "" {
			continue
		}
		r.Trip = r.Code
		packBy := r.FirstOn
		switch {
		case !known:
			at[r.Code] = len(book.Trips)
			book.Trips = append(book.Trips, planner.Trip{Code: r.Code, Name: r.Name, GoesBy: "home", PackBy: &packBy})
			notes = append(notes, fmt.Sprintf("round %s has no trip: it is a trip of its own, at home, packed by %s", r.Code, packBy))
		case !told(r.Code) && book.Trips[j].GoesBy == "home":
			book.Trips[j].PackBy, book.Trips[j].Name = &packBy, r.Name
		}
	}
	return notes
}

func stockPlaces(book *planner.Book) []string {
	var notes []string
	there := make(map[string]bool, len(book.Places)+len(book.Assemblies))
	for _, p := range book.Places {
		there[p.Code] = true
	}
	for _, a := range book.Assemblies {
		there[a.Code] = true
	}
	for _, s := range book.Stock {
		if s.Place == "" || there[s.Place] || Outside[s.Place] {
			continue
		}
		there[s.Place] = true
		book.Places = append(book.Places, planner.Place{Code: s.Place, Kind: "workshop"})
		notes = append(notes, fmt.Sprintf("place %s is named by stock alone: it is made, kind workshop", s.Place))
	}
	return notes
}
