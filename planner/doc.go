// Package planner holds the words of the program as data: what a team owns,
// plans and has done. Its folders each answer one question from them.
//
// The row types are the rows of the season workbook, one type a sheet. Their
// struct tags are the one place where a sheet's columns are defined:
//
//	sheet:"column"   the column's heading; required columns and keys are marked
//	                 by `is:"key"` (part of the row's key) or `is:"needed"`
//	ref:"part"       the cell names a row of that noun
//	oneof:"a|b"      the words allowed
//	in:"Part"        a Quantity in the unit of the part that the field Part names
//	in:"pc|ml|g"     a Quantity in that unit
//	json:"name"      the database column
//
// Pointers are cells that may be blank: blank is "not known", never 0.
package planner
