package cli

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/progress"
	"github.com/muesli/termenv"
	"github.com/spf13/cobra"

	"floorpace/internal/advice"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

func newForecast(env *Env) *cobra.Command {
	var asJSON bool
	o := advice.Options{Days: 10000, Seed: 1}
	c := &cobra.Command{
		Use:   "forecast PLAN",
		Short: "Forecast a pour plan: will the edge hold, with this crew",
		Long: `forecast pours a plan some thousand times on paper and prints how often every
wet edge holds and no bucket dies, when the floor is down, how busy each post is,
what larger and smaller crews and narrower pulls would do, and the smallest crew
that holds at the chance the plan asks for.

The same seed gives the same figures on any machine.

Exit 0 the plan holds at the chance it asks for, 1 it does not, 2 the plan has
problems.

` + caution,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if o.Days < 100 || o.Days > 1_000_000 {
				return fail(ExitUsage, "--days %d: write a number from 100 to 1000000", o.Days)
			}
			return forecast(cmd.Context(), env, args[0], o, asJSON)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print data instead of words (SI units, seconds, shares)")
	c.Flags().Uint64Var(&o.Seed, "seed", o.Seed, "another number draws other luck")
	c.Flags().IntVar(&o.Days, "days", o.Days, "how many days to pour on paper")
	return c
}

func forecast(ctx context.Context, env *Env, name string, o advice.Options, asJSON bool) error {
	p, err := loadPlan(name)
	if err != nil {
		return err
	}
	floors, err := pace.Floors(p.Plan)
	if err != nil {
		return fail(ExitUsage, "%s: %v", name, err)
	}
	b := &bar{env: env, on: env.Terminal && !asJSON, began: env.Clock.Now().Mono}
	r, err := advice.Forecast(ctx, p.Plan, floors, o, b.show)
	b.wipe()
	switch {
	case ctx.Err() != nil:
		return fail(ExitFailed, "stopped before the study was done: nothing to show")
	case err != nil:
		return fail(ExitUsage, "%s: %v", name, err)
	}
	if asJSON {
		err = printJSON(env.Out, r)
	} else {
		err = printForecast(env.Out, r, p.Plan.Units)
	}
	if err != nil {
		return fail(ExitFailed, "%v", err)
	}
	if !r.Holds() {
		return &exit{code: ExitNo}
	}
	return nil
}

// bar shows on a terminal how far a long study is.
type bar struct {
	env   *Env
	on    bool
	began time.Duration
	last  time.Duration // when it was drawn last
	shown bool
}

// barAfter is how long a study may take before a bar is shown; barWide its width.
const (
	barAfter = 500 * time.Millisecond
	barWide  = 40
	barEvery = 100 * time.Millisecond // faster nobody reads it
)

func (b *bar) show(done, total int) {
	if !b.on {
		return
	}
	now := b.env.Clock.Now().Mono
	if now-b.began < barAfter || b.shown && now-b.last < barEvery {
		return
	}
	b.shown, b.last = true, now
	p := progress.New(progress.WithWidth(barWide), progress.WithFillCharacters('#', '.'), progress.WithoutPercentage(), progress.WithColorProfile(termenv.Ascii))
	fmt.Fprintf(b.env.Err, "\r%s %d of %d days", p.ViewAs(float64(done)/float64(max(1, total))), done, total)
}

// wipe takes the bar away.
func (b *bar) wipe() {
	if b.shown {
		fmt.Fprintf(b.env.Err, "\r%s\r", strings.Repeat(" ", barWide+32))
	}
}

// percent prints a share: one decimal, and never "100" for what can fail or "0"
// for what can hold.
func percent(share float64) string {
	switch {
	case share > 0 && share < 0.0005:
		return "< 0.1 %"
	case share < 1 && share > 0.9995:
		return "> 99.9 %"
	}
	return fmt.Sprintf("%.1f %%", 100*share)
}

func span(s float64) string { return units.Clock(time.Duration(s * float64(time.Second))) }

// printForecast prints a study of a plan.
func printForecast(w io.Writer, r advice.Report, sys units.System) error {
	p := &page{w: w, sys: sys}
	p.para("", r.Title)
	p.say("\nFORECAST  %s, seed %d", units.Count(r.Days, "day", "days"), r.Seed)
	p.whole(r)
	for _, z := range r.Zones {
		p.forecastZone(z, r.Days)
	}
	p.crews(r)
	p.widths(r)
	p.say("")
	for _, n := range r.Notes {
		p.para("  ", n)
	}
	verdict := "HOLDS AT THE CHANCE ASKED FOR"
	switch {
	case r.Whole == nil:
		verdict = "NO VERDICT, FIGURES ARE MISSING: " + strings.Join(r.Missing[:min(len(r.Missing), mostMissing)], "; ")
		if more := len(r.Missing) - mostMissing; more > 0 {
			verdict += "; and in " + units.Count(more, "more zone", "more zones")
		}
	case !r.Holds():
		verdict = "DOES NOT HOLD AT THE CHANCE ASKED FOR"
	}
	p.say("")
	p.para("", verdict)
	p.say("%s", caution)
	return p.err
}

// mostMissing is how many zones without a figure the verdict names: each stands
// under its own head as well.
const mostMissing = 3

// chance prints the share of the days studied on which something held. When it was
// so on every day, or on none, it says how sure that is: with none of n days
// otherwise, fewer than 3 in n are, with 95 in 100 (the rule of three; Hanley and
// Lippman-Hand, JAMA 249, 1983, from memory).
func chance(share float64, days int) string {
	least := math.Ceil(1e3*3/float64(days)) / 10 // per cent, one decimal
	switch share {
	case 1:
		return fmt.Sprintf("> %.1f %%", 100-least)
	case 0:
		return fmt.Sprintf("< %.1f %%", least)
	}
	return percent(share)
}

// whole prints what was found for all zones together.
func (p *page) whole(r advice.Report) {
	if r.Whole == nil {
		p.say("  edge and buckets: no figure; asked for %s", percent(r.Asked))
		p.say("  floor down: no figure")
		p.say("  opening: no figure")
		return
	}
	p.say("  every edge holds %s, no bucket dies %s", chance(r.Edge, r.Days), chance(r.Buckets, r.Days))
	p.say("  both %s; asked for %s", chance(r.Both, r.Days), percent(r.Asked))
	p.say("  floor down after %s; one day in ten by %s, nine in ten by %s", span(r.P50S), span(r.P10S), span(r.P90S))
	if r.Opening == nil {
		p.say("  opening: no figure")
		return
	}
	word := "in time"
	if !*r.InTime {
		word = "TOO LATE"
	}
	p.say("  opening %s, %s; met on %s of the days", r.Opening.Format("Mon 2 Jan 15:04"), word, chance(*r.Opens, r.Days))
}

func (p *page) forecastZone(z advice.ZoneReport, days int) {
	p.say("\nZONE %s", z.Zone)
	if z.Missing != "" {
		p.para("  ", z.Missing)
		return
	}
	p.say("  edge holds %s, with the margin used up %s\n  no bucket dies %s", chance(z.Edge, days), chance(z.Live, days), chance(z.Buckets, days))
	p.say("  %s, down after %s (%s to %s)", few(z.Kits, "kit"), span(z.P50S), span(z.P10S), span(z.P90S))
	lost := ""
	if z.LostAt > 0 {
		lost = fmt.Sprintf("; where an edge is lost, mostly by batch %d", z.LostAt)
	}
	p.para("  ", fmt.Sprintf("least life left over the margin %s, one day in ten below %s%s", span(z.Slack50S), span(z.Slack10S), lost))
	p.say("  oldest bucket when poured %s, one day in ten above %s", span(z.Dwell50S), span(z.Dwell90S))
	rows := [][]string{{"post", "people or things", "at work", "with a batch in hand"}}
	for _, u := range z.Posts {
		rows = append(rows, []string{u.Post, fmt.Sprint(u.Crew), percent(u.Work), percent(u.Held)})
	}
	p.table(rows)
}

// few counts things.
func few(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (p *page) crews(r advice.Report) {
	p.say("\nCREWS")
	if len(r.Crews) == 0 {
		p.say("  no figure")
		return
	}
	rows := [][]string{{"mixers", "runners", "buckets", "edge holds", "both hold", "down after", ""}}
	for _, c := range r.Crews {
		note := ""
		if c.Planned {
			note = "planned"
		}
		if s := r.Smallest; s != nil && s.Mixers == c.Mixers && s.Runners == c.Runners {
			note = strings.TrimPrefix(note+", smallest", ", ")
		}
		rows = append(rows, []string{fmt.Sprint(c.Mixers), fmt.Sprint(c.Runners), fmt.Sprint(c.Buckets), chance(c.Edge, r.Days), chance(c.Both, r.Days), span(c.P50S), note})
	}
	p.table(rows)
	switch s := r.Smallest; s {
	case nil:
		p.say("  no crew of this table holds at %s", percent(r.Asked))
	default:
		p.say("  the smallest that holds at %s: %s, %s, %s", percent(r.Asked), few(s.Mixers, "mixer"), few(s.Runners, "runner"), few(s.Buckets, "bucket"))
	}
}

// nameWide is the room for a zone's name in a table; it stands in full above.
const nameWide = 20

func cut(s string, wide int) string {
	if r := []rune(s); len(r) > wide {
		return string(r[:wide-1]) + "…"
	}
	return s
}

func (p *page) widths(r advice.Report) {
	if len(r.Widths) == 0 {
		return
	}
	p.say("\nWIDTH OF THE PULL")
	rows := [][]string{{"zone", "pull", "taped edge", "edge holds", "both hold", "down after"}}
	for _, q := range r.Widths {
		rows = append(rows, []string{cut(q.Zone, nameWide), p.f(units.Length, q.WidthM), p.f(units.Length, q.TapeM), chance(q.Edge, r.Days), chance(q.Both, r.Days), span(q.P50S)})
	}
	p.table(rows)
}
