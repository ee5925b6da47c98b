package record

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// block is one part of the papers, in order: a heading with words, a table, a
// picture or lines to sign. The page and the PDF both show these.
type block struct {
	head    string
	sub     bool // a heading of the second rank
	words   []string
	strong  bool // the words need to be seen
	table   *table
	picture *drawing
	sign    []string
	keep    float64 // mm of the next block that must stand on the same page
}

// table is one table as printed. A cell without a figure says N/A with a letter;
// the reasons stand below.
type table struct {
	cols  []column
	rows  [][]string
	heavy map[int]bool // rows to be seen
	notes []string     // reasons by letter
	empty string       // what to say when there is no row
}

type column struct {
	name  string
	right bool
}

// cols makes columns from names; a leading ">" sets one to the right.
func cols(names ...string) []column {
	out := make([]column, len(names))
	for i, n := range names {
		out[i] = column{strings.TrimPrefix(n, ">"), strings.HasPrefix(n, ">")}
	}
	return out
}

func (t *table) add(cells ...string) {
	for i := range cells {
		cells[i] = clean.String(cells[i])
	}
	t.rows = append(t.rows, cells)
}

func (t *table) addHeavy(cells ...string) {
	if t.heavy == nil {
		t.heavy = map[int]bool{}
	}
	t.heavy[len(t.rows)] = true
	t.add(cells...)
}

// na is a cell without a figure.
func (t *table) na(why string) string {
	for i, n := range t.notes {
		if n == why {
			return "N/A " + letter(i)
		}
	}
	t.notes = append(t.notes, why)
	return "N/A " + letter(len(t.notes)-1)
}

func letter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return letter(i/26-1) + string(rune('a'+i%26))
}

func (t *table) num(n Num, f func(float64) string) string {
	if !n.OK() {
		return t.na(n.NA)
	}
	return f(n.V)
}

func (t *table) when(w When) string { return t.whenAs(w, "15:04:05") }

func (t *table) whenAs(w When, layout string) string {
	if !w.OK() {
		return t.na(w.NA)
	}
	return w.T.Format(layout)
}

func (t *table) text(s Text) string {
	if !s.OK() {
		return t.na(s.NA)
	}
	return s.S
}

// printer turns figures into the crew's units.
type printer struct {
	p   *Paper
	sys units.System
}

func (q printer) f(k units.Kind) func(float64) string {
	return func(v float64) string { return units.Format(k, v, q.sys) }
}

func (q printer) bare(k units.Kind) func(float64) string {
	return func(v float64) string { return units.FormatBare(k, v, q.sys) }
}

func clockOf(s float64) string {
	return units.Clock(time.Duration(math.Round(s)) * time.Second)
}

func count(v float64) string { return fmt.Sprintf("%.0f", v) }

// kits prints a sum of shares to the hundredth of a kit.
func kits(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", math.Round(v*100)/100+0), "0"), ".")
}

// Lines of the totals, the same words on every paper.
func (p *Paper) totalLines() []string {
	t := &p.Totals
	out := []string{
		fmt.Sprintf("Batches: %d started = %d poured + %d scrapped + %d on the way.", t.Started, t.Poured, t.Scrapped, t.OnTheWay),
		fmt.Sprintf("Kits: %s opened = %s used + %s scrapped + %s left of those opened.", kits(t.KitsOpened), kits(t.KitsUsed), kits(t.KitsScrapped), kits(t.KitsLeft)),
	}
	if t.KitsOnHand.OK() {
		out = append(out, fmt.Sprintf("Whole kits on hand by the plan: %s; not opened: %s.", kits(t.KitsOnHand.V), kits(t.KitsUnopened.V)))
	} else {
		out = append(out, "Whole kits on hand: N/A, "+t.KitsOnHand.NA+".")
	}
	return append(out, fmt.Sprintf("Floor laid: %s with %s out of the buckets, net of the plan's loss.",
		units.Format(units.Area, t.AreaM2, p.sys), units.Format(units.Volume, t.PouredL, p.sys)))
}

// sealWords says how the log is sealed.
func (p *Paper) sealWords() string {
	var out []string
	for _, f := range p.Log.Files {
		switch {
		case !f.Seal.OK():
			out = append(out, fmt.Sprintf("%s: NOT SEALED, %s", f.Name, f.Seal.NA))
		case f.Unsealed > 0:
			out = append(out, fmt.Sprintf("%s: sealed %s, %s behind the seal", f.Name, f.Seal.S, units.Count(f.Unsealed, "event", "events")))
		default:
			out = append(out, fmt.Sprintf("%s: sealed %s", f.Name, f.Seal.S))
		}
	}
	if len(out) == 0 {
		return "NOT SEALED: no log file is named"
	}
	return strings.Join(out, "; ")
}
