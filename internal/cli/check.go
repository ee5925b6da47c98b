package cli

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"floorpace/internal/clean"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/units"
)

func newCheck(env *Env) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "check PLAN",
		Short: "Check a pour plan: take-off, pace band, go or no-go",
		Long: `check reads a pour plan and its data sheet and prints take-off, kits, lives at
the temperatures read, the largest edge span and the pace band of each zone, go
or no-go with the dew margin, advice on temperature and the opening times.

Exit 0 go, 1 no-go, 2 the plan has problems (all are listed, nothing is written).

` + caution,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			p, err := loadPlan(args[0])
			if err != nil {
				return err
			}
			floors, err := pace.Floors(p.Plan)
			if err != nil {
				return fail(ExitUsage, "%s: %v", args[0], err)
			}
			r, err := pace.Check(p.Plan, floors)
			if err != nil {
				return fail(ExitUsage, "%s: %v", args[0], err)
			}
			if asJSON {
				err = printJSON(env.Out, r)
			} else {
				err = printCheck(env.Out, r, p)
			}
			if err != nil {
				return fail(ExitFailed, "%v", err)
			}
			if !r.Go {
				return &exit{code: ExitNo}
			}
			return nil
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print data instead of words (SI units, batches a minute)")
	return c
}

// page prints lines and remembers the first error.
type page struct {
	w   io.Writer
	sys units.System
	err error
}

func (p *page) say(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

func (p *page) f(k units.Kind, si float64) string { return units.Format(k, si, p.sys) }

// table prints rows of cells in columns.
func (p *page) table(rows [][]string) {
	var out strings.Builder
	t := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(t, "  "+strings.Join(r, "\t"))
	}
	if err := t.Flush(); err != nil && p.err == nil {
		p.err = err
	}
	for line := range strings.Lines(out.String()) {
		p.say("%s", strings.TrimRight(line, " \n"))
	}
}

// pageWide is how wide a terminal is taken to be: the narrowest in use.
const pageWide = 80

// para prints words broken at blanks to the width of a page, every line indented
// alike.
func (p *page) para(indent, text string) {
	line := indent
	for _, w := range strings.Fields(text) {
		switch {
		case line == indent:
			line += w
		case len([]rune(line))+1+len([]rune(w)) > pageWide:
			p.say("%s", line)
			line = indent + w
		default:
			line += " " + w
		}
	}
	p.say("%s", line)
}

func clock(s float64) string {
	if s == 0 {
		return "no figure"
	}
	return units.Clock(time.Duration(s * float64(time.Second)))
}

func every(perMin float64) string {
	if perMin <= 0 {
		return "-"
	}
	return units.Clock(pace.Interval(perMin))
}

func printCheck(w io.Writer, r pace.Report, l *loaded) error {
	p := &page{w: w, sys: l.Plan.Units}
	p.say("%s", r.Title)
	if f := l.Plan.CrewFile; f != nil {
		p.say("%s", crewWords(f))
	}
	for _, z := range r.Zones {
		p.zone(z)
	}
	p.say("\nGO OR NO-GO")
	var rows [][]string
	for _, g := range r.Gates {
		rows = append(rows, []string{strings.ToUpper(g.Call), g.Name, g.Why})
	}
	p.table(rows)
	p.say("\nTEMPERATURE  %s", r.Advice.Short)
	p.say("  %s", r.Advice.Words)
	if len(r.Advice.Cases) > 1 {
		rows = [][]string{{"blend", "edge life", "bucket life", "needed every", "crew every", "holds", "opening met"}}
		for _, c := range r.Advice.Cases {
			if c.Missing != "" {
				rows = append(rows, []string{c.Blend, c.Missing})
				continue
			}
			rows = append(rows, []string{c.Blend, clock(c.EdgeS), clock(c.BucketS), every(c.Needed), every(c.Limit), yes(c.Holds), yes(c.Met)})
		}
		p.table(rows)
	}
	p.say("\nOPENING")
	rows = nil
	for _, u := range r.Opening {
		at := "outside the sheet"
		if u.OK {
			at = u.At.Format("Mon 2 Jan 15:04")
		}
		note := ""
		if u.Asked {
			note = "asked for by the plan"
		}
		rows = append(rows, []string{u.Zone, u.Use, at, note})
	}
	p.table(rows)
	if len(r.Orders) > 0 {
		p.say("\nORDERS OF ROOMS THAT LEAVE A WAY OUT\n  %s", strings.Join(r.Orders, "\n  "))
	}
	if len(l.Notes) > 0 {
		p.say("\nWORTH A LOOK")
		for _, n := range l.Notes {
			p.say("  %s", n)
		}
	}
	verdict := "GO"
	if !r.Go {
		verdict = "NO-GO"
	}
	p.say("\n%s", verdict)
	p.say("%s", caution)
	return p.err
}

// crewWords says where the crew's figures come from.
func crewWords(f *plan.CrewFile) string {
	words := "  crew figures from " + clean.String(f.Name)
	days := strings.Join(f.From, ", ")
	if len(f.From) > 2 {
		days = fmt.Sprintf("%d days", len(f.From))
	}
	switch {
	case f.Batches > 0 && days != "":
		words += fmt.Sprintf(": learned from %s of %s", units.Count(f.Batches, "batch", "batches"), days)
	case days != "":
		words += ": learned from " + days
	}
	if !f.Last.IsZero() {
		words += ", the last poured on " + f.Last.Format("2 Jan 2006")
	}
	if f.Invented {
		words += " (INVENTED)"
	}
	return words
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "NO"
}

func (p *page) zone(z pace.ZoneReport) {
	p.say("\nZONE %s  %s, %s", z.Zone, z.Blend, z.Own)
	p.say("  take-off     %s, %s deep in the mean, %s; %s (%.2f), one covers %s; %s more for what stays behind",
		p.f(units.Area, z.AreaM2), p.f(units.Depth, z.MeanDepthM), p.f(units.Volume, z.VolumeL), units.Count(z.Kits, "kit", "kits"), z.KitsExact, p.f(units.Area, z.M2PerKit), p.f(units.Volume, z.LossL))
	for _, l := range z.Lines {
		p.say("               %s: %.4g %s", l.Name, l.Amount, l.Unit)
	}
	p.say("  lives today  %s", lives(z.Lives))
	if z.Missing != "" {
		p.say("  pace         no figure: %s", z.Missing)
		return
	}
	p.say("  worst edge   waits for %s, at %s, %s: %s at the crew's pace, %s allowed",
		p.f(units.Area, z.SpanM2), p.f(units.Length, z.SpanX), p.f(units.Length, z.SpanY), clock(z.SpanWaitS), clock(z.SpanLimitS))
	p.say("  pace         the edge needs a batch every %s, the crew can do one every %s (%s): %s", every(z.Needed), every(z.Limit), z.LimitPost, map[bool]string{true: "holds", false: "DOES NOT HOLD"}[z.Holds])
	var posts []string
	for _, q := range z.Posts {
		posts = append(posts, q.Name+" "+every(q.PerMin))
	}
	p.say("  posts        a batch every: %s", strings.Join(posts, ", "))
	p.say("  front        %s wide × %s a minute × %s deep ÷ %s a kit = %.3f batches a minute, at the crew's pace",
		p.f(units.Length, z.WidthM), p.f(units.Length, z.FrontMMin), p.f(units.Depth, z.MeanDepthM), p.f(units.Volume, z.NetL), z.Plain)
	p.say("  room         %s stay open at the crew's pace: widest pull %s, deepest row %s; %s", p.f(units.Area, z.PatchM2), p.f(units.Length, z.WidestM), p.f(units.Length, z.DeepestM), units.Count(z.Rows, "row", "rows"))
	if z.DwellLimitS > 0 {
		p.say("  bucket       %s old when the first is poured, limit %s; carry up to %s; at most %d out at once", clock(z.DwellS), clock(z.DwellLimitS), p.f(units.Length, z.CarryMostM), z.BucketsMost)
	}
	p.say("  pour time    %s at the crew's pace", units.Hours(time.Duration(z.PourS*float64(time.Second))))
	if z.BestSpanM2 < z.OwnSpanM2*0.995 {
		p.say("  better way   %s: the worst edge waits for %s instead of %s", z.Best, p.f(units.Area, z.BestSpanM2), p.f(units.Area, z.OwnSpanM2))
	} else {
		p.say("  way          of all directions, corners and patterns tried none keeps the edge at a slower pace than this")
	}
}

// lives names the lives that the sheet has a figure for, and those it has not
// at these temperatures.
func lives(l pace.LifeTable) string {
	out := []string{"bucket " + clock(l.Bucket), "edge " + clock(l.Edge)}
	if l.Roll > 0 {
		out = append(out, "roll until "+clock(l.Roll))
	}
	switch {
	case l.BroadFrom > 0 && l.Broad > 0:
		out = append(out, "broadcast "+clock(l.BroadFrom)+" to "+clock(l.Broad))
	case l.Broad > 0:
		out = append(out, "broadcast until "+clock(l.Broad))
	}
	return strings.Join(out, ", ")
}
