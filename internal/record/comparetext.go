package record

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// Widths of the comparison, cells: eighty columns hold three or four days beside
// the names of the rows, more days come below.
const (
	compareCells = 80
	rowNameCells = 30
	// mostZones are written one by one; of more only the lowest and the highest.
	mostZones = 3
)

// Write prints the days side by side, one column a day, as many as fit into eighty
// columns, the others below.
func (c *Comparison) Write(w io.Writer) error {
	p := &lines{w: w}
	for i := range c.Days {
		d := &c.Days[i]
		p.say("%s", clean.Fit(fmt.Sprintf("%3d  %s  %s", i+1, d.Day, d.Plan), compareCells))
		more := fmt.Sprintf("zones %s", strings.Join(zoneNames(d), ", "))
		if d.Units != c.Days[0].Units {
			more += fmt.Sprintf("; its crew works in %s units", d.Units)
		}
		p.say("%s", clean.Fit("     "+d.Name, compareCells))
		p.say("%s", clean.Fit("     "+more, compareCells))
		if d.Damage != "" {
			p.say("%s", clean.Fit("     LOG DAMAGED: "+d.Damage+"; see floorpace verify", compareCells))
		}
	}
	p.say("Figures of several zones stand in their order, parted by /.")
	rows := c.rows()
	for from := 0; from < len(c.Days); {
		wide := 2 + rowNameCells
		to := from
		for ; to < len(c.Days); to++ {
			wide += 2 + widest(rows, to+1)
			if wide > compareCells && to > from {
				break
			}
		}
		p.say("")
		var part [][]string
		for _, r := range rows {
			part = append(part, append([]string{clean.Fit(r[0], rowNameCells)}, r[1+from:1+to]...))
		}
		p.columns(part)
		from = to
	}
	return p.err
}

func zoneNames(d *ComparedDay) []string {
	out := []string{}
	for i := range d.Zones {
		out = append(out, d.Zones[i].Name)
	}
	if len(out) == 0 {
		return []string{"none poured"}
	}
	return out
}

// widest is the widest cell of a column.
func widest(rows [][]string, col int) (n int) {
	for _, r := range rows {
		n = max(n, utf8.RuneCountInString(r[col]))
	}
	return n
}

// rows are the lines of the comparison, the name first, then a cell a day.
func (c *Comparison) rows() [][]string {
	var rows [][]string
	row := func(name string, f func(*ComparedDay) string) {
		r := []string{name}
		for i := range c.Days {
			r = append(r, f(&c.Days[i]))
		}
		rows = append(rows, r)
	}
	in := func(k units.Kind) func(float64) string {
		return func(v float64) string { return units.FormatBare(k, v, c.sys) }
	}
	zones := func(name string, f func(*ComparedZone) Num, print func(float64) string) {
		row(name, func(d *ComparedDay) string { return d.each(f, print) })
	}
	area, length := units.Unit(units.Area, c.sys), units.Unit(units.Length, c.sys)
	n := 0
	row("", func(*ComparedDay) string { n++; return fmt.Sprint(n) })
	row("batches poured", func(d *ComparedDay) string { return fmt.Sprint(d.Poured) })
	row("batches scrapped", func(d *ComparedDay) string { return fmt.Sprint(d.Scrapped) })
	row("floor laid, "+area, func(d *ComparedDay) string { return in(units.Area)(d.AreaM2) })
	row("first start to last pour", func(d *ComparedDay) string {
		if !d.Line.OK() {
			return "-"
		}
		return units.Hours(time.Duration(d.Line.V * float64(time.Second)))
	})
	zones("median interval", func(z *ComparedZone) Num { return z.Interval }, clockOf)
	zones("floor an hour, "+area, func(z *ComparedZone) Num { return z.PerHour }, in(units.Area))
	row("holds and stops in all", func(d *ComparedDay) string { return inAll(d.Holds) })
	rows = append(rows, c.tallyRows(func(d *ComparedDay) []Tally { return d.Holds }, Tally.withLength)...)
	zones("least slack", func(z *ComparedZone) Num { return z.Slack }, clockOf)
	row("joined inside the margin, "+length, func(d *ComparedDay) string { return in(units.Length)(d.RiskM) })
	row("joined too late, "+length, func(d *ComparedDay) string { return in(units.Length)(d.LostM) })
	for i := range c.Days {
		if c.Days[i].NoAgeM > 0 {
			row("joined with no age, "+length, func(d *ComparedDay) string { return in(units.Length)(d.NoAgeM) })
			break
		}
	}
	row("kits opened", func(d *ComparedDay) string { return kits(d.Opened) })
	row("kits used", func(d *ComparedDay) string { return kits(d.Used) })
	row("kits scrapped", func(d *ComparedDay) string { return kits(d.Waste) })
	row("kits left of opened", func(d *ComparedDay) string { return kits(d.Left) })
	row("kits by the plan", func(d *ComparedDay) string { return fmt.Sprint(d.PlanKits) })
	zones("a kit covers, "+area, func(z *ComparedZone) Num { return z.M2Kit }, in(units.Area))
	zones("volume goes, % of the plan", func(z *ComparedZone) Num { return z.Use }, func(v float64) string { return strings.TrimSuffix(percent(v), " %") })
	row("calls in all", func(d *ComparedDay) string { return calls(d.Calls) })
	rows = append(rows, c.tallyRows(func(d *ComparedDay) []Tally { return d.Calls }, func(t Tally) string { return fmt.Sprint(t.Times) })...)
	row("what does not fit together", func(d *ComparedDay) string { return fmt.Sprint(d.Findings) })
	return rows
}

// each gives a figure of each zone poured, or the range of many zones.
func (d *ComparedDay) each(f func(*ComparedZone) Num, print func(float64) string) string {
	var out []string
	lo, hi := Num{NA: "-"}, Num{NA: "-"}
	for i := range d.Zones {
		n := f(&d.Zones[i])
		if !n.OK() {
			out = append(out, "-")
			continue
		}
		out = append(out, print(n.V))
		if !lo.OK() || n.V < lo.V {
			lo = n
		}
		if !hi.OK() || n.V > hi.V {
			hi = n
		}
	}
	switch {
	case !lo.OK():
		return "-"
	case len(out) > mostZones:
		return print(lo.V) + " to " + print(hi.V)
	}
	return strings.Join(out, "/")
}

func (t Tally) withLength() string {
	return fmt.Sprintf("%d, %s", t.Times, clockOf(t.Seconds))
}

func inAll(list []Tally) string {
	var sum Tally
	for _, t := range list {
		sum.Times, sum.Seconds = sum.Times+t.Times, sum.Seconds+t.Seconds
	}
	if sum.Times == 0 {
		return "none"
	}
	return sum.withLength()
}

func calls(list []Tally) string {
	n := 0
	for _, t := range list {
		n += t.Times
	}
	return fmt.Sprint(n)
}

// tallyRows gives a row for each cause that any day knows.
func (c *Comparison) tallyRows(of func(*ComparedDay) []Tally, print func(Tally) string) [][]string {
	causes := map[string]bool{}
	for i := range c.Days {
		for _, t := range of(&c.Days[i]) {
			causes[t.What] = true
		}
	}
	var out [][]string
	for _, what := range sortedKeys(causes) {
		r := []string{what}
		for i := range c.Days {
			cell := "-"
			for _, t := range of(&c.Days[i]) {
				if t.What == what {
					cell = print(t)
				}
			}
			r = append(r, cell)
		}
		out = append(out, r)
	}
	return out
}
