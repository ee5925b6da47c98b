package planfile

import (
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// place is where a key, table or list item stands in the text. Its shape is
// that of the decoded value: kids of a table, items of a list.
type place struct {
	key   int // offset of the key, the header's first key letter, or the item
	value int // offset of the value; of a table with a header, the key
	kids  map[string]*place
	items []*place
	lines bool // written with [headers] or dotted keys: more may follow
	order []string
}

// kid finds or makes the entry called name; first is false when it was there.
func (p *place) kid(name string, at int) (k *place, first bool) {
	if k, ok := p.kids[name]; ok {
		return k, false
	}
	if p.kids == nil {
		p.kids = map[string]*place{}
	}
	k = &place{key: at, value: at}
	p.kids[name] = k
	p.order = append(p.order, name)
	return k, true
}

// find follows a dotted key such as "zone.0.bay.1.depth" as far as it goes. A
// name may itself hold a dot ("parts.A.2"): the longest name that fits is
// taken. rest is what could not be followed.
func (p *place) find(key string) (at *place, rest string) {
	for key != "" {
		var next *place
		used := ""
		if len(p.items) > 0 {
			head, _, _ := strings.Cut(key, ".")
			if i, err := strconv.Atoi(head); err == nil && i >= 0 && i < len(p.items) {
				next, used = p.items[i], head
			}
		}
		for name, k := range p.kids {
			if len(name) >= len(used) && name != "" && (key == name || strings.HasPrefix(key, name+".")) {
				next, used = k, name
			}
		}
		if next == nil {
			return p, key
		}
		p, key = next, strings.TrimPrefix(key[len(used):], ".")
	}
	return p, ""
}

// text turns offsets into lines and columns.
type text struct {
	name   string
	data   string
	starts []int // offset of the first byte of each line
}

func newText(name, data string) *text {
	t := &text{name: name, data: data, starts: []int{0}}
	for i := range len(data) {
		if data[i] == '\n' {
			t.starts = append(t.starts, i+1)
		}
	}
	return t
}

// lineOf is the index of the line that holds off.
func (t *text) lineOf(off int) int {
	return sort.SearchInts(t.starts, off+1) - 1
}

// at is a problem at byte off of the text. Offsets beyond the last character of
// a line, which the library gives for what it misses there, stand at its end.
func (t *text) at(off int, what, mend string) Problem {
	off = max(0, min(off, len(t.data)))
	if off == len(t.data) && off > 0 && t.data[off-1] == '\n' {
		off-- // the end of the file is the end of its last line
	}
	line := t.lineOf(off)
	return Problem{
		File: t.name, Line: line + 1,
		Col:  utf8.RuneCountInString(t.data[t.starts[line]:off]) + 1,
		What: what, Mend: mend,
	}
}
