package planfile

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// maxName is the longest title or name, characters: the widest line of a
// screen, 200 columns, still holds two.
const maxName = 80

// maxList is the longest list of zones, bays, points and the like: ten times
// what a crew draws, and short enough to check every pair.
const maxList = 400

// reading collects what is wrong while values are read.
type reading struct {
	problems []Problem
	// wrong holds dotted keys of the plan whose values could not be read: what
	// the plan's own check says about them would only repeat it.
	wrong []string
	// aliases maps a key of the plan's check to the key as written.
	aliases map[string]string
	// plan, sheet and crew are the files; a sheet or crew that stands in the plan
	// is the plan's document.
	plan, sheet, crew *document
	cycle             bool      // the crew's reset was written as its cycle
	notes             []Problem // what wants a look but can be poured from
}

// table is one table of a document that is being read. Every key asked for is
// known; what is left over at the end is not.
type table struct {
	r     *reading
	d     *document
	p     *place
	value map[string]any
	key   string // dotted key in the plan, for reading.wrong
	sys   units.System
	known []string
	lacks []lack
	top   bool // the whole of a file
}

// lack is something that is not there under any of its keys, to be said unless
// a key was only misspelt.
type lack struct {
	keys       []string
	what, mend string
}

// add notes a problem at a place of t's document.
func (r *reading) add(d *document, off int, what, mend string) {
	r.problems = append(r.problems, d.at(off, what, mend))
}

func (t *table) path(key string) string { return strings.TrimPrefix(t.key+"."+key, ".") }

// spot is where key stands: its value, or the table when there is none.
func (t *table) spot(key string) int {
	if k, ok := t.p.kids[key]; ok {
		return k.value
	}
	return t.p.key
}

// fault notes that the value of key cannot be used.
func (t *table) fault(key, what, mend string) { t.faultAt(key, t.spot(key), what, mend) }

func (t *table) faultAt(key string, off int, what, mend string) {
	t.r.add(t.d, off, what, mend)
	t.r.wrong = append(t.r.wrong, t.path(key))
}

// get gives the value of a key and makes the key known.
func (t *table) get(key string) (v any, ok bool) {
	t.known = append(t.known, key)
	v, ok = t.value[key]
	return v, ok
}

func (t *table) has(key string) bool { _, ok := t.value[key]; return ok }

// missing notes that there is none of the keys (parted by spaces), unless lines
// were left out that may have held one.
func (t *table) missing(keys, what, mend string) {
	l := lack{strings.Fields(keys), what, mend}
	for _, k := range l.keys {
		t.r.wrong = append(t.r.wrong, t.path(k))
	}
	if !t.d.broken {
		t.lacks = append(t.lacks, l)
	}
}

// finish lists the keys that nothing asked for, and what is missing.
func (t *table) finish() {
	var free, meant []string
	for _, k := range t.known {
		if !t.has(k) {
			free = append(free, k)
		}
	}
	for _, key := range t.p.order {
		if isIn(t.known, key) || t.top && t.d.skipped[key] {
			continue
		}
		mend := ""
		if k := nearest(key, free); k != "" {
			mend = "write " + k
			meant = append(meant, k)
			t.r.wrong = append(t.r.wrong, t.path(k))
		} else if k := nearest(key, t.known); k != "" {
			mend = "write " + k + ", which also stands here"
		} else {
			known := append([]string(nil), t.known...)
			sort.Strings(known)
			mend = "take it out; known here: " + strings.Join(slices.Compact(known), ", ")
		}
		t.r.add(t.d, t.p.kids[key].key, fmt.Sprintf("the key %q is not known", key), mend)
	}
	for _, l := range t.lacks {
		if !slices.ContainsFunc(l.keys, func(k string) bool { return isIn(meant, k) }) {
			t.r.add(t.d, t.p.key, l.what, l.mend)
		}
	}
}

func isIn(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// kindOf names the kind of a value as it was written.
func kindOf(v any) string {
	switch v.(type) {
	case string:
		return "a text"
	case int64, float64:
		return "a number"
	case bool:
		return "true or false"
	case time.Time:
		return "a date or time"
	case map[string]any:
		return "a table"
	}
	return "a list"
}

// article puts a or an before a word.
func article(word string) string {
	if strings.ContainsRune("aeiou", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// text reads a name or title into out: plain characters on one line.
func (t *table) text(key string, out *string, such string) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	s, ok := v.(string)
	if !ok {
		t.fault(key, "this is "+kindOf(v)+", not a text", "write "+such)
		return
	}
	t.plain(key, t.spot(key), s, out)
}

func (t *table) plain(key string, off int, s string, out *string) {
	s = strings.TrimSpace(s)
	switch {
	case utf8.RuneCountInString(s) > maxName:
		t.faultAt(key, off, fmt.Sprintf("the text has %d characters", utf8.RuneCountInString(s)), fmt.Sprintf("write %d at most", maxName))
	case clean.String(s) != s:
		t.faultAt(key, off, "the text holds characters that cannot be seen, or a line end", "write it again in plain letters on one line")
	default:
		*out = s
	}
}

// flag reads true or false.
func (t *table) flag(key string, out *bool) {
	if v, ok := t.get(key); ok {
		b, ok := v.(bool)
		if !ok {
			t.fault(key, "this is "+kindOf(v)+", not true or false", "write true or false without quotes")
			return
		}
		*out = b
	}
}

// count reads a whole number.
func (t *table) count(key string, out *int) {
	if v, ok := t.get(key); ok {
		t.whole(key, t.spot(key), v, out)
	}
}

func (t *table) whole(key string, off int, v any, out *int) {
	n, ok := v.(int64)
	switch {
	case !ok:
		t.faultAt(key, off, "this is not a whole number", "write a number such as 3, without quotes and decimals")
	case n < -math.MaxInt32 || n > math.MaxInt32:
		t.faultAt(key, off, fmt.Sprintf("%d is far too large", n), "write the number as counted")
	default:
		*out = int(n)
	}
}

// instant reads a date and time with its offset from UTC.
func (t *table) instant(key string, out *time.Time) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	const such = "write 2026-05-04T22:00:00-07:00, without quotes: date, T, time, and how far the site's clock is from UTC"
	at, ok := v.(time.Time)
	switch {
	case !ok:
		t.fault(key, "this is "+kindOf(v)+", not a date and time", such)
	case strings.HasSuffix(at.Location().String(), "-local"):
		t.fault(key, "the date, the time or the offset from UTC is missing", such)
	case at.Year() < 2000 || at.Year() > 2199:
		t.fault(key, fmt.Sprintf("the year %d cannot be meant", at.Year()), such)
	default:
		*out = at
	}
}

// child reads the table under key with read; it does nothing without one.
func (t *table) child(key string, read func(*table)) bool {
	v, ok := t.get(key)
	if !ok {
		return false
	}
	m, ok := v.(map[string]any)
	if !ok {
		t.fault(key, "this is "+kindOf(v)+", not a table", "write ["+t.path(key)+"] on a line of its own and the figures below it")
		return false
	}
	c := &table{r: t.r, d: t.d, p: t.p.kids[key], value: m, key: t.path(key), sys: t.sys}
	read(c)
	c.finish()
	return true
}

// list reads each table of the list under key with read.
func (t *table) list(key string, read func(i int, c *table)) (n int) {
	v, ok := t.get(key)
	if !ok {
		return 0
	}
	header := plainKey(t.path(key))
	tables, ok := asTables(v)
	if !ok {
		t.fault(key, "this is "+kindOf(v)+", not a list of tables", "write [["+header+"]], with double brackets, before each")
		return 0
	}
	if len(tables) > maxList {
		t.fault(key, fmt.Sprintf("the list has %d entries", len(tables)), fmt.Sprintf("write %d at most", maxList))
		return 0
	}
	items := t.p.kids[key].items
	for i, m := range tables {
		c := &table{r: t.r, d: t.d, p: items[i], value: m, key: fmt.Sprintf("%s.%d", t.path(key), i), sys: t.sys}
		read(i, c)
		c.finish()
	}
	return len(tables)
}

// plainKey is a dotted key without its list positions: "zone.bay".
func plainKey(key string) string {
	var out []string
	for _, part := range strings.Split(key, ".") {
		if _, err := strconv.Atoi(part); err != nil {
			out = append(out, part)
		}
	}
	return strings.Join(out, ".")
}

// asTables is v as a list of tables, however it was written.
func asTables(v any) ([]map[string]any, bool) {
	switch v := v.(type) {
	case []map[string]any:
		return v, true
	case []any:
		out := make([]map[string]any, len(v))
		for i := range v {
			m, ok := v[i].(map[string]any)
			if !ok {
				return nil, false
			}
			out[i] = m
		}
		return out, true
	}
	return nil, false
}
