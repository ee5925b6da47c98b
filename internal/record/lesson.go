package record

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// lines writes lines and keeps the first error.
type lines struct {
	w   io.Writer
	err error
}

func (p *lines) say(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

// wrap writes a line of words in eighty columns.
func (p *lines) wrap(words string) {
	line, used := "", 0
	for _, w := range strings.Fields(words) {
		n := utf8.RuneCountInString(w)
		if used > 0 && used+1+n > 76 {
			p.say("  %s", line)
			line, used = "  "+w, 2+n
			continue
		}
		if used > 0 {
			line, used = line+" ", used+1
		}
		line, used = line+w, used+n
	}
	p.say("  %s", line)
}

func (p *lines) columns(rows [][]string) {
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		if _, err := fmt.Fprintln(t, "  "+strings.Join(r, "\t")); err != nil && p.err == nil {
			p.err = err
		}
	}
	if err := t.Flush(); err != nil && p.err == nil {
		p.err = err
	}
}

// print gives a figure of a fit in the crew's units.
func (f *Fit) print(n Num, sys units.System) string {
	switch {
	case !n.OK():
		return "-"
	case math.IsNaN(n.V) || math.IsInf(n.V, 0):
		return units.NoFigure
	}
	switch f.kind {
	case asSpeed:
		return units.Format(units.Speed, n.V, sys)
	case asRate:
		return units.Format(units.AreaRate, n.V, sys)
	case asShare:
		return fmt.Sprintf("%.1f %%", math.Round(1000*n.V)/10+0) // + 0: no minus before a zero
	}
	return units.Clock(n.Dur())
}

// bare is print without the unit, for columns beside one that has it.
func (f *Fit) bare(n Num, sys units.System) string {
	if !n.OK() {
		return "-"
	}
	switch f.kind {
	case asSpeed:
		return units.FormatBare(units.Speed, n.V, sys)
	case asRate:
		return units.FormatBare(units.AreaRate, n.V, sys)
	case asShare:
		return strings.TrimSuffix(f.print(n, sys), " %")
	}
	return f.print(n, sys)
}

// nameCells is the widest name of a step in the table, so that its rows fit eighty
// columns.
const nameCells = 27

// Write prints what was learned beside the plan's figures, what was left out and
// what could not be learned.
func (l *Lesson) Write(w io.Writer) error {
	p := &lines{w: w}
	batches := units.Count(l.Batches, "batch", "batches")
	p.say("LEARNED from %s of", batches)
	for _, d := range l.Days {
		p.say("  %s", d)
	}
	if l.Invented {
		p.say("  INVENTED: a demo's day among them, no real crew")
	}
	p.say("")
	rows := [][]string{{"", "seen", "median", "95 % interval", "spread", "plan", ""}}
	for i := range l.Fits {
		f := &l.Fits[i]
		mark := ""
		if f.Plan.OK() && f.Low.OK() && (f.Plan.V < f.Low.V || f.Plan.V > f.High.V) {
			mark = "≠"
		}
		rows = append(rows, []string{
			clean.Fit(f.Name, nameCells), fmt.Sprint(f.Seen), f.print(f.Median, l.sys), f.bare(f.Low, l.sys) + " to " + f.bare(f.High, l.sys),
			spreadText(f.Spread), f.bare(f.Plan, l.sys), mark,
		})
	}
	if len(l.Fits) > 0 {
		p.columns(rows)
		p.say("  ≠ the plan's figure lies outside the interval")
	}
	for i := range l.Fits {
		if f := &l.Fits[i]; f.Note != "" {
			p.wrap(clean.String(f.Name) + ": " + clean.String(f.Note))
		}
	}
	l.writeOut(p)
	for _, part := range []struct {
		head  string
		lines []string
	}{{"NOT LEARNED", l.Refused}, {"BEAR IN MIND", l.Notes}} {
		if len(part.lines) > 0 {
			p.say("\n%s", part.head)
		}
		for _, r := range part.lines {
			p.wrap(clean.String(r))
		}
	}
	return p.err
}

// writeOut names what was left out.
func (l *Lesson) writeOut(p *lines) {
	said := false
	for i := range l.Fits {
		f := &l.Fits[i]
		for _, o := range f.Out {
			if !said {
				p.say("\nLEFT OUT, far from all the rest")
				said = true
			}
			what := ""
			if o.Batch > 0 {
				what = fmt.Sprintf(" batch %d", o.Batch)
			}
			p.wrap(fmt.Sprintf("%s: %s in %s%s at %s", clean.String(f.Name), f.print(num(o.Value), l.sys), o.Log, what, hms(o.At)))
		}
	}
}

func spreadText(n Num) string {
	if !n.OK() {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", 100*n.V)
}

// find finds the fit that answers a key of the plan.
func (l *Lesson) find(key string) *Fit {
	for i := range l.Fits {
		if l.Fits[i].fits == key {
			return &l.Fits[i]
		}
	}
	return nil
}

// named finds a step by its name.
func (l *Lesson) named(name string) *Fit {
	for i := range l.Fits {
		if l.Fits[i].Name == name {
			return &l.Fits[i]
		}
	}
	return nil
}
