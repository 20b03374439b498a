// Package seasonfile answers: how does a season workbook get from a file into cells and
// back, whole and without harm?
//
// Method: a workbook is a spreadsheet (.xlsx) or a folder of CSV files, one a sheet. A
// spreadsheet is read by a streaming reader of our own, which refuses what a season never
// needs (macros, external links, document types) and everything over its limits
// before it costs memory; it is written with excelize.
//
// Why a reader of our own: of a wrong zip size, an entity, a bad shared string or a formula
// the library says nothing and hands over an empty or a stale cell; and it does not tell
// the number formats, without which 25 % reads as 0.25. A test holds every cell we read
// against what the library reads.
//
// Source: ISO/IEC 29500-1 (the spreadsheet's parts), RFC 4180 (CSV).
//
// Limits: no .xls, no .ods, no password.
package seasonfile
