package seasonfile

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"roundkit/planner/workbook"
)

// readShared reads the texts that cells refer to by number.
func (s *spreadsheet) readShared(targets map[string]relation) error {
	part := partOf(targets, "sharedStrings")
	if part == "" || s.entries[strings.ToLower(part)] == nil {
		return nil
	}
	var text []byte
	inText, phonetic := false, false
	return s.each(part, func(x *scanner, t token) error {
		switch t {
		case tokenStart:
			switch string(x.name) {
			case "si":
				text = text[:0]
			case "rPh":
				phonetic = true
			case "t":
				inText = !phonetic
			}
		case tokenText:
			if inText {
				if text = append(text, x.text...); len(text) > s.limits.TextBytes {
					return errTooLong
				}
			}
		case tokenClose:
			switch string(x.name) {
			case "t":
				inText = false
			case "rPh":
				phonetic = false
			case "si":
				if len(s.shared) >= s.limits.Cells {
					return refuse("%s: found more than %d texts, expected less", s.name, s.limits.Cells)
				}
				shared, ok := cellText(text)
				if !ok {
					return refuse("%s: found a text that is not UTF-8 in %s", s.name, part)
				}
				s.shared = append(s.shared, shared)
			}
		}
		return nil
	})
}

func partOf(targets map[string]relation, kind string) string {
	for _, t := range targets {
		if t.kind == kind {
			return t.target
		}
	}
	return ""
}

// cellText is a text of a cell: characters that XML cannot hold stand in it as _x000D_.
func cellText(raw []byte) (string, bool) {
	if !utf8.Valid(raw) {
		return "", false
	}
	text := string(raw)
	if !strings.Contains(text, "_x") {
		return text, true
	}
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if len(text)-i >= 7 && text[i:i+2] == "_x" && text[i+6] == '_' {
			if n, err := strconv.ParseUint(text[i+2:i+6], 16, 16); err == nil {
				b.WriteRune(rune(n))
				i += 6
				continue
			}
		}
		b.WriteByte(text[i])
	}
	return b.String(), true
}

// cellStyle is what a number format says of a number.
type cellStyle struct {
	kind     workbook.CellType
	decimals uint8
}

const mostStyles = 70_000 // a spreadsheet program keeps 65,490

// readStyles reads which cells are dates, percentages, and with how many decimals.
func (s *spreadsheet) readStyles(targets map[string]relation) error {
	part := partOf(targets, "styles")
	if part == "" || s.entries[strings.ToLower(part)] == nil {
		return nil
	}
	formats := map[int]string{}
	inCells := false
	return s.each(part, func(x *scanner, t token) error {
		switch {
		case t == tokenClose && string(x.name) == "cellXfs":
			inCells = false
		case t != tokenStart:
		case string(x.name) == "cellXfs":
			inCells = true
		case string(x.name) == "numFmt" && len(formats) < mostStyles:
			if id, err := strconv.Atoi(string(x.attr("numFmtId"))); err == nil {
				formats[id] = x.attrText("formatCode")
			}
		case string(x.name) == "xf" && inCells:
			id, _ := strconv.Atoi(string(x.attr("numFmtId")))
			if len(s.styles) >= mostStyles {
				return refuse("%s: found more than %d styles, expected less", s.name, mostStyles)
			}
			s.styles = append(s.styles, styleOf(id, formats))
		}
		return nil
	})
}

// styleOf reads a number format: the built-in ones by their number (ISO/IEC 29500-1,
// 18.8.30), the others by their code.
func styleOf(id int, formats map[int]string) cellStyle {
	if code, ok := formats[id]; ok {
		return styleOfCode(code)
	}
	switch {
	case id == 2 || id == 4 || id == 39 || id == 40:
		return cellStyle{workbook.CellNumber, 2}
	case id == 9 || id == 10:
		return cellStyle{workbook.CellPercent, 0}
	case id >= 14 && id <= 17 || id >= 27 && id <= 36 || id >= 50 && id <= 58:
		return cellStyle{workbook.CellDate, 0}
	case id >= 18 && id <= 21 || id >= 45 && id <= 47:
		return cellStyle{workbook.CellClock, 0}
	case id == 22:
		return cellStyle{workbook.CellDateTime, 0}
	}
	return cellStyle{workbook.CellNumber, 0}
}

func styleOfCode(code string) cellStyle {
	var dated, timed, percent, point bool
	var decimals uint8
	for i := 0; i < len(code) && code[i] != ';'; i++ {
		switch c := code[i]; c {
		case '"':
			if end := strings.IndexByte(code[i+1:], '"'); end >= 0 {
				i += end + 1
			}
		case '\\', '_', '*':
			i++
		case '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				continue
			}
			switch strings.ToLower(strings.Trim(code[i+1:i+end], "hmsHMS")) {
			case "": // [h]: hours beyond a day
				timed = true
			}
			i += end
		case 'y', 'Y', 'd', 'D':
			dated = true
		case 'h', 'H', 's', 'S':
			timed = true
		case '%':
			percent = true
		case '.':
			point = true
		case '0', '?':
			if point && decimals < 30 {
				decimals++
			}
		}
	}
	switch {
	case strings.EqualFold(code, "general"):
		return cellStyle{workbook.CellNumber, 0}
	case dated && timed:
		return cellStyle{workbook.CellDateTime, 0}
	case dated:
		return cellStyle{workbook.CellDate, 0}
	case timed:
		return cellStyle{workbook.CellClock, 0}
	case percent:
		return cellStyle{workbook.CellPercent, 0}
	}
	return cellStyle{workbook.CellNumber, decimals}
}
