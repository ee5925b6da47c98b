package record

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"floorpace/internal/day"
)

// The schema is strict all the way down: in every object of a document nothing
// may be left out (but what is optional) and nothing added.
func TestSchemaIsStrictAllTheWayDown(t *testing.T) {
	raw, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("record.json", raw); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("record.json")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := soundDay(t).paper().WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(doc); err != nil {
		t.Fatal(err)
	}
	objects, tried := 0, 0
	var walk func(at string, v any)
	walk = func(at string, v any) {
		switch x := v.(type) {
		case []any:
			if len(x) > 0 {
				walk(at+"/0", x[0])
			}
		case map[string]any:
			objects++
			x["x"] = 1
			if s.Validate(doc) == nil {
				t.Errorf("%s: the schema lets an unknown name through", at)
			}
			delete(x, "x")
			for k, was := range x {
				tried++
				delete(x, k)
				if s.Validate(doc) == nil && k != "steps_na" {
					t.Errorf("%s: the schema lets %q be left out", at, k)
				}
				x[k] = []any{map[string]any{}}
				if s.Validate(doc) == nil {
					t.Errorf("%s: the schema takes anything for %q", at, k)
				}
				x[k] = was
			}
			for k := range x {
				walk(at+"/"+k, x[k])
			}
		}
	}
	walk("", doc)
	t.Logf("%d objects, %d names", objects, tried)
	if objects < 20 {
		t.Errorf("only %d objects were looked at", objects)
	}
}

var errRFC = errors.New("not RFC 4180")

// rfc4180 reads a comma-separated file by the grammar of RFC 4180, section 2
// (ABNF: record = field *(COMMA field), escaped = DQUOTE *(TEXTDATA / COMMA / CR /
// LF / 2DQUOTE) DQUOTE), and by nothing else.
func rfc4180(b []byte) (rows [][]string, err error) {
	i := 0
	for i < len(b) {
		var row []string
		for {
			var field []byte
			if i < len(b) && b[i] == '"' {
				for i++; ; i++ {
					if i >= len(b) {
						return nil, fmt.Errorf("a quote is not closed: %w", errRFC)
					}
					if b[i] == '"' {
						if i+1 >= len(b) || b[i+1] != '"' {
							break
						}
						i++
					}
					field = append(field, b[i])
				}
				i++
			} else {
				for i < len(b) && b[i] != ',' && b[i] != '\r' {
					if b[i] == '"' || b[i] < 0x20 {
						return nil, fmt.Errorf("%q stands bare at %d: %w", b[i], i, errRFC)
					}
					field = append(field, b[i])
					i++
				}
			}
			row = append(row, string(field))
			if i >= len(b) || b[i] != ',' {
				break
			}
			i++
		}
		if i+1 >= len(b) || b[i] != '\r' || b[i+1] != '\n' {
			return nil, fmt.Errorf("no CR LF at %d: %w", i, errRFC)
		}
		i += 2
		rows = append(rows, row)
	}
	return rows, nil
}

// Every comma-separated file reads by the grammar alone, with hostile words in
// it, and no cell is one that a spreadsheet would run.
func TestTablesByTheGrammarAlone(t *testing.T) {
	b := open(t, hall(9, 6))
	at := b.p.Handover.Add(time.Hour)
	b.press(at, day.Press{Kind: day.BatchStarted, Mixer: 1, Lots: "A==cmd|calc B=@x aggregate=-1+1"})
	b.press(at.Add(time.Minute), day.Press{Kind: day.BatchScrapped, Batch: 1, Why: `=HYPERLINK("x"), "quoted", and so on`})
	b.press(at.Add(2*time.Minute), day.Press{Kind: day.HoldBegan, Why: `@SUM(1,2), "way blocked"`})
	b.press(at.Add(3*time.Minute), day.Press{Kind: day.HoldEnded})
	number := regexp.MustCompile(`^-?\d+(\.\d+)?$`)
	for _, q := range []*Paper{b.paper(), soundDay(t).paper()} {
		for _, c := range q.CSV() {
			var out bytes.Buffer
			if err := c.Write(&out); err != nil {
				t.Fatal(err)
			}
			rows, err := rfc4180(out.Bytes())
			if err != nil {
				t.Errorf("%s: %v", c.Name, err)
				continue
			}
			if !slices.EqualFunc(rows, readCSV(t, out.Bytes()), slices.Equal) {
				t.Errorf("%s: two readers read two things", c.Name)
			}
			for i, r := range rows {
				if len(r) != len(rows[0]) {
					t.Errorf("%s: line %d has %d fields, the head has %d", c.Name, i+1, len(r), len(rows[0]))
				}
				for _, f := range r {
					if f == "" || strings.ContainsAny(f[:1], "=+-@\t\r") && !number.MatchString(f) {
						t.Errorf("%s: line %d holds %q", c.Name, i+1, f)
					}
				}
			}
		}
	}
}

// The page can be heard as well as seen: its language, one first heading, the
// second and third ranks in order, heads of columns, a name for every table and
// every picture (WCAG 2.2, 1.1.1, 1.3.1, 3.1.1).
func TestPageCanBeHeard(t *testing.T) {
	var page bytes.Buffer
	if err := soundDay(t).paper().WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	s := page.String()
	if !strings.Contains(s, `<html lang="en">`) || strings.Count(s, "<h1>") != 1 || strings.Count(s, "<main>") != 1 {
		t.Error("language, first heading or main part are missing")
	}
	rank := 1
	for _, m := range regexp.MustCompile(`<h([1-6])>`).FindAllStringSubmatch(s, -1) {
		n := int(m[1][0] - '0')
		if n > rank+1 {
			t.Errorf("a heading of rank %d follows one of rank %d", n, rank)
		}
		rank = n
	}
	for _, tag := range regexp.MustCompile(`<(table|svg|th)\b[^>]*>`).FindAllString(s, -1) {
		switch {
		case strings.HasPrefix(tag, "<th ") || tag == "<th>":
			if !strings.Contains(tag, "scope=") {
				t.Errorf("%s does not say what it heads", tag)
			}
		case !regexp.MustCompile(`aria-label="[^"]+"`).MatchString(tag):
			t.Errorf("%s has no name", tag)
		}
	}
}

// An edge is judged by what was read until it was joined: a slab read at noon
// far off the sheet takes no age from what was joined in the morning. With one
// temperature all day what is left is the life, less what waited in the bucket,
// less the age, by hand:
// at 19 °C straight in ln(time) between 20 min at 10 °C and 12 min at 20 °C.
func TestReadingsOfLaterChangeNoEdge(t *testing.T) {
	b := soundDay(t)
	was := b.paper().Zones[0].Edge
	es := slices.Clone(b.s.Events)
	last := es[len(es)-1]
	es = append(es, day.Event{Kind: day.ReadingTaken, What: day.ReadSlab, Value: day.Value(31), At: last.At.Add(3 * time.Hour), N: last.N + 1})
	now := paperOf(t, b.p, b.floors, es).Zones[0].Edge
	if now.JoinedM != was.JoinedM || now.NoAgeM != 0 || now.Least != was.Least || was.JoinedM == 0 {
		t.Errorf("joined %g m, least slack %+v; before the late reading %g m, %+v; %g m without an age", now.JoinedM, now.Least, was.JoinedM, was.Least, now.NoAgeM)
	}
	const life = 757.735        // s
	wasted := map[int]float64{} // share lost by waiting in the bucket, by batch
	for _, l := range b.s.Zones[0].Laid {
		wasted[l.Batch] = l.Wasted
	}
	least := life
	b.s.EachJoint(0, func(j day.Joint) {
		least = min(least, life*(1-wasted[j.Old])-j.Joined.Sub(j.Laid).Seconds())
	})
	if got, want := was.Least.V, least-b.p.Rules.EdgeMargin.Seconds(); got < want-0.1 || got > want+0.1 {
		t.Errorf("least slack %.2f s, by hand %.2f", got, want)
	}
}
