package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"regexp"
	"slices"
	"strings"
)

// site is one small change that can be planted: of the bytes from..to of a file.
type site struct {
	file     string
	from, to int
	with     string // what stands there instead
	was      string
	kind     string // comparison, sign, dropped term, date bound
	line     int
	text     string // of the line, trimmed
	content  []byte // the file's
}

// key names the change whatever its line's number: file | the line's text | was -> with.
func (s site) key() string {
	return fmt.Sprintf("%s | %s | %s -> %s", s.file, s.text, flat(s.was), flat(s.with))
}

func (s site) String() string {
	return fmt.Sprintf("%s:%d %s: %s -> %s in: %s", s.file, s.line, s.kind, flat(s.was), flat(s.with), s.text)
}

// changed returns the file with the change in it.
func (s site) changed() []byte {
	return slices.Concat(s.content[:s.from], []byte(s.with), s.content[s.to:])
}

func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// sitesOf lists the changes that can be planted in a Go file, or in the SQL of a
// generated one.
func sitesOf(file string) ([]site, error) {
	content, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	set := token.NewFileSet()
	tree, err := parser.ParseFile(set, file, content, 0)
	if err != nil {
		return nil, err
	}
	c := &collector{file: file, content: content, set: set}
	if strings.HasSuffix(file, ".sql.go") {
		ast.Inspect(tree, c.sql)
	} else {
		ast.Inspect(tree, c.code)
	}
	return c.sites, nil
}

type collector struct {
	file    string
	content []byte
	set     *token.FileSet
	sites   []site
}

// comparisons and signs are what one operator is changed into.
var comparisons = map[token.Token]string{
	token.LSS: "<=", token.LEQ: "<", token.GTR: ">=", token.GEQ: ">", token.EQL: "!=", token.NEQ: "==",
}

var signs = map[token.Token]string{
	token.ADD: "-", token.SUB: "+", token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+=",
}

// bounds are methods on dates and instants that answer the opposite way round.
var bounds = map[string]string{"Before": "After", "After": "Before"}

// code takes the changes of Go text from one node.
func (c *collector) code(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.ImportSpec:
		return false
	case *ast.BinaryExpr:
		op := c.offset(n.OpPos)
		size := len(n.Op.String())
		if with, is := comparisons[n.Op]; is {
			c.add("comparison", op, op+size, with)
		}
		if with, is := signs[n.Op]; is && !textual(n) {
			c.add("sign", op, op+size, with)
		}
		if n.Op == token.ADD && !textual(n) || n.Op == token.LAND || n.Op == token.LOR {
			c.add("dropped term", c.offset(n.X.End()), c.offset(n.End()), "")
			c.add("dropped term", c.offset(n.Pos()), c.offset(n.Y.Pos()), "")
		}
	case *ast.AssignStmt:
		if with, is := signs[n.Tok]; is && !textual(n.Rhs[0]) {
			at := c.offset(n.TokPos)
			c.add("sign", at, at+2, with)
		}
	case *ast.CallExpr:
		if method, is := n.Fun.(*ast.SelectorExpr); is {
			if with, is := bounds[method.Sel.Name]; is {
				c.add("date bound", c.offset(method.Sel.Pos()), c.offset(method.Sel.End()), with)
			}
			if method.Sel.Name == "AddDays" && len(n.Args) == 1 {
				c.add("date bound", c.offset(n.Args[0].Pos()), c.offset(n.Args[0].End()), "("+c.between(n.Args[0])+")+1")
			}
		}
	}
	return true
}

// textual says that an expression joins texts, whose sign means nothing.
func textual(n ast.Node) bool {
	found := false
	ast.Inspect(n, func(n ast.Node) bool {
		if lit, is := n.(*ast.BasicLit); is && lit.Kind == token.STRING {
			found = true
		}
		return !found
	})
	return found
}

// sqlChanges are what a piece of SQL is changed into; equality only where it is asked.
var sqlChanges = []struct {
	kind  string
	find  *regexp.Regexp
	with  string
	asked bool
}{
	{"comparison", regexp.MustCompile(` < `), " <= ", false},
	{"comparison", regexp.MustCompile(` <= `), " < ", false},
	{"comparison", regexp.MustCompile(` > `), " >= ", false},
	{"comparison", regexp.MustCompile(` >= `), " > ", false},
	{"comparison", regexp.MustCompile(` = `), " <> ", true},
	{"comparison", regexp.MustCompile(` IS NULL`), " IS NOT NULL", false},
	{"comparison", regexp.MustCompile(` IS NOT NULL`), " IS NULL", false},
	{"comparison", regexp.MustCompile(`NOT EXISTS`), "EXISTS", false},
	{"sign", regexp.MustCompile(` - `), " + ", false},
	{"sign", regexp.MustCompile(` \+ `), " - ", false},
	{"dropped term", regexp.MustCompile(` AND [a-z_.]+ (?:=|<|<=|>|>=|<>) [a-z_.$0-9]+`), "", false},
	{"dropped term", regexp.MustCompile(`\bAND NOT\b`), "AND", false},
}

var asks = regexp.MustCompile(`\b(WHERE|AND|ON|OR|FILTER|WHEN)\b`)

// sql takes the changes of the statements in a generated file, which are its constants.
func (c *collector) sql(n ast.Node) bool {
	lit, is := n.(*ast.BasicLit)
	if !is || lit.Kind != token.STRING || !bytes.HasPrefix(c.content[c.offset(lit.Pos()):], []byte("`-- name:")) {
		return true
	}
	start, end := c.offset(lit.Pos()), c.offset(lit.End())
	for _, change := range sqlChanges {
		for _, at := range change.find.FindAllIndex(c.content[start:end], -1) {
			from, to := start+at[0], start+at[1]
			lineStart := bytes.LastIndexByte(c.content[:from], '\n') + 1
			before := c.content[lineStart:from]
			if bytes.HasPrefix(bytes.TrimSpace(before), []byte("--")) || change.asked && !asks.Match(before) {
				continue
			}
			c.add(change.kind, from, to, change.with)
		}
	}
	return true
}

func (c *collector) offset(p token.Pos) int { return c.set.Position(p).Offset }

func (c *collector) between(n ast.Node) string {
	return string(c.content[c.offset(n.Pos()):c.offset(n.End())])
}

func (c *collector) add(kind string, from, to int, with string) {
	start := bytes.LastIndexByte(c.content[:from], '\n') + 1
	end := len(c.content)
	if stop := bytes.IndexByte(c.content[from:], '\n'); stop >= 0 {
		end = from + stop
	}
	c.sites = append(c.sites, site{
		file: c.file, from: from, to: to, with: with, was: string(c.content[from:to]), kind: kind,
		line: bytes.Count(c.content[:from], []byte("\n")) + 1, text: flat(string(c.content[start:end])), content: c.content,
	})
}
