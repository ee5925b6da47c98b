package planfile

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"floorpace/internal/clean"
	"floorpace/internal/floor"
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
	aliases     map[string]string
	plan, sheet *document
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
	top   bool // the whole of a file
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

// finish lists the keys that nothing asked for.
func (t *table) finish() {
	for _, key := range t.p.order {
		if isIn(t.known, key) || t.top && t.d.skipped[key] {
			continue
		}
		mend := ""
		var free []string
		for _, k := range t.known {
			if !t.has(k) {
				free = append(free, k)
			}
		}
		if meant := nearest(key, free); meant != "" {
			mend = "write " + meant
			t.r.wrong = append(t.r.wrong, t.path(meant))
		} else {
			known := append([]string(nil), t.known...)
			sort.Strings(known)
			mend = "take it out; known here: " + strings.Join(known, ", ")
		}
		t.r.add(t.d, t.p.kids[key].key, fmt.Sprintf("the key %q is not known", key), mend)
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

// quantity reads a figure of kind k into out, SI.
func (t *table) quantity(key string, k units.Kind, out *float64) {
	if v, ok := t.get(key); ok {
		t.figure(key, t.spot(key), k, v, out)
	}
}

// figure turns a number in the file's units, or a text with a unit, into SI.
func (t *table) figure(key string, off int, k units.Kind, v any, out *float64) bool {
	such := fmt.Sprintf("write a number, or a text with a unit such as %q", units.Format(k, units.From(k, 6, t.sys), t.sys))
	var s string
	switch v := v.(type) {
	case string:
		s = v
	case int64:
		s = strconv.FormatInt(v, 10)
	case float64:
		if math.IsNaN(v) || math.Abs(v) > 1e15 {
			t.faultAt(key, off, "the number cannot be used", such)
			return false
		}
		s = strconv.FormatFloat(v, 'f', -1, 64)
	default:
		t.faultAt(key, off, "this is "+kindOf(v)+", not a "+k.String(), such)
		return false
	}
	si, err := units.Parse(k, s, t.sys)
	if err != nil {
		what, mend := refused(err, such)
		t.faultAt(key, off, what, mend)
		return false
	}
	*out = si
	return true
}

// refused parts a quantity's error into what and what instead.
func refused(err error, such string) (what, mend string) {
	if e, ok := err.(*units.Error); ok {
		return fmt.Sprintf("%s %q %s", e.What, e.Input, e.Reason), e.Hint
	}
	return err.Error(), such
}

// duration reads a length of time; a bare number is minutes.
func (t *table) duration(key string, out *time.Duration) {
	if v, ok := t.get(key); ok {
		t.time(key, t.spot(key), v, out)
	}
}

func (t *table) time(key string, off int, v any, out *time.Duration) bool {
	if at, ok := v.(time.Time); ok && strings.HasPrefix(at.Location().String(), "time-") {
		t.faultAt(key, off, "this is a time of day, not a length of time", `put it in quotes: "4:30" is 4 min 30 s`)
		return false
	}
	var s float64
	if !t.figure(key, off, units.Time, v, &s) {
		return false
	}
	*out = time.Duration(math.Round(s * float64(time.Second)))
	return true
}

// span reads a pair of figures [from, to].
func (t *table) span(key string, k units.Kind, lo, hi *float64) {
	v, ok := t.get(key)
	if !ok {
		return
	}
	list, ok := v.([]any)
	if !ok || len(list) != 2 {
		t.fault(key, "this is not a pair of two figures", fmt.Sprintf("write %s = [%s, %s]", key, units.FormatBare(k, units.From(k, 10, t.sys), t.sys), units.FormatBare(k, units.From(k, 30, t.sys), t.sys)))
		return
	}
	items := t.items(key)
	var a, b float64
	okA := t.figure(key, items(0), k, list[0], &a)
	okB := t.figure(key, items(1), k, list[1], &b)
	switch {
	case !okA || !okB:
	case b < a:
		t.fault(key, "the range ends below its start", "write the lower figure first")
	default:
		*lo, *hi = a, b
	}
}

// items gives the place of each item of the list under key.
func (t *table) items(key string) func(int) int {
	k := t.p.kids[key]
	return func(i int) int {
		if k != nil && i < len(k.items) {
			return k.items[i].key
		}
		return t.spot(key)
	}
}

// point reads [x, y].
func (t *table) point(key string, out *floor.Point) bool {
	v, ok := t.get(key)
	return ok && t.xy(key, t.spot(key), v, out)
}

func (t *table) xy(key string, off int, v any, out *floor.Point) bool {
	list, ok := v.([]any)
	if !ok || len(list) != 2 {
		t.faultAt(key, off, "this is not a place with two figures", "write [x, y], such as [4.5, 12]")
		return false
	}
	var q floor.Point
	if !t.figure(key, off, units.Length, list[0], &q.X) || !t.figure(key, off, units.Length, list[1], &q.Y) {
		return false
	}
	*out = q
	return true
}

// points reads [[x, y], …].
func (t *table) points(key string) (out []floor.Point, ok bool) {
	v, ok := t.get(key)
	if !ok {
		return nil, false
	}
	list, isList := v.([]any)
	if !isList || len(list) == 0 || len(list) > maxList {
		t.fault(key, "this is not a list of places", fmt.Sprintf("write %s = [[0, 0], [9, 0], [9, 14], [0, 14]], at most %d of them", key, maxList))
		return nil, false
	}
	at := t.items(key)
	good := true
	for i, v := range list {
		var q floor.Point
		good = t.xy(key, at(i), v, &q) && good
		out = append(out, q)
	}
	return out, good
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
