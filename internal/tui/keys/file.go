package keys

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"floorpace/internal/clean"
)

// Problem is one mistake in a key file.
type Problem struct {
	File      string
	Line, Col int // from 1; Col counts characters
	Words     string
}

// Error reads file:line:col: what, and what to write instead.
func (p Problem) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", clean.String(p.File), p.Line, p.Col, p.Words)
}

// Problems are all mistakes of a key file, in its order.
type Problems []Problem

func (ps Problems) Error() string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = p.Error()
	}
	return strings.Join(out, "\n")
}

// fileLimit is far beyond any key file: a wrong file is noticed at once.
const fileLimit = 64 << 10

// must have a key: without them a batch cannot be followed, or a slip not be
// mended.
var must = []Action{Mixer1, Mixer2, Mixer3, Mixer4, Mixer5, Mixer6, Mixer7, Mixer8, Pour, Undo, Hold, Stop, Other, Help}

// Parse reads a key file over the standard keys. Each line is
//
//	key = action
//
// "#" at the beginning of a line makes it a remark. A key that did something
// else before does only the new action, which then needs another key; "nothing"
// frees it, and its action too unless that must have one. name is what messages
// call the file. The error is a Problems with every mistake at once.
func Parse(name string, text []byte) (*Map, error) {
	if len(text) > fileLimit {
		return nil, Problems{{name, 1, 1, fmt.Sprintf("more than %d kB: this is not a key file", fileLimit>>10)}}
	}
	if !utf8.Valid(text) {
		return nil, Problems{{name, 1, 1, "not UTF-8 text: save the file as UTF-8"}}
	}
	r := reader{name: name, m: Default(), at: map[string]int{}, took: map[Action]Problem{}}
	for i, line := range strings.Split(string(text), "\n") {
		r.line(i+1, strings.TrimSuffix(line, "\r"))
	}
	for _, a := range Actions() {
		p, lost := r.took[a]
		if r.m.Key(a) == "" && (lost || slices.Contains(must, a)) {
			p.Words = fmt.Sprintf("this leaves %s without a key: give it another one with a line \"KEY = %s\"", a, a)
			r.problems = append(r.problems, p)
		}
	}
	if len(r.problems) > 0 {
		return nil, r.problems
	}
	return r.m, nil
}

type reader struct {
	name     string
	m        *Map
	at       map[string]int     // line on which a key was bound
	took     map[Action]Problem // line that took a key away from an action last
	problems Problems
}

func (r *reader) wrong(line, col int, format string, args ...any) {
	r.problems = append(r.problems, Problem{r.name, line, col, fmt.Sprintf(format, args...)})
}

func (r *reader) line(n int, line string) {
	body := strings.TrimSpace(line)
	if body == "" || strings.HasPrefix(body, "#") {
		return
	}
	col := func(part string, from int) int { // of the first character that is not a blank
		skip := len(part) - len(strings.TrimLeft(part, " \t"))
		return utf8.RuneCountInString(line[:from]) + utf8.RuneCountInString(part[:skip]) + 1
	}
	left, right, ok := strings.Cut(line, "=")
	if !ok {
		r.wrong(n, col(line, 0), "no \"=\": write a line as \"f5 = pour\"")
		return
	}
	key := Name(strings.TrimSpace(left))
	action := Action(strings.TrimSpace(right))
	keyCol, actionCol := col(left, 0), col(right, len(left)+1)
	if key == "" {
		r.wrong(n, keyCol, "no key before \"=\": write one character or a word such as space or f5")
		return
	}
	if words := unfit(key); words != "" {
		r.wrong(n, keyCol, "%s; write one character or one of space tab enter backspace delete insert home end pgup pgdown up down left right f1 to f20", words)
		return
	}
	if action != Nothing && action.What() == "" {
		r.wrong(n, actionCol, "%q is not an action; write one of %s", clean.String(string(action)), list())
		return
	}
	if was := r.at[key]; was > 0 {
		r.wrong(n, keyCol, "%s is bound on line %d already: keep one of the two", key, was)
		return
	}
	r.at[key] = n
	if old, had := r.m.keys[key]; had && (action != Nothing || slices.Contains(must, old)) {
		r.took[old] = Problem{File: r.name, Line: n, Col: keyCol}
	}
	if action == Nothing {
		delete(r.m.keys, key)
		return
	}
	r.m.keys[key] = action
}

func list() string {
	var out []string
	for _, a := range append(Actions(), Nothing) {
		out = append(out, string(a))
	}
	return strings.Join(out, " ")
}
