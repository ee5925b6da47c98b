package planfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/units"
)

// quantity reads a figure of kind k into out, SI.
func (t *table) quantity(key string, k units.Kind, out *float64) {
	if v, ok := t.get(key); ok {
		t.figure(key, t.spot(key), k, v, out)
	}
}

// positive is quantity for a figure above zero. checked is the key under which
// the plan's check speaks of it.
func (t *table) positive(key string, k units.Kind, out *float64, checked string) {
	v, ok := t.get(key)
	if !ok {
		t.r.wrong = append(t.r.wrong, checked)
		t.missing(key, "there is no "+key, "write "+key+" = "+t.such(k))
		return
	}
	okay := t.figure(key, t.spot(key), k, v, out)
	if okay && *out <= 0 {
		t.fault(key, "it must be above zero", "write the figure as measured or planned")
		okay = false
	}
	if !okay {
		t.r.wrong = append(t.r.wrong, checked)
	}
}

// such is an example of a figure of kind k, in quotes.
func (t *table) such(k units.Kind) string {
	if k == units.Depth && t.sys == units.US {
		return `"1/4 in"`
	}
	return strconv.Quote(units.Format(k, units.From(k, 6, t.sys), t.sys))
}

// figure turns a number in the file's units, or a text with a unit, into SI.
func (t *table) figure(key string, off int, k units.Kind, v any, out *float64) bool {
	such := "write a number, or a text with a unit such as " + t.such(k)
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
		t.faultAt(key, off, "this is "+kindOf(v)+", not "+article(k.String()), such)
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
		if a, b, two := strings.Cut(strings.TrimPrefix(e.Hint, "write "), " or "); two && strings.HasSuffix(a, "%") && strings.HasSuffix(b, "%") {
			return fmt.Sprintf("%s %q %s", e.What, e.Input, e.Reason), "write " + strconv.Quote(a) + " or " + strconv.Quote(b) + ", with the quotes"
		}
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

// outline reads a closed line of corners and checks it as written, so that a
// fault can be named in the crew's own figures and at its corner. (The plan's
// check would find the same faults, in metres.) One that crosses itself is given
// back for what can still be judged of it, and is not ok.
func (t *table) outline(key string) (floor.Polygon, bool) {
	pts, ok := t.points(key)
	if !ok {
		return nil, false
	}
	at, poly := t.items(key), floor.Polygon(pts)
	xy := func(i int) string {
		p := poly[i%len(poly)]
		return units.FormatBare(units.Length, p.X, t.sys) + ", " + units.FormatBare(units.Length, p.Y, t.sys)
	}
	if len(poly) < 3 {
		t.fault(key, fmt.Sprintf("there %s %s", map[bool]string{true: "is", false: "are"}[len(poly) == 1], units.Count(len(poly), "corner", "corners")), "write at least three")
		return nil, false
	}
	for i := range poly {
		if next := (i + 1) % len(poly); poly[i].DistanceM(poly[next]) <= sameCornerM {
			t.faultAt(key, at(max(i, next)), "the corner "+xy(i)+" stands twice running", "leave the second out; the last corner joins the first by itself")
			return nil, false
		}
	}
	if a, b, crosses := poly.Crossing(); crosses {
		t.faultAt(key, at(b), fmt.Sprintf("the outline crosses or touches itself: from %s to %s it meets the edge from %s to %s", xy(b), xy(b+1), xy(a), xy(a+1)),
			"list the corners in the order of a walk along the wall")
		return poly, false
	}
	if poly.Area() <= sameCornerM {
		t.fault(key, "the outline has no area", "check its corners")
		return nil, false
	}
	return poly, true
}

// sameCornerM is the distance within which two corners are one: below what any
// tape shows, above the rounding of feet.
const sameCornerM = 1e-6
