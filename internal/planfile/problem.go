package planfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"floorpace/internal/clean"
)

// Problem is one thing to mend in a plan or sheet file.
type Problem struct {
	File string // as named to Load
	// Line and Col count from 1, Col in characters. Both are 0 when the file
	// could not be read at all.
	Line, Col int
	What      string // what is wrong
	Mend      string // what to write instead
}

// String is "file:line:col: what; what to write instead", safe to print.
func (p Problem) String() string {
	s := p.File
	if p.Line > 0 {
		s = fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
	}
	return clean.String(s + ": " + p.What + "; " + p.Mend)
}

// Error is String.
func (p Problem) Error() string { return p.String() }

// sortProblems puts problems in order of file (the plan first), line and
// column, and drops what was said twice.
func sortProblems(ps []Problem, first string) []Problem {
	rank := func(p Problem) int {
		if p.File == first {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return slices.Compact(ps)
}

// nearest is the known key that key was probably meant to be; empty when none
// is close.
func nearest(key string, known []string) string {
	fold := func(s string) string {
		return strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(s))
	}
	best, bestD := "", 0
	for _, k := range known {
		d := distance(fold(key), fold(k))
		// A third of the letters may differ: "dept", "row_dept", "handovr";
		// more, and the suggestion would be a guess.
		if d > max(1, len(k)/3) {
			continue
		}
		if best == "" || d < bestD {
			best, bestD = k, d
		}
	}
	return best
}

// distance counts the letters to insert, drop, change or swap with the next
// one to turn a into b (optimal string alignment).
func distance(a, b string) int {
	r, s := []rune(a), []rune(b)
	if len(r) > maxName || len(s) > maxName {
		return maxName
	}
	before, last, row := make([]int, len(s)+1), make([]int, len(s)+1), make([]int, len(s)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(r); i++ {
		row[0] = i
		for j := 1; j <= len(s); j++ {
			cost := 1
			if r[i-1] == s[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && r[i-1] == s[j-2] && r[i-2] == s[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(s)]
}
