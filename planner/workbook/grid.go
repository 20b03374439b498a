package workbook

import (
	"fmt"
	"reflect"
	"strings"
)

// The sheet planned-jobs may be a grid, one row a round and one column a service, as
// people draw it; and several assemblies may stand in one cell.

// fromGrid reports whether the columns of a grid stand in for the column.
func (r *sheetReader) fromGrid(c Column) bool {
	return len(r.grid) > 0 && (c.Heading == "service" || c.Heading == "jobs")
}

// gridColumns finds the columns of a grid among headings that are not known otherwise,
// and returns the rest.
func (r *sheetReader) gridColumns(row Row, unknown []int) []int {
	service, jobs := -1, -1
	for i, c := range r.Columns {
		switch c.Heading {
		case "service":
			service = r.here.columns[i]
		case "jobs":
			jobs = r.here.columns[i]
		}
	}
	if r.Name != "planned-jobs" || service >= 0 || jobs >= 0 {
		return unknown
	}
	var rest []int
	for _, at := range unknown {
		_, code := cellText(row, at)
		if r.services[code] {
			r.grid = append(r.grid, at)
			r.gridCodes = append(r.gridCodes, code)
		} else {
			rest = append(rest, at)
		}
	}
	if len(r.grid) == 0 {
		return rest
	}
	// A column of numbers under a heading that is no service is a slip in its code: to
	// ignore it would lose the jobs without a word.
	var ignored []int
	for _, at := range rest {
		if !r.holdsNumbers(at) {
			ignored = append(ignored, at)
			continue
		}
		_, code := cellText(row, at)
		r.fault(r.at(row.Number, at, code, code, "the code of a service, assembly or notes"))
	}
	return ignored
}

func (r *sheetReader) holdsNumbers(at int) bool {
	for _, row := range r.given.Rows {
		if _, text := cellText(row, at); text != "" {
			if _, expected := wholeNumber(text); expected == "" {
				return true
			}
		}
	}
	return false
}

// plannedJobs reads one row of planned jobs, which may stand for several.
func (r *sheetReader) plannedJobs(row Row, list reflect.Value, keys map[string]int) {
	if len(r.grid) == 0 {
		r.oneService(row, list, keys)
		return
	}
	for i, at := range r.grid {
		given, text := cellText(row, at)
		if text == "" || text == "0" {
			continue
		}
		v := r.add(list, row.Number)
		r.read(row, v)
		v.FieldByName("Service").SetString(r.gridCodes[i])
		jobs, expected := wholeNumber(text)
		if expected != "" {
			index := list.Len() - 1
			r.here.bad[cellAt{index, r.columnOf("jobs")}] = true
			r.fault(r.at(row.Number, at, r.gridCodes[i], given.Text, expected))
		}
		r.spread(row, list, keys, jobs)
	}
}

func (r *sheetReader) oneService(row Row, list reflect.Value, keys map[string]int) {
	v := r.add(list, row.Number)
	faultCount := len(r.faults)
	r.read(row, v)
	jobs := int(v.FieldByName("Jobs").Int())
	if len(r.faults) > faultCount && jobs == 0 {
		jobs = -1
	}
	r.spread(row, list, keys, jobs)
}

// spread gives each of several assemblies in one cell a row of its own. The jobs of the
// cell are all of them together ("DMP F01 F03: 2" is one each); 1 can only mean one each.
func (r *sheetReader) spread(row Row, list reflect.Value, keys map[string]int, jobs int) {
	index := list.Len() - 1
	v := list.Index(index)
	assembly := v.FieldByName("Assembly").String()
	codes := strings.FieldsFunc(assembly, func(c rune) bool {
		return c == ' ' || c == ',' || c == ';' || c == '/' || c == '+' || c == '\n'
	})
	if len(codes) < 2 || r.assemblies[assembly] {
		if len(r.grid) > 0 && jobs > 0 {
			v.FieldByName("Jobs").SetInt(int64(jobs))
		}
		r.once(row, v, index, keys)
		return
	}
	each := jobs
	if jobs > 1 {
		if each = jobs / len(codes); each*len(codes) != jobs {
			at := r.here.columns[r.columnOf("jobs")]
			heading := "jobs"
			if at < 0 {
				at, heading = r.here.columns[r.columnOf("assembly")], "assembly"
			}
			r.fault(r.at(row.Number, at, heading, fmt.Sprint(jobs), fmt.Sprintf("a multiple of %d: %s are %d assemblies", len(codes), assembly, len(codes))))
			r.here.bad[cellAt{index, r.columnOf("jobs")}] = true
		}
	}
	first := reflect.New(v.Type()).Elem()
	first.Set(v)
	for i, code := range codes {
		if i > 0 {
			v = r.add(list, row.Number)
			v.Set(first)
		}
		v.FieldByName("Assembly").SetString(code)
		v.FieldByName("Jobs").SetInt(int64(max(each, 0)))
		r.once(row, v, list.Len()-1, keys)
	}
}

func (s *Sheet) columnOf(heading string) int {
	for i := range s.Columns {
		if s.Columns[i].Heading == heading {
			return i
		}
	}
	return -1
}
