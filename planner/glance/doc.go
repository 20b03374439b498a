// Package glance answers: what does somebody at the bench want to see at once? Who rides
// what and what was done to it last; what a service uses; where a part is and who had it
// last; what lies in which drawer; how the evening stands.
//
// Method: looked up and added up from the season's snapshot, the log and a part's history;
// nothing is reckoned here that another package reckons. Source: common practice of race
// teams (from memory). Limits: it says what the book says.
package glance
