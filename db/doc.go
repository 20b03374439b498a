// Package db answers: what does the team's database say, and how is a record written
// into it?
//
// It alone talks SQL, through generated queries (folder queries, package sqlcgen).
// Every sheet of the season workbook is one table with a column per heading; its rows
// travel as JSON in the shape of the planner's row types, so a sheet is written by one
// statement and read by one, and the types stand in one place. Records go through
// package planner/ledger, which decides what they do to the book; the tables refuse to
// change what they once took.
//
// Limits: one database per team; PostgreSQL 15 or newer.
package db
