// Package workbook answers: what does a season workbook say, and is it right?
//
// Method: the struct tags of package planner define every sheet's columns; this package
// reads them by reflection, so a column is added in one place. Parse turns rows of text
// cells into a planner.Book and names every cell it cannot read; Merge lays the book over
// what is already known (catalogue by key, plan as the whole truth, history only added);
// Complete makes what a blank implies explicit; Check finds what is wrong between rows;
// Format writes a book back as typed cells. Load does them in that order.
//
// It knows no files: package reports/seasonfile brings the rows and takes them away. What
// spreadsheets do to data (dates as serial numbers, percentages as fractions, decimal
// commas, 0.1 as 0.10000000000000001) is undone here.
//
// Source: the project's definition of the season workbook; ISO 4217 and ISO 3166 for the
// currency and country codes; the serial dates of spreadsheets as ISO/IEC 29500-1, 18.17.4.
//
// Limits: the movements of stock are not checked here, only rows against rows: whether a
// book balances is the ledger's question.
package workbook
