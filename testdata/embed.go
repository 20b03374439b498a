// Package testdata holds the published cases and the invented season, embedded so that
// the program can run and load them wherever it is installed.
package testdata

import "embed"

// Checks holds the published cases, checks/*.jsonl, one JSON object a line.
//
//go:embed checks/*.jsonl
var Checks embed.FS

// Demo holds the invented season: demo/*.csv, one sheet each, and demo/answers.json.
//
//go:embed demo/*
var Demo embed.FS
